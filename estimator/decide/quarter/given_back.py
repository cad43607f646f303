"""Boards that their owners took back half done: what was worked on them, what was kept and what was returned."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from estimator.decide.quarter.pay import Made
from estimator.decide.quarter.periods import Span, within
from estimator.log.history import History
from estimator.log.money import paid_for, price_of
from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import WITHDRAWN, Board, Entry, Log
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class GivenBack(JsonForm):
    """A board that was taken on and given back undone; money as it is known today.

    ended: the last day of which anything is written; hours: all that are written
    charged: what was paid for it; returned: what of that was given back
    """

    board: str
    called: str
    ended: dt.date
    hours: float
    charged: float
    returned: float
    materials: float | None

    @property
    def name(self) -> str:
        """What the restorer calls it."""
        return self.called or self.board

    @property
    def kept(self) -> float:
        """What was charged less what was given back."""
        return self.charged - self.returned

    @property
    def brought(self) -> float:
        """What was kept less its materials, as far as they are written."""
        return self.kept - (self.materials or 0.0)

    @property
    def pay(self) -> float | None:
        """What it brought an hour; None without hours."""
        return self.brought / self.hours if self.hours > 0 else None

    def _json(self) -> dict[str, Any]:
        # by hand: what was kept and what it brought an hour follow from the rest
        return {**json_fields(self), "kept": self.kept, "pay_per_hour": self.pay}


@dataclass(frozen=True, slots=True)
class AllGivenBack(JsonForm):
    """The boards given back in a span of days, and the money given back on boards that were made ready in it."""

    boards: tuple[GivenBack, ...]
    on_ready: float = field(metadata=HIDDEN)

    @property
    def hours(self) -> float:
        """Hours of the boards given back."""
        return math.fsum(one.hours for one in self.boards)

    @property
    def charged(self) -> float:
        """What was paid for them."""
        return math.fsum(one.charged for one in self.boards)

    @property
    def returned(self) -> float:
        """What of that was given back."""
        return math.fsum(one.returned for one in self.boards)

    @property
    def kept(self) -> float:
        """What was charged less what was given back."""
        return math.fsum((self.charged, -self.returned))

    @property
    def brought(self) -> float:
        """What was kept less the materials."""
        return math.fsum(one.brought for one in self.boards)

    def _json(self) -> dict[str, Any]:
        # by hand: the sums follow from the boards
        return {
            **json_fields(self),
            "hours": self.hours,
            "charged": self.charged,
            "kept": self.kept,
            "returned": self.returned,
            "returned_on_ready": self.on_ready,
        }


def taken_and_dropped(board: Board, entries: Iterable[Entry]) -> bool:
    """Whether a board's owner dropped it after it was taken on, worked on or paid for; else it was an enquiry.

    entries: its own
    """
    if board.state != WITHDRAWN:
        return False
    begun = board.accepted or board.started or paid_for(board) or board.returned
    return bool(begun) or any(entry.hours > 0 for entry in entries)


def given_back(log: Log, settings: Settings) -> tuple[GivenBack, ...]:
    """Every board that was given back half done, in the order in which they were; log: as it is known today.

    >>> five = Entry("a", dt.date(2026, 8, 4), "strip", 5.0)
    >>> board = Board("a", state="withdrawn", accepted=dt.date(2026, 8, 3), paid=300.0, returned=40.0)
    >>> (one,) = given_back(Log((board,), (five,)), Settings())
    >>> one.hours, one.charged, one.kept, one.returned, one.pay
    (5.0, 300.0, 260.0, 40.0, 52.0)
    """
    history = History(log, settings)
    booked: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        booked[entry.board].append(entry)
    found = [
        GivenBack(
            board=board.board,
            called=board.called,
            ended=ended,
            hours=max(math.fsum(e.hours for e in booked[board.board]), board.total_hours or 0.0),
            charged=paid_for(board),
            returned=board.returned or 0.0,
            materials=board.materials,
        )
        for board in log.boards
        if taken_and_dropped(board, booked[board.board]) and (ended := history.ended(board)) is not None
    ]
    return tuple(sorted(found, key=lambda one: (one.ended, one.board)))


def given_back_in(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> AllGivenBack:
    """What was given back in a span of days; made: the boards that were made ready in it."""
    boards = tuple(one for one in given_back(log, settings) if within(one.ended, span))
    prices = ((one.price, price_of(log.by_id[one.board])) for one in made)
    return AllGivenBack(boards, math.fsum((full or 0.0) - (kept or 0.0) for kept, full in prices))
