"""Boards to come: as often as past ones came, and none where too few are known."""

import datetime as dt

import numpy as np
import pytest

from estimator.bench.orders import comings
from estimator.words.records import FINISHED, Board, Entry, Log

DAY = dt.date(2026, 6, 30)


def log_of(n, apart=10):
    days = [DAY - dt.timedelta(days=apart * (i + 1)) for i in range(n)]
    boards = tuple(Board(f"b{i}", accepted=day, state=FINISHED) for i, day in enumerate(days))
    return Log(boards, tuple(Entry(f"b{i}", day, "strip", 3.0 + i) for i, day in enumerate(days)))


def test_fewer_than_eight_past_boards_promise_no_other():
    assert comings(log_of(7), DAY) is None
    assert comings(log_of(8), DAY) is not None


def test_boards_come_as_far_apart_as_past_ones_did():
    past = comings(log_of(12), DAY)
    assert past.gap == pytest.approx(10.0)
    jobs, _ = past.jobs(60.0, {}, 4000, 1)
    assert jobs[0].first.mean() == pytest.approx(10.0, rel=0.06)


def test_as_many_are_taken_out_of_turn_as_were():
    _, ahead = comings(log_of(12), DAY).jobs(60.0, {"": (3.0, 1.0)}, 4000, 1)
    assert ahead.mean() == pytest.approx(0.75, abs=0.02)


def test_the_first_that_come_are_the_same_however_far_one_looks():
    past = comings(log_of(12), DAY)
    near, ahead = past.jobs(40.0, {"": (3.0, 1.0)}, 200, 1)
    far, ahead_far = past.jobs(90.0, {"": (3.0, 1.0)}, 200, 1)

    assert len(far) > len(near)
    for one, other in zip(near, far, strict=False):
        assert np.array_equal(one.first, other.first)
        assert np.array_equal(one.hours, other.hours)
        assert np.array_equal(one.sessions, other.sessions)
    assert np.array_equal(ahead, ahead_far[: len(near)])
