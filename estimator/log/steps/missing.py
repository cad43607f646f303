"""What was missing before a quarter is counted, written in one go: why days are empty, and what boards lack."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from estimator.log.edits import Cells, OwnRow
from estimator.log.steps.leaving import CollectedAndPaid, amount_of
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.writing import on_day
from estimator.words.dates import read_date
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.measures import number
from estimator.words.phrases import capital, say_count
from estimator.words.records import SHOP, Board
from estimator.words.settings.values import nearest

DAY_WAS = ("away", "did not work", "not written down")
PRICE, MATERIALS, READY, PAID = LACKING = ("price", "materials", "ready", "paid")
Rows = tuple[tuple[str, Cells], ...]
Fills = tuple[tuple[OwnRow, Cells], ...]


@dataclass(frozen=True, slots=True)
class MissingWritten:
    """What was missing, as it is said afterwards.

    days: by day, as 2026-08-03, or by first and last, as 2026-08-03/2026-08-14, one of DAY_WAS
    boards: by id what is said of it, by one of LACKING
    What is left empty stays missing.
    """

    verb: ClassVar[str] = "missing"
    days: Mapping[str, str] = field(default_factory=dict)
    boards: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row on the shop for each day, and the cells of boards.

        The field that an error names is `day.` or what is lacking, a full stop, and the day or the board.
        """
        rows = [self._day(written, was, now, day) for written, was in self.days.items() if was.strip()]
        fills: list[tuple[OwnRow, Cells]] = []
        filled = 0
        for name, said in self.boards.items():
            board = now.board(name)
            for what, text in said.items():
                if text.strip():
                    more, cells = _told_of(board, what, text.strip(), now, day)
                    rows += more
                    fills += cells
                    filled += 1
        if not rows and not fills:
            raise UsageError(
                "Nothing is answered yet.", "Say why one day is empty, or fill in one thing of a board."
            )
        explained = sum(bool(was.strip()) for was in self.days.values())
        return ActPlan(_label(explained, filled), "", tuple(rows), tuple(fills))

    def _day(self, written: str, was: str, now: AsWritten, today: dt.date) -> tuple[str, Cells]:
        """The row that says why a day is empty."""
        where = f"day.{written}"
        if was not in DAY_WAS:
            raise UsageError(f'"{was}" is no answer here.', nearest(was, DAY_WAS), field=where)
        style = now.settings.workshop.dates
        first, last = (read_date(end, style) for end in (written.split("/") * 2)[:2])
        if last > today:
            raise UsageError("That day is still to come.", "Answer for days that are over.", field=where)
        until = {"until": last.isoformat()} if last > first else {}
        return "hours", {"board": SHOP, "date": first.isoformat(), **until, "hours": "0", "note": was}


def _told_of(board: Board, what: str, text: str, now: AsWritten, day: dt.date) -> tuple[Rows, Fills]:
    """What is written of a board: lines of money, and its own cells."""
    try:
        if what == PAID:
            paid = CollectedAndPaid(board.board, text, collected=False).plan(now, day)
            return paid.rows, paid.fills
        if what == READY:
            cells = {"ready": on_day(text, day, now.settings).isoformat()}
        elif what in {PRICE, MATERIALS}:
            column = "price_charged" if what == PRICE else "materials"
            cells = {column: number(amount_of(text, now, what))}
        else:
            raise UsageError(f'"{what}" is nothing that is asked here.', nearest(what, LACKING))
    except EstimatorError as error:
        error.field = f"{what}.{board.board}"
        raise
    return (), ((now.row(board), cells),)


def _label(days: int, filled: int) -> str:
    """The act in one line.

    >>> _label(2, 1), _label(0, 3)
    ('2 empty days explained, 1 gap filled in', '3 gaps filled in')
    """
    said: Iterator[str] = (
        words
        for count, words in (
            (days, f"{say_count(days, 'empty day')} explained"),
            (filled, f"{say_count(filled, 'gap')} filled in"),
        )
        if count
    )
    return capital(", ".join(said))
