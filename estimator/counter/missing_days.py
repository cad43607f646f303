"""What is asked before a quarter is counted, as far as it is still missing: why days are empty, what boards lack."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from estimator.bench.calendar import Calendar
from estimator.counter.kept_parts import PagePart
from estimator.log.steps.leaving import owed
from estimator.log.steps.missing import MATERIALS, PAID, PRICE, READY
from estimator.log.steps.read_back import AsWritten
from estimator.words.dates import A_DAY, say_exactly
from estimator.words.money import say_price
from estimator.words.page_labels import page_label
from estimator.words.records import Board, Log

AWAY = "away"
DAY, HOURS = "day", "hours"


@dataclass(frozen=True, slots=True)
class EmptyDays:
    """Working days, one after the other, of which nothing is written. field: of the form; words: the days"""

    field: str
    words: str


@dataclass(frozen=True, slots=True)
class Lacking:
    """What is not written of a board. field: of the form, empty where it is written elsewhere; words: what is asked"""

    field: str
    board: str
    words: str
    mode: str = ""


def still_missing(
    parts: Iterable[PagePart], now: AsWritten, today: dt.date, *, apart: bool = False
) -> tuple[list[EmptyDays], list[Lacking]]:
    """The days and the boards that were found wanting, and are so still.

    parts: JSON of what was missing, as the worker left it; apart: each day by itself
    """
    found = [json.loads(str(part)) for part in parts]
    written = _written(now.log)
    days = sorted(dt.date.fromisoformat(of) for what, of in found if what == DAY)
    week = now.settings.bench.hours_by_weekday
    runs = _runs([day for day in days if not written(day)], week, apart=apart)
    boards = now.log.by_id
    lacking = [
        _lacking(what, boards[of], now)
        for what, of in found
        if what != DAY and of in boards and _lacks(what, boards[of], now)
    ]
    return [_days(run, today) for run in runs], lacking


def empty_days(now: AsWritten, days: Sequence[dt.date], today: dt.date) -> list[EmptyDays]:
    """Of these days those before today on which one works and of which nothing is written, each by itself."""
    written, calendar = _written(now.log), Calendar.of(now.settings.bench)
    empty = [day for day in days if day < today and calendar.works(day) and not written(day)]
    return [_days((day, day), today) for day in empty]


def _written(log: Log) -> Callable[[dt.date], bool]:
    """Whether anything is written of a day."""
    spans = [(entry.date, entry.last) for entry in log.entries]
    spans += [(wait.first, wait.until or wait.first) for wait in log.waits if wait.cause == AWAY]
    return lambda day: any(first <= day <= last for first, last in spans)


def _runs(
    days: Sequence[dt.date], week: Sequence[float], *, apart: bool
) -> Iterator[tuple[dt.date, dt.date]]:
    """First and last of days between which nobody works."""
    runs: list[tuple[dt.date, dt.date]] = []
    for day in days:
        if runs and not apart and not any(week[between.weekday()] for between in _between(runs[-1][1], day)):
            runs[-1] = runs[-1][0], day
        else:
            runs.append((day, day))
    yield from runs


def _between(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """The days after one and before another."""
    return (first + n * A_DAY for n in range(1, (last - first).days))


def _days(run: tuple[dt.date, dt.date], today: dt.date) -> EmptyDays:
    """Days as they are asked about."""
    first, last = run
    if first == last:
        return EmptyDays(f"{DAY}.{first.isoformat()}", say_exactly(first, today))
    words = page_label("days-to").format(first=say_exactly(first, today), last=say_exactly(last, today))
    return EmptyDays(f"{DAY}.{first.isoformat()}/{last.isoformat()}", words)


def _lacks(what: str, board: Board, now: AsWritten) -> bool:
    """Whether it is still not written."""
    if what == PRICE:
        return board.price_charged is None
    if what == MATERIALS:
        return board.materials is None
    if what == READY:
        return board.ready is None and board.collected is None
    return what != PAID or (owed(now, board) or 0.0) > 0


def _lacking(what: str, board: Board, now: AsWritten) -> Lacking:
    """What is asked of a board."""
    rest = say_price(owed(now, board) or 0.0, now.settings.workshop.currency) if what == PAID else ""
    words = page_label(f"lacks-{what}").format(board=board.name, rest=rest)
    if what == HOURS:
        return Lacking("", board.board, words)
    return Lacking(f"{what}.{board.board}", board.board, words, "" if what == READY else "decimal")
