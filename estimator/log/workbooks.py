"""Spreadsheets, xlsx and ods, as tables."""

from __future__ import annotations

import io
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from estimator.log.columns import Names, plain
from estimator.log.tables import CellValue, Grid, RawSheet, empty, header_among, letters, shown
from estimator.log.workbook_marks import MOST_CELLS, SAVE_AGAIN, Marks, SheetMarks, marks_of
from estimator.words.errors import UnreadableError
from estimator.words.measures import printable
from estimator.words.problems import Place, Problem

TOO_OLD = (
    "this is a spreadsheet of an older kind, or one with a password",
    "Save it again as .xlsx or .ods, without a password.",
)
OLDER = b"\xd0\xcf\x11\xe0"  # how a spreadsheet before xlsx begins, and one with a password
NOT_KNOWN: CellValue = "?"  # stands where a value is missing, so that it is not taken for none


@dataclass(frozen=True, slots=True)
class WorkbookSheet:
    """A sheet of a spreadsheet: its rows that hold anything, texts without spaces around them, and its marks."""

    title: str
    place: Place
    rows: Grid
    marks: SheetMarks


def sheets_in(
    data: bytes, file: str, wanted: Callable[[Marks], Collection[str]]
) -> tuple[list[WorkbookSheet], list[Problem], Marks | None]:
    """The sheets that are wanted of those in the bytes of a spreadsheet, and what is wrong with it; file: its name.

    wanted: their titles, out of what the file says beside its values. No marks where it cannot be opened at all.
    It is measured before it is read, and nothing is where it is an older kind, or spans more than any log needs.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    whole = Place(file)
    if data.startswith(OLDER):
        return [], [Problem(whole, "", *TOO_OLD)], None
    try:
        marks = marks_of(data)
        titles = list(wanted(marks))
        if troubles := list(too_far(marks, file, titles)):
            return [], troubles, None
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        read = {title: book.get_sheet_by_name(title).to_python(skip_empty_area=False) for title in titles}
    except UnreadableError as error:
        return [], [Problem(whole, "", error.wrong, error.cure)], None
    except CalamineError:
        return [], [Problem(whole, "", "this file cannot be opened as a spreadsheet", SAVE_AGAIN)], None
    sheets = []
    for title, rows in read.items():
        for (row, column), text in marks.sheets[title].texts.items():
            rows[row][column] = text
        grid: Grid = [
            (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
            for number, cells in enumerate(rows, 1)
            if not all(map(empty, cells))
        ]
        sheets.append(WorkbookSheet(title, Place(file, printable(title)), grid, marks.sheets[title]))
    return sheets, [], marks


def raw_workbook(
    data: bytes, file: str, names: Mapping[str, Names]
) -> tuple[list[RawSheet], list[Problem], list[Problem]]:
    """The sheets in the bytes of a spreadsheet as they stand, its problems and its notes; file: its name.

    A sheet is found by its name in any case; a sheet of another name is not read, which a note says. Empty
    sheets are as if they were not there. A cell without a value that ought to have one, for its formula fails or it
    lies under a merged one, is a problem and not known.
    """
    sheets, problems, marks = sheets_in(data, file, lambda marks: _titles(marks, names)[0].values())
    if marks is None:
        return [], problems, []
    found: list[RawSheet] = []
    for one in sheets:
        sheet = plain(one.title)
        at = header_among((cells for _, cells in one.rows), names[sheet])[0]
        grid, lost = with_marks(one.rows, at, one.marks, one.place)
        problems += lost
        found += [RawSheet(sheet, one.place, grid, at)] if grid else []
    whole, others = Place(file), _titles(marks, names)[1]
    notes: list[Problem] = []
    if not any(plain(title) == "boards" for title in marks.sheets):
        wrong = "there is no sheet “boards” in it"
        wrong += f", only {', '.join(map(printable, marks.sheets))}" if marks.sheets else ""
        problems.append(Problem(whole, "", wrong, "Call the sheet with one row for each board “boards”."))
    elif others:
        wrong = f"not read: {'sheet' if len(others) == 1 else 'sheets'} {', '.join(others)}"
        notes.append(Problem(whole, "", wrong, ""))
    return found, problems, notes


def _titles(marks: Marks, names: Mapping[str, Names]) -> tuple[dict[str, str], list[str]]:
    """The title of each sheet of ours that is there, and the titles of the others that hold anything."""
    ours: dict[str, str] = {}
    others = []
    for title, sheet in marks.sheets.items():
        if plain(title) in names and plain(title) not in ours and sheet.filled:
            ours[plain(title)] = title
        elif sheet.filled:
            others.append(printable(title))
    return ours, others


def too_far(marks: Marks, file: str, titles: Collection[str]) -> Iterator[Problem]:
    """A problem for each sheet that spans more cells than can be read; then nothing of the file is.

    Of sheets that do so only together it is the one that spans most.
    titles: of the sheets that are to be read
    """
    read = {title: sheet for title, sheet in marks.sheets.items() if marks.at_once or title in titles}
    wide = [title for title, sheet in read.items() if sheet.too_far]
    if not wide and sum(sheet.span for sheet in read.values()) > MOST_CELLS:
        wide = [max(read, key=lambda title: read[title].span)]
    for title in wide:
        row, column = read[title].last
        where = f"{letters(max(column, 0))}{row + 1}"
        wrong = f"this sheet reaches as far as {where}, and nothing of the file is read"
        cure = "Delete the rows and the columns outside of your table, and save it."
        yield Problem(Place(file, printable(title)), "", wrong, cure)


def _without_lost(
    rows: dict[int, list[CellValue]], marks: SheetMarks, place: Place, counts: Callable[[int, int], bool]
) -> list[Problem]:
    """Puts the sign that a value is not known into cells that have lost theirs; a problem for each.

    rows: by number, from 1; they are changed
    counts: whether a cell, by the number of its row and its column from 0, is read at all
    """
    problems = []
    for (row, column), (found, wrong) in marks.broken.items():
        if counts(row + 1, column):
            _not_known(rows.setdefault(row + 1, []), column)
            where = replace(place, row=row + 1, column=letters(column))
            cure = "Mend the formula, or write the value itself, and save it."
            problems.append(Problem(where, found, wrong, cure))
    return problems


def with_marks(grid: Grid, head: int, marks: SheetMarks, place: Place) -> tuple[Grid, list[Problem]]:
    """The rows with a sign that it is not known in each cell that has lost its value, and the problems.

    Only what stands under the name of a column counts; a title over them may be merged as one likes.
    head: the place among the rows of the one with those names, -1 where none has
    """
    if head < 0:
        return grid, []
    at, names = grid[head]
    rows = {number: list(cells) for number, cells in grid}
    named = {column for column, name in enumerate(names) if not empty(name)}
    problems = _without_lost(rows, marks, place, lambda row, column: row > at and column in named)
    below = sorted(number for number in rows if number > at)
    for (first, left), (last, right) in marks.merged:
        over = below[bisect_left(below, first + 1) : bisect_right(below, last + 1)]
        hidden = {
            (number, column)
            for number in over
            for column in named & set(range(left, right + 1))
            if (number, column) != (first + 1, left)
        }
        for number, column in hidden:
            _not_known(rows[number], column)
        if hidden:
            where = replace(place, row=first + 1, column=letters(left))
            there = rows.get(first + 1, [])
            found = shown(there[left]) if left < len(there) else ""
            wrong = (
                f"this cell is merged as far as {letters(right)}{last + 1}, and only the first of them counts"
            )
            problems.append(
                Problem(where, found, wrong, "Part them, and write into each what is true of it.")
            )
    return sorted(rows.items()), problems


def _not_known(cells: list[CellValue], column: int) -> None:
    """Puts the sign that a value is not known into a cell."""
    cells += [""] * (column + 1 - len(cells))
    cells[column] = NOT_KNOWN
