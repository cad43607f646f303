"""What any caller of HoursRegressor may rely on."""

import pickle
import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from sklearn.base import clone
from sklearn.utils.estimator_checks import parametrize_with_checks

from estimator import HoursRegressor

PROBS = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]


@parametrize_with_checks([HoursRegressor()])
def test_scikit_learn_accepts_it(estimator, check):
    check(estimator)


@pytest.fixture(scope="module")
def jobs():
    rng = np.random.default_rng(8)
    X = np.column_stack(
        [rng.lognormal(1, 0.5, 30), rng.integers(0, 6, 30), rng.integers(0, 2, 30), rng.random(30)]
    )
    y = (1 + X[:, 0] + 0.7 * X[:, 1]) * np.exp(0.3 * X[:, 2] + 0.25 * rng.normal(size=30))
    return X, y


@pytest.fixture(scope="module")
def learned(jobs):
    return HoursRegressor().fit(*jobs)


# ---- what it answers


def test_all_answers_come_of_the_same_points(jobs, learned):
    X, _ = jobs
    points = learned.predict_quantiles(X, [0.1, 0.5, 0.9])

    assert learned.predict(X) == pytest.approx(points[:, 1])
    assert learned.predict_interval(X, odds=0.8) == pytest.approx(points[:, [0, 2]])
    assert learned.predict_quantiles(X, [0.9, 0.1]) == pytest.approx(points[:, [2, 0]])


def test_points_are_stretched_about_the_median(jobs, learned):
    X, _ = jobs
    before = learned.learned_.at(X).quantiles(np.array([0.1, 0.5, 0.9]))
    low, high = learned.stretch_
    after = np.log(learned.predict_quantiles(X, [0.1, 0.5, 0.9]))

    assert after[:, 1] == pytest.approx(before[:, 1])
    assert after[:, 1] - after[:, 0] == pytest.approx(low * (before[:, 1] - before[:, 0]))
    assert after[:, 2] - after[:, 1] == pytest.approx(high * (before[:, 2] - before[:, 1]))
    assert (low, high) != (1.0, 1.0)


def test_shares_are_of_all_there_is(learned):
    assert sum(learned.shares_.values()) == pytest.approx(1)
    assert list(learned.shares_) == ["product", "bent", "sum", "even sum", "past"]


def test_luck_that_grows_less_than_the_work_is_told():
    rng = np.random.default_rng(4)
    x = np.geomspace(1, 50, 40)
    y = 10 + 3 * x + 2 * rng.normal(size=40)
    model = HoursRegressor().fit(x[:, None], y)
    low, high = model.predict_interval([[2.0], [45.0]]).T

    assert model.predict([[2.0], [45.0]]) == pytest.approx([16, 145], rel=0.1)
    assert model.shares_["even sum"] == max(model.shares_.values())
    assert (high - low)[1] < 6 * (high - low)[0]  # in proportion it would be nine times


def test_draws_fall_as_the_points_say(jobs, learned):
    X, _ = jobs
    drawn = learned.sample(X[:3], size=20_000, random_state=1)
    points = learned.predict_quantiles(X[:3], PROBS)

    assert drawn.shape == (3, 20_000)
    for j, p in enumerate(PROBS):
        assert (drawn < points[:, j : j + 1]).mean(axis=1) == pytest.approx([p] * 3, abs=0.015)
    assert np.array_equal(drawn, learned.sample(X[:3], size=20_000, random_state=1))
    assert np.array_equal(
        *(HoursRegressor(random_state=3).fit(*jobs).sample(X[:2], size=5) for _ in range(2))
    )


def test_it_finds_what_adds_up(jobs):
    rng = np.random.default_rng(1)
    X, _ = jobs
    model = HoursRegressor().fit(X, (1 + 2 * X[:, 0] + X[:, 1]) * np.exp(0.05 * rng.normal(size=30)))
    told = model.predict([[3.0, 4.0, 0.0, 0.5]])

    assert told[0] == pytest.approx(11.0, rel=0.08)


def test_its_ranges_hold_eight_in_ten():
    held = []
    for seed in range(12):
        rng = np.random.default_rng([7, seed])
        X = rng.lognormal(0, 0.8, (70, 3))
        y = 2 * X[:, 0] ** 0.8 * X[:, 1] ** 0.2 * np.exp(0.4 * rng.normal(size=70))
        low, high = HoursRegressor().fit(X[:20], y[:20]).predict_interval(X[20:]).T
        held.append(((low <= y[20:]) & (y[20:] <= high)).mean())
    assert 0.74 < np.mean(held) < 0.87


# ---- what must not matter


def points(X, y, new):
    return HoursRegressor().fit(X, y).predict_quantiles(new, PROBS)


def test_units_do_not_matter(jobs):
    X, y = jobs
    units = np.array([1000, 0.3048, 1, 60])

    assert points(X * units, y * 60, X[:5] * units) == pytest.approx(60 * points(X, y, X[:5]), rel=1e-5)


def test_the_order_of_rows_does_not_matter(jobs):
    X, y = jobs
    order = np.random.default_rng(0).permutation(len(y))

    assert points(X[order], y[order], X[:5]) == pytest.approx(points(X, y, X[:5]), rel=1e-5)


def test_the_order_of_columns_does_not_matter(jobs):
    X, y = jobs

    assert points(X[:, ::-1], y, X[:5, ::-1]) == pytest.approx(points(X, y, X[:5]), rel=1e-5)


def test_columns_that_never_change_do_not_matter(jobs):
    X, y = jobs
    more = np.column_stack([np.zeros(30), X, np.full(30, 7.0)])

    assert points(more, y, more[:5]) == pytest.approx(points(X, y, X[:5]), rel=1e-9)


def test_copies_answer_alike(jobs, learned):
    X, y = jobs
    told = learned.predict_quantiles(X, PROBS)

    assert np.array_equal(pickle.loads(pickle.dumps(learned)).predict_quantiles(X, PROBS), told)
    assert np.array_equal(clone(learned).fit(X, y).predict_quantiles(X, PROBS), told)


# ---- hard tables


amounts = st.floats(0, 1e6).map(lambda x: 0.0 if x < 1e-6 else x)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_never_missing_crossed_or_negative(data):
    n, k = data.draw(st.integers(5, 12)), data.draw(st.integers(1, 15))
    X = data.draw(arrays(float, (n, k), elements=amounts))
    y = data.draw(arrays(float, n, elements=amounts))
    new = data.draw(arrays(float, (4, k), elements=amounts))
    told = points(X, y, np.vstack([X, new]))

    assert np.isfinite(told).all()
    assert (told >= 0).all()
    assert (np.diff(told, axis=1) >= 0).all()


def test_one_time_for_all(jobs):
    X, _ = jobs
    low, high = HoursRegressor().fit(X[:8], np.full(8, 6.0)).predict_interval(X).T

    assert (low > 5.5).all()
    assert (high < 6.5).all()


def test_no_time_at_all(jobs):
    X, _ = jobs
    assert HoursRegressor().fit(X, np.zeros(30)).predict(X) == pytest.approx(np.zeros(30), abs=1e-300)


def test_a_column_that_is_the_answer(jobs):
    X, y = jobs
    with_answer = np.column_stack([X, y])
    model = HoursRegressor().fit(with_answer[:20], y[:20])

    assert model.predict(with_answer[20:]) == pytest.approx(y[20:], rel=0.03)


def test_one_wild_row_does_not_take_the_others_along(jobs):
    X, y = jobs
    wild = y.copy()
    wild[3] *= 1000
    calm, shaken = (HoursRegressor().fit(X, t).predict(X[10:]) for t in (y, wild))

    assert (shaken < 3 * calm).all()


def test_columns_twice_and_more_columns_than_rows(jobs):
    X, y = jobs
    wide = np.column_stack([X] * 6)[:10]
    assert np.isfinite(points(wide, y[:10], wide)).all()


def test_a_table_with_names(jobs):
    X, y = jobs
    frame = pd.DataFrame(X, columns=["length", "dings", "major", "share"])
    model = HoursRegressor().fit(frame, y)

    assert list(model.feature_names_in_) == list(frame)
    with pytest.raises(ValueError, match="feature names should match"):
        model.predict(frame[["dings", "length", "major", "share"]])
    with pytest.raises(ValueError, match=r"Negative values in data: column dings is -1 in row 2\. Drivers"):
        model.predict(frame.assign(dings=np.where(frame.index == 1, -1, 0)))


def test_a_large_table_is_learned_from_a_part():
    rng = np.random.default_rng(0)
    X = rng.lognormal(size=(100_000, 4))
    y = X @ [1.0, 2.0, 0.5, 0.1] * np.exp(0.2 * rng.normal(size=100_000))
    low, high = HoursRegressor().fit(X, y).predict_interval(X[:2000]).T

    assert ((low <= y[:2000]) & (y[:2000] <= high)).mean() == pytest.approx(0.8, abs=0.04)


# ---- refusals


@pytest.mark.parametrize(
    ("X", "y", "why"),
    [
        (np.ones((4, 2)), np.ones(4), "minimum of 5 is required"),
        (-np.eye(5), np.ones(5), r"Negative values in data: column 1 is -1 in row 1\. Drivers are amounts"),
        (
            np.eye(5),
            -np.arange(5.0),
            r"Negative values in data: the time in row 5 is -4\. Times are 0 or more",
        ),
        (np.full((5, 1), np.nan), np.ones(5), "NaN"),
    ],
)
def test_what_cannot_be_learned_from(X, y, why):
    with pytest.raises(ValueError, match=why):
        HoursRegressor().fit(X, y)


@pytest.mark.parametrize("probs", [[0.0, 0.5], [1.0], [], [[0.1, 0.2]], [np.nan]])
def test_chances_lie_between_0_and_1(probs, jobs, learned):
    with pytest.raises(ValueError, match="Give chances between 0 and 1"):
        learned.predict_quantiles(jobs[0], probs)


@pytest.mark.parametrize("odds", [0, 1, 80])
def test_odds_lie_between_0_and_1(odds, jobs, learned):
    with pytest.raises(ValueError, match=r"Odds lie between 0 and 1; 0\.8 is 8 in 10"):
        learned.predict_interval(jobs[0], odds=odds)


def test_importing_the_package_imports_no_scikit_learn():
    said = (
        "import sys, estimator; assert 'HoursRegressor' in estimator.__all__; print('sklearn' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", said], capture_output=True, text=True, check=True, env=_paths()
    )

    assert done.stdout.strip() == "False"


def _paths():
    import os

    return {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
