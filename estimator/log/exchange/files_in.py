"""Files that are to be read into a book, as tables of cells; and those tables that have our own form."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path

from estimator.log.columns import FILES, OUR_ROW, Names, plain
from estimator.log.csv_tables import any_rows, decoded, raw_csv
from estimator.log.exchange.writing import let_go
from estimator.log.tables import (
    MUST,
    SEARCHED,
    Cells,
    CellValue,
    Grid,
    RawSheet,
    empty,
    header_among,
    letters,
    shown,
    unopened,
)
from estimator.log.workbook_marks import SheetMarks
from estimator.log.workbooks import OLDER, TOO_OLD, sheets_in, with_marks
from estimator.words.measures import printable
from estimator.words.problems import Place, Problem

MOST_BYTES = 60_000_000  # of a file; 20,000 hours and 1,000 boards are a fiftieth of it
PACKED = b"PK\x03\x04"  # how xlsx and ods begin
OLD_ENDINGS = (".xls", ".xlt", ".sxc")
CONTROL = ("control characters stand in it, which are left out", "Type the cell anew.")


@dataclass(frozen=True, slots=True)
class FoundTable:
    """A sheet of a spreadsheet, or a csv file, as it stands.

    title: its name; rows: those that hold anything, by number from 1, texts without spaces around them
    marks: what a spreadsheet says beside the values of its cells
    """

    title: str
    place: Place
    rows: Grid
    marks: SheetMarks = field(default_factory=SheetMarks)

    def below(self, head: int) -> tuple[Grid, list[Problem]]:
        """Its rows, those below a header without lost values; and a problem for each of these.

        head: the place of the header among the rows
        """
        return with_marks(self.rows, head, self.marks, self.place)


@dataclass(frozen=True, slots=True)
class Incoming:
    """A sheet that comes in, its columns known.

    raw: the sheet where it stands, with our names above its columns, and nothing above those that we don't know
    kept: names of those, by their place; mark: where the mark of a row stands, -1 where there is none
    beside: whether its rows stand beside the boards of a sheet, in the same rows, and are about these
    problems: what is wrong with it as it stands
    """

    raw: RawSheet
    kept: Mapping[int, str] = field(default_factory=dict)
    mark: int = -1
    beside: bool = False
    problems: tuple[Problem, ...] = ()


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
    whole = Place(path.name)
    if path.suffix.casefold() in OLD_ENDINGS:
        return [], [Problem(whole, "", *TOO_OLD)]
    try:
        if path.stat().st_size > MOST_BYTES:
            wrong = f"this file is larger than {MOST_BYTES // 1_000_000} million bytes, and is not read"
            cure = "Save the sheets with your boards as a file of their own."
            return [], [Problem(whole, "", wrong, cure)]
        data = path.read_bytes()
    except OSError:
        return [], [unopened(path.name)]
    if data.startswith((PACKED, OLDER)):
        sheets, problems, _ = sheets_in(
            data, path.name, lambda marks: [t for t, s in marks.sheets.items() if s.filled]
        )
        tables = [FoundTable(printable(one.title), one.place, one.rows, one.marks) for one in sheets]
    else:
        tables, problems = _text(data, path, names)
    clean = [_without_control(table) for table in tables if table.rows]
    return [table for table, _ in clean], [*problems, *(problem for _, wrong in clean for problem in wrong)]


def _without_control(table: FoundTable) -> tuple[FoundTable, list[Problem]]:
    """A table without control characters, and a problem for each cell that had any."""
    problems, rows = [], []
    for number, cells in table.rows:
        clean = [printable(cell) if isinstance(cell, str) else cell for cell in cells]
        for at, cell in enumerate(clean):
            if cell != cells[at]:
                column = letters(at) if table.place.lettered else ""
                where = replace(table.place, row=number, column=column)
                problems.append(Problem(where, shown(cell), *CONTROL))
        rows.append((number, clean))
    return replace(table, rows=rows), problems


def _text(data: bytes, path: Path, names: Mapping[str, Names]) -> tuple[list[FoundTable], list[Problem]]:
    """The table of a csv file: as it was written where that was by us; else as any program may write it."""
    title, place = printable(path.stem), Place(path.name)
    file = decoded(data)
    if file and (ours := _as_we_write(file.text)):
        return [FoundTable(title, place, _filled(ours))], []
    sheet = plain(title)
    if sheet in names:
        raw, problems = raw_csv(data, names[sheet], path.name)
        if (raw and raw.head >= 0) or not file:
            return [FoundTable(title, place, raw.rows)] if raw else [], problems
    if not file:
        return [], [
            Problem(place, "", "this is neither text nor a spreadsheet", "Save it as .xlsx, .ods or csv.")
        ]
    rows, troubles = any_rows(file.text)
    problems = [Problem(replace(place, row=line), "", *what) for line, *what in troubles]
    return [FoundTable(title, place, _filled(rows, unmarked=True))], problems


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


def _filled(rows: Iterable[tuple[int, Cells]], *, unmarked: bool = False) -> Grid:
    """The rows that hold anything, without spaces around texts.

    unmarked: whether the mark is taken off that keeps a program from reckoning with a text
    """
    stripped = [
        (number, [cell.strip() if isinstance(cell, str) else cell for cell in cells])
        for number, cells in rows
    ]
    return [
        (number, [let_go(cell) if unmarked and isinstance(cell, str) else cell for cell in cells])
        for number, cells in stripped
        if not all(map(empty, cells))
    ]


def as_ours(table: FoundTable, names: Mapping[str, Names]) -> Incoming | None:
    """A table as a sheet of ours; None where it is not one: a stranger's, about which there are questions.

    It is ours where a column has the marks of rows, or where it goes by the name of a sheet and each of its columns
    is known.
    """
    sheet = plain(table.title)
    marked = any(plain(cell) == OUR_ROW for _, cells in table.rows[:SEARCHED] for cell in cells)
    if sheet not in names and marked:  # it was given another title
        head = [cells for _, cells in table.rows]
        sheet = max(names, key=lambda name: header_among(head, names[name])[1])
    if sheet not in names:
        return None
    at = header_among((cells for _, cells in table.rows), names[sheet])[0]
    if at < 0:
        return None
    header = table.rows[at][1]
    unknown = [cell for cell in header if not empty(cell) and not names[sheet].find(cell)]
    found = {names[sheet].find(cell) for cell in header}
    if not marked and (unknown or not found.issuperset(MUST[sheet])):
        return None
    rows, problems = table.below(at)
    return replace(incoming(RawSheet(sheet, table.place, rows, at), names[sheet]), problems=tuple(problems))


def incoming(raw: RawSheet, names: Names) -> Incoming:
    """A sheet with a header, its columns that we don't know set apart; of two of one name the first counts."""
    header: list[CellValue] = list(raw.rows[raw.head][1])
    kept: dict[int, str] = {}
    mark = -1
    seen: set[str] = set()
    for at, cell in enumerate(header):
        if plain(cell) == OUR_ROW:
            mark = at
        elif empty(cell) or (names.find(cell) and names.find(cell) not in seen):
            seen.add(names.find(cell))
        else:
            kept[at] = own_name(shown(cell), names, kept.values())
            header[at] = ""
    return Incoming(replace(raw, rows=even_rows(raw.rows, raw.head, header)), kept, mark)


def own_name(name: str, names: Names, taken: Collection[str]) -> str:
    """The name under which a column is kept that is none of ours: never that of one of ours, nor of another.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings.schema import Settings
    >>> names = names_of_sheets(Settings())["boards"]
    >>> own_name("Glass", names, ["Glass"]), own_name("Board", names, [])
    ('Glass 2', 'Board (theirs)')
    """
    kept = f"{name} (theirs)" if names.find(name) or plain(name) == OUR_ROW else name
    return next(one for n in count(1) if (one := f"{kept} {n}" if n > 1 else kept) not in taken)


def even_rows(rows: Grid, head: int, header: Sequence[CellValue]) -> list[tuple[int, Cells]]:
    """Rows with as many cells as their header has at the least, and with this header."""
    even: list[tuple[int, Cells]] = [
        (number, [*cells, *[""] * (len(header) - len(cells))]) for number, cells in rows
    ]
    even[head] = (even[head][0], header)
    return even
