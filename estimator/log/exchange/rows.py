"""The rows of a log as they go out: sheets with one header each, owners left out unless they are asked for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from estimator.log.book.canonical import Canon, NamesInBook
from estimator.log.book.schema import OWNERS, SHEETS
from estimator.log.columns import BOARDS, FILES, OUR_ROW, csv_headers, names_of_sheets, plain
from estimator.log.parse.cells import one_line
from estimator.log.tables import CellValue, RawLog, RawSheet
from estimator.words.errors import UnreadableError
from estimator.words.settings.schema import Settings

FIGURES = ("hours", "money", "own_money")  # columns that a spreadsheet should be able to add up
FIRST_YEAR = 1900  # before which spreadsheets know no days


@dataclass(frozen=True, slots=True)
class SheetOut:
    """One sheet as it goes out.

    header: names of its columns, the mark of the row last; rows: a cell for each
    """

    name: str
    header: tuple[str, ...]
    rows: list[tuple[CellValue, ...]] = field(default_factory=list)


def sheets_out(
    raw: RawLog, settings: Settings, marks: Mapping[tuple[str, int], str], *, with_owners: bool
) -> list[SheetOut]:
    """Every sheet that has rows, and boards always; in the order of FILES.

    marks: of the rows of a book, by sheet and number
    """
    canon = Canon(settings, NamesInBook())
    known = names_of_sheets(settings)
    out = []
    for file in FILES:
        sheet = file.removesuffix(".csv")
        found = [one for one in raw.sheets if one.sheet == sheet and one.head >= 0]
        header = list(csv_headers(settings)[file]) if not found else _header(found)
        if not found and file != BOARDS:
            continue
        meant = {name: known[sheet].find(name) for name in header}
        if not with_owners:
            header = [name for name in header if meant[name] not in OWNERS]
        made = SheetOut(sheet, (*header, OUR_ROW))
        kinds = [SHEETS[sheet].get(meant[name], "") for name in header]
        for one in found:
            where = {name: at for at, name in reversed(list(enumerate(_named(one.rows[one.head][1]))))}
            for number, cells in one.rows[one.head + 1 :]:
                row = [cells[where[n]] if n in where and where[n] < len(cells) else "" for n in header]
                typed = [_typed(cell, kind, canon) for cell, kind in zip(row, kinds, strict=True)]
                made.rows.append((*typed, marks.get((sheet, number), "")))
        out.append(made)
    return out


def unknown_columns(sheets: Iterable[SheetOut], settings: Settings) -> list[str]:
    """The names of columns that go out though nobody here knows what stands in them."""
    known = names_of_sheets(settings)
    return [
        name
        for sheet in sheets
        for name in sheet.header
        if plain(name) != OUR_ROW and not known[sheet.name].find(name)
    ]


def _named(cells: Iterable[CellValue]) -> list[str]:
    """The names of columns as they are written."""
    return [cell if isinstance(cell, str) else one_line(cell) for cell in cells]


def _header(sheets: Sequence[RawSheet]) -> list[str]:
    """The columns of sheets of one name, each once; an older mark of the rows is left out."""
    names = dict.fromkeys(name for one in sheets for name in _named(one.rows[one.head][1]))
    return [name for name in names if name.strip() and plain(name) != OUR_ROW]


def _typed(cell: CellValue, kind: str, canon: Canon) -> CellValue:
    """A cell with which a spreadsheet can reckon, where just the same is read of it; else as it is."""
    if isinstance(cell, dt.time | dt.timedelta):
        return one_line(cell)
    if not isinstance(cell, str) or not cell:
        return cell
    try:
        if kind == "date":
            day = dt.date.fromisoformat(cell)
            return day if day.year > FIRST_YEAR and day.isoformat() == cell else cell
        if kind in FIGURES and canon.forms[kind](float(cell)) == cell:
            return float(cell)
    except (ValueError, UnreadableError):
        pass
    return cell
