"""What luck alone lets hold of promises with odds of their own."""

import datetime as dt
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from estimator.decide.quarter.outcomes import counted, dates_kept, hours_kept, so_many
from estimator.decide.quarter.pay import Made
from estimator.record.backtest.scores import luck_band
from estimator.words.records import Board, Log, Told

ODDS = st.floats(0.05, 0.99)


@given(st.lists(ODDS, max_size=8))
def test_the_law_is_that_of_every_way_in_which_promises_can_hold(odds):
    slowly = [0.0] * (len(odds) + 1)
    for held in product((0, 1), repeat=len(odds)):
        chance = 1.0
        for one, p in zip(held, odds, strict=True):
            chance *= p if one else 1 - p
        slowly[sum(held)] += chance

    assert so_many(odds).tolist() == pytest.approx(slowly)


@given(st.integers(1, 40), ODDS)
def test_with_one_odds_it_is_the_binomial_law_and_the_records_band(n, p):
    assert so_many([p] * n).tolist() == pytest.approx(binom.pmf(range(n + 1), n, p).tolist(), abs=1e-12)
    few, most = luck_band(n, p)
    found = counted([("b", True, p)] * n).band
    assert abs(found[0] - few) <= 1  # where the law meets 1 in 40 to the last digit either side is right
    assert abs(found[1] - most) <= 1


def test_a_count_by_hand():
    kept = counted([("a", True, 0.9), ("b", False, 0.8), ("c", False, 0.5)])

    assert (kept.held, kept.of, kept.missed) == (1, 3, ("b", "c"))
    assert kept.odds == pytest.approx(2.2 / 3)
    # none 1/10 x 2/10 x 5/10 = .01; one .9 x .2 x .5 + .1 x .8 x .5 + .1 x .2 x .5 = .14
    assert kept.chance == pytest.approx(0.15)
    assert kept.band == (1, 3)


def test_the_band_leaves_one_in_forty_on_either_side():
    """Of twenty even chances 5 or fewer come .0207 of the time and 6 or fewer .0577; the law is the same from above."""
    assert counted([("b", True, 0.5)] * 20).band == (6, 14)


def test_nothing_told_is_nothing_kept_and_no_news():
    kept = counted([])
    assert (kept.held, kept.of, kept.odds, kept.band, kept.chance) == (0, 0, None, (0, 0), 1.0)


DAY = dt.date(2026, 5, 4)


def made(name, hours, *, whole=True):
    return Made(name, "", "", DAY, hours, whole, 1000.0, 100.0)


def test_hours_told_are_kept_from_end_to_end_and_of_a_board_that_lacks_some_nothing_is_said():
    """Of 20 to 30 h both ends are kept; the one with hours missing, and the one told nothing, do not count."""
    told = [Told(name, DAY, hours_low=20.0, hours_high=30.0) for name in "abcde"]
    told[4] = Told("e", DAY, hours_low=20.0, hours_high=30.0, odds=0.5)
    boards = [
        made("a", 20.0),
        made("b", 30.0),
        made("c", 31.0),
        made("d", 25.0, whole=False),
        made("e", 19.0),
    ]

    kept = hours_kept(Log(told=tuple(told)), [*boards, made("f", 25.0)])

    assert (kept.held, kept.of, kept.missed) == (2, 4, ("c", "e"))
    assert kept.odds == pytest.approx((3 * 0.8 + 0.5) / 4)


def promised(*rows, boards=(), ended=DAY, dated=True):
    """Of the dates told which were kept by a board that was ready on the fourth of May."""
    log = Log(tuple(boards) or (Board("a"),), told=tuple(rows))
    one = replace(made("a", 20.0), ended=ended, dated=dated)
    kept = dates_kept(log, [one])
    return kept.held, kept.of, kept.odds


def told(n, last, **more):
    """Told so many days before it was ready, that it would be by so many days after."""
    return Told("a", DAY - dt.timedelta(n), last=DAY + dt.timedelta(last), **more)


def test_a_date_first_told_is_kept_up_to_the_day_itself():
    assert promised(told(30, 0)) == (1, 1, 0.9)
    assert promised(told(30, -1)) == (0, 1, 0.9)
    assert promised(told(30, -1), told(9, 5, because="late")) == (0, 1, 0.9)  # told anew is not kept
    assert promised(told(9, 5, because="late"), told(30, -1)) == (0, 1, 0.9)
    assert promised() == (0, 0, None)
    assert promised(told(30, 0), dated=False) == (0, 0, None)


def test_a_date_is_to_hold_as_often_as_was_said_of_it_alone():
    """Odds told with hours are those of the hours: the date beside them is to hold 9 times in 10."""
    assert promised(told(30, 0, odds=0.95)) == (1, 1, 0.95)
    assert promised(told(30, 0, odds=0.8, hours_low=20.0, hours_high=30.0)) == (1, 1, 0.9)
    assert promised(told(30, 0, odds=0.95), told(9, 9, odds=0.5, because="late")) == (1, 1, 0.95)
    on_row = Board("a", promised_last=DAY)
    assert promised(boards=[on_row]) == (1, 1, 0.9)
