"""Rivals: one contract, known answers, and tables that break careless regressions."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from estimator.record.backtest.rivals import (
    guess_times_usual_ratio,
    learn_linear,
    learn_loglinear,
    median_of_past,
)
from estimator.words.errors import NoAnswerError

PROBS = (0.05, 0.1, 0.5, 0.9, 0.95)
RIVALS = {
    "linear": learn_linear,
    "loglinear": learn_loglinear,
    "median of past": lambda _X, y: median_of_past(y),
    "guess x usual": lambda X, y: guess_times_usual_ratio(X[:, 0] + 1, y),
}


@pytest.fixture
def jobs():
    """40 jobs of an additive shop: hours on area and colours, lognormal noise."""
    rng = np.random.default_rng(5)
    X = np.column_stack([rng.uniform(0.2, 3, 40), rng.poisson(2, 40)])
    return X, (3 + 4 * X[:, 0] + 5 * X[:, 1]) * np.exp(rng.normal(0, 0.2, 40))


# ---- one contract


@pytest.mark.parametrize("name", RIVALS)
def test_every_rival_answers_quantiles_in_order_about_its_median(name, jobs):
    X, y = jobs
    rival = RIVALS[name](X, y)
    new = np.array([[0.1, 0.0], [1.0, 2.0], [3.0, 9.0]])
    q = rival.quantiles(new, PROBS)

    assert q.shape == (3, 5)
    assert (np.diff(q, axis=1) > 0).all()
    assert rival.median(new) == pytest.approx(q[:, 2], rel=1e-12)
    assert rival.quantiles(new[1:2], [0.9])[0, 0] == q[1, 3]


@pytest.mark.parametrize("name", RIVALS)
def test_the_unit_of_time_does_not_matter(name, jobs):
    X, y = jobs
    in_hours, in_minutes = (RIVALS[name](X, times * y).quantiles(X, PROBS) for times in (1, 60))

    assert in_minutes == pytest.approx(60 * in_hours, rel=1e-6)


@pytest.mark.parametrize("name", [n for n in RIVALS if n != "guess x usual"])
def test_the_unit_of_a_driver_does_not_matter(name, jobs):
    X, y = jobs
    feet = np.array([10.7639, 1.0])
    a, b = RIVALS[name](X, y).quantiles(X, PROBS), RIVALS[name](X * feet, y).quantiles(X * feet, PROBS)

    assert b == pytest.approx(a, rel=1e-6)


@pytest.mark.parametrize("name", RIVALS)
@given(
    X=arrays(
        float,
        st.tuples(st.integers(5, 12), st.integers(1, 6)),
        elements=st.sampled_from([0, 0, 1, 2, 2.5, 400]),
    ),
    data=st.data(),
)
@settings(max_examples=60, deadline=None)
def test_no_table_breaks_a_rival(name, X, data):
    """Constant and repeated columns, more columns than rows, jobs all alike, hours a thousandfold apart."""
    y = data.draw(arrays(float, len(X), elements=st.sampled_from([0.25, 1, 1, 8, 8.5, 300])))
    rival = RIVALS[name](X, y)
    q = rival.quantiles(np.vstack([X, np.zeros_like(X[:1]), 2 * X[:1]]), PROBS)

    assert np.isfinite(q).all()
    assert (np.diff(q, axis=1) >= 0).all()
    if name != "linear":
        assert (q >= 0).all()


@pytest.mark.parametrize("name", RIVALS)
def test_what_cannot_be_learned_from_is_said(name):
    learn = RIVALS[name]
    with pytest.raises(NoAnswerError, match="1 past jobs cannot say how much jobs vary"):
        learn(np.ones((1, 2)), np.ones(1))
    with pytest.raises(NoAnswerError, match="a number of a past job is missing"):
        learn(np.ones((6, 2)), np.array([1, 2, 3, 4, math.nan, 5]))
    if name != "linear":
        with pytest.raises(NoAnswerError, match="a past job took no time"):
            learn(np.ones((6, 2)), np.array([1, 2, 3, 0, 4, 5.0]))
    if "median" not in name:
        with pytest.raises(ValueError, match="5 rows of drivers, but 6 of hours"):
            learn(np.ones((5, 2)), np.ones(6))


# ---- least squares


def test_least_squares_is_what_a_reference_library_says(jobs):
    from statsmodels.regression.linear_model import OLS

    X, y = jobs
    new = np.array([[1.0, 2.0], [3.0, 9.0]])
    with_ones = np.column_stack([np.ones(2), new])
    theirs = OLS(y, np.column_stack([np.ones(40), X])).fit()
    ours = learn_linear(X, y)

    assert np.append(ours.intercept, ours.slopes) == pytest.approx(theirs.params, rel=1e-10)
    assert np.append(ours.intercept_error, ours.slope_errors) == pytest.approx(theirs.bse, rel=1e-10)
    interval = theirs.get_prediction(with_ones).conf_int(obs=True, alpha=0.2)
    assert ours.quantiles(new, [0.1, 0.9]) == pytest.approx(interval, rel=1e-10)

    on_logs = OLS(np.log(y), np.column_stack([np.ones(40), X])).fit()
    interval = np.exp(on_logs.get_prediction(with_ones).conf_int(obs=True, alpha=0.2))
    assert learn_loglinear(X, y).quantiles(new, [0.1, 0.9]) == pytest.approx(interval, rel=1e-10)


def test_a_column_that_others_tell_changes_nothing(jobs):
    X, y = jobs
    told = np.column_stack([X, X[:, 0] + X[:, 1], np.full(40, 0.1), 2 * X[:, 1]])
    plain, fuller = learn_linear(X, y), learn_linear(told, y)

    assert fuller.spare == plain.spare == 37
    assert (fuller.slopes == 0).sum() == 3
    assert fuller.slopes[3] == 0  # the constant is the intercept's
    assert fuller.quantiles(told, PROBS) == pytest.approx(plain.quantiles(X, PROBS), rel=1e-10)


def test_a_column_far_from_zero_still_tells(jobs):
    X, y = jobs
    moved = X + np.array([1e6, 0])

    assert learn_linear(moved, y).slopes == pytest.approx(learn_linear(X, y).slopes, rel=1e-8)


def test_too_few_rows_for_the_columns_give_the_average_alone():
    X, y = np.array([[1, 2, 3], [2, 5, 1], [4, 4, 9.0]]), np.array([3.0, 5, 10])
    fit = learn_linear(X, y)

    assert fit.spare == 2
    assert fit.median([[100, 0, 7]]) == pytest.approx([6.0])
    reach = stats.t.ppf(0.9, 2) * y.std(ddof=1) * math.sqrt(1 + 1 / 3)
    assert fit.quantiles([[0, 0, 0]], [0.1, 0.9])[0] == pytest.approx([6 - reach, 6 + reach])


def test_a_wild_extrapolation_stays_finite():
    fit = learn_loglinear([1, 2, 3], [1, 1e3, 1e6])

    assert fit.median([[1e4]]) == pytest.approx([math.exp(50)])


# ---- the median and the guess


def test_the_median_of_the_past_and_its_spread():
    y = np.exp([2.0, 2.5, 3.0, 3.2, 4.0])
    past = median_of_past(y)
    variance = (1 + 0.25 + 0 + 0.04 + 1) / 4

    assert past.median(np.zeros((2, 3))) == pytest.approx([math.exp(3)] * 2)
    reach = stats.t.ppf(0.9, 4) * math.sqrt(variance * (1 + math.pi / 10))
    assert past.quantiles([0.0], [0.1, 0.9])[0] == pytest.approx(np.exp([3 - reach, 3 + reach]))


def test_five_guesses_count_for_five_of_the_thirty_five():
    usual = guess_times_usual_ratio([10] * 5, [10, 11, 12, 13, 20])
    # the ninth of ten of these five is the largest, 2; usually it is 1.5 times the middle, 1.2
    assert usual.quantiles([40.0], [0.9])[0, 0] == pytest.approx(40 * 2 ** (5 / 35) * 1.8 ** (30 / 35))


def test_a_guess_times_its_usual_ratio_counts_the_usual_spread_as_thirty_jobs():
    """30 jobs of the log, exactly spread over ×/÷ 2 at 8 in 10, meet the ×/÷ 1.5 halfway on the log scale."""
    ratios = np.exp(stats.norm.ppf(np.arange(1, 31) / 31) * math.log(2) / stats.norm.ppf(0.9)) * 1.3
    usual = guess_times_usual_ratio(np.full(30, 20.0), 20 * ratios)
    low, middle, high = usual.quantiles([10.0, 40.0], [0.1, 0.5, 0.9])[1] / 40

    assert middle == pytest.approx(1.3, rel=1e-3)
    assert high / middle == pytest.approx(math.sqrt(2 * 1.5), rel=5e-3)
    assert middle / low == pytest.approx(math.sqrt(2 * 1.5), rel=5e-3)


def test_four_guesses_are_too_few():
    with pytest.raises(NoAnswerError, match="4 past jobs"):
        guess_times_usual_ratio([1, 2, 3, 4], [1, 2, 3, 4])
    with pytest.raises(NoAnswerError, match="a past guess is not above 0"):
        guess_times_usual_ratio([1, 2, 0, 4, 5], [1, 2, 3, 4, 5])


# ---- honesty where the assumptions hold


@pytest.mark.parametrize("name", ["linear", "loglinear", "median of past"])
def test_eight_in_ten_holds_eight_in_ten_where_the_story_is_its_own(name):
    """400 shops of 12 jobs, one new job each; the exact binomial band of 400 at .8 and 99.9 % is 742-855 in a thousand."""
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        X = rng.uniform(0.5, 3, (13, 1))
        if name == "linear":
            y = 40 + 5 * X[:, 0] + rng.normal(0, 4, 13)
        else:
            y = np.exp(2 + (name == "loglinear") * 0.4 * X[:, 0] + rng.normal(0, 0.4, 13))
        low, high = RIVALS[name](X[:12], y[:12]).quantiles(X[12:], [0.1, 0.9])[0]
        held += low <= y[12] <= high
    first, last = stats.binom.ppf([0.0005, 0.9995], 400, 0.8)

    assert first <= held <= last
