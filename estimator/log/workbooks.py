"""Spreadsheets, xlsx and ods, as tables."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from estimator.log.columns import Names, plain
from estimator.log.tables import Cells, SheetTable, empty, headed, header_among, unopened
from estimator.words.problems import Problem


def read_workbook(
    path: Path, names: Mapping[str, Names]
) -> tuple[dict[str, SheetTable], list[Problem], list[Problem]]:
    """The tables of a spreadsheet by the names of their sheets, its problems and its notes.

    A sheet is found by its name in any case; a sheet of another name is not read, which a note says. Empty
    sheets are as if they were not there.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    tables: dict[str, SheetTable] = {}
    problems: list[Problem] = []
    notes: list[Problem] = []
    others: list[str] = []
    try:
        book = CalamineWorkbook.from_path(path)
        sheets = {
            title: book.get_sheet_by_name(title).to_python(skip_empty_area=False)
            for title in book.sheet_names
        }
    except OSError:
        return {}, [unopened(path.name)], []
    except CalamineError:
        cure = "Open it in your spreadsheet program and save it again, without a password."
        return {}, [Problem(path.name, "", "this file cannot be opened as a spreadsheet", cure)], []
    for title, rows in sheets.items():
        grid: list[tuple[int, Cells]] = [
            (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
            for number, cells in enumerate(rows, 1)
            if not all(map(empty, cells))
        ]
        sheet = plain(title)
        if sheet not in names or sheet in tables:
            others += [title] if grid else []
        elif grid:
            at = header_among((cells for _, cells in grid), names[sheet])[0]
            place = f"{path.name}, sheet {title}"
            tables[sheet], troubles, remarks = headed(grid, at, names[sheet], place, lettered=True)
            problems += troubles
            notes += remarks
    if not any(plain(title) == "boards" for title in sheets):
        wrong = "there is no sheet “boards” in it" + (f", only {', '.join(sheets)}" if sheets else "")
        problems.append(Problem(path.name, "", wrong, "Call the sheet with one row for each board “boards”."))
    elif others:
        wrong = f"not read: {'sheet' if len(others) == 1 else 'sheets'} {', '.join(others)}"
        notes.append(Problem(path.name, "", wrong, ""))
    return tables, problems, notes
