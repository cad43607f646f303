"""Scores and bands: slow computations beside each, what must not matter, and what cannot be scored."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr, ndtri

from estimator.record.backtest.scores import (
    bias,
    clopper_pearson,
    crps_of_quantiles,
    interval_score,
    luck_band,
    pinball,
    pit,
    tail_chance,
)

WHOLE = np.arange(1, 200) / 200
HALF = (np.arange(100) + 0.5) / 100
some_hours = st.floats(0.25, 300)
odds = st.sampled_from([0.5, 0.8, 0.9, 0.95])


def lognormal(spread, probs, n=1):
    """The same quantiles about 30 hours for each of n boards."""
    return np.tile(30 * np.exp(spread * ndtri(probs)), (n, 1))


def binomial(count, of, chance):
    return math.comb(of, count) * chance**count * (1 - chance) ** (of - count)


# ---- ranges and points


@given(st.tuples(some_hours, some_hours).map(sorted), some_hours, odds)
def test_a_range_is_fined_as_its_two_ends_are(ends, y, odds):
    low, high = ends
    two = pinball(y, low, (1 - odds) / 2) + pinball(y, high, (1 + odds) / 2)

    assert interval_score(low, high, y, odds) == pytest.approx(2 / (1 - odds) * two, rel=1e-9)
    assert interval_score(60 * low, 60 * high, 60 * y, odds) == pytest.approx(
        60 * interval_score(low, high, y, odds)
    )
    assert interval_score(low + 8, high + 8, y + 8, odds) == pytest.approx(interval_score(low, high, y, odds))


def test_the_honest_range_scores_best_on_average():
    """By summing over a lognormal law, against ranges with ends a little elsewhere."""
    y = lognormal(0.4, (np.arange(20_000) + 0.5) / 20_000)[0]
    low, high = lognormal(0.4, [0.1, 0.9])[0]
    honest = interval_score(low, high, y, 0.8).mean()

    for a, b in itertools.product([-2, 0, 2], repeat=2):
        if a or b:
            assert interval_score(low + a, high + b, y, 0.8).mean() > honest + 0.1


@given(st.lists(some_hours, min_size=1, max_size=12), st.sampled_from([0.1, 0.5, 0.9]))
def test_no_point_is_fined_less_than_the_quantile(y, prob):
    fines = [pinball(y, point, prob).sum() for point in y]
    best = pinball(y, np.quantile(y, prob, method="inverted_cdf"), prob).sum()

    assert best == pytest.approx(min(fines))


# ---- whole forecasts


@pytest.mark.parametrize("y", [3.0, 22.0, 30.0, 41.0, 160.0])
@pytest.mark.parametrize("spread", [0.2, 0.4, 1.0])
def test_points_score_as_the_integral_over_all_hours_says(y, spread):
    """The area between the forecast's own curve and the step at what came, squared."""

    def under(t):
        return float(ndtr(math.log(t / 30) / spread))

    area = quad(lambda t: under(t) ** 2, 1e-9, y, limit=300)[0]
    area += quad(lambda t: (1 - under(t)) ** 2, y, 30 * math.exp(9 * spread), limit=300, points=[60, 200])[0]

    assert crps_of_quantiles(lognormal(spread, WHOLE), WHOLE, [y])[0] == pytest.approx(area, rel=2e-3)


@pytest.mark.parametrize(
    ("steps", "one", "many"), [(199, 0.002, 0.0004), (99, 0.0045, 0.0013), (19, 0.031, 0.017)]
)
def test_what_steps_cost_is_as_the_manual_says(steps, one, many):
    """Against closed forms: Gneiting & Raftery (2007), eq. 20; Baran & Lerch (2015)."""
    probs = np.arange(1, steps + 1) / (steps + 1)
    z = ndtri((np.arange(1000) + 0.5) / 1000)
    normal = z * (2 * ndtr(z) - 1) + 2 * np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi) - 1 / math.sqrt(math.pi)
    found = crps_of_quantiles(np.tile(ndtri(probs), (1000, 1)), probs, z)
    for spread in (0.0, 0.2, 0.4, 1.0):
        wanted = normal
        if spread:
            y = np.exp(spread * z)
            tail = ndtr(z - spread) + ndtr(spread / math.sqrt(2)) - 1
            wanted = y * (2 * ndtr(z) - 1) - 2 * math.exp(spread**2 / 2) * tail
            found = crps_of_quantiles(lognormal(spread, probs, 1000) / 30, probs, y)
        assert np.abs(found / wanted - 1).max() < one
        assert 0 < found.mean() / wanted.mean() - 1 < many


@given(some_hours, some_hours, st.sampled_from([WHOLE, HALF]))
def test_a_forecast_of_one_number_is_fined_the_hours_it_is_off(said, y, probs):
    assert crps_of_quantiles(np.full((1, len(probs)), said), probs, [y]) == pytest.approx(
        abs(said - y), abs=1e-9
    )


@given(st.lists(some_hours, min_size=19, max_size=19).map(sorted), some_hours)
def test_the_unit_of_time_does_not_matter(points, y):
    probs = np.arange(1, 20) / 20
    in_hours, in_minutes = (
        crps_of_quantiles([np.multiply(times, points)], probs, [times * y]) for times in (1, 60)
    )
    chances = [
        pit([np.multiply(times, points)], probs, [times * y], np.random.default_rng(2)) for times in (1, 64)
    ]

    assert in_minutes == pytest.approx(60 * in_hours)
    assert chances[0] == pytest.approx(chances[1], abs=1e-6)


# ---- the chance at which what came was


@pytest.mark.parametrize("probs", [WHOLE, HALF, np.arange(1, 10) / 10])
def test_within_the_points_of_a_lognormal_the_chance_is_exact(probs):
    wanted = np.linspace(probs[0], probs[-1], 301)
    y = lognormal(0.4, wanted)[0]
    found = pit(lognormal(0.4, probs, 301), probs, y, np.random.default_rng(0))

    assert found == pytest.approx(wanted, abs=1e-9)


def test_beyond_the_points_it_is_half_a_step_from_them():
    found = pit(lognormal(0.4, WHOLE, 3), WHOLE, [0.1, 3000, 30], np.random.default_rng(0))

    assert found == pytest.approx([0.0025, 0.9975, 0.5])
    assert pit(lognormal(0.4, HALF, 1), HALF, [0.1], np.random.default_rng(0)) == pytest.approx(0.0025)


@given(st.lists(st.sampled_from([8.0, 9.0, 9.5, 12.0, 30.0]), min_size=9, max_size=9).map(sorted), some_hours)
def test_it_lies_where_a_count_of_the_points_says(points, y):
    """Between the last point below and the first above, by going through them one by one."""
    probs = np.arange(1, 10) / 10
    (found,) = pit([points], probs, [y], np.random.default_rng(4))
    below = [p for p, point in zip(probs, points, strict=True) if point < y]
    above = [p for p, point in zip(probs, points, strict=True) if point > y]

    assert 0.05 - 1e-12 <= found <= 0.95 + 1e-12
    assert max(below, default=0) - 1e-12 <= found <= min(above, default=1) + 1e-12


@pytest.mark.parametrize(
    ("points", "first", "last"),
    [
        ([5, 6, 7, 8, 8, 8, 10, 11, 12], 0.35, 0.65),
        ([8, 8, 8, 9, 10, 11, 12, 13, 14], 0.05, 0.35),
        ([1, 2, 3, 4, 5, 6, 7, 8, 8], 0.75, 0.95),
        ([8] * 9, 0.05, 0.95),
    ],
)
def test_several_points_at_what_came_share_their_steps(points, first, last):
    found = pit(
        np.tile(np.array(points, float), (4000, 1)),
        np.arange(1, 10) / 10,
        np.full(4000, 8.0),
        np.random.default_rng(5),
    )

    assert (found.min(), found.max()) == pytest.approx((first, last), abs=0.002)
    assert found.mean() == pytest.approx((first + last) / 2, abs=0.02)


def test_several_points_at_both_ends_of_half_steps_leave_room_to_0_and_1():
    points, probs = np.full((4000, 10), 8.0), (np.arange(10) + 0.5) / 10
    found = pit(points, probs, np.full(4000, 8.0), np.random.default_rng(5))

    assert (found.min(), found.max()) == pytest.approx((0.025, 0.975), abs=0.002)


@pytest.mark.parametrize("whole_hours", [False, True])
def test_honest_forecasts_have_even_chances(whole_hours):
    """2,000 boards that come as forecast; in whole hours nearly all of them lie on several points at once."""
    rng = np.random.default_rng(6)
    middle = rng.uniform(5, 9, 2000)[:, None]
    points, y = (middle * np.exp(0.3 * z) for z in (ndtri(WHOLE), rng.normal(size=(2000, 1))))
    if whole_hours:
        points, y = np.maximum(np.round(points), 1), np.maximum(np.round(y), 1)
    found = np.sort(pit(points, WHOLE, y[:, 0], rng))

    assert np.abs(found - (np.arange(2000) + 0.5) / 2000).max() < 1.36 / math.sqrt(
        2000
    )  # Kolmogorov, 5 in 100


def test_the_same_luck_gives_the_same_chances():
    points = np.tile([8.0, 8, 8, 9, 10, 11, 12, 13, 14], (5, 1))
    a, b = (
        pit(points, np.arange(1, 10) / 10, [8, 8, 10, 8, 3], np.random.default_rng(seed)) for seed in (7, 7)
    )
    c = pit(points, np.arange(1, 10) / 10, [8, 8, 10, 8, 3], np.random.default_rng(8))

    assert (a == b).all()
    assert (a == c).tolist() == [False, False, True, False, True]


# ---- luck


@given(st.integers(0, 150), odds, st.sampled_from([0.8, 0.95]))
def test_luck_keeps_to_the_band_and_to_no_narrower_one(of, odds, level):
    first, last = luck_band(of, odds, level)
    below = sum(binomial(k, of, odds) for k in range(first))
    above = sum(binomial(k, of, odds) for k in range(last + 1, of + 1))
    side = (1 - level) / 2 + 1e-12

    assert 0 <= first <= last <= of
    assert below <= side < below + binomial(first, of, odds) + 2e-12
    assert above <= side < above + binomial(last, of, odds) + 2e-12


def test_bands_that_are_shown():
    assert luck_band(20, 0.8) == (12, 19)
    assert [luck_band(n, 0.8) for n in (0, 1, 10)] == [(0, 0), (0, 1), (5, 10)]
    for n in (7, 20, 255):
        first, last = luck_band(n, 0.8)
        assert luck_band(n, 1 - 0.8) == (n - last, n - first)


@given(st.integers(0, 60), st.data(), odds)
def test_misses_are_as_likely_as_counting_them_says(of, data, odds):
    missed = data.draw(st.integers(0, of))
    slow = sum(binomial(k, of, 1 - odds) for k in range(missed, of + 1))

    assert tail_chance(missed, of, odds) == pytest.approx(slow, rel=1e-9)


def test_chances_that_are_said():
    shown = {(3, 10): 0.32, (4, 10): 0.12, (7, 20): 0.09, (9, 20): 0.01, (0, 10): 1.0}
    assert {key: round(tail_chance(*key, 0.8), 2) for key in shown} == shown
    assert 1 - tail_chance(1, 10, 0.8) == pytest.approx(0.8**10)  # ten of ten held: .11


@given(st.integers(1, 60), st.data())
def test_limits_of_a_share_are_where_such_a_count_is_just_unlikely(of, data):
    hits = data.draw(st.integers(0, of))
    low, high = clopper_pearson(hits, of)

    assert 0 <= low < hits / of + 1e-12
    assert hits / of - 1e-12 < high <= 1
    assert clopper_pearson(of - hits, of) == pytest.approx((1 - high, 1 - low), abs=1e-9)
    if hits:
        assert sum(binomial(k, of, low) for k in range(hits, of + 1)) == pytest.approx(0.025, rel=1e-6)
    if hits < of:
        assert sum(binomial(k, of, high) for k in range(hits + 1)) == pytest.approx(0.025, rel=1e-6)


@pytest.mark.parametrize("truly", [0.05, 0.5, 0.7, 0.8, 0.93])
def test_limits_of_a_share_hold_at_least_so_often(truly):
    limits = [clopper_pearson(hits, 20) for hits in range(21)]
    held = sum(binomial(k, 20, truly) for k, (low, high) in enumerate(limits) if low <= truly <= high)

    assert 0.95 <= held < 0.999


def test_nothing_known_leaves_all_shares_open():
    assert clopper_pearson(0, 0) == (0.0, 1.0)


# ---- bias


@given(st.lists(st.tuples(some_hours, some_hours), min_size=1, max_size=9))
def test_bias_is_the_log_of_a_geometric_mean(pairs):
    actual, likely = zip(*pairs, strict=True)
    times = math.prod(a / b for a, b in pairs) ** (1 / len(pairs))

    assert bias(actual, likely) == pytest.approx(math.log(times), abs=1e-9)
    assert bias(likely, actual) == pytest.approx(-bias(actual, likely), abs=1e-9)
    assert bias(np.multiply(60, actual), np.multiply(60, likely)) == pytest.approx(
        bias(actual, likely), abs=1e-9
    )


# ---- what cannot be scored

THREE = [0.25, 0.5, 0.75]
LUCK = np.random.default_rng(0)


@pytest.mark.parametrize(
    ("call", "wrong"),
    [
        (lambda: interval_score(20, 10, 15, 0.8), "a range ends before it begins"),
        (lambda: interval_score(10, 20, math.nan, 0.8), "a number is missing or endless"),
        (lambda: interval_score(10, 20, 15, 80), "80 is not between 0 and 1"),
        (lambda: interval_score([1, 2], [3, 4], [1, 2, 3], 0.8), "shape mismatch"),
        (lambda: pinball(10, math.inf, 0.9), "a number is missing or endless"),
        (lambda: pinball(10, 8, [0.9, 1.0]), "is not between 0 and 1"),
        (lambda: crps_of_quantiles([[1, 2, 3]], THREE, [math.nan]), "a number is missing"),
        (lambda: crps_of_quantiles([[1, 3, 2]], THREE, [2]), "the quantiles of a board fall"),
        (lambda: crps_of_quantiles([[1, 2, 3]], [0.1, 0.5, 0.9], [2]), "even steps"),
        (lambda: crps_of_quantiles([[3, 2, 1]], [0.75, 0.5, 0.25], [2]), "fall"),
        (lambda: crps_of_quantiles([1, 2, 3], THREE, [2]), r"shape \(3,\) for 1 boards and 3 chances"),
        (lambda: crps_of_quantiles([[1, 2, 3]], THREE, [2, 2]), r"shape \(1, 3\) for 2 boards and 3 chances"),
        (lambda: crps_of_quantiles([[1]], [0.5], [2]), "and 1 chances"),
        (lambda: pit([[0, 2, 3]], THREE, [2], LUCK), "hours are not above 0"),
        (lambda: pit([[1, 2, 3]], THREE, [0], LUCK), "hours are not above 0"),
        (lambda: pit([[1, 2, 3]], THREE, [math.nan], LUCK), "a number is missing"),
        (lambda: luck_band(-1, 0.8), "0 of -1 is no count"),
        (lambda: luck_band(10, 1.0), "1.0 is not between 0 and 1"),
        (lambda: luck_band(10, 0.8, 0.0), "0.0 is not between 0 and 1"),
        (lambda: tail_chance(11, 10, 0.8), "11 of 10 is no count"),
        (lambda: tail_chance(1, 10, 0.0), "0.0 is not between 0 and 1"),
        (lambda: clopper_pearson(-1, 10), "-1 of 10 is no count"),
        (lambda: clopper_pearson(1, 10, 1.5), "1.5 is not between 0 and 1"),
        (lambda: bias([], []), "there are no boards"),
        (lambda: bias([0.0], [3.0]), "not above 0"),
    ],
)
def test_what_cannot_be_scored_is_said(call, wrong):
    with pytest.raises(ValueError, match=wrong):
        call()
