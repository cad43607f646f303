"""Ready dates against what came, counted by hand; and what they teach."""

import datetime as dt
import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from estimator.record.backtest.replay import Forecast
from estimator.record.backtest.run import (
    STEPS,
    WEIGHT,
    date_record,
    dates_then,
    landed_of,
    promises_kept,
)
from estimator.words.records import FINISHED, WAITING, Board, Entry, Log, Told

FIRST = dt.date(2026, 1, 5)
DAYS = tuple(float(n) for n in range(1, 40))  # 10 % at day 4, 90 % at day 36
LATER = FIRST + dt.timedelta(days=70)


def after(days):
    return FIRST + dt.timedelta(days=days)


def board(name, days):
    ready = None if days is None else after(days)
    return Board(name, accepted=FIRST, ready=ready, state=WAITING if days is None else FINISHED)


def counted(*days, today=LATER):
    boards = tuple(board(f"b{i}", n) for i, n in enumerate(days))
    return date_record(Log(boards), {b.board: Forecast(b.board, DAYS) for b in boards}, today).shown


def eight_in_ten(*days, today=LATER):
    one = next(count for count in counted(*days, today=today) if count.odds == 0.8)
    return one.below, one.held, one.above, one.pending


def test_both_ends_belong_to_the_range():
    assert eight_in_ten(3, 4, 20, 36, 37) == (1, 3, 1, 0)


def test_of_ten_one_may_be_in_hand():
    assert eight_in_ten(*[20] * 9, None, today=after(36)) == (0, 9, 0, 1)
    assert eight_in_ten(*[20] * 9, None, today=after(37)) == (0, 9, 1, 0)


def test_a_quarter_not_nine_tenths_ready_counts_only_what_is_late():
    assert counted(*[20] * 8, None, today=after(30)) == ()
    assert eight_in_ten(*[20] * 8, None, today=after(60)) == (0, 0, 1, 0)


def test_no_forecast_counts_nothing():
    assert date_record(Log((board("a", 5),)), {}, LATER).shown == ()
    assert date_record(Log((board("a", 5),)), {"a": Forecast("a", (), why="so")}, LATER).shown == ()


def kept(days, *told, today=LATER, row=None):
    one = board("a", days)
    if row is not None:
        one = Board("a", accepted=FIRST, ready=one.ready, state=one.state, promised_last=after(row))
    rows = tuple(
        Told("a", after(on), last=after(last), because=why, adds_days=adds[0] if adds else None)
        for on, last, why, *adds in told
    )
    count = promises_kept(Log((one,), told=rows), today)
    return None if count is None else (count.held, count.above, count.pending)


def test_a_promise_is_kept_by_the_first_telling():
    assert kept(20, (0, 20, "quote")) == (1, 0, 0)
    assert kept(21, (0, 20, "quote"), (10, 30, "late")) == (0, 1, 0)


def test_of_what_the_owner_asked_for_later_only_the_days_that_it_adds_are_excused():
    assert kept(21, (0, 20, "quote"), (10, 30, "asked later")) == (0, 1, 0)
    assert kept(21, (0, 20, "quote"), (10, 30, "asked later", 1)) == (1, 0, 0)
    assert kept(22, (0, 20, "quote"), (10, 30, "asked later", 1)) == (0, 1, 0)
    assert kept(22, (10, 30, "asked later", 1), row=20) == (0, 1, 0)
    assert kept(21, (10, 30, "asked later", 1), row=20) == (1, 0, 0)


def test_a_board_whose_owner_s_wish_was_worked_out_counts_less_the_days_that_it_adds():
    """Day 36 is the last of its range at 8 in 10: with 4 days of wishes day 40 is."""
    plain = date_record(Log((board("a", 36),)), {"a": Forecast("a", DAYS)}, LATER)
    wish = Told("a", after(10), last=after(40), because="asked later", adds_days=4)
    wished = date_record(Log((board("a", 40),), told=(wish,)), {"a": Forecast("a", DAYS)}, LATER)
    not_known = date_record(
        Log((board("a", 40),), told=(replace(wish, adds_days=None),)), {"a": Forecast("a", DAYS)}, LATER
    )

    assert wished.shown == plain.shown
    assert plain.shown
    assert (not_known.shown, not_known.asked_later) == ((), ("a",))


def test_a_board_whose_owner_wished_for_more_teaches_so_many_days_later():
    """Its last point is 39 days on, and 4 days of wishes stand behind that: not ready yet, it is late on day 43."""
    wish = Told("a", after(10), last=after(60), because="asked later", adds_days=4)
    log = Log((board("a", None),), told=(wish,))
    over = [date_record(log, {"a": Forecast("a", DAYS)}, after(day)).learned_from for day in (38, 39, 42, 43)]

    assert over == [0, 0, 0, 1]


def test_the_row_of_a_board_stands_in():
    assert kept(20, row=20) == (1, 0, 0)
    assert kept(21, row=20) == (0, 1, 0)
    assert kept(21, (0, 25, "quote"), row=20) == (1, 0, 0)


def test_a_promise_in_hand_is_open_until_its_date_has_passed():
    assert kept(None, (0, 20, "quote"), today=after(20)) == (0, 0, 1)
    assert kept(None, (0, 20, "quote"), today=after(21)) == (0, 1, 0)


def test_nothing_told_is_nothing_kept():
    assert kept(20) is None


def row_of(days, gap=7, points=DAYS):
    """Boards taken on one after the other, each of which took so many days; None is not ready yet."""
    boards = []
    for i, took in enumerate(days):
        accepted = after(gap * i)
        ready = None if took is None else accepted + dt.timedelta(days=took)
        boards.append(
            Board(f"b{i:03}", accepted=accepted, ready=ready, state=WAITING if took is None else FINISHED)
        )
    return Log(tuple(boards)), {b.board: Forecast(b.board, points) for b in boards}


def slowly(took, at, gap=7):
    """The stretch that was known when board `at` was taken on, from days that stand at a step each."""
    low = high = n = 0.0
    for i, days in enumerate(took):
        if gap * i + 39 > gap * at:
            continue  # its last point, 39 days on, was still to come
        z = NormalDist().inv_cdf(days / 40 if days and days < 40 else (1 + 39 / 40) / 2)
        n, low, high = n + 1, low + 2 * z * z * (z < 0), high + 2 * z * z * (z > 0)
    return tuple(min(max(math.sqrt((WEIGHT + side) / (WEIGHT + n)), 0.8), 1.6) for side in (low, high))


def test_what_was_over_by_then_teaches_the_stretch_and_nothing_else():
    took = [int(d) for d in np.random.default_rng(4).integers(1, 60, 50)]
    took[7] = None
    log, forecasts = row_of(took)
    thens = dates_then(log, forecasts)
    landed = [(then.over, then.z) for then in thens]
    for at, then in enumerate(thens):
        assert then.factors(landed) == pytest.approx(slowly(took, at))
    today = after(7 * 60)
    seen = date_record(log, forecasts, today)
    assert seen.stretch == pytest.approx(slowly(took, 60))
    assert seen.learned_from == 50


def test_a_board_that_is_late_teaches_although_it_is_not_ready():
    log, forecasts = row_of([None])
    assert date_record(log, forecasts, after(38)).learned_from == 0
    late = date_record(log, forecasts, after(39))
    assert late.learned_from == 1
    assert late.stretch[1] > 1


def test_quick_boards_taken_on_lately_teach_nothing_yet():
    log, forecasts = row_of([2, 2, 2], gap=1)
    assert date_record(log, forecasts, after(30)).stretch == (1.0, 1.0)


@pytest.mark.parametrize("widths", [0.6, 1.5])
def test_ranges_that_are_too_tight_or_too_wide_are_mended_and_the_raw_ones_stay(widths):
    rng = np.random.default_rng(11)
    spread = [float(np.ceil(40 * math.exp(0.4 * widths * NormalDist().inv_cdf(p)))) for p in STEPS]
    took = [max(int(np.ceil(40 * math.exp(0.4 * z))), 1) for z in rng.standard_normal(200)]
    log, forecasts = row_of(took, points=tuple(spread))
    seen = date_record(log, forecasts, after(7 * 260))
    raw, shown = (next(c for c in some if c.odds == 0.8).held / 200 for some in (seen.raw, seen.shown))
    assert abs(raw - 0.8) > 0.1
    assert abs(shown - 0.8) < abs(raw - 0.8) - 0.03
    assert all((factor > 1.2) == (widths < 1) for factor in seen.stretch)


def test_a_board_begun_on_the_day_is_counted_but_neither_moved_nor_a_teacher():
    took = [39] * 30
    log, forecasts = row_of(took)
    hours = tuple(Entry(b.board, b.accepted, "strip", 1.0) for b in log.boards)
    seen = date_record(replace(log, entries=hours), forecasts, after(7 * 60))
    assert seen.shown == seen.raw != ()
    assert (seen.stretch, seen.learned_from) == ((1.0, 1.0), 0)
    later = tuple(replace(e, date=e.date + dt.timedelta(days=1)) for e in hours)
    assert date_record(replace(log, entries=later), forecasts, after(7 * 60)).stretch[1] > 1
    last = dates_then(replace(log, entries=hours[-1:]), forecasts)
    assert last[-1].factors(landed_of(last)) == (1.0, 1.0)
    assert last[-2].factors(landed_of(last))[1] > 1


def asked(on=None, row=0.0):
    """How many boards count where the owner of one asked for more, and who does not."""
    log, forecasts = row_of([20, 20, 20])
    boards = (replace(log.boards[0], called="red", later={"logos": row}), *log.boards[1:])
    told = () if on is None else (Told("b000", after(on), last=after(90), because="asked later"),)
    seen = date_record(replace(log, boards=boards, told=told), forecasts, after(200))
    return seen.shown[1].of, seen.learned_from, seen.asked_later


def test_a_date_that_an_owner_moved_does_not_count():
    assert asked() == (3, 3, ())
    assert asked(on=5) == asked(row=2.0) == (2, 2, ("red",))
    assert asked(on=0, row=2.0) == (3, 3, ())  # known when it was taken on


def test_the_same_seed_says_the_same_and_another_board_changes_nothing():
    flat = (5.0,) * 20 + (9.0,) * 19
    log, forecasts = row_of([5] * 12, points=flat)
    first = [then.z for then in dates_then(log, forecasts, seed=1)]
    assert first == [then.z for then in dates_then(log, forecasts, seed=1)]
    fewer = replace(log, boards=log.boards[1:])
    assert [then.z for then in dates_then(fewer, forecasts, seed=1)] == first[1:]
    assert len(set(first)) == 12  # a tie is broken by luck of each board's own
    assert all(-2.3 < z < 0.1 for z in first)


def test_boards_of_one_quarter_are_counted_together_to_its_end():
    """Nine taken on in January are ready; the tenth was taken on in March, or in April."""
    nine = tuple(board(f"b{i}", 20) for i in range(9))

    def said(*first):
        late = Board("late", accepted=dt.date(2026, *first), state=WAITING)
        log = Log((*nine, late))
        seen = date_record(log, {b.board: Forecast(b.board, DAYS) for b in log.boards}, dt.date(2026, 4, 5))
        return next((one.held, one.pending) for one in seen.shown if one.odds == 0.8)

    assert (said(3, 31), said(4, 1)) == ((9, 1), (9, 0))


def test_of_a_quarter_that_is_not_over_a_late_board_that_is_ready_does_not_count():
    assert eight_in_ten(*[20] * 7, 37, None, None, today=after(36)) == (0, 0, 0, 0)


def test_a_wish_puts_off_the_day_from_which_a_board_in_hand_is_late():
    """Day 36 is the last of its range; its owner's wish adds four."""
    wish = Told("a", after(10), last=after(60), because="asked later", adds_days=4)
    log = Log((board("a", None),), told=(wish,))
    seen = [date_record(log, {"a": Forecast("a", DAYS)}, after(n)).shown for n in (40, 41)]

    assert [one.above for some in seen for one in some if one.odds == 0.8] == [0, 1]


def test_a_board_ready_on_the_day_it_was_taken_on_landed_on_the_first_day():
    forecasts = {name: Forecast(name, DAYS) for name in "ab"}
    at_once, first = (dates_then(Log((board("a", n),)), forecasts)[0] for n in (0, 1))

    assert at_once.z == first.z
    assert (at_once.days, first.days) == (0, 1)


def test_a_row_of_no_hours_begins_no_board_and_the_last_wish_counts_in_any_order():
    log, forecasts = row_of([39] * 30)
    none = tuple(Entry(b.board, b.accepted, "strip", 0.0) for b in log.boards)
    assert date_record(replace(log, entries=none), forecasts, after(7 * 60)).learned_from == 30

    log, forecasts = row_of([20, 20, 20])
    told = tuple(Told("b000", after(n), last=after(90), because="asked later") for n in (5, 0))
    for rows in (told, told[::-1]):
        assert date_record(replace(log, told=rows), forecasts, after(200)).asked_later == ("b000",)


def test_a_promise_counts_nine_times_in_ten_by_the_day_of_the_first_telling_and_of_fetching_where_no_other_is_written():
    told = (Told("a", after(0), last=after(20)), Told("a", after(10), last=after(40), because="late"))
    for fetched, held in ((20, 1), (21, 0)):
        one = Board("a", accepted=FIRST, collected=after(fetched), state=FINISHED)
        count = promises_kept(Log((one,), told=told), LATER)
        assert (count.odds, count.held, count.of) == (0.9, held, 1)
    assert kept(None, (0, 20, "quote"), (10, 40, "late"), today=after(30)) == (0, 1, 0)
