"""Boards that were thought over, looked at afterwards: was it right to take them, or to turn them down?"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from estimator.bench.calendar import Calendar
from estimator.decide.quarter.pay import Made, pay_of
from estimator.decide.quarter.periods import Span, within
from estimator.log.edits import first_tellings, of_hours
from estimator.words.dates import A_DAY
from estimator.words.json_form import json_fields
from estimator.words.records import SHOP, Board, Log
from estimator.words.settings.schema import Settings

NO = "no"
WEEKS = 12 * 7 * A_DAY  # after a board was turned down, in which its hours went to others
FEW = 5  # boards: of fewer nothing is concluded


@dataclass(frozen=True, slots=True)
class Taken:
    """A board that was taken on and is ready.

    decided: yes or open-first; pay: what it brought an hour, None where that cannot be told
    hours: what it took; said: hours as they were first told, else guessed, low and high; None where neither was
    said_pay: what those would have brought an hour at the price it brought, low and high
    """

    board: str
    name: str
    decided: str
    why: str
    for_love: bool
    ready: dt.date
    hours: float | None
    pay: float | None
    said: tuple[float, float] | None
    said_pay: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """A board that was turned down, and what became of its weeks.

    day: of the decision, as far as the log tells: quoted, else asked
    filled: hours worked on boards in the twelve weeks since, as a share of those that the calendar has
    pay: of the boards made ready in them, an hour; None where none counts; boards: how many those are
    """

    board: str
    name: str
    why: str
    day: dt.date
    filled: float | None
    pay: float | None
    boards: int


@dataclass(frozen=True, slots=True)
class Afterwards:
    """Decisions that can be looked back on in a span of days; those for love stand apart.

    taken: ready in the span; turned_away: whose twelve weeks ended in it
    """

    taken: tuple[Taken, ...]
    for_love: tuple[Taken, ...]
    turned_away: tuple[TurnedAway, ...]
    target: float
    floor: float

    @property
    def few(self) -> bool:
        """Whether so few boards tell of it that nothing follows."""
        return len(self.judged) < FEW

    @property
    def judged(self) -> tuple[Taken, ...]:
        """Boards taken, not for love, of which the pay is known."""
        return tuple(one for one in self.taken if one.pay is not None)

    @property
    def paid_target(self) -> int:
        """How many of those paid what is wanted."""
        return _count(self.judged, self.target)

    @property
    def paid_floor(self) -> int:
        """How many of those paid the least that is taken."""
        return _count(self.judged, self.floor)

    def as_dicts(self) -> list[dict[str, Any]]:
        """As JSON: one object for each decision."""
        return [
            *({"sort": "taken", **json_fields(one)} for one in self.taken),
            *({"sort": "for love", **json_fields(one)} for one in self.for_love),
            *({"sort": "turned away", **json_fields(one)} for one in self.turned_away),
        ]


def afterwards(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> Afterwards:
    """The decisions of a log that can be judged in a span of days, both ends included.

    log: as it is known today; made: its boards that were made ready, up to the end of the span at least
    """
    told = first_tellings(log.told, of_hours)
    ready = {one.board: one for one in made if within(one.ended, span)}
    taken = []
    for board in log.boards:
        if board.decided in {"", NO} or board.board not in ready:
            continue
        first = told.get(board.board)
        said = None if first is None else (first.hours_low, first.hours_high)
        taken.append(_taken(board, ready[board.board], said or (board.guess_low, board.guess_high)))
    shop = settings.workshop
    return Afterwards(
        taken=tuple(one for one in taken if not one.for_love),
        for_love=tuple(one for one in taken if one.for_love),
        turned_away=tuple(_turned_away(log, settings, made, span)),
        target=shop.target_pay,
        floor=shop.floor_pay,
    )


def _taken(board: Board, made: Made, hours: tuple[float | None, float | None]) -> Taken:
    """A board that is ready against what was said of it."""
    low, high = hours
    said = (low, high) if low and high and not board.from_memory else None
    brought = made.brought
    return Taken(
        board=board.board,
        name=board.name,
        decided=board.decided,
        why=board.decided_why,
        for_love=board.for_love,
        ready=made.ended,
        hours=made.hours if made.whole else None,
        pay=made.pay,
        said=said,
        said_pay=None if said is None or brought is None else (brought / said[1], brought / said[0]),
    )


def _turned_away(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> Iterable[TurnedAway]:
    """Boards that were turned down, once their weeks are over."""
    calendar = Calendar.of(settings.bench)
    for board in log.boards:
        day = board.quoted or board.asked
        if board.decided != NO or day is None or not within(day + WEEKS, span):
            continue
        since = day + A_DAY, day + WEEKS
        there = float(calendar.hours_from(since[0], WEEKS.days).sum())
        worked = sum(e.hours for e in log.entries if e.board != SHOP and within(e.last, since))
        pay = pay_of([one for one in made if within(one.ended, since)])
        yield TurnedAway(
            board=board.board,
            name=board.name,
            why=board.decided_why,
            day=day,
            filled=worked / there if there else None,
            pay=pay.all,
            boards=pay.counted,
        )


def _count(taken: Iterable[Taken], least: float) -> int:
    """How many paid so much an hour."""
    return sum(one.pay is not None and one.pay >= least for one in taken)
