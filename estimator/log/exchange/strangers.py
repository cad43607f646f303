"""A sheet of somebody else: where its header is, what is a row of it, and what its columns may be."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from estimator.log.book.canonical import Canon, NamesInBook
from estimator.log.book.schema import SHEETS
from estimator.log.columns import (
    ASKED_LATER,
    LOOKED,
    NEAR,
    OUR_ROW,
    TURNED_OUT,
    Names,
    names_of_sheets,
    plain,
)
from estimator.log.exchange.files_in import FoundTable
from estimator.log.exchange.numbers import in_plain_figures
from estimator.log.exchange.usual_words import ASSESSED, FOUND, HOURLY, USUAL, a_sum, stem, unit_in, words_of
from estimator.log.tables import Cells, CellValue, empty, letters, shown
from estimator.words.errors import UnreadableError
from estimator.words.problems import Place, Problem
from estimator.words.settings.schema import DECIMALS, Settings

A_SPAN = re.compile(  # of which the rows below are
    r"(?:(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*|week \d+|q ?[1-4]|(?:19|20)\d\d| )+"
)
SEARCHED = 20  # rows from the top among which the header is looked for
SAMPLES = 3
STAGE = "hours "  # how the target of a column with the hours of a stage begins
LEAVE = "leave"
FITS = 0.9  # share of a column's cells that must read as what it is taken for
SIDE_BY_SIDE = 3  # columns named as stages from which they are hours of these without saying so
SCORE_KNOWN = 3


@dataclass(frozen=True, slots=True)
class ForeignColumn:
    """One column of somebody's sheet.

    at: its place from 0; name: as it is written, the letters over it where nothing is; unit: that of its header, or
    empty; words: of its name without the unit; group: words above several columns
    """

    at: int
    name: str
    unit: str
    words: tuple[str, ...]
    group: tuple[str, ...]
    named: bool


@dataclass(frozen=True)
class ForeignTable:
    """A sheet of somebody else below its header.

    rows: of boards, days or whatever it lists: their numbers and cells; width: how many cells its header has
    sums: numbers of rows that sum others up; headings: of rows with no more than a year or a month
    problems: what is wrong with rows as they stand
    """

    place: Place
    title: str
    header_row: int
    columns: tuple[ForeignColumn, ...]
    rows: tuple[tuple[int, Cells], ...]
    width: int
    sums: tuple[int, ...]
    headings: tuple[int, ...] = ()
    problems: tuple[Problem, ...] = ()

    def cells(self, column: ForeignColumn) -> list[CellValue]:
        """All filled cells of a column."""
        return [cell for _, row in self.rows if not empty(cell := cell_at(row, column.at))]

    def gaps(self, column: ForeignColumn) -> int:
        """How many rows have nothing in a column."""
        return sum(empty(cell_at(row, column.at)) for _, row in self.rows)

    def samples(self, column: ForeignColumn) -> tuple[str, ...]:
        """The first few different cells, as they are shown."""
        return tuple(dict.fromkeys(shown(cell) for cell in self.cells(column)))[:SAMPLES]

    def at(self, number: int, column: ForeignColumn) -> Place:
        """The place of a cell."""
        name = letters(column.at) if self.place.sheet else column.name
        return replace(self.place, row=number, column=name)


def cell_at(row: Cells, at: int) -> CellValue:
    """What stands in a row at a place; an empty text beyond its end."""
    return row[at] if at < len(row) else ""


@dataclass(frozen=True)
class ColumnWords:
    """Every word for a column of ours that these settings have."""

    settings: Settings

    @cached_property
    def canon(self) -> Canon:
        """What reads cells; it knows of no boards."""
        return Canon(self.settings, NamesInBook())

    @cached_property
    def names(self) -> Mapping[str, Names]:
        """Our columns by sheet, in every spelling."""
        return names_of_sheets(self.settings)

    @cached_property
    def stages(self) -> Mapping[str, str]:
        """Each stage by the stems of what it may be called."""
        found: dict[str, str] = {}
        for name in self.settings.stages:
            for spelling in (name, self.settings.label(name)):
                found.setdefault(_stems(words_of(spelling)), name)
        return found

    def stage(self, written: str) -> str:
        """The stage that a word means, as sanding means sand; else the word."""
        if plain(written) in self.canon.stages:
            return written
        return self.stages.get(_stems(words_of(written)), written)

    @cached_property
    def quantities(self) -> Mapping[tuple[str, ...], str]:
        """Each driver, modifier and sometimes-stage by the words of what it may be called."""
        found = {}
        for name in self.settings.quantities:
            for spelling in (name, self.settings.quantity_label(name)):
                found[words_of(spelling)] = name
        return found

    @cached_property
    def usual(self) -> Mapping[str, Mapping[tuple[str, ...], tuple[str, ...]]]:
        """By sheet the columns that usual words may mean."""
        meant: dict[str, dict[tuple[str, ...], tuple[str, ...]]] = {}
        for sheet, columns in USUAL.items():
            if sheet not in self.names:
                continue
            of = meant.setdefault(sheet, {})
            for column, words in columns.items():
                for word in words:
                    meant_before = of.get(words_of(word), ())
                    of[words_of(word)] = tuple(dict.fromkeys((*meant_before, column)))
        return meant

    def meant(self, sheet: str, column: ForeignColumn) -> tuple[list[str], bool]:
        """The columns of ours that a name may mean, likeliest first, and whether it says so in as many words."""
        known = self.names[sheet]
        exact = known.find(column.name) or known.find("_".join(column.words))
        if exact:
            return [
                exact,
                *(one for one in self.usual.get(sheet, {}).get(column.words, ()) if one != exact),
            ], True
        words = (*column.words, "hours") if column.unit in HOURLY else column.words
        of = self.usual.get(sheet, {})
        found = list(of.get(words_of(column.name), ()) or of.get(words, ()) or of.get(column.words, ()))
        if sheet != "boards":
            return found, bool(found)
        hourly = column.unit in HOURLY or bool({"hours", "time"} & set(column.group))
        stage = self.stages.get(_stems(word for word in column.words if word != "hours"))
        if stage and not found:
            found.append(STAGE + stage)
        before, after, rest = _sides(column)
        name = self.quantities.get(column.words) or self.quantities.get(rest or column.group)
        if name and not hourly:
            sides = [TURNED_OUT] if after and not before else [LOOKED] if before else [LOOKED, TURNED_OUT]
            found = [*(side + name for side in sides), *found]
            return found, before or after
        return found, bool(found) and (not found[0].startswith(STAGE) or hourly)

    def near(self, sheet: str, column: ForeignColumn) -> str:
        """The column of ours whose name is nearest to another word; empty where none is near."""
        spelt = {"_".join(words): columns[0] for words, columns in self.usual.get(sheet, {}).items()}
        if sheet == "boards":
            spelt |= {"_".join(words): LOOKED + name for words, name in self.quantities.items()}
        spelt |= self.names[sheet].known
        close = difflib.get_close_matches("_".join(column.words)[:60], spelt, n=1, cutoff=NEAR)
        return spelt[close[0]] if close else ""

    def fits(self, sheet: str, target: str, cells: Sequence[CellValue], unit: str) -> bool:
        """Whether nearly all cells read as what a column of ours holds."""
        known = {cell: self.reads(sheet, target, cell, unit) for cell in dict.fromkeys(cells)}
        return not cells or sum(known[cell] for cell in cells) >= FITS * len(cells)

    def reads(self, sheet: str, target: str, cell: CellValue, unit: str) -> bool:
        """Whether a cell reads as what a column of ours holds; a date that can be two days does."""
        sheet, column = ("hours", "hours") if target.startswith(STAGE) else (sheet, target)
        kind = SHEETS[sheet].get(column, "")
        if unit and unit not in UNITS_OF.get(kind, (unit,)):
            return False
        if kind in {"board", "boards", "text", "id", "stage"}:
            return not isinstance(cell, bool) and (kind != "stage" or self._a_stage(cell))
        value = with_unit(cell, unit, kind)
        if kind == "date":
            return any(replace_dates(self.settings, style).cell(sheet, column, value)[1] for style in STYLES)
        if kind in {"length", "width"} and isinstance(value, int | float) and 3 <= value <= 13:
            return True  # feet, and asked about
        marks = DECIMALS if isinstance(value, str) else ("",)  # 1.234 is read as either, and asked about
        values = [in_plain_figures(value, mark) if isinstance(value, str) else value for mark in marks]
        if not kind and (side := column.partition("_")[0] + "_") in {LOOKED, TURNED_OUT, ASKED_LATER}:
            return any(self._an_amount(column.removeprefix(side), one) for one in values)
        return any(self.canon.cell(sheet, column, one)[1] for one in values)

    def _a_stage(self, cell: CellValue) -> bool:
        return plain(cell) in self.canon.stages or bool(self.stages.get(_stems(words_of(cell))))

    def _an_amount(self, name: str, value: CellValue) -> bool:
        """Whether a cell says how much of something there is."""
        try:
            self.canon.amount("assessed", name, value)
        except UnreadableError:
            return False
        return True


HOURLY_UNITS, LONG_UNITS, NO_UNITS = ("h", "days", "min"), ("ft", "in", "cm", "mm", "m"), ()
UNITS_OF: Mapping[str, tuple[str, ...]] = {  # that a column of a kind may have in its name
    **dict.fromkeys(("hours", "hours_range"), HOURLY_UNITS),
    **dict.fromkeys(("length", "width"), LONG_UNITS),
    **dict.fromkeys(("date", "money", "own_money", "odds", "yes_no"), NO_UNITS),
    "weight": ("kg", "lb"),
}
STYLES = ("day-month", "month-day")


def replace_dates(settings: Settings, style: str) -> Canon:
    """What reads cells of somebody who writes dates in a way of their own."""
    if not style or settings.workshop.dates == style:
        return Canon(settings, NamesInBook())
    return Canon(replace(settings, workshop=replace(settings.workshop, dates=style)), NamesInBook())


def with_unit(cell: CellValue, unit: str, kind: str) -> CellValue:
    """A bare number with the unit that its header gives; money and counts have none.

    >>> with_unit(9.5, "ft", "length"), with_unit("9'6", "ft", "length"), with_unit("3", "days", "hours")
    ('9.5 ft', "9'6", '3 days')
    """
    if not unit or isinstance(cell, bool) or kind in {"own_money", "money", "date", "odds"}:
        return cell
    if isinstance(cell, int | float):
        return f"{cell:.10g} {unit}"
    if (
        isinstance(cell, str)
        and cell
        and all(sign.isdecimal() or sign in "., ½¼¾/-" for sign in cell)
        and cell != "-"
    ):
        return f"{cell} {unit}"
    return cell


def _stems(words: Iterable[str]) -> str:
    """The stems of words, as one."""
    return " ".join(stem(word) for word in words)


def _sides(column: ForeignColumn) -> tuple[bool, bool, tuple[str, ...]]:
    """Whether a name says as judged before work, or as it turned out, and its other words."""
    said = {*column.words, *column.group}
    rest = tuple(word for word in column.words if word not in ASSESSED | FOUND | {"no", "of", "out"})
    return bool(said & ASSESSED), bool(said & FOUND), rest


def table_in(sheet: FoundTable, words: ColumnWords) -> ForeignTable | None:
    """The table in a sheet: its header among the first rows, the rows below it, and those that only sum them up.

    None where no row can be a header.
    """
    at = _header(sheet, words)
    if at < 0:
        return None
    number, header = sheet.rows[at]
    above = sheet.rows[at - 1][1] if at and sheet.rows[at - 1][0] == number - 1 else ()
    columns = tuple(_columns(header, above, sheet))
    grid, lost = sheet.below(at)
    below = [(n, row) for n, row in grid[at + 1 :] if _plainly(row) != _plainly(header)]
    sums = [n for n, row in below if a_sum(row)]
    rows = [(n, row) for n, row in below if n not in set(sums)]
    while rows and _adds_up(rows, columns):
        sums.append(rows.pop()[0])
    headings = [n for n, row in rows if _heading_only(row, columns)]
    rows = [(n, row) for n, row in rows if n not in set(headings)]
    passed = {*sums, *headings}
    problems = [problem for problem in lost if problem.place.row not in passed]
    if not sheet.place.lettered:
        problems += [
            Problem(replace(sheet.place, row=n), "", *_wider(row, header))
            for n, row in rows
            if _wider(row, header)
        ]
    return ForeignTable(
        sheet.place,
        sheet.title,
        number,
        columns,
        tuple(rows),
        len(header),
        tuple(sorted(sums)),
        tuple(headings),
        tuple(problems),
    )


def _wider(row: Cells, header: Cells) -> tuple[str, ...]:
    """What is wrong with a row of a text that has more cells than its header, and the cure; else nothing."""
    if all(map(empty, row[len(header) :])):
        return ()
    wrong = f"the row has {len(row)} cells where the header has {len(header)}"
    return wrong, "Put a cell with a comma, a semicolon or a tab in it between quotation marks."


def _plainly(row: Cells) -> list[str]:
    """The texts of a row, to compare."""
    cells = [plain(cell) for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _header(sheet: FoundTable, words: ColumnWords) -> int:
    """Which of the filled rows names the columns; -1 where none can."""
    best, most = -1, 0.0
    for at, (number, row) in enumerate(sheet.rows):
        if number > sheet.rows[0][0] + SEARCHED or at >= SEARCHED:
            break
        texts = [cell for cell in row if isinstance(cell, str) and any(map(str.isalpha, cell))]
        filled = sum(not empty(cell) for cell in row)
        if len(texts) < 2 or len(texts) < 0.8 * filled or at + 1 == len(sheet.rows):
            continue
        known = sum(_known(cell, words) for cell in texts)
        unlike = len(set(texts)) / len(texts)
        score = (SCORE_KNOWN * known + len(texts)) * unlike
        if score > most and (known or at + 1 < len(sheet.rows)):
            best, most = at, score
    return best


def _known(text: str, words: ColumnWords) -> bool:
    """Whether a text is a usual name of a column."""
    column = _column(0, text, ())
    return text == OUR_ROW or any(words.meant(name, column)[0] for name in words.usual)


def _columns(header: Cells, above: Cells, sheet: FoundTable) -> Iterable[ForeignColumn]:
    """The columns that have a name or hold anything."""
    width = max(len(row) for _, row in sheet.rows)
    groups = sum(not empty(cell) for cell in above) > 1
    group: tuple[str, ...] = ()
    names: Counter[str] = Counter()
    for at in range(width):
        over = cell_at(above, at)
        group = words_of(over) if groups and not empty(over) else group if groups else ()
        written = shown(cell_at(header, at)) if not empty(cell_at(header, at)) else ""
        if written or any(
            not empty(cell_at(row, at)) for _, row in sheet.rows if row is not header and row is not above
        ):
            column = _column(at, written, group)
            names[column.name] += 1
            again = names[column.name]
            yield replace(column, name=f"{column.name} {again}") if again > 1 else column


def _column(at: int, written: str, group: tuple[str, ...]) -> ForeignColumn:
    """A column by its name."""
    bare, unit = unit_in(written)
    named = bool(words_of(written))
    words = words_of(bare) or words_of(written)
    return ForeignColumn(at, written or f"column {letters(at)}", unit, words, group, named)


def _heading_only(row: Cells, columns: Sequence[ForeignColumn]) -> bool:
    """Whether a row holds no more than a year or a month, as a heading between others."""
    filled = [cell for cell in row if not empty(cell)]
    if len(filled) != 1 or len(columns) < 3:
        return False
    return bool(A_SPAN.fullmatch(" ".join(words_of(shown(filled[0])))))


def _adds_up(rows: Sequence[tuple[int, Cells]], columns: Sequence[ForeignColumn]) -> bool:
    """Whether the last row holds numbers alone, each the sum of those above it."""
    *above, (_, last) = rows
    numbers = [(at, cell) for at, cell in enumerate(last) if not empty(cell)]
    if len(above) < 2 or not numbers or len(columns) < 2:
        return False
    for at, cell in numbers:
        found = [_figure(cell_at(row, at)) for _, row in above]
        total = _figure(cell)
        if not total or abs(sum(one or 0.0 for one in found) - total) > 0.005 * max(1.0, abs(total)):
            return False
    return True


def _figure(cell: CellValue) -> float | None:
    """The number in a cell; None where there is none."""
    if isinstance(cell, bool):
        return None
    if isinstance(cell, int | float):
        return float(cell)
    try:
        return float(in_plain_figures(cell, ".")) if isinstance(cell, str) else None
    except ValueError:
        return None
