"""One sheet of a log as rows of cells, each with its place in the file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from estimator.log.columns import Names, columns_of, plain
from estimator.words.problems import Problem

Cell = str | float | int | bool | dt.date | dt.datetime | dt.time | dt.timedelta
Cells = Sequence[Cell]

SEARCHED = 12  # rows from the top among which the names of the columns are looked for
LONGEST = 60  # letters of what was found that a message shows
MUST = {
    "boards": ("board",),
    "hours": ("board", "date", "stage", "hours"),
    "told": ("board", "date"),
    "waits": ("board", "from", "for"),
    "weights": ("board", "date", "weight"),
}


@dataclass(frozen=True, slots=True)
class SheetTable:
    """The rows of one sheet below the names of its columns.

    sheet: boards, hours, told, waits or weights
    place: "hours.csv", or "log.xlsx, sheet hours"
    lettered: whether cells have letters, as in a spreadsheet
    columns: the known columns and where they stand, from 0
    rows: line or row number, from 1, and cells, texts without spaces around them; empty rows are left out
    """

    sheet: str
    place: str
    lettered: bool
    columns: Mapping[str, int]
    rows: tuple[tuple[int, Cells], ...] = ()

    def at_row(self, number: int) -> str:
        """The place of a row.

        >>> SheetTable("hours", "hours.csv", False, {}).at_row(12)
        'hours.csv, line 12'
        """
        return f"{self.place}, {'row' if self.lettered else 'line'} {number}"

    def at(self, number: int, column: str) -> str:
        """The place of a cell; of its row where there is no such column.

        >>> SheetTable("boards", "log.xlsx, sheet boards", True, {"length": 3}).at(7, "length")
        'log.xlsx, sheet boards, cell D7'
        >>> SheetTable("boards", "boards.csv", False, {"length": 3}).at(7, "length")
        'boards.csv, line 7, length'
        """
        if column not in self.columns:
            return self.at_row(number)
        if not self.lettered:
            return f"{self.at_row(number)}, {column}"
        return f"{self.place}, cell {letters(self.columns[column])}{number}"

    def named(self, cells: Cells) -> dict[str, Cell]:
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


def unopened(place: str) -> Problem:
    """The problem of a file that the machine does not let us read."""
    cure = "Close it in other programs, and see whether you may read it."
    return Problem(place, "", "this file cannot be opened", cure)


def empty(cell: Cell) -> bool:
    """Whether nothing is written in a cell."""
    return isinstance(cell, str) and not cell.strip()


def shown(cell: Cell) -> str:
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


def headed(
    grid: Sequence[tuple[int, Cells]], at: int, names: Names, place: str, *, lettered: bool
) -> tuple[SheetTable, list[Problem], list[Problem]]:
    """The table below row `at`, which names the columns, with the problems and the notes of its header.

    grid: the rows that hold anything, and their numbers
    at: place of that row in the grid, -1 where there is none
    """
    if at < 0:
        cure = f"Write a first row with the names: {', '.join(MUST[names.sheet])}."
        wrong = "no row at its head names the columns" if grid else "there is nothing in it"
        return SheetTable(names.sheet, place, lettered, {}), [Problem(place, "", wrong, cure)], []
    number, header = grid[at]
    columns, troubles = columns_of(header, names)
    table = SheetTable(names.sheet, place, lettered, columns, tuple(_below(grid[at + 1 :], header)))
    problems = []
    for column, wrong, cure in troubles:
        where = f"{place}, cell {letters(column)}{number}" if lettered else table.at_row(number)
        problems.append(Problem(where, shown(header[column]), wrong, cure))
    missing = [name for name in MUST[names.sheet] if name not in columns]
    for name in missing if names.sheet != "boards" else ():  # boards without a number get one
        wrong = f"there is no column “{name}”"
        problems.append(Problem(table.at_row(number), "", wrong, f"Add a column with the name {name}."))
    notes = list(_nameless(table, header, number))
    if missing and names.sheet != "boards":
        table = SheetTable(names.sheet, place, lettered, columns)
    return table, problems, notes


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
