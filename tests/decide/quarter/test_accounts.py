"""What is missing before one counts: days without a word, by the calendar and what explains them."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.bench.calendar import Calendar
from estimator.decide.quarter.accounts import clock_of, empty_days, till_of
from estimator.decide.quarter.pay import Made
from estimator.words.dates import Quarter
from estimator.words.records import SHOP, Board, Entry, Log, Wait
from estimator.words.settings.schema import Away, Settings

WEEK = Calendar((6.0,) * 5 + (0.0, 0.0), (Away(dt.date(2026, 7, 6), dt.date(2026, 7, 10)),))
TODAY = dt.date(2026, 7, 20)  # a Monday; the days before it: 1 to 3 July, a week away, 13 to 17 July


def day(n):
    return dt.date(2026, 7, n)


def worked(*days, board="a", hours=3.0, until=None):
    return tuple(Entry(board, day(n), "strip", hours, until=until) for n in days)


LOG = Log((Board("a"),), (*worked(1, 2, 13, 14, 16, 17), Entry("a", dt.date(2026, 6, 1), "strip", 2.0)))


def empty(log, today=TODAY):
    return [found.day for found in empty_days(log, Quarter.read("2026-Q3", today), WEEK)]


def test_working_days_with_nothing_written_are_asked_about():
    """The third and the fifteenth; not the week away, not Saturdays, not days after the last that is written."""
    assert empty(LOG) == [3, 15]


def test_work_on_another_board_on_the_shop_or_over_several_days_explains_a_day():
    assert empty(replace(LOG, entries=(*LOG.entries, *worked(3, board="b")))) == [15]
    note = Entry(SHOP, day(15), "", 0.0, note="did not work")
    assert empty(replace(LOG, entries=(*LOG.entries, note))) == [3]
    assert empty(replace(LOG, entries=(*LOG.entries, *worked(2, until=day(3))))) == [15]
    assert empty(replace(LOG, waits=(Wait("a", day(15), day(15), "away"),))) == [3]
    assert empty(replace(LOG, waits=(Wait("a", day(15), day(15), "drying"),))) == [3, 15]


def test_hours_come_in_at_the_end_of_a_week():
    """On Thursday nobody has written Wednesday yet; after ten days without a word they count as missing."""
    assert empty(LOG, day(20)) == empty(LOG, day(23)) == [3, 15]
    assert empty(LOG, day(29)) == [3, 15, *(20, 21, 22, 23, 24, 27, 28)]


def test_nothing_is_missing_before_the_log_begins_nor_in_a_log_without_days():
    later = replace(LOG, entries=worked(13, 14, 15, 16, 17))
    assert empty(later) == []
    assert empty(Log()) == []
    assert empty_days(LOG, Quarter.read("2026-Q4", TODAY), WEEK) == ()


@pytest.mark.parametrize("today", [day(1), day(2)])
def test_a_quarter_that_has_just_begun(today):
    assert empty(LOG, today) == []


def made(board, hours):
    return Made(board, "", "", day(20), hours, True, 1000.0, 100.0)


def test_the_clock_by_hand():
    """Of the 40 hours of a, 10 were worked in July and 6 before, the rest is a total that no day has; b has 5 of July
    and 3 of June, c, which isn't ready, 7 of July, and the shop 2."""
    june = tuple(
        Entry(board, dt.date(2026, 6, 29), "strip", hours) for board, hours in (("a", 6.0), ("b", 3.0))
    )
    july = tuple(
        Entry(board, day(2), "strip", hours) for board, hours in (("a", 10.0), ("b", 5.0), ("c", 7.0))
    )
    shop = (Entry(SHOP, day(3), "sweeping", 2.0),)
    clock = clock_of((*june, *july, *shop), [made("a", 40.0), made("b", 8.0)], (day(1), day(31)))

    assert (clock.both, clock.on_others, clock.on_no_board) == (15.0, 7.0, 2.0)
    assert (clock.earlier, clock.undated) == (9.0, 24.0)
    assert (clock.worked, clock.of_boards) == (24.0, 48.0)


def test_money_without_a_day_is_that_of_the_quarter_in_which_its_board_was_ready():
    """600 of a, made ready in July, and 900 of b, made ready before; c's 300 have a day."""
    boards = (
        Board("a", state="finished", ready=day(20), paid=600.0),
        Board("b", state="finished", ready=dt.date(2026, 5, 4), paid=900.0),
        Board("c", state="finished", ready=day(21), paid=300.0, paid_on=day(22)),
    )
    till = till_of(Log(boards), Settings(), [made("a", 40.0), made("c", 9.0)], (day(1), day(31)))

    assert (till.deposits, till.balances, till.undated, till.all) == (0.0, 300.0, 600.0, 300.0)
