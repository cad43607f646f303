"""What is to become of rows that come into a book."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from estimator.log.tables import CellValue
from estimator.words.json_form import JsonForm
from estimator.words.problems import Place, Problem
from estimator.words.records import SHOP

DAY = {"waits": "from"}  # the column with the day of a row, where it is not date
APART = "\0"  # between the name of a file and the number of a sheet that is read on trial


@dataclass(slots=True)
class RowIn:
    """A row of a file.

    cells: in the form in which a book keeps them, by column; raw: as they stand; there: the row of the book that it is
    was: what stands there in that row
    """

    sheet: str
    place: Place
    cells: dict[str, str]
    raw: Sequence[CellValue]
    source: int  # which of the sheets that come in
    mark: str = ""
    there: int = 0
    was: Mapping[str, str] = field(default_factory=dict)

    @property
    def whole(self) -> dict[str, str]:
        """All its cells as they would stand in the book."""
        return {**self.was, **self.said}

    @property
    def said(self) -> dict[str, str]:
        """The cells that say anything: all of a row that went out of a book, else those that are filled."""
        return self.cells if self.mark else {name: cell for name, cell in self.cells.items() if cell}

    @property
    def differs(self) -> dict[str, str]:
        """What it says otherwise than the row of the book that it is."""
        return {name: cell for name, cell in self.said.items() if self.was.get(name, "") != cell}

    @property
    def board(self) -> str:
        """The board or boards that it is about; of one on none its day."""
        return board_of(self.sheet, self.cells)

    @property
    def day(self) -> str:
        """Its day."""
        return self.cells.get(DAY.get(self.sheet, "date"), "")


def board_of(sheet: str, cells: Mapping[str, str]) -> str:
    """The board or boards that a row is about; of one on none its day."""
    named = cells.get("boards" if sheet == "money" else "board", "")
    return named if named and named != SHOP else f"{named} {cells.get('date', '')}"


@dataclass(frozen=True, slots=True)
class RowChange(JsonForm):
    """A row of the book that becomes another; before, after: the cells that differ, of an owner only that they do."""

    where: Place
    sheet: str
    row: str
    before: Mapping[str, str]
    after: Mapping[str, str]


@dataclass(slots=True)
class MergePlan:
    """What is to be written, and what not.

    headings: columns that are not known, by sheet; added, changed: rows, the latter of a row that is there
    told: rows of what was told that are to be struck out, and told again as the file says
    struck: rows of the book that are to be struck out; skipped: how many are there already, by sheet
    gone: rows of the book, by sheet, that were in a file of ours when it was written, and no longer are
    left_out: rows that are not taken, because something is wrong with them
    """

    headings: dict[str, list[str]] = field(default_factory=dict)
    added: list[RowIn] = field(default_factory=list)
    changed: list[RowIn] = field(default_factory=list)
    told: list[RowIn] = field(default_factory=list)
    struck: list[tuple[str, int]] = field(default_factory=list)
    gone: dict[str, list[int]] = field(default_factory=dict)
    skipped: Counter[str] = field(default_factory=Counter)
    left_out: list[Place] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def on_trial(place: Place, source: int) -> Place:
    """A place by which rows of sheets that stand beside each other are told apart while they are tried."""
    return replace(place, source=f"{place.source}{APART}{source}")


def as_it_is(problem: Problem) -> Problem:
    """A problem of what was tried, where it is."""
    place = replace(problem.place, source=problem.place.source.partition(APART)[0])
    wrong, cure = (re.sub(rf"{APART}\d+", "", text) for text in (problem.wrong, problem.cure))
    return replace(problem, place=place, wrong=wrong, cure=cure)
