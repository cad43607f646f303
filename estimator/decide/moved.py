"""What one more board does to the dates of the boards in hand, on the same draws with it and without."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from estimator.bench.outlook import Outlook
from estimator.bench.promises import Dates
from estimator.model.saved_fit import Array, KnownBoard

WORTH_A_WORD = 3  # days by which a date moves from which it is spoken of
WORTH_A_CHANCE = 0.05  # chance of being in time, likewise


@dataclass(frozen=True, slots=True)
class Moved:
    """A board in hand without the board that is weighed, and with it.

    told: the last day that its owner goes by; kept_before, kept_after: the chance of that, None where none was told
    """

    board: str
    name: str
    before: Dates
    after: Dates
    told: dt.date | None = None
    kept_before: float | None = None
    kept_after: float | None = None

    @property
    def fell(self) -> float:
        """By how much the chance of the day told falls; less than 0 where it rises, 0 where none was told."""
        return (self.kept_before or 0.0) - (self.kept_after or 0.0)

    @property
    def later(self) -> int:
        """Days by which the day to tell its owner moves; less than 0 where it comes sooner."""
        return (self.after.high - self.before.high).days

    @property
    def worth_a_word(self) -> bool:
        """Whether it moves by days, or its chance does."""
        return abs(self.later) >= WORTH_A_WORD or abs(self.fell) >= WORTH_A_CHANCE

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "board": self.board,
            "before": self.before.as_dict(),
            "after": self.after.as_dict(),
            "told_last": self.told,
            "chance_kept_before": self.kept_before,
            "chance_kept_after": self.kept_after,
        }


@dataclass(frozen=True)
class AllMoved:
    """Every board in hand, before and after; and when the board that is weighed would be ready itself.

    say_yes_by: the day up to which that stands, None for one in hand
    left_out: names of boards in hand of which no date can be given
    """

    boards: tuple[Moved, ...]
    own: Dates
    say_yes_by: dt.date | None = None
    left_out: tuple[str, ...] = ()

    @property
    def newly(self) -> float:
        """How many more of the days told are missed, on average.

        Some draws keep a day that they missed before, for which board gets a free place is luck; they are taken off.
        """
        return max(math.fsum(one.fell for one in self.boards), 0.0)


def moved_by(outlook: Outlook, board: KnownBoard, today: dt.date) -> AllMoved:
    """Dates of the boards in hand before and after one more.

    board: one not taken on, who says yes within a week and waits behind all others; or one in hand, which is taken
    away for the dates before

    Raises NoAnswerError where no dates can be given.
    """
    at, yes = outlook.place_of(board.board), None
    if at is None:
        others, before = outlook, outlook.days.ready
        _, after, yes = outlook.days_of_one_more(board, today)
        own, rows = after[-1], list(range(len(outlook.jobs)))
    else:
        others = replace(
            outlook,
            boards=tuple(b for i, b in enumerate(outlook.boards) if i != at),
            jobs=tuple(job for i, job in enumerate(outlook.jobs) if i != at),
        )
        before, after = others.days.ready, outlook.days.ready
        own, rows = after[at], [i for i in range(len(outlook.jobs)) if i != at]
    moved = each_moved(others, before, after[rows])
    names: Mapping[str, str] = {b.board: b.name for b in outlook.hand.boards}
    left_out = tuple(names.get(one, one) for one in outlook.left_out)
    return AllMoved(moved, outlook.dates(own), yes, left_out)


def hours_in_hand(outlook: Outlook, but: str) -> float:
    """Hours still to work on the boards in hand, on average; but: a board that does not count."""
    jobs = (job for job in outlook.jobs if job.board != but)
    return math.fsum(float(job.hours.sum(axis=0).mean()) for job in jobs)


def each_moved(others: Outlook, before: Array, after: Array) -> tuple[Moved, ...]:
    """Each board in hand, from the days on which it is ready before and after, (n_boards, n_draws)."""
    moved = []
    for board, ready, then in zip(others.boards, before, after, strict=False):
        told = others.told.get(board.board)
        last = None if told is None else (told.last - others.hand.day).days
        moved.append(
            Moved(
                board=board.board,
                name=board.name,
                before=others.dates(ready),
                after=others.dates(then),
                told=None if told is None else told.last,
                kept_before=None if last is None else float(np.mean(ready <= last)),
                kept_after=None if last is None else float(np.mean(then <= last)),
            )
        )
    return tuple(moved)
