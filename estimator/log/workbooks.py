"""Spreadsheets, xlsx and ods, as tables."""

from __future__ import annotations

import io
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace

from estimator.log.columns import Names, plain
from estimator.log.tables import Cells, CellValue, RawSheet, empty, header_among, letters, shown
from estimator.log.workbook_marks import SAVE_AGAIN, Marks, SheetMarks, marks_of
from estimator.words.errors import UnreadableError
from estimator.words.measures import printable
from estimator.words.problems import Place, Problem

OLDER = b"\xd0\xcf\x11\xe0"  # how a spreadsheet before xlsx begins, and one with a password
NOT_KNOWN: CellValue = "?"  # stands where a value is missing, so that it is not taken for none


def raw_workbook(
    data: bytes, file: str, names: Mapping[str, Names]
) -> tuple[list[RawSheet], list[Problem], list[Problem]]:
    """The sheets in the bytes of a spreadsheet as they stand, its problems and its notes; file: its name.

    A sheet is found by its name in any case; a sheet of another name is not read, which a note says. Empty
    sheets are as if they were not there. A cell without a value that ought to have one, for its formula fails or it
    lies under a merged one, is a problem and not known.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    whole = Place(file)
    if data.startswith(OLDER):
        wrong = "this is a spreadsheet of an older kind, or one with a password"
        return [], [Problem(whole, "", wrong, "Save it again as .xlsx or .ods, without a password.")], []
    try:
        marks = marks_of(data)
        ours, others = _titles(marks, names)
        if troubles := list(too_far(marks, file, ours.values())):
            return [], troubles, []
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        read = {
            sheet: book.get_sheet_by_name(title).to_python(skip_empty_area=False)
            for sheet, title in ours.items()
        }
    except UnreadableError as error:
        return [], [Problem(whole, "", error.wrong, error.cure)], []
    except CalamineError:
        return [], [Problem(whole, "", "this file cannot be opened as a spreadsheet", SAVE_AGAIN)], []
    found: list[RawSheet] = []
    problems: list[Problem] = []
    notes: list[Problem] = []
    for sheet, rows in read.items():
        place = Place(file, printable(ours[sheet]))
        grid: list[tuple[int, Cells]] = [
            (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
            for number, cells in enumerate(rows, 1)
            if not all(map(empty, cells))
        ]
        at = header_among((cells for _, cells in grid), names[sheet])[0]
        grid, lost = _with_marks(grid, at, marks.sheets[ours[sheet]], place)
        problems += lost
        found += [RawSheet(sheet, place, grid, at)] if grid else []
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

    titles: of the sheets that are to be read
    """
    for title, sheet in marks.sheets.items():
        if sheet.too_far and (marks.at_once or title in titles):
            row, column = sheet.last
            where = f"{letters(max(column, 0))}{row + 1}"
            wrong = f"this sheet reaches as far as {where}, and nothing of the file is read"
            cure = "Delete the rows and the columns outside of your table, and save it."
            yield Problem(Place(file, printable(title)), "", wrong, cure)


def without_lost(
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


def _with_marks(
    grid: list[tuple[int, Cells]], head: int, marks: SheetMarks, place: Place
) -> tuple[list[tuple[int, Cells]], list[Problem]]:
    """The rows with a sign that it is not known in each cell that has lost its value, and the problems.

    Only what stands under the name of a column counts; a title over them may be merged as one likes.
    """
    if head < 0:
        return grid, []
    at, names = grid[head]
    rows = {number: list(cells) for number, cells in grid}
    named = {column for column, name in enumerate(names) if not empty(name)}
    problems = without_lost(rows, marks, place, lambda row, column: row > at and column in named)
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
