"""Boards in hand of a quarter: which are late, by the day first told, and what is left of their hours."""

from types import SimpleNamespace

import pytest
from decide.test_day_moves import A, B, two
from making.hands import SETTINGS, day

from estimator.decide.quarter.work_in_hand import in_hand_of
from estimator.forecast.ranges import Spread
from estimator.words.records import FINISHED, Board, Entry, Log, Told

NO_FIT = SimpleNamespace(boards=())


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
