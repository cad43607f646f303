"""Boards to come: as often as past ones came, with hours like theirs, and from the first board on."""

import datetime as dt

import numpy as np
import pytest

from estimator.bench.orders import Comings, comings
from estimator.words.records import FINISHED, WAITING, Board, Entry, Log

DAY = dt.date(2026, 6, 30)
WEEK = 21.0  # hours


def log_of(n, apart=10):
    days = [DAY - dt.timedelta(days=apart * (i + 1)) for i in range(n)]
    boards = tuple(Board(f"b{i}", accepted=day, state=FINISHED) for i, day in enumerate(days))
    return Log(boards, tuple(Entry(f"b{i}", day, "strip", 3.0 + i) for i, day in enumerate(days)))


def gaps(log, left=(), n=40_000):
    jobs, _ = comings(log, DAY, dict(left), WEEK).jobs(60.0, {}, n, 1)
    return jobs[0].first


def test_nobody_is_expected_where_nobody_has_come():
    assert comings(Log(), DAY, {}, WEEK) is None
    assert comings(Log((Board("a", state=WAITING),)), DAY, {"a": 9.0}, WEEK) is None  # on no written day
    assert comings(log_of(3), DAY, {}, 0.0) is None  # nor where no hours are worked


def test_with_one_board_others_come_as_fast_as_a_shop_works_them():
    """Of twelve hours, three a day: one board in four days."""
    log = Log((Board("a", accepted=DAY - dt.timedelta(days=1), state=WAITING),))
    past = comings(log, DAY, {"a": 12.0}, WEEK)
    assert past.gap == pytest.approx(1 + 4)
    jobs, _ = past.jobs(60.0, {}, 4000, 1)
    assert (jobs[0].hours == 12.0).all()


def test_boards_come_as_far_apart_as_past_ones_did():
    """Of 8.5 hours on average, three a day."""
    past = comings(log_of(12), DAY, {}, WEEK)
    assert past.gap == pytest.approx((120 + 8.5 / 3) / 12)
    jobs, _ = past.jobs(60.0, {}, 40_000, 1)
    assert np.median(jobs[0].first) == pytest.approx(10.2 * np.log(2), rel=0.06)


def test_of_few_boards_it_is_less_sure_how_often_they_come():
    """A gamma rate of n boards: the first comes by a Pareto law, ((1 - p)^(-1/n) - 1) times the days (Lomax 1954)."""
    for n in (2, 12):
        within = comings(log_of(n), DAY, {}, WEEK).within
        at = np.quantile(gaps(log_of(n)), [0.5, 0.9])
        assert at == pytest.approx([((1 - p) ** (-1 / n) - 1) * within for p in (0.5, 0.9)], rel=0.04)


def test_boards_in_hand_are_among_those_that_others_are_like():
    """Of the first boards only the quick ones are finished."""
    log = log_of(2)
    more = Board("long", kind="major", accepted=DAY - dt.timedelta(days=15), state=WAITING)
    log = Log((*log.boards, more), (*log.entries, Entry("long", DAY - dt.timedelta(days=2), "strip", 5.0)))

    past = comings(log, DAY, {"long": 40.0}, WEEK)

    assert past.hours.tolist() == [4.0, 45.0, 3.0]
    assert past.days.tolist() == [1, 1 + 18, 1]  # 2.25 hours a day
    assert past.kinds == ("", "major", "")


def test_no_more_are_expected_than_a_shop_can_work():
    """Ten boards that were all written down on the first day, of twelve hours: one in four days."""
    boards = tuple(Board(f"b{i}", accepted=DAY - dt.timedelta(days=1), state=WAITING) for i in range(10))
    past = comings(Log(boards), DAY, {b.board: 12.0 for b in boards}, WEEK)
    assert past.gap == pytest.approx(4)


def test_as_many_are_taken_out_of_turn_as_were():
    _, ahead = comings(log_of(12), DAY, {}, WEEK).jobs(60.0, {"": (3.0, 1.0)}, 4000, 1)
    assert ahead.mean() == pytest.approx(0.75, abs=0.02)


def test_the_first_that_come_are_the_same_however_far_one_looks():
    past = comings(log_of(12), DAY, {}, WEEK)
    near, ahead = past.jobs(40.0, {"": (3.0, 1.0)}, 200, 1)
    far, ahead_far = past.jobs(90.0, {"": (3.0, 1.0)}, 200, 1)

    assert len(far) > len(near)
    for one, other in zip(near, far, strict=False):
        assert np.array_equal(one.first, other.first)
        assert np.array_equal(one.hours, other.hours)
        assert np.array_equal(one.sessions, other.sessions)
    assert np.array_equal(ahead, ahead_far[: len(near)])


def came(*days_ago, **more):
    """How many came, of boards taken on so many days ago; each took three hours."""
    boards = tuple(
        Board(f"b{n}", accepted=DAY - dt.timedelta(days=n), **{"state": FINISHED, **more}) for n in days_ago
    )
    rows = tuple(Entry(b.board, DAY, "strip", 3.0) for b in boards)
    found = comings(Log(boards, rows), DAY, {}, WEEK)
    return None if found is None else found.came


def test_boards_of_two_years_before_the_day_count():
    assert came(1, 730) == 2
    assert came(0) is came(-5) is came(731) is None  # today's and tomorrow's are still to come
    assert came(1, 731) == 1
    assert came(5, state="declined") is None  # of it nothing was worked off


def test_boards_on_which_nothing_was_worked_and_nothing_is_left_are_like_none():
    boards = (
        Board("done", accepted=DAY - dt.timedelta(days=9), state=FINISHED),
        Board("bare", accepted=DAY - dt.timedelta(days=8), state=FINISHED),
        Board("over", accepted=DAY - dt.timedelta(days=7), state=WAITING),
    )
    rows = (
        Entry("done", DAY, "strip", 3.0),
        Entry("bare", DAY, "strip", 0.0),
        Entry("over", DAY, "strip", 2.0),
    )
    past = comings(Log(boards, rows), DAY, {"over": 0.0}, WEEK)

    assert (past.came, past.hours.tolist(), past.days.tolist()) == (3, [3.0], [1])


def test_no_more_than_sixteen_are_laid_out():
    past = comings(log_of(12), DAY, {}, WEEK)

    assert len(past.jobs(60.0, {}, 10, 1)[0]) == 6  # one in 10.2 days
    assert len(past.jobs(61.5, {}, 10, 1)[0]) == 7
    assert len(past.jobs(999.0, {}, 10, 1)[0]) == 16


def ago(n):
    return DAY - dt.timedelta(days=n)


def test_all_that_came_count_for_how_often_they_come_and_only_those_with_hours_for_what_they_are_like():
    """Three came on one day, one of them of twelve hours, three hours a day: 3 x 4 days is more than 1 + 4."""
    boards = tuple(Board(name, accepted=ago(1), state=WAITING) for name in "abc")
    past = comings(Log(boards), DAY, {"a": 12.0}, WEEK)

    assert (past.came, past.within, past.hours.tolist()) == (3, 12.0, [12.0])


def test_days_count_from_the_first_that_came_though_nothing_was_worked_on_it_and_hours_by_their_mean():
    """The first came 60 days ago; of hours 1, 1 and 10 the mean is 4, which a shop of 21 a week works in 4/3 days."""
    took = {"a": 1.0, "b": 1.0, "c": 10.0}
    boards = (
        Board("none", accepted=ago(60), state=FINISHED),
        *(Board(name, accepted=ago(20), state=FINISHED) for name in took),
    )
    past = comings(Log(boards, tuple(Entry(b, ago(9), "strip", h) for b, h in took.items())), DAY, {}, WEEK)

    assert past.within == pytest.approx(60 + 4 / 3)


def test_a_past_board_was_worked_on_as_many_days_as_rows_ended_on():
    """Two rows of one day, one of three days up to the next, and one that ends on the same day: two days."""
    board = Board("a", accepted=ago(20), state=FINISHED)
    rows = (
        Entry("a", ago(9), "strip", 1.0),
        Entry("a", ago(9), "infill", 1.0),
        Entry("a", ago(8), "infill", 3.0, until=ago(6)),
        Entry("a", ago(7), "gloss", 1.0, until=ago(6)),
    )

    assert comings(Log((board,), rows), DAY, {}, WEEK).days.tolist() == [2]


def test_a_board_to_come_has_hours_and_days_of_one_and_the_same_past_board():
    past = Comings(2, 20.0, np.array([3.0, 30.0]), np.array([1, 10]), ("minor", "major"))
    jobs, _ = past.jobs(60.0, {}, 200, 1)

    for one in jobs:
        assert set(one.hours[0]) == {3.0, 30.0}
        assert (one.sessions == np.where(one.hours == 30.0, 10, 1)).all()
