"""Who was nearer, and what was told, worked out by hand from single boards."""

import datetime as dt
import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from scipy import stats

from estimator.record.backtest.replay import GRID, Forecast
from estimator.record.backtest.scores import crps_of_quantiles
from estimator.record.backtest.track import track_record
from estimator.record.backtest.track_record import MEDIAN, OWN_GUESS
from estimator.words.records import FINISHED, ON_BENCH, Board, Entry, Log, Told
from estimator.words.settings.schema import Settings

NORMAL = NormalDist()
FIRST = dt.date(2023, 1, 2)
TODAY = dt.date(2026, 10, 1)
Z = (0.3, -0.6, 1.4, -1.1, 0.2, 0.9, -0.4)


def lognormal(middle, spread):
    return tuple(middle * math.exp(spread * NORMAL.inv_cdf(p)) for p in GRID)


def shop(rival=None, guess=17.0):
    """Boards quoted day after day, before any was ready, so that nothing is stretched."""
    boards, entries, forecasts, hours = [], [], {}, {}
    for j, z in enumerate(Z):
        day, ready = FIRST + dt.timedelta(days=j), FIRST + dt.timedelta(days=j + 80)
        boards.append(
            Board(f"b{j}", quoted=day, accepted=day, started=day, ready=ready, state=FINISHED, guess_low=guess,
                  guess_high=guess)
        )  # fmt: skip
        hours[f"b{j}"] = 20 * math.exp(0.3 * z)
        entries.append(Entry(f"b{j}", ready, "strip", hours[f"b{j}"]))
        forecasts[f"b{j}"] = Forecast(f"b{j}", lognormal(20.0, 0.3), {MEDIAN: rival} if rival else {})
    return Log(tuple(boards), tuple(entries)), forecasts, hours


def test_a_rival_s_gain_and_its_range_are_those_of_paired_boards():
    """Student's t of the difference board by board (the paired t-test of any textbook; scipy's, `ttest_1samp`)."""
    theirs = lognormal(24.0, 0.5)
    log, forecasts, hours = shop(theirs)
    rivals = {r.name: r for r in track_record(log, Settings(), forecasts, hours, today=TODAY).rivals}
    took = np.array(list(hours.values()))
    n = len(took)
    ours = crps_of_quantiles(np.tile(lognormal(20.0, 0.3), (n, 1)), GRID, took)
    lose = {
        MEDIAN: crps_of_quantiles(np.tile(theirs, (n, 1)), GRID, took),
        OWN_GUESS: np.abs(took - 17.0),  # of one number the CRPS is how far it lies off
    }
    for name, crps in lose.items():
        gain = crps - ours
        by_hand = stats.ttest_1samp(gain, 0.0)
        low, high = by_hand.confidence_interval(0.8)
        rival = rivals[name]
        assert rival.of == n
        assert rival.nearer == (gain > 0).sum() not in {0, n}
        assert (rival.crps, rival.ours) == pytest.approx((crps.mean(), ours.mean()))
        assert (rival.gain, rival.gain_low, rival.gain_high) == pytest.approx(
            (gain.mean(), low, high), rel=1e-6
        )
        assert rival.chance == pytest.approx(float(stats.t.cdf(by_hand.statistic, n - 1)))
        assert 0.02 < rival.chance < 0.98 or name == MEDIAN
    median, off, our_off = rivals[MEDIAN], np.abs(took - 24.0), np.abs(took - 20.0)
    assert (median.off, median.our_off) == pytest.approx((off.mean(), our_off.mean()))
    assert median.closer == (our_off < off).sum() not in {0, 3, n}
    surely = float(stats.t.cdf(stats.ttest_1samp(off - our_off, 0.0).statistic, n - 1))
    assert median.off_chance == pytest.approx(surely)
    assert abs(surely - 0.5) > 0.05
    inside = [(theirs[GRID.index(0.1)] <= y <= theirs[GRID.index(0.9)]) for y in took]
    eight = next(c for c in rivals[MEDIAN].held if c.odds == 0.8)
    assert (eight.held, eight.of) == (sum(inside), n)


def test_hours_told_hold_with_both_ends_and_count_on_both_sides():
    log, forecasts, hours = shop()
    hours = dict(zip(hours, (14.9, 15.0, 20.0, 25.0, 25.1, 25.2, 14.0), strict=True))
    told = tuple(Told(name, FIRST, 15.0, 25.0, odds=0.8) for name in hours)
    (count,) = track_record(replace(log, told=told), Settings(), forecasts, hours, today=TODAY).told
    assert (count.below, count.held, count.above, count.of, count.pending) == (2, 3, 2, 7, 0)


@pytest.mark.parametrize(("so_far", "above"), [(25.0, 0), (25.5, 1), (14.0, 0)])
def test_a_board_in_hand_has_missed_only_past_the_end(so_far, above):
    log, forecasts, hours = shop()
    day = FIRST + dt.timedelta(days=90)
    log = replace(
        log,
        boards=(*log.boards, Board("p", quoted=day, started=day, state=ON_BENCH)),
        entries=(*log.entries, Entry("p", day, "strip", so_far - 4), Entry("p", day, "sand", 4.0)),
        told=(
            Told("p", day, 15.0, 25.0),
            Told("b0", day),
            Told("b1", day, price=9.0),
            Told("gone", day, 1.0, 2.0),
        ),
    )
    forecasts["p"] = Forecast("p", lognormal(20.0, 0.3))
    (count,) = track_record(log, Settings(), forecasts, hours, today=TODAY).told
    assert (count.odds, count.above, count.held, count.below, count.pending) == (0.8, above, 0, 0, 1 - above)
