"""Whether what is to be written reads back: of the rows concerned, before and after, in memory."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Protocol

from estimator.log.columns import ASKED_LATER, LOOKED, TURNED_OUT, csv_headers, names_of_sheets
from estimator.log.edits import Cells, OwnRow, row_at
from estimator.log.names import board_named
from estimator.log.reading import read_log
from estimator.log.tables import CellValue, RawLog, RawSheet, headed
from estimator.words.errors import UsageError
from estimator.words.labels import LABELS
from estimator.words.phrases import capital, inside
from estimator.words.problems import THE_BOOK, Place, Problem
from estimator.words.records import SHOP, Board, Log, Told
from estimator.words.settings.schema import Settings

NEW = 10**9  # numbers from which rows are not written yet
COLUMN = re.compile(rf"\b({LOOKED}|{TURNED_OUT}|{ASKED_LATER})\w+")
HEAD_WORDS = {LOOKED: LABELS["assessed"], TURNED_OUT: LABELS["found"], ASKED_LATER: LABELS["asked later"]}


class Agreement(Protocol):
    """What an owner asks for since, worked out.

    what: by name, so much more; grown: the same with the areas that it makes
    telling: what he is told of the whole board then, None where that is not known; notes: why not
    """

    @property
    def what(self) -> Mapping[str, float]: ...
    @property
    def grown(self) -> Mapping[str, float]: ...
    @property
    def telling(self) -> Told | None: ...
    @property
    def notes(self) -> tuple[str, ...]: ...


class WorkedOut(Protocol):
    """What is worked out of the log for a step."""

    def filled_in(self, said: Told, *, hours: bool, first: bool, last: bool, earlier: bool) -> Told:
        """A telling with hours and days, where it has none, as they are answered; and with what wishes add."""

    def agreement(
        self, board: str, more: Mapping[str, object], *, price: float | None, on: dt.date
    ) -> Agreement:
        """What an owner asks for since, worked out; price: what it adds, None where that is answered too."""


@dataclass(frozen=True)
class AsWritten:
    """A log as it stands, with its raw sheets, from which it was read; revision: of just that.

    answers: what is worked out of it, None where nothing can be
    """

    log: Log
    settings: Settings
    raw: RawLog
    settings_text: str
    revision: str
    answers: WorkedOut | None = None

    def board(self, name: str) -> Board:
        """The board with this id or short name; raises UsageError where there is none."""
        return board_named(name, self.log.boards)

    def row(self, board: Board) -> OwnRow:
        """A board's own row."""
        return row_at(self.raw, self.settings, "boards", board.where)

    def has(self, sheet: str) -> bool:
        """Whether the log has a sheet of that name; a book has all of them."""
        return self.raw.source == THE_BOOK or any(one.sheet == sheet for one in self.raw.sheets)


@dataclass(frozen=True, slots=True)
class ActPlan:
    """What is written in one act.

    label: the act in one line; board: the id of its board
    rows: to add, by sheet; fills: rows that are there, and their new cells; settings: their new text
    notes: what is to be looked at after it
    """

    label: str
    board: str = ""
    rows: tuple[tuple[str, Cells], ...] = ()
    fills: tuple[tuple[OwnRow, Cells], ...] = ()
    settings: str | None = None
    notes: tuple[str, ...] = ()

    def noting(self, notes: Iterable[str]) -> ActPlan:
        """The same with more notes."""
        return replace(self, notes=(*self.notes, *notes))


def refuse_unreadable(now: AsWritten, plan: ActPlan, today: dt.date) -> tuple[str, ...]:
    """What else is wrong with the log once this is written, as notes.

    Raises UsageError for the first thing that is wrong with the cells that are to be written.
    """
    if not plan.rows and not plan.fills:
        return ()
    part = _Part.of(now, plan)
    before = set(part.problems(now.settings, today))
    after = [
        problem for problem in part.with_plan(plan).problems(now.settings, today) if problem not in before
    ]
    filled = {(_flat(row.place.whole_row), column) for row, cells in plan.fills for column in cells}
    notes = []
    for problem in after:
        place = problem.place
        happened = (
            place.row >= NEW and problem.found and not place.column
        )  # hours where there was nothing to do
        if (place.row >= NEW and not happened) or (place.whole_row, place.column) in filled:
            raise _refusal(problem, now.settings)
        own = place.row >= NEW or any(place.whole_row == _flat(row.place.whole_row) for row, _ in plan.fills)
        said = f"{problem.wrong}. {problem.cure}" if own else problem.sentence()
        notes.append(capital(COLUMN.sub(lambda found: column_in_words(found[0], now.settings), said)))
    return tuple(notes)


def _flat(place: Place) -> Place:
    """The same place, its sheet within the name of its source: then columns go by their names, not by letters."""
    return replace(place, source=f"{place.source}, {place.sheet}", sheet="") if place.sheet else place


def _refusal(problem: Problem, settings: Settings) -> UsageError:
    """A problem of a cell that is not written yet: the name of the field is where it is."""
    column = problem.place.column
    where = capital(column_in_words(column, settings))
    found = f' "{problem.found}"' if problem.found else ""
    wrong = f"{where}{found}: {problem.wrong}" if where else f"{capital(problem.wrong)}"
    return UsageError(f"{wrong}.", problem.cure, field=column)


def column_in_words(column: str, settings: Settings) -> str:
    """What a column is called where it is a field to fill in.

    >>> column_in_words("wanted_by", Settings()), column_in_words("found_infills", Settings())
    ('wanted by', 'infills, turned out')
    """
    for prefix, word in HEAD_WORDS.items():
        if column.startswith(prefix):
            return f"{inside(settings.quantity_label(column.removeprefix(prefix)))}, {word}"
    return column.replace("_", " ")


Rows = dict[int, dict[str, CellValue]]


@dataclass(frozen=True, slots=True)
class _Part:
    """The rows of a log that a plan is held against, by sheet's place: number of a row to its cells by column."""

    sheets: Mapping[Place, tuple[str, Rows]]
    columns: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, now: AsWritten, plan: ActPlan) -> _Part:
        """The rows of the boards that a plan is about, and of other boards on its days."""
        log = now.log
        about = {plan.board, *(str(cells.get("board", "")) for _, cells in plan.rows)}
        about |= {str(row.cells.get("board", "")) for row, _ in plan.fills}
        about |= {
            name.strip()
            for sheet, cells in plan.rows
            if sheet == "money"
            for name in (cells.get("boards", ""), *cells.get("boards", "").split(";"))
        }
        days = {cells["date"] for sheet, cells in plan.rows if sheet == "hours"}
        called = {
            str(cells.get("called", "")).casefold() for cells in (c for _, c in [*plan.rows, *plan.fills])
        } - {""}
        wanted: dict[Place, set[int]] = defaultdict(set)
        for entry in log.entries:
            if entry.board in about - {SHOP} or any(
                entry.date.isoformat() <= day <= entry.last.isoformat() for day in days
            ):
                wanted[entry.where.whole_sheet].add(entry.where.row)
                about.add(entry.board)
        for rows in (log.told, log.struck, log.waits, log.weighings, log.notes):
            for row in rows:
                if row.board in about:
                    wanted[row.where.whole_sheet].add(row.where.row)
        for line in log.money:
            if about.intersection(line.boards):
                wanted[line.where.whole_sheet].add(line.where.row)
                about.update(line.boards)
        for board in log.boards:
            if board.board in about or board.called.casefold() in called:
                wanted[board.where.whole_sheet].add(board.where.row)
        names = names_of_sheets(now.settings)
        sheets: dict[Place, tuple[str, Rows]] = {}
        for sheet in now.raw.sheets:
            table, _, _ = headed(sheet, names[sheet.sheet])
            kept = wanted.get(sheet.place, ())
            sheets[sheet.place] = (
                sheet.sheet,
                {number: table.named(cells) for number, cells in table.rows if number in kept},
            )
        headers = {file.removesuffix(".csv"): columns for file, columns in csv_headers(now.settings).items()}
        return cls(sheets, headers)

    def with_plan(self, plan: ActPlan) -> _Part:
        """The same with what the plan writes."""
        sheets = {
            place: (sheet, {n: dict(row) for n, row in rows.items()})
            for place, (sheet, rows) in self.sheets.items()
        }
        for row, cells in plan.fills:
            _, rows = sheets[row.place.whole_sheet]
            there = rows.get(row.place.row, dict(row.cells))
            rows[row.place.row] = {**there, **cells}
        for n, (sheet, cells) in enumerate(plan.rows):
            place = next(
                (place for place, (name, _) in sheets.items() if name == sheet), Place(f"{sheet}.csv")
            )
            sheets.setdefault(place, (sheet, {}))[1][NEW + n] = dict(cells)
        return _Part(sheets, self.columns)

    def problems(self, settings: Settings, today: dt.date) -> tuple[Problem, ...]:
        """What is wrong with these rows."""
        raw = []
        for place, (sheet, rows) in self.sheets.items():
            columns = self.columns[sheet]
            grid = [(n, [row.get(column, "") for column in columns]) for n, row in rows.items()]
            raw.append(RawSheet(sheet, _flat(place), [(0, list(columns)), *grid], 0))
        _, problems, _ = read_log(RawLog(tuple(raw)), (), settings, today=today)
        return problems
