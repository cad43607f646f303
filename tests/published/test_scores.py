"""Scores, bands and shares against figures that others printed, and against a general-purpose scoring library."""

import numpy as np
import pytest
import scoringrules
from scipy.special import ndtri

from estimator.record.backtest.scores import (
    clopper_pearson,
    crps_of_quantiles,
    interval_score,
    luck_band,
    pinball,
    tail_chance,
)
from estimator.record.backtest.track import COMMON_FINDING

LAWS = {"normal": ndtri, "lognormal": lambda p: np.exp(ndtri(p))}


# ---- Gneiting & Raftery (2007), eq. 20-21; Baran & Lerch (2015)


@pytest.mark.parametrize("law", LAWS)
def test_whole_forecasts_score_as_the_closed_forms_say(published, law):
    t = published("crps_closed_forms")
    y, wanted = t["y"][t["law"] == law], t["crps"][t["law"] == law]
    probs = np.arange(1, 2000) / 2000
    points = np.tile(LAWS[law](probs), (3, 1))

    assert len(y) == 3
    assert crps_of_quantiles(points, probs, y) == pytest.approx(wanted, rel=2e-4)


# ---- Winkler (1972) and Koenker & Bassett (1978): worked by hand from the definitions


def test_a_range_of_ten_hours_costs_ten_inside_and_ten_more_for_each_hour_outside():
    y = np.array([15.0, 25.0, 8.0])

    assert interval_score(10, 20, y, 0.8) == pytest.approx([10, 60, 30])
    assert interval_score(10, 20, y, 0.8) == pytest.approx(scoringrules.interval_score(y, 10.0, 20.0, 0.2))


def test_a_point_to_stay_under_nine_times_in_ten():
    assert pinball([10, 6], 8, 0.9) == pytest.approx([1.8, 0.2])


# ---- scoringrules (F. Zanetta & S. Allen), a library of scores that knows nothing of shops


def test_points_score_as_a_library_says():
    probs = (np.arange(20) + 0.5) / 20
    points = np.exp(3 + np.outer(np.linspace(0.1, 1, 7), ndtri(probs)))
    y = np.linspace(5, 60, 7)

    assert crps_of_quantiles(points, probs, y) == pytest.approx(
        scoringrules.crps_quantile(y, points, probs), rel=1e-9
    )
    assert pinball(y[:, None], points, probs) == pytest.approx(
        scoringrules.quantile_score(y[:, None], points, probs), rel=1e-9
    )


# ---- counts


def test_shares_with_their_exact_limits(published):
    """Newcombe (1998), Table I."""
    t = published("newcombe_shares")
    found = [clopper_pearson(int(hits), int(of)) for hits, of in zip(t["hits"], t["of"], strict=True)]

    assert len(found) == 4
    assert np.array(found) == pytest.approx(np.column_stack([t["low"], t["high"]]), abs=6e-5)


def test_how_often_so_few_misses_in_250_are_luck(published):
    """Basel Committee (1996), Table 2: ranges that hold 99 times in 100."""
    t = published("basel_zones")
    found = [1 - tail_chance(int(misses) + 1, 250, 0.99) for misses in t["misses"]]

    assert len(found) == 4
    assert found == pytest.approx(t["at_most"], abs=6e-5)


def test_what_luck_allows_is_what_another_test_allows_but_for_one_at_each_end(published):
    """Kupiec (1995): by a likelihood ratio, where ours shares the 5 in 100 out by sides."""
    t = published("kupiec_counts")
    found = [luck_band(int(of), chance) for of, chance in zip(t["of"], t["chance"], strict=True)]

    assert len(found) == 5
    assert np.array(found) == pytest.approx(np.column_stack([t["fewest"], t["most"]]), abs=1)


def test_what_experts_ranges_come_to_is_as_the_table_has_it(published):
    """Jørgensen, Teigen & Moløkken (2004); the shares are from memory."""
    t = published("expert_ranges")

    assert (t["promised"][0], t["held_from"][0], t["held_to"][0]) == COMMON_FINDING
