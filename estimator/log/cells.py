"""The cells of one row, each read as what it should be, with a problem for each that is something else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TypeVar

from estimator.log.columns import plain
from estimator.log.tables import Cell, Table, shown
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError
from estimator.words.numerals import quoted
from estimator.words.problems import Problem
from estimator.words.settings_values import nearest
from estimator.words.worked_time import WorkedTime, read_worked_time

T = TypeVar("T")

DASHES = frozenset({"?", "-", "–", "—"})  # an answer that says nothing, outside of quantities
YES = frozenset({"yes", "y", "true", "x", "✓", "✔", "1", "done", "finished"})
NO = frozenset({"no", "n", "false", "0", "not done", "not yet", "unfinished"})


@dataclass(slots=True)
class Row:
    """One row of a table, its problems kept as its cells are read.

    cells: what stands in its columns, by name; without the empty ones
    style: how an ambiguous date is read, as the settings say
    today: dates of what has happened may not lie after it; None: not looked at
    hours_in_a_day: what "a day" means
    """

    table: Table
    number: int
    cells: Mapping[str, Cell]
    problems: list[Problem]
    style: str
    today: dt.date | None
    hours_in_a_day: float

    @property
    def where(self) -> str:
        """The place of the row."""
        return self.table.at_row(self.number)

    def at(self, column: str) -> str:
        """The place of a cell."""
        return self.table.at(self.number, column)

    def cell(self, column: str) -> Cell:
        """What stands in a column; an empty text where nothing does or where there is no such column."""
        return self.cells.get(column, "")

    def written(self, column: str) -> Cell:
        """What stands in a column; an empty text too where a question mark or a dash stands for nothing."""
        found = self.cells.get(column, "")
        return "" if found in DASHES else found

    def wrong(self, column: str, wrong: str, cure: str) -> None:
        """Keeps a problem of a cell."""
        self.problems.append(Problem(self.at(column), shown(self.cell(column)), wrong, cure))

    def read(self, column: str, reader: Callable[[Cell], T]) -> T | None:
        """What a reader of words makes of a cell; None where nothing is written, or with a problem."""
        found = self.written(column)
        return None if found == "" else self.made(column, found, reader)

    def made(self, column: str, found: Cell, reader: Callable[[Cell], T]) -> T | None:
        """What a reader makes of what was found in a cell; None with a problem where it cannot read it."""
        try:
            return reader(found)
        except UnreadableError as error:
            said = error.wrong.removeprefix(quoted(found))
            self.wrong(column, error.wrong if said == error.wrong else f"that{said}", error.cure)
            return None

    def text(self, column: str) -> str:
        """What is written in a cell, as one line of text."""
        found = self.written(column)
        return "" if found == "" else one_line(found)

    def word(self, column: str, words: Iterable[str], also: Mapping[str, str] = MappingProxyType({})) -> str:
        """One of the words, in any spelling; an empty text where there is none, or with a problem.

        also: further words, plainly spelt, to the one that is meant
        """
        found = self.text(column)
        if not found:
            return ""
        known = {**also, **{plain(word): word for word in words}}
        if plain(found) not in known:
            self.wrong(column, "that is not one of the words known here", nearest(found.casefold(), words))
        return known.get(plain(found), "")

    def yes_no(self, column: str) -> bool | None:
        """Yes or no in various words; None where nothing is written, or with a problem."""
        found = self.written(column)
        if found == "":
            return None
        said = yes_or_no(found)
        if said is None:
            self.wrong(column, "that says neither yes nor no", "Write yes or no.")
        return said

    def date(self, column: str, *, past: bool = False) -> dt.date | None:
        """A date; None where nothing is written, or with a problem.

        past: whether it speaks of what has happened, and so may not lie after today
        """
        day = self.read(column, lambda found: _date(found, self.style))
        return None if day and past and self.to_come(column, day) else day

    def to_come(self, column: str, day: dt.date) -> bool:
        """Whether a day is still to come, which is a problem for what has happened."""
        later = self.today is not None and day > self.today
        if later:
            self.wrong(column, f"that day is still to come (today is {self.today})", "Correct the date.")
        return later

    def time(self, column: str) -> WorkedTime | None:
        """Worked time; None where nothing is written, or with a problem."""
        return self.read(column, lambda found: time_in(found, self.hours_in_a_day))


# a notebook says the same few days and hours over and over
_date = lru_cache(maxsize=10_000, typed=True)(read_date)
time_in = lru_cache(maxsize=10_000, typed=True)(read_worked_time)


def one_line(found: Cell) -> str:
    """What is written, with single spaces; a whole number without its point; a day without its midnight.

    >>> one_line(12.0), one_line(" red  nine-four")
    ('12', 'red nine-four')
    """
    if isinstance(found, dt.datetime) and found.time() == dt.time():
        found = found.date()
    if isinstance(found, float) and found.is_integer() and abs(found) < 1e15:
        found = int(found)
    return " ".join(str(found).split())


def yes_or_no(found: Cell) -> bool | None:
    """Whether a word says yes or no; None where it says neither.

    >>> yes_or_no("Yes"), yes_or_no(0.0), yes_or_no("perhaps")
    (True, False, None)
    """
    if isinstance(found, bool):
        return found
    word = one_line(found).casefold().rstrip(".!")
    return True if word in YES else False if word in NO else None
