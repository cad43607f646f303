"""What a telling leaves out is answered, and nothing else is: hours, days, and what wishes add."""

# ruff: noqa: ARG005  a stand-in is called as what it stands for is

import datetime as dt
from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from estimator.forecast.ranges import Ready
from estimator.words.records import Board, Log, Told
from estimator.working_day import DayAnswers, as_written, filled_in, range_at_once

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


@pytest.mark.parametrize("price", [990.0, None])
def test_an_agreement_is_of_the_whole_board_as_it_would_stand(monkeypatch, price):
    seen = []

    def telling_of(said, row, on, told, more):
        seen.append((said, row, on, told, more))
        return Told("a", on, price=price)

    monkeypatch.setattr("estimator.decide.weigh.promise_impact.Agreed", lambda *given: given)
    monkeypatch.setattr("estimator.decide.weigh.promise_impact.telling_of", telling_of)
    red, told = Board("a", called="red"), (Told("a", MAY, price=900.0),)
    now = SimpleNamespace(
        asked_since=lambda board, more, *, odds: (board, odds),
        grown=lambda board, more: ("known", "then", {"area": 1.5}),
        whole_log=Log((red,), told=told),
        looking_from=lambda: MAY,
        wishes=lambda board: (4.0, 3.0) if board == "then" else (None, None),
    )
    said, grown, telling, notes = DayAnswers(now).agreement(
        "red", {"sides": "1"}, price=80.0, on=FROM, odds=0.9
    )
    assert (said, grown) == (("red", 0.9), {"area": 1.5})
    assert telling == Told("a", FROM, price=price, adds_hours=4.0, adds_days=3.0)
    assert notes == (() if price else ("No price was told: none is written for the board.",))
    assert seen == [(("red", 0.9), red, FROM, told, 80.0)]
    DayAnswers(now).agreement("red", {"sides": "1"})
    assert seen[-1][2::2] == (MAY, None)


def test_a_range_at_once_is_of_what_was_kept_and_of_before_the_work(monkeypatch):
    seen = []

    def answer(fit, wanted, settings, *, view, seed, stretch):
        seen.append((fit, wanted, view, seed, stretch))
        return Answer()

    monkeypatch.setattr("estimator.forecast.answers.answer", answer)
    monkeypatch.setattr("estimator.forecast.described.described", lambda values, settings: "wanted")
    monkeypatch.setattr("estimator.forecast.described.taken_as_none", lambda *_: ("logos",))
    kept = SimpleNamespace(fit_at_hand=lambda: "fit")
    now = SimpleNamespace(
        as_of=kept, settings="settings", seed=4, workbench=SimpleNamespace(stretch=lambda: "stretch")
    )
    assert range_at_once(now, {"logos": 1}) == Answer(("logos",))
    assert seen == [("fit", "wanted", "before", 4, "stretch")]
    kept.fit_at_hand = lambda: None
    assert range_at_once(now, {"logos": 1}) is None


def test_a_step_sees_the_log_of_all_days():
    now = SimpleNamespace(
        whole_log="all days", settings="settings", raw=("raw", "text"), digest="rev", log="till today"
    )
    written = as_written(now)
    assert (written.log, written.raw, written.settings_text, written.revision) == (
        "all days",
        "raw",
        "text",
        "rev",
    )
    assert written.answers == DayAnswers(now)


@dataclass(frozen=True)
class Answer:
    """A range, as far as it is looked at here."""

    taken_as_none: tuple[str, ...] = ()
