"""Boards in hand of a quarter: which are late, by the day first told, and what is left of their hours."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from decide.test_day_moves import A, B, two
from making.fits import SETTINGS as FITTED
from making.fits import made_fit
from making.hands import SETTINGS, day, job, outlook

from estimator.bench.promises import Dates
from estimator.decide.quarter.work_in_hand import in_hand_of
from estimator.forecast.answers import answer
from estimator.forecast.calibration import Stretch
from estimator.forecast.ranges import Spread
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import FINISHED, ON_BENCH, STOPPED, WAITING, Board, Entry, Log, Told

NO_FIT = SimpleNamespace(boards=())


def outlook_of(log):
    return outlook([job(name, strip=6.0) for name in "ab"], log=log)


def in_hand(today, *boards, **more):
    return in_hand_of(Log(boards or (A, B), **more), SETTINGS, NO_FIT, two(), today=today)


@pytest.mark.parametrize(("today", "late"), [(2, False), (3, False), (4, True)])
def test_a_board_is_late_from_the_day_after_the_one_told(today, late):
    red = next(one for one in in_hand(day(today)) if one.board == "a")

    assert (red.told, red.late) == (day(3), late)


def test_hours_left_are_those_not_worked_yet_and_never_less_than_none():
    [red] = (one for one in in_hand(day(0), entries=(Entry("a", day(-1), "strip", 7.0),)) if one.board == "a")
    whole = SimpleNamespace(hours=Spread(5.0, 9.0, 15.0), so_far=red.so_far)

    assert red.so_far == 7.0
    assert type(red).left.fget(whole) == Spread(0.0, 2.0, 8.0)


def test_a_finished_board_is_not_in_hand_and_its_price_is_the_one_told_last_unless_charged():
    told = (Told("a", day(-9), price=900.0), Told("a", day(-2), price=1100.0, because="hidden work"))
    gone = Board("c", state=FINISHED, ready=day(-1))

    boards = {one.board: one for one in in_hand(day(0), A, B, gone, told=told)}

    assert set(boards) == {"a", "b"}
    assert (boards["a"].price, boards["b"].price) == (1100.0, None)


def test_those_ready_soonest_come_first_those_without_a_date_last_and_where_each_stands_is_said():
    """Red is ready within three days, blue by the third too; nothing is known of the others."""
    more = (Board("d", state=STOPPED), Board("c", state=WAITING))
    boards = in_hand(day(0), *more, B, A)

    assert [one.board for one in boards] == ["a", "b", "c", "d"]
    assert [one.on for one in boards] == ["bench", "bench", "", ""]
    assert [one.stopped for one in boards] == [False, False, False, True]
    assert [one.ready is None for one in boards] == [False, False, True, True]
    bare = in_hand_of(Log((A,)), SETTINGS, NO_FIT, None, today=day(0))
    assert [(one.ready, one.told, one.late, one.on) for one in bare] == [(None, None, False, "")]


def test_a_board_is_held_against_the_first_telling_and_its_price_is_what_was_charged():
    """First told the second day, last told the ninth: on the third it is late."""
    told = (Told("a", day(-9), last=day(2), price=800.0), Told("a", day(-1), last=day(9), because="late"))
    log = Log((replace(A, price_charged=950.0, promised_last=None), B), told=told)
    red = next(
        one for one in in_hand_of(log, SETTINGS, NO_FIT, outlook_of(log), today=day(3)) if one.board == "a"
    )

    assert (red.told, red.late, red.price) == (day(2), True, 950.0)


def test_hours_of_the_whole_board_are_those_of_its_range_and_none_where_none_can_be_told():
    fit = made_fit(
        n=50,
        unsure=0.1,
        boards=(KnownBoard("a", state=ON_BENCH, guess=20.0), KnownBoard("b", state=ON_BENCH)),
    )
    red, blue = sorted(in_hand_of(Log((A, B)), FITTED, fit, two(), today=day(0)), key=lambda one: one.board)

    said = answer(fit, fit.boards[0], FITTED)
    assert (red.hours.low, red.hours.likely, red.hours.high) == (said.low, said.likely, said.high)
    assert said.low < said.likely < said.high
    assert (blue.hours, blue.left) == (None, None)


def test_hours_of_a_board_in_line_are_moved_out_as_the_record_taught():
    fit = made_fit(
        n=50,
        unsure=0.1,
        boards=(
            KnownBoard(
                "a",
                state=WAITING,
                assessed={"area": 2.0, "pieces": 3.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0},
            ),
        ),
    )
    moved = Stretch(1.5, 2.5)
    [red] = in_hand_of(
        Log((replace(A, state=WAITING),)), FITTED, fit, None, today=day(0), stretch=moved, seed=3
    )

    said = answer(fit, fit.boards[0], FITTED, seed=3, stretch=moved)
    plain = answer(fit, fit.boards[0], FITTED, seed=3)
    assert (red.hours.low, red.hours.likely, red.hours.high) == (said.low, said.likely, said.high)
    assert said.low < plain.low < plain.high < said.high


def test_the_order_is_by_when_each_is_ready_nine_times_in_ten_and_hours_so_far_are_those_booked(monkeypatch):
    """Red may be ready first, and may be last."""
    dates = {"a": (Dates(day(1), day(3), day(12)), None), "b": (Dates(day(4), day(6), day(9)), day(5))}
    monkeypatch.setattr("estimator.decide.quarter.work_in_hand._dates", lambda *_: dates)
    boards = in_hand(day(0), replace(A, total_hours=30.0), B, entries=[Entry("a", day(-1), "strip", 7.0)])

    assert [(one.board, one.so_far, one.told) for one in boards] == [("b", 0.0, day(5)), ("a", 7.0, None)]
