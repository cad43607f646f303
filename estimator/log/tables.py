"""The sheets of a log: raw, as rows of cells each with its place; and as tables, once their columns are known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from estimator.log.columns import Names, columns_of, plain
from estimator.words.measures import printable
from estimator.words.problems import THE_BOOK, Place, Problem

CellValue = str | float | int | bool | dt.date | dt.datetime | dt.time | dt.timedelta
Cells = Sequence[CellValue]
Grid = Sequence[tuple[int, Cells]]  # number of each row, from 1, and its cells

SEARCHED = 12  # rows from the top among which the names of the columns are looked for
KEPT_AS_IT_IS = "a column of your own: it is kept, goes out with every export, and is not read"
LONGEST = 60  # letters of what was found that a message shows
MUST = {
    "boards": ("board",),
    "hours": ("board", "date", "stage", "hours"),
    "told": ("board", "date"),
    "waits": ("board", "from", "for"),
    "weights": ("board", "date", "weight"),
    "notes": ("board", "date", "note"),
    "money": ("date", "in", "out", "what"),
}


class Cell(NamedTuple):
    """What stands in a cell, as it stands there, and where; a spreadsheet's is typed."""

    value: CellValue
    place: Place


@dataclass(frozen=True, slots=True)
class RawSheet:
    """One sheet as it stands: its rows that hold anything, none of them read yet.

    sheet: boards, hours, told, waits, weights, notes or money; place: the file, or the sheet of a spreadsheet
    rows: numbers and cells, texts without spaces around them; with the row that names the columns
    head: the place of that row among them, -1 where none does
    """

    sheet: str
    place: Place
    rows: Grid
    head: int

    def cells(self) -> Iterator[Cell]:
        """All cells that hold anything, with their places; in a file of texts a column goes by its written name.

        >>> for cell in RawSheet("told", Place("told.csv"), [(1, ["Board", "date"]), (2, ["A", ""])], 0).cells():
        ...     print(f"{cell.place}: {cell.value}")
        told.csv, line 1, Board: Board
        told.csv, line 1, date: date
        told.csv, line 2, Board: A
        """
        names = self.rows[self.head][1] if self.head >= 0 else ()
        for number, cells in self.rows:
            for column, value in enumerate(cells):
                if not empty(value):
                    by_name = not self.place.lettered and column < len(names)
                    name = shown(names[column]) if by_name else letters(column)
                    yield Cell(value, replace(self.place, row=number, column=name))


@dataclass(frozen=True, slots=True)
class RawLog:
    """All sheets of a log as they stand, in the order in which they are read.

    source: the files that were read, by name; notes: what is to be said of them, and is no problem
    """

    sheets: tuple[RawSheet, ...] = ()
    source: str = ""
    notes: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetTable:
    """The rows of one sheet below the names of its columns.

    sheet: boards, hours, told, waits, weights, notes or money
    place: the file, or the sheet of a spreadsheet
    columns: the known columns and where they stand, from 0
    rows: line or row number, from 1, and cells, texts without spaces around them; empty rows are left out
    """

    sheet: str
    place: Place
    columns: Mapping[str, int]
    rows: tuple[tuple[int, Cells], ...] = ()

    def at_row(self, number: int) -> Place:
        """The place of a row."""
        return replace(self.place, row=number)

    def at(self, number: int, column: str) -> Place:
        """The place of a cell; of its row where there is no such column.

        >>> print(SheetTable("boards", Place("log.xlsx", "boards"), {"length": 3}).at(7, "length"))
        log.xlsx, sheet boards, cell D7
        >>> print(SheetTable("boards", Place("boards.csv"), {"length": 3}).at(7, "length"))
        boards.csv, line 7, length
        """
        if column not in self.columns:
            return self.at_row(number)
        name = letters(self.columns[column]) if self.place.lettered else column
        return replace(self.place, row=number, column=name)

    def named(self, cells: Cells) -> dict[str, CellValue]:
        """What stands in the columns of a row, by their names; without what is empty."""
        return {name: cells[at] for name, at in self.columns.items() if at < len(cells) and cells[at] != ""}


def letters(column: int) -> str:
    """The letters over a column of a spreadsheet, counted from 0.

    >>> letters(0), letters(25), letters(26), letters(701), letters(702)
    ('A', 'Z', 'AA', 'ZZ', 'AAA')
    """
    named = ""
    column += 1
    while column:
        column, last = divmod(column - 1, 26)
        named = chr(ord("A") + last) + named
    return named


def unopened(file: str) -> Problem:
    """The problem of a file that the machine does not let us read."""
    cure = "Close it in other programs, and see whether you may read it."
    return Problem(Place(file), "", "this file cannot be opened", cure)


def empty(cell: CellValue) -> bool:
    """Whether nothing is written in a cell."""
    return isinstance(cell, str) and not cell.strip()


def shown(cell: CellValue) -> str:
    """A cell as a message shows it, cut short where it is long.

    >>> shown(12.0), shown(dt.datetime(2026, 3, 4)), shown("a  b"), shown(True)
    ('12', '2026-03-04', 'a b', 'yes')
    """
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, dt.datetime) and cell.time() == dt.time():
        cell = cell.date()
    text = f"{cell:.12g}" if isinstance(cell, float) else " ".join(str(cell).split())
    return text if len(text) <= LONGEST else text[: LONGEST - 2] + " …"


def header_among(rows: Iterable[Cells], names: Names) -> tuple[int, int]:
    """Which of the rows names the columns, and how many of its names are known; -1 and 0 if none does."""
    best, most = -1, 0
    for at, cells in enumerate(rows):
        if at >= SEARCHED:
            break
        known = len({names.find(cell) for cell in cells} - {""})
        if known > most:
            best, most = at, known
    return best, most


def headed(raw: RawSheet, names: Names) -> tuple[SheetTable, list[Problem], list[Problem]]:
    """The table below the row that names the columns, its problems and its notes.

    Control characters are taken out of its cells, which is a problem of each.
    """
    place, grid = raw.place, [(number, [_printable(cell) for cell in cells]) for number, cells in raw.rows]
    if raw.head < 0:
        cure = f"Write a first row with the names: {', '.join(MUST[names.sheet])}."
        wrong = "no row at its head names the columns" if grid else "there is nothing in it"
        return SheetTable(raw.sheet, place, {}), [Problem(place, "", wrong, cure)], []
    number, header = grid[raw.head]
    columns, troubles = columns_of(header, names)
    table = SheetTable(raw.sheet, place, columns, tuple(_below(grid[raw.head + 1 :], header)))
    problems, notes = [], []
    for column, wrong, cure in troubles:
        where = replace(place, row=number, column=letters(column) if place.lettered else "")
        if place.source == THE_BOOK:  # they came in with somebody's spreadsheet, and nobody can rename them
            notes.append(Problem(place, shown(header[column]), KEPT_AS_IT_IS, ""))
        else:
            problems.append(Problem(where, shown(header[column]), wrong, cure))
    problems += _changed(raw, grid, table)
    missing = [name for name in MUST[names.sheet] if name not in columns]
    for name in missing if names.sheet != "boards" else ():  # boards without a number get one
        wrong = f"there is no column “{name}”"
        problems.append(Problem(table.at_row(number), "", wrong, f"Add a column with the name {name}."))
    notes += _nameless(table, header, number)
    if missing and names.sheet != "boards":
        table = SheetTable(raw.sheet, place, columns)
    return table, problems, notes


def _printable(cell: CellValue) -> CellValue:
    """What stands in a cell, without control characters."""
    return printable(cell) if isinstance(cell, str) else cell


def _changed(raw: RawSheet, grid: Grid, table: SheetTable) -> Iterator[Problem]:
    """A problem for each cell out of which something was taken."""
    names = {at: name for name, at in table.columns.items()}
    for (number, before), (_, after) in zip(raw.rows, grid, strict=True):
        for at, cell in enumerate(after):
            if cell != before[at]:
                where = table.at(number, names[at]) if at in names else table.at_row(number)
                wrong = "control characters stand in it, which are left out"
                yield Problem(where, shown(cell), wrong, "Type the cell anew.")


def _below(grid: Iterable[tuple[int, Cells]], header: Cells) -> Iterable[tuple[int, Cells]]:
    """The rows without repeated headers."""
    for number, cells in grid:
        if cells[0] != header[0] or [plain(cell) for cell in cells] != [plain(name) for name in header]:
            yield number, cells


def _nameless(table: SheetTable, header: Cells, number: int) -> Iterable[Problem]:
    """A note for each column without a name that holds anything."""
    for column, name in enumerate(header):
        if not empty(name):
            continue
        cells = sum(len(row) > column and not empty(row[column]) for _, row in table.rows)
        if cells:
            wrong = f"column {letters(column)} has no name, and what stands in it is not read (rows: {cells})"
            yield Problem(table.at_row(number), "", wrong, "Name it, or leave it.")
