"""What the regressor makes of its forms, and which rows it learns from: by hand."""

import copy
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.regress import regressor
from estimator.regress.additive_form import _columns
from estimator.regress.log_forms import Drivers, _telling, learn_lines, strongest
from estimator.regress.mixture import Mixture
from estimator.regress.process_form import Shapes, learn_process
from estimator.regress.regressor import Averaged, HoursRegressor, _fitting, learn_average


def table(n, seed=6):
    rng = np.random.default_rng(seed)
    x = rng.lognormal(1, 0.5, n)
    return np.column_stack([x, rng.random(n)]), 3 * x * np.exp(0.2 * rng.standard_normal(n))


def test_forms_are_averaged_by_their_shares_but_for_those_of_less_than_a_thousandth():
    forms = [
        SimpleNamespace(at=lambda X, at=at: Mixture.of(np.ones((len(X), 1)), at, 0.3, 9.0))
        for at in (1.0, 2.0, 3.0)
    ]
    told = Averaged(
        ("a", "b", "c"), np.array([0.15, 0.0005, 0.8495]), (1.0, 1.0), tuple(forms), (0.0, 5.0, 2.5)
    ).at(np.zeros((2, 1)))

    assert told.weight == pytest.approx(np.array([[0.15, 0.8495]] * 2) / 0.9995)
    assert (told.place.tolist(), told.added.tolist()) == ([[1.0, 3.0]] * 2, [[0.0, 2.5]] * 2)


def test_the_average_is_learned_from_rows_left_out_with_what_is_believed_beforehand(monkeypatch):
    """Three of thirty rows took four times as long: ranges reach further up than down."""
    seen = []
    shares = regressor.shares_of
    monkeypatch.setattr(
        regressor, "shares_of", lambda of, before: seen.append(before.tolist()) or shares(of, before)
    )
    X, y = table(30)
    y[[3, 11, 20]] *= 4
    found = learn_average(X, y)

    assert seen == [[2.0, 4.0, 1.5, 1.5, 0.2]]
    assert found.added == (0.0, 0.0, 0.0, pytest.approx(np.median(y)), 0.0)
    assert np.mean(y) > 1.1 * np.median(y)
    assert found.stretch[0] < 1.0 < found.stretch[1]


def test_rows_that_took_no_time_count_as_half_of_the_least_and_many_are_learned_from_in_no_order():
    _, y = _fitting(np.ones((4, 1)), np.array([0.0, 6.0, 0.5, 2.0]), None)
    assert y.tolist() == [0.25, 6.0, 0.5, 2.0]

    for n, kept, ordered in ((300, 300, True), (301, 301, False), (5001, 5000, False)):
        rows = np.arange(1.0, n + 1)
        X, y = _fitting(rows[:, None], rows, None)
        assert (len(y), len(set(y)), np.array_equal(y, np.sort(y))) == (kept, kept, ordered)
        assert np.array_equal(X[:, 0], y)


def test_chance_is_that_named_with_the_question_else_the_regressor_s_own_and_nothing_is_negative():
    X, y = table(8)
    learned = HoursRegressor(random_state=1).fit(X, y)
    own = copy.copy(learned)
    own.random_state = 2

    assert np.array_equal(learned.sample(X[:2], size=5, random_state=2), own.sample(X[:2], size=5))
    assert not np.array_equal(learned.sample(X[:2], size=5), own.sample(X[:2], size=5))
    tags = learned.__sklearn_tags__()
    assert tags.input_tags.positive_only
    assert tags.target_tags.positive_only


# ---- columns


PAST = np.array([[1.0, 0.0, 5.0, 0.0], [2.0, 3.0, 5.0, 1.0], [4.0, 3.0, 5.0, 2.0], [8.0, 0.0, 5.0, 5.0]])


def test_columns_as_logs_and_amounts_by_hand():
    """An amount, a yes or no, one that never changes, an amount that may be 0: the most telling first."""
    drivers = Drivers.learn(PAST, np.log([1.0, 2.1, 4.0, 8.3]))
    assert drivers.kept.tolist() == [0, 3, 1]
    assert (drivers.yes_no.tolist(), drivers.zeros.tolist()) == ([False, False, True], [False, True, True])

    # halves of 1, which is held to half of the least; of 0 with the least, 1 of 5, added; no
    logs = drivers.logs(np.array([[0.0, 0.0, 5.0, 0.0], [1e9, 3.0, 7.0, 1e9]]))
    last = np.log([0.2, 0.4, 0.6, 1.2])
    assert logs[0] == pytest.approx([-2.5 / 1.25**0.5, (last[0] - last.mean()) / last.std(), -1.0])
    assert logs[1] == pytest.approx([8.0, 8.0, 1.0])
    assert drivers.amounts(np.array([[4.0, 3.0, 9.0, 3.0]])) == pytest.approx(
        np.array([[4 / 3.75, 1.5, 2.0]])
    )


def test_a_sum_has_an_even_share_for_each_amount_and_steps_about_the_mean_by_hand():
    """A constant and two amounts, each a third at its mean; of the yes or no half were."""
    parts, steps = _columns(Drivers.learn(PAST, np.log([1.0, 2.1, 4.0, 8.3])), PAST)

    assert parts == pytest.approx(np.column_stack([np.ones(4), PAST[:, 0] / 3.75, PAST[:, 3] / 2]) / 3)
    assert steps[:, 0] == pytest.approx([-0.5, 0.5, 0.5, -0.5])


def test_shapes_lie_about_their_middles_beforehand():
    """Of four columns: slopes about a half, bends about 1, reaches about e^.7 times 2."""
    shapes = Shapes.drawn(4, 4000)

    assert np.median(shapes.slope) == pytest.approx(0.5, rel=0.07)
    assert np.median(shapes.bend) == pytest.approx(1.0, rel=0.07)
    assert np.median(1 / shapes.inverse_reach) == pytest.approx(2 * np.exp(0.7), rel=0.07)


def test_new_rows_are_told_in_their_order_however_many_go_at_once(monkeypatch):
    monkeypatch.setattr("estimator.regress.process_form.DRAWN", 8)
    X, y = table(12)
    form = learn_process(Drivers.learn(X, np.log(y)), X, np.log(y))
    whole = form.at(X[:5])
    monkeypatch.setattr("estimator.regress.process_form.BLOCK", 1)

    assert form.at(X[:5]).place == pytest.approx(whole.place)
    assert form.at(X[:5]).scale == pytest.approx(whole.scale)


def test_lines_that_matter_are_all_where_rows_are_few_else_the_likeliest():
    evidence = -np.arange(300.0) / 2
    assert _telling(evidence[::-1], 100).tolist() == list(range(300))
    assert _telling(evidence[::-1], 1000).tolist() == list(range(299, 279, -1))  # within ten of the likeliest
    assert len(_telling(evidence / 10, 1000)) == 40

    assert strongest(np.array([0.2, 0.00001, 0.5, 0.3])).tolist() == [2, 3, 0]
    assert strongest(np.arange(1.0, 60.0)).tolist() == list(range(58, 18, -1))


def test_what_speaks_for_a_line_beforehand_is_added_to_its_evidence():
    X, y = table(9)
    sizes, before = np.array([[0.5, 1.0], [2.0, 0.1]]), np.array([0.0, -1.5])
    plain, leaning = (learn_lines(X, np.log(y), sizes, of) for of in (None, before))

    assert leaning.evidence == pytest.approx(plain.evidence + before)


def test_of_many_rows_some_sift_the_shapes_that_all_are_asked_of(monkeypatch):
    """Of 130 rows every second; the shapes with the largest bend are made the likeliest here."""
    seen = []

    class EnoughError(Exception):
        pass

    def weighed(shapes, F, y):
        seen.append((shapes.bend, len(F), len(y)))
        if len(seen) == 2:
            raise EnoughError
        return [shapes.bend]

    monkeypatch.setattr("estimator.regress.process_form._all_weighed", weighed)
    X, y = table(130)
    with pytest.raises(EnoughError):
        learn_process(Drivers.learn(X, np.log(y)), X, np.log(y))
    (every, *some), (kept, *all_) = seen

    assert (len(every), some, all_) == (1024, [65, 65], [130, 130])
    assert kept.tolist() == sorted(every.tolist(), reverse=True)[:64]
