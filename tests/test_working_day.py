"""What a telling leaves out is answered, and nothing else is: hours, days, and what wishes add."""

import datetime as dt
from types import SimpleNamespace

import pytest

from estimator.forecast.ranges import Ready
from estimator.words.records import Told
from estimator.working_day import DayAnswers, filled_in

MAY = dt.date(2026, 5, 4)
FROM, BY = dt.date(2026, 6, 1), dt.date(2026, 6, 12)


class Answers:
    """Hours 50 to 70, ready from 1 June to 12 June, 4 hours and 3 days more; and what was asked."""

    def __init__(self, days=(FROM, BY)):
        self.days, self.asked = days, []

    def hours_of(self, board, odds):
        self.asked.append(("hours", board, odds))
        return 50.0, 70.0

    def wishes_of(self, board):
        self.asked.append(("wishes", board))
        return 4.0, 3.0

    def days_of(self, board):
        self.asked.append(("days", board))
        return self.days


@pytest.mark.parametrize(
    ("said", "spoken", "told", "asked"),
    [
        ({}, {}, {"odds": 0.8, "hours_low": 50.0, "hours_high": 70.0, "first": FROM, "last": BY}, [("hours", "a", 0.8), ("days", "a")]),
        ({"odds": 0.9}, {}, {"odds": 0.9, "hours_low": 50.0, "hours_high": 70.0, "first": FROM, "last": BY}, [("hours", "a", 0.9), ("days", "a")]),
        ({"hours_low": 9.0, "hours_high": 12.0}, {"last": False}, {"odds": 0.8, "hours_low": 9.0, "hours_high": 12.0}, []),
        ({"price": 9.0}, {"hours": False, "last": False}, {"price": 9.0}, []),
        ({}, {"hours": False}, {"first": FROM, "last": BY}, [("days", "a")]),
        ({}, {"hours": False, "first": False}, {"last": BY}, [("days", "a")]),
        ({"first": MAY}, {"hours": False}, {"first": MAY, "last": BY}, [("days", "a")]),
        ({"last": MAY}, {"hours": False}, {"last": MAY}, []),
        ({"because": "asked later"}, {"hours": False, "last": False}, {"because": "asked later"}, []),
        ({"because": "asked later"}, {"hours": False, "last": False, "earlier": True}, {"because": "asked later", "adds_hours": 4.0, "adds_days": 3.0}, [("wishes", "a")]),
        ({"because": "late"}, {"hours": False, "last": False, "earlier": True}, {"because": "late"}, []),
    ],
)  # fmt: skip
def test_only_what_was_left_out_is_answered(said, spoken, told, asked):
    answers = Answers()
    how = {"hours": True, "first": True, "last": True, "earlier": False, **spoken}
    assert filled_in(Told("a", MAY, **said), answers, **how) == Told("a", MAY, **told)
    assert answers.asked == asked


def test_where_no_day_can_be_told_none_is():
    bare = Told("a", MAY, price=9.0)
    assert filled_in(bare, Answers(None), hours=False, first=True, last=True, earlier=False) == bare


def test_hours_are_told_as_they_are_said_and_days_from_the_earliest_to_the_one_to_tell():
    seen = []

    def in_hours(board, *, odds):
        seen.append((board, odds))
        return SimpleNamespace(low=50.3, high=70.7)

    ready = Ready(FROM, dt.date(2026, 6, 5), dt.date(2026, 6, 9), tell=BY)
    now = SimpleNamespace(range=in_hours, ready=lambda _: ready, wishes=lambda _: (4.0, 3.0))
    answers = DayAnswers(now)
    assert answers.hours_of("a", 0.9) == (50, 70)
    assert seen == [("a", 0.9)]
    assert answers.days_of("a") == (FROM, BY)
    assert answers.wishes_of("a") == (4.0, 3.0)
    now.ready = lambda _: None
    assert answers.days_of("a") is None
    kept = answers.filled_in(Told("a", MAY), last=False)
    assert kept == Told("a", MAY, 50, 70, odds=0.8)
