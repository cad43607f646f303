"""What is missing before one counts: days without a word, by the calendar and what explains them."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.bench.calendar import Calendar
from estimator.decide.quarter.accounts import Owing, clock_of, empty_days, gaps_of, owing, till_of
from estimator.decide.quarter.pay import Made
from estimator.words.dates import Quarter
from estimator.words.records import SHOP, Board, Entry, Log, MoneyLine, Wait
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
    assert empty(replace(LOG, waits=(Wait("a", day(3), None, "away"),))) == [15]  # that day alone
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
    and 3 of June, c, which isn't ready, 7 of July and 6 from 30 June to 1 July, and the shop 2."""
    june = tuple(
        Entry(board, dt.date(2026, 6, 29), "strip", hours) for board, hours in (("a", 6.0), ("b", 3.0))
    )
    july = tuple(
        Entry(board, day(2), "strip", hours) for board, hours in (("a", 10.0), ("b", 5.0), ("c", 7.0))
    )
    over = Entry("c", dt.date(2026, 6, 30), "sand", 6.0, until=day(1))
    shop = (Entry(SHOP, day(3), "sweeping", 2.0),)
    clock = clock_of((*june, *july, over, *shop), [made("a", 40.0), made("b", 8.0)], (day(1), day(31)))

    assert (clock.both, clock.on_others, clock.on_no_board) == (15.0, 10.0, 2.0)
    assert (clock.earlier, clock.undated) == (9.0, 24.0)
    assert (clock.worked, clock.of_boards) == (27.0, 48.0)


def test_money_without_a_day_is_that_of_the_quarter_in_which_its_board_was_ready():
    """600 of a, made ready in July, and 900 of b, made ready before; c's 300 have a day, a's deposit of 50 has none."""
    boards = (
        Board("a", state="finished", ready=day(20), deposit=50.0, paid=650.0),
        Board("b", state="finished", ready=dt.date(2026, 5, 4), paid=900.0),
        Board("c", state="finished", ready=day(21), paid=300.0, paid_on=day(22)),
    )
    till = till_of(Log(boards), Settings(), [made("a", 40.0), made("c", 9.0)], (day(1), day(31)))

    assert (till.deposits, till.balances, till.undated, till.all) == (0.0, 300.0, 600.0, 300.0)


def test_the_till_by_hand():
    """Rows of July: a deposit of 200, a payment of 500, 60 given back, 35 on no board; June and August don't count."""
    rows = [
        (day(1), ("a",), 200.0, 0.0, "deposit"),
        (day(31), ("a",), 500.0, 0.0, "payment"),
        (day(9), ("a",), 0.0, 60.0, "refund"),
        (day(9), (), 35.0, 0.0, ""),
        (dt.date(2026, 6, 30), ("a",), 900.0, 0.0, "payment"),
        (dt.date(2026, 8, 1), (), 900.0, 0.0, ""),
    ]
    money = tuple(MoneyLine(on, came, went, what, boards) for on, boards, came, went, what in rows)
    till = till_of(Log((Board("a"),), money=money), Settings(), [], (day(1), day(31)))

    assert (till.deposits, till.balances, till.returned, till.other, till.undated) == (
        200.0,
        500.0,
        60.0,
        35.0,
        0.0,
    )
    assert till.all == 675.0


def board(name, **more):
    return Board(name, state="finished", ready=day(20), **{"price_charged": 1000.0, **more})


def owed_on(*boards):
    found = owing({one.board: one for one in boards}, [made(one.board, 9.0) for one in boards])
    return [(one.board, one.owed, one.collected) for one in found]


def test_owed_is_what_is_not_paid_and_what_stands_about_is_named_too():
    paid, fetched = {"paid": 1000.0}, {"collected": day(22)}
    boards = (
        board("all", **paid, **fetched),
        board("rest", paid=400.0, **fetched),
        board("here", **paid),
        board("both"),
        board("more", paid=1200.0, **fetched),
        board("dated", paid_on=day(21), **fetched),
        board("free", price_charged=None, **fetched),
    )

    assert owed_on(*boards) == [("rest", 600.0, True), ("here", 0.0, False), ("both", 1000.0, False)]


def test_where_nobody_writes_payments_nothing_is_owed_and_where_nobody_writes_fetching_nothing_stands_about():
    assert owed_on(board("a"), board("b", collected=day(22))) == [("a", None, False)]
    assert owed_on(board("a"), board("b", paid_on=day(22))) == [("a", 1000.0, True)]
    assert owed_on(board("a"), board("b", paid=1000.0)) == [("a", 1000.0, True)]
    assert owed_on(board("a"), board("b")) == []


def lacking(**more):
    return replace(made("a", 9.0), **more)


NO_DAYS = Quarter.read("2026-Q3", dt.date(2026, 6, 30))


@pytest.mark.parametrize(
    ("one", "missing", "left_out"),
    [
        (lacking(), {}, ()),
        (lacking(price=None), {"no_price": ("a",)}, ("a",)),
        (lacking(materials=None), {"no_materials": ("a",)}, ("a",)),
        (lacking(materials=0.0), {}, ()),  # none were used
        (lacking(whole=False), {"no_hours": ("a",)}, ("a",)),
        (lacking(hours=0.0), {"no_hours": ("a",)}, ("a",)),
        (lacking(dated=False), {"no_ready_date": ("a",)}, ()),
        (lacking(price=None, hours=0.0), {"no_price": ("a",), "no_hours": ("a",)}, ("a",)),
    ],
)
def test_what_is_missing_of_a_board_made_ready(one, missing, left_out):
    found = gaps_of(Log(), [one], (), NO_DAYS, WEEK)
    told = {name: getattr(found, name) for name in ("no_price", "no_materials", "no_hours", "no_ready_date")}

    assert {name: names for name, names in told.items() if names} == missing
    assert found.left_out == left_out
    assert found.any is bool(missing)


def test_of_what_is_owed_the_quarter_asks_about_its_own_boards_alone():
    owes = [
        Owing(name, "", day(20), True, owed)
        for name, owed in (("a", 5.0), ("b", 9.0), ("c", 0.0), ("d", None))
    ]
    found = gaps_of(Log(), [made(name, 9.0) for name in "acd"], owes, NO_DAYS, WEEK)

    assert (found.not_paid, found.any, found.begins) == (("a",), True, None)
    assert gaps_of(LOG, [], (), Quarter.read("2026-Q3", TODAY), WEEK).begins == dt.date(2026, 6, 1)
