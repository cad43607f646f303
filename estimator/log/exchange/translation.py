"""Rows of somebody's sheet as rows of ours: our columns, one form of numbers and dates, hours beside boards apart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from estimator.log.book.canonical import Canon
from estimator.log.book.schema import SHEETS
from estimator.log.exchange.files_in import Incoming, own_name
from estimator.log.exchange.numbers import in_plain_figures
from estimator.log.exchange.strangers import (
    LEAVE,
    STAGE,
    ColumnWords,
    ForeignColumn,
    cell_at,
    replace_dates,
    with_unit,
)
from estimator.log.exchange.understanding import NONE, UNKNOWN, Understood
from estimator.log.parse.cells import one_line
from estimator.log.tables import Cells, CellValue, RawSheet, empty, shown
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError
from estimator.words.measures import number as all_figures
from estimator.words.problems import Problem
from estimator.words.settings.schema import FEET

HOURS_IN_A_DAY = 24.0
BEGUN = (
    "started",
    "accepted",
    "quoted",
    "asked",
)  # of these the first that is known is where a board's hours begin
OVER = ("ready", "collected")


def sheets_of(known: Understood, words: ColumnWords) -> tuple[list[Incoming], list[Problem]]:
    """A sheet that is clear as sheets of ours, hours beside boards apart; and what these hours lack.

    Each cell stays in the row and the column in which it stands, so that what is wrong with it is said there.
    """
    table, names = known.table, words.names[known.sheet]
    canon = replace_dates(words.settings, known.dates)
    header: list[CellValue] = [""] * max(column.at + 1 for column in table.columns)
    kept: dict[int, str] = {}
    read = []
    for column in table.columns:
        target = known.ours.get(column.name, LEAVE)
        if target == LEAVE:
            kept[column.at] = own_name(column.name, names, kept.values())
        elif not target.startswith(STAGE):
            header[column.at] = target
        if not target.startswith(STAGE):
            read.append((column, target))
    rows: list[tuple[int, Cells]] = []
    boards: dict[int, dict[str, str]] = {}
    for number, row in table.rows:
        cells: list[CellValue] = [""] * len(header)
        for column, target in read:
            cell = taken_cell(cell_at(row, column.at), target, column, known, canon)
            cells[column.at] = words.stage(cell) if target == "stage" else cell
        if any(cells):
            rows.append((number, cells))
            boards[number] = {str(name): str(cell) for name, cell in zip(header, cells, strict=True) if name}
    raw = RawSheet(known.sheet, table.place, [(table.header_row, header), *rows], 0)
    found = [Incoming(raw, kept, problems=table.problems)]
    problems: list[Problem] = []
    for column in table.columns:
        if known.ours.get(column.name, "").startswith(STAGE):
            hours, wrong = _beside(known, column, header, boards, canon)
            problems += wrong
            found += [hours] if len(hours.raw.rows) > 1 else []
    return found, problems


def taken_cell(cell: CellValue, target: str, column: ForeignColumn, known: Understood, canon: Canon) -> str:
    """A cell as a text that our readers read as it was meant."""
    if target == LEAVE:
        return as_text(cell)
    kind = "hours" if target.startswith(STAGE) else SHEETS[known.sheet].get(target, "")
    if empty(cell):
        meant = known.blanks.get(column.name, "")
        return "0" if meant == NONE else "?" if meant == UNKNOWN and "_" in target and kind == "" else ""
    if kind == "date":
        written, readable = canon.cell(known.sheet, target, cell)
        return written if readable else as_text(cell)
    if column.name in known.feet:
        cell = _in_feet(cell, known.feet[column.name])
    value = with_unit(cell, column.unit, kind)
    text = as_text(value, hours=kind in {"hours", "hours_range"})
    if kind in {"text", "id", "board", "boards"} or target in {"owner", "reach"}:
        return text
    return in_plain_figures(text, known.decimals) if kind not in {"length", "width"} else text


def as_text(cell: CellValue, *, hours: bool = False) -> str:
    """What stands in a cell as a text that reads as the same.

    >>> as_text(12.0), as_text(dt.date(2026, 3, 4)), as_text(dt.timedelta(hours=30), hours=True), as_text(True)
    ('12', '2026-03-04', '30', 'yes')
    """
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return all_figures(cell)
    if hours and isinstance(cell, dt.timedelta | dt.time):
        seconds = cell.total_seconds() if isinstance(cell, dt.timedelta) else _seconds(cell)
        return all_figures(seconds / 3600)
    return cell.strip() if isinstance(cell, str) else one_line(cell)


def _seconds(time: dt.time) -> float:
    """The seconds since midnight."""
    return time.hour * 3600.0 + time.minute * 60 + time.second + time.microsecond / 1e6


def _in_feet(cell: CellValue, said: str) -> CellValue:
    """A bare number of feet as a length that reads in one way alone; 9.1 may be 9 ft 10 in too, and stays."""
    text = as_text(cell).replace(",", ".")
    try:
        float(text)
    except ValueError:
        return cell
    whole, _, part = text.partition(".")
    if said == FEET and part == "1" and not isinstance(cell, str):
        return cell
    if said == FEET:
        return f"{whole}'{part}" if part else f"{whole} ft"
    return f"{text} ft"


def _beside(
    known: Understood,
    column: ForeignColumn,
    header: Sequence[CellValue],
    boards: Mapping[int, Mapping[str, str]],
    canon: Canon,
) -> tuple[Incoming, list[Problem]]:
    """The hours of a stage that stand beside boards, over the days from their beginning to their end.

    boards: the cells of each by the number of its row; with a problem for hours that no day has room for
    """
    target, table = known.ours[column.name], known.table
    spots = {"hours": column.at}
    for name, columns in {"board": ("board", "called"), "date": BEGUN, "until": OVER}.items():
        beside = [header.index(one) for one in columns if one in header]
        spots[name] = beside[0] if beside else len(header) + len(spots)
    spots["stage"] = len(header) + len(spots)
    names: list[CellValue] = [""] * (max(spots.values()) + 1)
    for name, at in spots.items():
        names[at] = name
    rows: list[tuple[int, Cells]] = []
    problems: list[Problem] = []
    for number, row in table.rows:
        board = boards.get(number, {})
        cell = cell_at(row, column.at)
        hours = taken_cell(cell, target, column, known, canon)
        if not hours or not board:
            continue
        worked, readable = canon.cell("hours", "hours", hours)
        nothing = readable and worked == "0"
        begun, over = _day(board, BEGUN), _day(board, OVER)
        first, last = board.get(begun or over, ""), board.get(over or begun, "")
        cure = "Write the day it was started beside it, and the day it was ready."
        if not first:
            wrong = "no day says when these hours were worked"
            problems.append(Problem(table.at(number, column), shown(cell), wrong, cure))
        elif first == last and not nothing and readable and not _fits_a_day(worked):
            wrong = "only one day is written, and these hours are more"
            problems.append(Problem(table.at(number, column), shown(cell), wrong, cure))
        else:
            until = "" if nothing or first == last else last
            written = {
                "board": board.get("board") or board.get("called", ""),
                "date": last if nothing else first,
                "until": until,
                "stage": target.removeprefix(STAGE),
                "hours": hours,
            }
            cells: list[CellValue] = [""] * len(names)
            for name, at in spots.items():
                cells[at] = written[name]
            rows.append((number, cells))
    raw = RawSheet("hours", table.place, [(table.header_row, names), *rows], 0)
    return Incoming(raw, beside=True), problems


def _day(board: Mapping[str, str], columns: Sequence[str]) -> str:
    """The first of the columns that has a day."""
    for column in columns:
        try:
            read_date(board.get(column, ""))
        except UnreadableError:
            continue
        return column
    return ""


def _fits_a_day(worked: str) -> bool:
    """Whether so many hours can be worked on one day."""
    try:
        return float(worked) <= HOURS_IN_A_DAY
    except ValueError:
        return False
