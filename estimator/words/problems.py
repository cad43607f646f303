"""A problem is a value in four parts: where it is, what was found, what is wrong with it, what to do."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from estimator.words.json_form import JsonForm

if TYPE_CHECKING:
    from collections.abc import Iterable


THE_BOOK = "book.sqlite"  # the log in one file; its sheets have rows, and columns by their names


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands, as data; as a text it is what a message shows.

    source: the file; empty for what stands nowhere
    sheet: title of a sheet of a spreadsheet; empty in a file that has no sheets
    row: number of the row or line, from 1; 0 is all of it
    column: name of the column, in a spreadsheet its letters; empty is the whole row
    path: in a settings file the section, and the keys that lead on from there

    >>> print(Place("hours.csv", row=12, column="hours"))
    hours.csv, line 12, hours
    >>> print(Place("log.xlsx", "hours", 41, "D"), "and", Place("log.xlsx", "hours", 41))
    log.xlsx, sheet hours, cell D41 and log.xlsx, sheet hours, row 41
    >>> print(Place("book.sqlite", "hours", 41, "stage"))
    book.sqlite, sheet hours, row 41, stage
    >>> print(Place("workshop.toml", path=("[bench]", "places")))
    workshop.toml, [bench], places
    """

    source: str
    sheet: str = ""
    row: int = 0
    column: str = ""
    path: tuple[str, ...] = ()

    def __str__(self) -> str:
        """The place as a message shows it: file, sheet, cell or line, in that order."""
        sheet = (f"sheet {self.sheet}",) if self.sheet else ()
        return ", ".join((self.source, *sheet, *self.path, *self._in_sheet()))

    def _in_sheet(self) -> tuple[str, ...]:
        """The row and the column in words."""
        if not self.row:
            return ()
        if self.lettered:
            return (f"cell {self.column}{self.row}" if self.column else f"row {self.row}",)
        if self.sheet:
            return (f"row {self.row}", self.column) if self.column else (f"row {self.row}",)
        return (f"line {self.row}", self.column) if self.column else (f"line {self.row}",)

    @property
    def lettered(self) -> bool:
        """Whether it is in a spreadsheet, where columns go by their letters."""
        return bool(self.sheet) and self.source != THE_BOOK

    @property
    def in_short(self) -> str:
        """A row in words, without its sheet.

        >>> Place("log.xlsx", "hours", 41).in_short, Place("hours.csv", row=12).in_short
        ('row 41', 'line 12')
        """
        return ", ".join(self._in_sheet())

    @property
    def whole_sheet(self) -> Place:
        """The sheet, or the file where there are none, without the row and the column."""
        return replace(self, row=0, column="")

    @property
    def whole_row(self) -> Place:
        """The row without the column."""
        return replace(self, column="")


NOWHERE = Place("")


@dataclass(frozen=True, slots=True)
class Problem(JsonForm):
    """One thing that the restorer should know or mend.

    found: what stands there, as written
    wrong: what is wrong with it, in the restorer's words, a clause without a full stop
    cure: what to do, one sentence
    """

    place: Place
    found: str
    wrong: str
    cure: str

    def _json(self) -> dict[str, object]:
        """By hand: JSON has the place as the text that a message shows, under the name `where`."""
        return {"where": self.where, "found": self.found, "wrong": self.wrong, "cure": self.cure}

    @property
    def where(self) -> str:
        """The place in words, as "hours.csv, line 12, hours"."""
        return str(self.place)

    def said(self) -> str:
        """Where, found and wrong as one sentence, without the cure.

        >>> place = Place("hours.csv", row=12, column="hours")
        >>> Problem(place, "2,5O", "that is not a time", "Write 2.5 or 2:30.").said()
        'hours.csv, line 12, hours: "2,5O": that is not a time.'
        """
        found = f' "{self.found}":' if self.found else ""
        return f"{self.where}:{found} {self.wrong}."

    def sentence(self) -> str:
        """The whole problem as one sentence and its cure.

        >>> Problem(Place("boards.csv", row=3), "", "the board has no id", "Give it one.").sentence()
        'boards.csv, line 3: the board has no id. Give it one.'
        """
        return f"{self.said()} {self.cure}".strip()


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The same problems, each once, sorted by place; line 9 stands before line 10.

    In a spreadsheet they go down each column in turn, then along the whole rows.

    >>> nine, ten = (Problem(Place("a", row=row), "", "", "") for row in (9, 10))
    >>> [str(problem.place) for problem in in_order([ten, nine, ten])]
    ['a, line 9', 'a, line 10']
    """
    return tuple(sorted(dict.fromkeys(problems), key=_order))


def _order(problem: Problem) -> tuple[object, ...]:
    """What problems are sorted by: their place part by part, then what is wrong."""
    place = problem.place
    row: tuple[object, ...] = (place.row, place.column)
    if place.sheet:
        row = (bool(place.row), not place.column, place.column, place.row)
    names = (_counted(place.source), _counted(place.sheet), tuple(map(_counted, place.path)))
    return *names, row, f"{problem.wrong}{problem.found}"


def _counted(name: str) -> list[tuple[int, int, str]]:
    """A name to sort by, its numbers as numbers."""
    return [(1, int(p), "") if p.isdecimal() else (0, 0, p) for p in re.split(r"(\d+)", name)]
