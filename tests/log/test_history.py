"""A log as it stood: nothing of later days, and everything of earlier ones."""

import copy
import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.demo.workshop import make_shop
from estimator.log.history import History, as_it_stood, last_day, said_by
from estimator.log.stage_hours import stage_hours
from estimator.words.records import (
    ASKED,
    DECLINED,
    FINISHED,
    ON_BENCH,
    WAITING,
    WITHDRAWN,
    Board,
    Entry,
    Log,
    MoneyLine,
    Note,
    Rule,
    Told,
    Wait,
    WeightReading,
)
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SETTINGS = Settings(
    drivers={"area": Driver("area"), "pieces": Driver("pieces", known="strip")},
    modifiers={"wet": Modifier("wet", stages=("infill",), known="strip")},
    stages={
        "strip": Stage("strip", drivers=("area",)),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "stain": Stage("stain", happens="sometimes"),
    },
)


def day(n):
    return dt.date(2026, 3, 1) + dt.timedelta(days=n)


BOARD = Board(
    "a", asked=day(0), quoted=day(2), accepted=day(4), started=day(6), ready=day(20), paid_on=day(30),
    state=FINISHED, cost_time="wet", guess_low=10.0, guess_high=10.0, price_quoted=900.0, price_charged=1000.0,
    materials=80.0, paid=1000.0, assessed={"area": 2.0, "pieces": 1.0, "wet": 0.0},
    found={"area": 2.0, "pieces": 4.0, "wet": 1.0, "stain": 1.0},
)  # fmt: skip
ENTRIES = (
    Entry("a", day(6), "strip", 3.0),
    Entry("a", day(8), "strip", 2.0, until=day(10), done=True),
    Entry("a", day(12), "infill", 4.0),
    Entry("a", day(15), "stain", 1.0),
)
LOG = Log((BOARD,), ENTRIES)


def stood(n, log=LOG):
    return as_it_stood(log, SETTINGS, day(n))


def the_board(n, log=LOG):
    (board,) = stood(n, log).boards
    return board


def test_a_board_of_which_nothing_was_written_yet_is_not_there():
    assert as_it_stood(LOG, SETTINGS, day(-1)).boards == ()


@pytest.mark.parametrize(
    ("n", "state"), [(0, ASKED), (2, ASKED), (4, WAITING), (6, ON_BENCH), (19, ON_BENCH), (20, FINISHED)]
)
def test_the_state_is_the_one_that_dates_and_hours_told(n, state):
    assert the_board(n).state == state


def test_what_comes_at_the_quote_and_what_comes_at_the_end_is_known_from_then_on():
    assert the_board(1).guess is None
    assert the_board(2).guess == 10.0
    assert (the_board(19).price_charged, the_board(19).materials, the_board(19).cost_time) == (None, None, "")
    assert (the_board(20).price_charged, the_board(20).materials, the_board(20).cost_time) == (
        1000.0,
        80.0,
        "wet",
    )
    assert (the_board(29).paid_on, the_board(30).paid_on) == (None, day(30))


AT_QUOTE = {
    "guess_low": 8.0,
    "guess_high": 12.5,
    "price_quoted": 900.0,
    "hold_until": day(3),
    "promised_first": day(18),
    "promised_last": day(22),
}
AT_END = {
    "price_charged": 990.0,
    "materials": 80.0,
    "paid": 995.0,
    "returned": 5.0,
    "total_hours": 30.0,
    "total_grain": 1.0,
}


@pytest.mark.parametrize(("columns", "before", "from_then_on"), [(AT_QUOTE, 1, 2), (AT_END, 19, 20)])
def test_each_column_of_the_quote_and_of_the_end_is_not_known_before(columns, before, from_then_on):
    log = replace(LOG, boards=(replace(BOARD, **columns),))
    assert {name: getattr(the_board(before, log), name) for name in columns} == dict.fromkeys(columns)
    assert {name: getattr(the_board(from_then_on, log), name) for name in columns} == columns


def test_an_entry_over_several_days_counts_from_its_last():
    assert [e.hours for e in stood(9).entries] == [3.0]
    assert [e.hours for e in stood(10).entries] == [3.0, 2.0]


def test_a_quantity_is_known_as_it_turned_out_once_the_stage_that_shows_it_is_done():
    assert the_board(9).found == {"area": 2.0}
    assert the_board(10).found == {"area": 2.0, "pieces": 4.0, "wet": 1.0}
    assert the_board(20).found == BOARD.found


def test_a_row_of_no_hours_begins_nothing_and_a_guess_is_known_from_the_yes_or_the_work_on():
    unneeded = replace(LOG, entries=(Entry("a", day(5), "stain", 0.0), *ENTRIES))
    assert the_board(5, unneeded).state == WAITING
    taken = replace(LOG, boards=(replace(BOARD, quoted=None),))
    assert (the_board(3, taken).guess, the_board(4, taken).guess) == (None, 10.0)
    begun = replace(LOG, boards=(replace(BOARD, quoted=None, accepted=None, started=None),))
    assert (the_board(5, begun).guess, the_board(6, begun).guess) == (None, 10.0)


def test_what_is_written_by_now_is_known_and_nothing_asked_for_hides_nothing():
    early = Board("a", accepted=day(1), state=ON_BENCH, found={"pieces": 2.0})
    assert the_board(9, Log((early,))).found == {"pieces": 2.0}
    none = replace(LOG, boards=(replace(BOARD, later={"area": 0.0}),))
    assert the_board(8, none).found == {"area": 2.0}


def test_a_stage_that_must_come_after_also_ends_the_one_that_shows_it():
    silent = replace(LOG, entries=(ENTRIES[0], replace(ENTRIES[1], done=None), *ENTRIES[2:]))
    assert "pieces" not in the_board(11, silent).found
    assert "pieces" in the_board(12, silent).found


def test_what_the_owner_asked_for_since_is_known_from_the_telling():
    more = replace(BOARD, later={"area": 1.0}, found={**BOARD.found, "area": 3.0})
    log = replace(LOG, boards=(more,), told=(Told("a", day(9), because="asked later"),))
    assert the_board(8, log).later == {}
    assert "area" not in the_board(8, log).found
    assert the_board(9, log).later == {"area": 1.0}
    assert the_board(9, log).found["area"] == 3.0


def test_only_a_telling_of_what_was_asked_for_makes_it_known_and_the_last_such():
    more = replace(BOARD, later={"area": 1.0})
    for told, first in (
        ((Told("a", day(9), because="asked later"), Told("a", day(12), because="late")), 9),
        ((Told("a", day(5), because="quote"), Told("a", day(9), because="asked later")), 9),
        ((Told("a", day(9), because="asked later"), Told("a", day(12), because="asked later")), 12),
    ):
        log = replace(LOG, boards=(more,), told=told)
        assert (the_board(first - 1, log).later, the_board(first, log).later) == ({}, {"area": 1.0})


def test_what_the_owner_asked_for_since_is_known_at_the_end_where_no_telling_says_when():
    more = replace(BOARD, later={"area": 1.0})
    assert the_board(19, replace(LOG, boards=(more,))).later == {}
    assert the_board(20, replace(LOG, boards=(more,))).later == {"area": 1.0}


def test_a_board_that_was_dropped_stood_on_the_bench_until_its_last_day():
    dropped = replace(BOARD, state=WITHDRAWN, ready=None, paid_on=None)
    log = replace(LOG, boards=(dropped,))
    assert the_board(14, log).state == ON_BENCH
    assert the_board(15, log).state == WITHDRAWN


def test_waits_that_end_later_were_still_open_and_later_tellings_and_weighings_are_not_there():
    log = replace(
        LOG,
        waits=(Wait("a", day(10), day(14), "drying"), Wait("a", day(16), None, "owner")),
        told=(Told("a", day(4)), Told("a", day(18))),
        weighings=(WeightReading("a", day(10), 9.0), WeightReading("a", day(13), 8.0)),
    )
    then = stood(13, log)
    assert [(w.cause, w.until) for w in then.waits] == [("drying", None)]
    assert [t.date for t in then.told] == [day(4)]
    assert [w.weight_kg for w in then.weighings] == [9.0, 8.0]
    assert stood(14, log).waits[0].until == day(14)


def test_a_board_without_any_day_is_not_taken_as_known():
    assert stood(25, Log((Board("old", state=FINISHED, total_hours=30.0),))).boards == ()


def test_a_rule_counts_from_the_day_it_was_said():
    rules = (Rule("old"), Rule("new", said=day(5)))
    assert [r.name for r in said_by(rules, day(4))] == ["old"]
    assert [r.name for r in said_by(rules, day(5))] == ["old", "new"]


@pytest.fixture(scope="module")
def shop():
    return make_shop(3)


def test_on_its_last_day_the_log_stands_as_it_is(shop):
    last = max(shop.log.last_entry, *(b.paid_on or b.collected or dt.date.min for b in shop.log.boards))
    assert as_it_stood(shop.log, shop.settings, last + dt.timedelta(days=400)) == shop.log


def test_looking_back_from_a_later_day_shows_the_same_as_looking_back_at_once(shop):
    early, late = dt.date(2024, 5, 3), dt.date(2025, 2, 11)
    twice = as_it_stood(as_it_stood(shop.log, shop.settings, late), shop.settings, early)
    once = as_it_stood(shop.log, shop.settings, early)
    assert len(once.boards) > 20
    assert twice == once


def test_what_was_written_later_changes_nothing(shop):
    then = dt.date(2024, 5, 3)
    history = History(shop.log, shop.settings)
    unsettled = tuple(
        replace(b, cost_time="me", price_charged=1.0, materials=1.0, found=dict.fromkeys(b.found, 9.0))
        if (ended := history.ended(b)) is None or ended > then
        else b
        for b in shop.log.boards
    )
    doubled = tuple(replace(e, hours=2 * e.hours) if e.last > then else e for e in shop.log.entries)
    before = as_it_stood(shop.log, shop.settings, then)
    after = as_it_stood(replace(shop.log, boards=unsettled, entries=doubled), shop.settings, then)
    assert after.entries == before.entries
    for was, now in zip(before.boards, after.boards, strict=True):
        assert replace(now, found={}) == replace(was, found={})
        assert now.found.keys() == was.found.keys()


def test_a_history_asked_about_many_days_says_what_one_made_afresh_says(shop):
    history = History(shop.log, shop.settings)
    first = min(board.asked for board in shop.log.boards if board.asked)
    days = [first + dt.timedelta(days=n) for n in range(-5, 1400, 23)]
    for then in np.random.default_rng(4).permutation(np.array(days)).tolist():
        afresh = History(shop.log, shop.settings).on(then)
        assert history.on(then) == afresh
        summed = stage_hours(afresh.entries, afresh.by_id, shop.settings.stages, afresh.partial)
        assert history.worked_on(then) == summed


DAYS = st.integers(0, 12).map(day)
MAYBE = st.none() | DAYS
BOARDS = st.builds(
    Board,
    board=st.sampled_from("ab"),
    **dict.fromkeys(("asked", "quoted", "accepted", "started", "ready", "collected", "paid_on"), MAYBE),
    state=st.sampled_from([ASKED, WAITING, ON_BENCH, FINISHED, WITHDRAWN, DECLINED]),
    cost_time=st.just("wet"),
    guess_low=st.just(3.0),
    guess_high=st.just(4.0),
    assessed=st.just({"area": 2.0, "pieces": 1.0}),
    found=st.just({"area": 3.0, "pieces": 4.0, "wet": 1.0, "stain": 1.0}),
    later=st.sampled_from([{}, {"area": 1.0}]),
)
ROWS = st.builds(
    lambda board, first, stage, hours, done, more: Entry(
        board, first, stage, hours, until=first + dt.timedelta(days=more) if more else None, done=done
    ),
    st.sampled_from(["a", "b", "unknown", "shop"]),
    DAYS,
    st.sampled_from(["strip", "infill", "stain"]),
    st.sampled_from([0.0, 1.0, 2.5]),
    st.sampled_from([None, True, False]),
    st.integers(0, 4),
)
TOLD = st.builds(Told, st.sampled_from("ab"), DAYS, because=st.sampled_from(["", "asked later"]))
PARTIAL = st.frozensets(st.tuples(st.sampled_from("ab"), st.sampled_from(["", "strip"])), max_size=1)
LOGS = st.builds(
    Log,
    boards=st.lists(BOARDS, max_size=2, unique_by=lambda b: b.board).map(tuple),
    entries=st.lists(ROWS, max_size=6).map(tuple),
    told=st.lists(TOLD, max_size=3).map(tuple),
    partial=PARTIAL,
)


@given(LOGS, st.permutations(range(-1, 18)))
def test_whatever_is_written_of_a_board_and_when_it_is_told_on_the_day(log, days):
    history = History(log, SETTINGS)
    for n in days:
        afresh = History(log, SETTINGS).on(day(n))
        assert history.on(day(n)) == afresh
        summed = stage_hours(afresh.entries, afresh.by_id, SETTINGS.stages, afresh.partial)
        assert history.worked_on(day(n)) == summed


def test_a_telling_alone_changes_how_a_board_stood():
    log = replace(
        LOG, boards=(replace(BOARD, later={"area": 1.0}),), told=(Told("a", day(9), because="asked later"),)
    )
    history = History(log, SETTINGS)
    assert [history.on(day(n)).boards[0].later for n in (8, 9, 8)] == [{}, {"area": 1.0}, {}]


def test_another_process_is_sent_the_log_alone(shop):
    history = History(shop.log, shop.settings)
    stood = history.on(dt.date(2024, 5, 3))
    sent = copy.copy(history)  # by the same state that is sent
    assert vars(sent).keys() == {"log", "settings"}
    assert sent.on(dt.date(2024, 5, 3)) == stood


OVER = Board(
    "a", asked=day(0), accepted=day(4), ready=day(20), collected=day(25), paid_on=day(30), state=FINISHED
)
PAID = (MoneyLine(day(33), 9.0, 0.0, "payment", ("a",)), MoneyLine(day(31), 9.0, 0.0, "payment", ("a",)))


@pytest.mark.parametrize(
    ("board", "entries", "money", "ended"),
    [
        (OVER, (), (), 20),
        (replace(OVER, ready=None), (), (), 25),
        (replace(OVER, ready=None, collected=None), (), (), 30),
        (replace(OVER, ready=None, collected=None, paid_on=None), ENTRIES, (), 15),
        (replace(OVER, state=WITHDRAWN, ready=None, paid_on=None), ENTRIES, (), 25),
        (replace(OVER, state=DECLINED, ready=None, collected=None, paid_on=None), (), (), 4),
        (replace(OVER, state=ON_BENCH), ENTRIES, (), None),
        (Board("a", state=WITHDRAWN), (), PAID, 33),
        (Board("a", state=WITHDRAWN), (), (), None),
    ],
)
def test_a_board_is_over_from_the_day_it_was_ready_else_from_the_last_thing_known(
    board, entries, money, ended
):
    history = History(Log((board,), entries, money=money), SETTINGS)
    assert history.ended(board) == (None if ended is None else day(ended))


@pytest.mark.parametrize(
    ("log", "last"),
    [
        (Log(), None),
        (Log((Board("a", asked=day(1), accepted=day(3)),)), 3),
        (Log((Board("a", asked=day(1)),), ENTRIES), 15),
        (Log((), (Entry("shop", day(2), "", 1.0, until=day(5)),)), 5),
        (Log(told=(Told("a", day(7), last=day(90)),)), 7),
        (Log(waits=(Wait("a", day(2), day(8), "parts"),)), 8),
        (Log(waits=(Wait("a", day(2), None, "parts"),)), 2),
        (Log(weighings=(WeightReading("a", day(4), 8.0), WeightReading("a", day(3), 8.0))), 4),
        (Log(notes=(Note("a", day(6), "x"),)), 6),
        (Log(money=PAID), 33),
    ],
)
def test_the_last_day_of_a_log_is_that_of_the_last_thing_on_any_sheet(log, last):
    assert last_day(log) == (None if last is None else day(last))


def test_rows_of_later_days_are_not_there_on_any_sheet():
    log = Log(
        (BOARD,),
        struck=(Told("a", day(5), struck="x"), Told("a", day(9), struck="x")),
        notes=(Note("a", day(5), "x"), Note("a", day(9), "y")),
        money=(PAID[1],),
        weighings=(WeightReading("a", day(9), 8.0),),
        waits=(Wait("a", day(9), None, "parts"), Wait("a", day(8), day(8), "owner")),
    )
    then = stood(8, log)
    assert [len(some) for some in (then.struck, then.notes, then.money, then.weighings)] == [1, 1, 0, 0]
    assert [(wait.cause, wait.until) for wait in then.waits] == [("owner", day(8))]
    on = stood(9, log)
    assert [len(some) for some in (on.struck, on.notes, on.weighings, on.waits)] == [2, 2, 1, 2]
