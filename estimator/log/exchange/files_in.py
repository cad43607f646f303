"""Files that are to be read into a book, as tables of cells; and those tables that have our own form."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from estimator.log.columns import FILES, OUR_ROW, Names, plain
from estimator.log.csv_tables import HEAD, SEPARATORS, decoded, raw_csv
from estimator.log.exchange.writing import let_go
from estimator.log.tables import MUST, Cells, CellValue, Grid, RawSheet, empty, header_among, shown, unopened
from estimator.log.workbook_marks import SAVE_AGAIN, Marks, marks_of
from estimator.log.workbooks import OLDER, too_far, without_lost
from estimator.words.errors import UnreadableError
from estimator.words.problems import Place, Problem

SPREADSHEETS = (".xlsx", ".ods", ".xlsm", ".xls")


@dataclass(frozen=True, slots=True)
class FoundTable:
    """A sheet of a spreadsheet, or a csv file, as it stands.

    title: its name; rows: those that hold anything, by number from 1, texts without spaces around them
    """

    title: str
    place: Place
    rows: Grid


@dataclass(frozen=True, slots=True)
class Incoming:
    """A sheet that comes in, its columns known.

    raw: the sheet where it stands, with our names above its columns, and nothing above those that we don't know
    kept: names of those, by their place; mark: where the mark of a row stands, -1 where there is none
    """

    raw: RawSheet
    kept: Mapping[int, str] = field(default_factory=dict)
    mark: int = -1


def tables_of(path: Path, names: Mapping[str, Names]) -> tuple[list[FoundTable], list[Problem]]:
    """All tables of a file or of a folder of csv files, and what is wrong with them."""
    if path.is_dir():
        files = [one for one in sorted(path.iterdir()) if one.name.casefold() in FILES]
        found = [tables_of(one, names) for one in sorted(files, key=lambda f: FILES.index(f.name.casefold()))]
        problems = [problem for _, wrong in found for problem in wrong]
        if not files:
            cure = f"Name a folder with files as {FILES[0]}, or a spreadsheet."
            problems.append(Problem(Place(path.name), "", "there is no csv file of a log in it", cure))
        return [table for tables, _ in found for table in tables], problems
    try:
        data = path.read_bytes()
    except OSError:
        return [], [unopened(path.name)]
    if path.suffix.casefold() in SPREADSHEETS:
        return _spreadsheet(data, path.name)
    return _text(data, path, names)


def _spreadsheet(data: bytes, file: str) -> tuple[list[FoundTable], list[Problem]]:
    """The sheets of a spreadsheet that hold anything; a cell that has lost its value is a problem, and not known."""
    from python_calamine import CalamineError, CalamineWorkbook

    marks = Marks({}, at_once=False)
    try:
        if not data.startswith(OLDER):
            marks = marks_of(data)
        if troubles := list(too_far(marks, file, marks.sheets)):
            return [], troubles
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = {
            name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names
        }
    except UnreadableError as error:
        return [], [Problem(Place(file), "", error.wrong, error.cure)]
    except CalamineError:
        return [], [Problem(Place(file), "", "this file cannot be opened as a spreadsheet", SAVE_AGAIN)]
    tables: list[FoundTable] = []
    problems: list[Problem] = []
    for name, cells in sheets.items():
        place, rows = Place(file, name), dict(enumerate(cells, 1))
        if name in marks.sheets:
            problems += without_lost(rows, marks.sheets[name], place, lambda _row, _column: True)
        tables.append(FoundTable(name, place, _filled(sorted(rows.items()))))
    return [table for table in tables if table.rows], problems


def _text(data: bytes, path: Path, names: Mapping[str, Names]) -> tuple[list[FoundTable], list[Problem]]:
    """The table of a csv file: as it was written where that was by us; else as any program may write it."""
    title, place = path.stem, Place(path.name)
    file = decoded(data)
    if file and (ours := _as_we_write(file.text)):
        return [FoundTable(title, place, _filled(ours))], []
    sheet = plain(title)
    if sheet in names:
        raw, problems = raw_csv(data, names[sheet], path.name)
        if (raw and raw.head >= 0) or not file:
            return [FoundTable(title, place, raw.rows)] if raw else [], problems
    if not file:
        return [], [Problem(place, "", "this is not a text file", "Save it from your program as csv.")]
    rows = max((list(_records(file.text, mark)) for mark in SEPARATORS), key=_regular)
    return [
        FoundTable(
            title,
            place,
            _filled((number, [let_go(cell.strip()) for cell in cells]) for number, cells in rows),
        )
    ], []


def _as_we_write(text: str) -> list[tuple[int, Cells]]:
    """The rows of a csv file that we wrote, whole; none where it is not one."""
    if OUR_ROW not in text.partition("\n")[0]:
        return []
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[tuple[int, Cells]] = []
    try:
        begin = 1
        for cells in reader:
            rows.append((begin, [let_go(cell) for cell in cells]))
            begin = reader.line_num + 1
    except csv.Error:
        return []
    return rows if len({len(cells) for _, cells in rows}) == 1 else []


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """The rows of a text with this separator."""
    reader = csv.reader(io.StringIO(text), delimiter=separator, skipinitialspace=True)
    begin = 1
    try:
        for cells in reader:
            yield begin, cells
            begin = reader.line_num + 1
    except csv.Error:
        return


def _regular(rows: list[tuple[int, list[str]]]) -> tuple[int, int]:
    """How many of the first rows have as many cells as most have, and how many those are."""
    widths = [len(cells) for _, cells in rows[:HEAD] if len(cells) > 1]
    most = max(widths, key=widths.count, default=0)
    return widths.count(most), most


def _filled(rows: Iterable[tuple[int, Cells]]) -> Grid:
    """The rows that hold anything, without spaces around texts."""
    return [
        (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
        for number, cells in rows
        if not all(map(empty, cells))
    ]


def as_ours(table: FoundTable, names: Mapping[str, Names]) -> Incoming | None:
    """A table as a sheet of ours; None where it is not one: a stranger's, about which there are questions.

    It is ours where a column has the marks of rows, or where it goes by the name of a sheet and each of its columns
    is known.
    """
    sheet = plain(table.title)
    if sheet not in names:
        return None
    at = header_among((cells for _, cells in table.rows), names[sheet])[0]
    if at < 0:
        return None
    header = table.rows[at][1]
    marked = any(plain(cell) == OUR_ROW for cell in header)
    unknown = [cell for cell in header if not empty(cell) and not names[sheet].find(cell)]
    found = {names[sheet].find(cell) for cell in header}
    if not marked and (unknown or not found.issuperset(MUST[sheet])):
        return None
    return incoming(RawSheet(sheet, table.place, table.rows, at), names[sheet])


def incoming(raw: RawSheet, names: Names) -> Incoming:
    """A sheet with a header, its columns that we don't know set apart; of two of one name the first counts."""
    header: list[CellValue] = list(raw.rows[raw.head][1])
    kept, mark = {}, -1
    seen: set[str] = set()
    for at, cell in enumerate(header):
        if plain(cell) == OUR_ROW:
            mark = at
        elif empty(cell) or (names.find(cell) and names.find(cell) not in seen):
            seen.add(names.find(cell))
        else:
            kept[at] = shown(cell)
            header[at] = ""
    width = len(header)
    rows = [(number, [*cells, *[""] * (width - len(cells))]) for number, cells in raw.rows]
    rows[raw.head] = (rows[raw.head][0], header)
    return Incoming(replace(raw, rows=rows), kept, mark)
