"""Spreadsheets, xlsx and ods, as tables."""

from __future__ import annotations

import io
from collections.abc import Mapping

from estimator.log.columns import Names, plain
from estimator.log.tables import Cells, RawSheet, empty, header_among
from estimator.words.problems import Place, Problem


def raw_workbook(
    data: bytes, file: str, names: Mapping[str, Names]
) -> tuple[list[RawSheet], list[Problem], list[Problem]]:
    """The sheets in the bytes of a spreadsheet as they stand, its problems and its notes; file: its name.

    A sheet is found by its name in any case; a sheet of another name is not read, which a note says. Empty
    sheets are as if they were not there.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    found: dict[str, RawSheet] = {}
    problems: list[Problem] = []
    notes: list[Problem] = []
    others: list[str] = []
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = {
            title: book.get_sheet_by_name(title).to_python(skip_empty_area=False)
            for title in book.sheet_names
        }
    except CalamineError:
        cure = "Open it in your spreadsheet program and save it again, without a password."
        return [], [Problem(Place(file), "", "this file cannot be opened as a spreadsheet", cure)], []
    for title, rows in sheets.items():
        grid: list[tuple[int, Cells]] = [
            (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
            for number, cells in enumerate(rows, 1)
            if not all(map(empty, cells))
        ]
        sheet = plain(title)
        if sheet not in names or sheet in found:
            others += [title] if grid else []
        elif grid:
            at = header_among((cells for _, cells in grid), names[sheet])[0]
            found[sheet] = RawSheet(sheet, Place(file, title), grid, at)
    if not any(plain(title) == "boards" for title in sheets):
        wrong = "there is no sheet “boards” in it" + (f", only {', '.join(sheets)}" if sheets else "")
        problems.append(
            Problem(Place(file), "", wrong, "Call the sheet with one row for each board “boards”.")
        )
    elif others:
        wrong = f"not read: {'sheet' if len(others) == 1 else 'sheets'} {', '.join(others)}"
        notes.append(Problem(Place(file), "", wrong, ""))
    return list(found.values()), problems, notes
