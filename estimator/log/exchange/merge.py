"""What an import would do to a book: rows that are new, that are there already, and that differ."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from estimator.log.book.act import NUMBERED_BY
from estimator.log.book.canonical import Canon, NamesInBook, next_number
from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import Incoming
from estimator.log.parse.cells import one_line
from estimator.log.reading import read_log
from estimator.log.tables import CellValue, RawLog, RawSheet, shown
from estimator.words.problems import THE_BOOK, Place, Problem, in_order
from estimator.words.records import SHOP
from estimator.words.settings.schema import Settings

ONE_WINS = "Correct the one or the other, or let the file win."
GONE = "not in the file that was read in"


class _Placed(Protocol):
    """A record of a log."""

    @property
    def where(self) -> Place: ...


@dataclass(slots=True)
class RowIn:
    """A row of a file.

    cells: in the form in which a book keeps them, by column; raw: as they stand; there: the row of the book that it is
    """

    sheet: str
    place: Place
    cells: dict[str, str]
    raw: Sequence[CellValue]
    source: int  # which of the sheets that come in
    mark: str = ""
    there: int = 0

    @property
    def board(self) -> str:
        """The board or boards that it is about; of one on none its day."""
        named = self.cells.get("boards" if self.sheet == "money" else "board", "")
        return named if named and named != SHOP else f"{named} {self.cells.get('date', '')}"


@dataclass(slots=True)
class MergePlan:
    """What is to be written, and what not.

    headings: columns that are not known, by sheet; added, changed: rows, the latter of a row that is there
    struck: rows of the book that are to be struck out; skipped: how many are there already, by sheet
    left_out: rows that are not taken, because something is wrong with them
    """

    headings: dict[str, list[str]] = field(default_factory=dict)
    added: list[RowIn] = field(default_factory=list)
    changed: list[RowIn] = field(default_factory=list)
    struck: list[tuple[str, int]] = field(default_factory=list)
    skipped: Counter[str] = field(default_factory=Counter)
    left_out: list[Place] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


class Merge:
    """Compares sheets that come in with a book.

    book: its rows as they stand, none for a new one; marks: of its rows; today: whose year a new number has
    """

    def __init__(
        self, book: RawLog, marks: Mapping[tuple[str, int], str], settings: Settings, today: dt.date
    ) -> None:
        self.book, self.settings, self.today = book, settings, today
        self.by_mark = {(sheet, mark): row for (sheet, row), mark in marks.items()}
        self.names = names_of_sheets(settings)
        self.there: dict[str, dict[int, dict[str, str]]] = defaultdict(dict)
        for sheet in book.sheets:
            header = [str(cell) for cell in sheet.rows[sheet.head][1]]
            for number, cells in sheet.rows[sheet.head + 1 :]:
                filled = {name: str(cell) for name, cell in zip(header, cells, strict=True) if cell != ""}
                self.there[sheet.sheet][number] = filled
        boards = NamesInBook()
        for board in self.there["boards"].values():
            boards.add(board.get("board", ""), board.get("called", ""))
        self.canon = Canon(settings, boards)
        self.plan = MergePlan()

    def of(self, sheets: Sequence[Incoming], *, newer: bool, good_rows: bool) -> MergePlan:
        """What is to be done with these sheets.

        newer: where a row differs, the file wins; good_rows: rows that cannot be taken are left out, not all
        """
        plan = self.plan
        order = sorted(range(len(sheets)), key=lambda at: sheets[at].raw.sheet != "boards")
        rows: list[RowIn] = []
        for at in order:
            read = self._rows(at, sheets[at])
            rows += self._boards(read, newer=newer) if sheets[at].raw.sheet == "boards" else read
            heads = plan.headings.setdefault(sheets[at].raw.sheet, [])
            heads += [name for name in sheets[at].kept.values() if name not in heads]
        self._others([row for row in rows if row.sheet != "boards"], newer=newer)
        self._checked(sheets, good_rows=good_rows)
        plan.problems = list(in_order(plan.problems))
        return plan

    def _rows(self, at: int, sheet: Incoming) -> list[RowIn]:
        """The rows of a sheet, in canonical text."""
        raw, names = sheet.raw, self.names[sheet.raw.sheet]
        columns = {spot: names.find(cell) for spot, cell in enumerate(raw.rows[raw.head][1])}
        columns = {spot: name for spot, name in columns.items() if name} | dict(sheet.kept)
        found = []
        for number, cells in raw.rows[raw.head + 1 :]:
            if [one_line(cell) for cell in cells] == [one_line(cell) for cell in raw.rows[raw.head][1]]:
                continue  # the header once more
            row = RowIn(raw.sheet, replace(raw.place, row=number), {}, cells, at)
            if sheet.mark >= 0:
                row.mark = str(cells[sheet.mark])
                row.there = self.by_mark.get((raw.sheet, row.mark), 0)
            row.cells = {name: self._raw_text(cells[spot]) for spot, name in columns.items()}
            if raw.sheet == "boards":
                row.cells = self._canonical(row, columns)
                self.canon.names.add(row.cells.get("board", ""), "")
                if row.cells.get("board"):
                    self.canon.names.add(row.cells["board"], row.cells.get("called", ""))
            found.append(row)
        if raw.sheet != "boards":
            for row in found:
                row.cells = self._canonical(row, columns)
        return found

    @staticmethod
    def _raw_text(cell: CellValue) -> str:
        """A cell as text."""
        return cell if isinstance(cell, str) else one_line(cell)

    def _canonical(self, row: RowIn, columns: Mapping[int, str]) -> dict[str, str]:
        """The cells of a row as a book keeps them."""
        return {name: self.canon.cell(row.sheet, name, row.raw[spot])[0] for spot, name in columns.items()}

    def _boards(self, rows: list[RowIn], *, newer: bool) -> list[RowIn]:
        """Boards that are new, there, or differ; each gets its number."""
        there = self.there["boards"]
        by_id = {cells.get("board", "").casefold(): row for row, cells in there.items()}
        by_name: dict[str, list[int]] = defaultdict(list)
        for number, cells in there.items():
            by_name[cells.get("called", "").casefold()].append(number)
        seen: set[str] = set()
        for row in rows:
            board, called = row.cells.get("board", ""), row.cells.get("called", "").casefold()
            if not row.there:
                alike = by_name[called] if called and not board else []
                row.there = by_id.get(board.casefold(), 0) if board else alike[0] if len(alike) == 1 else 0
            if not row.there and not board:
                row.there = next((n for n, cells in there.items() if self._same(row, cells)), 0)
            if row.there:
                if row.there in there:
                    own = there[row.there].get("board", "")
                    if board and board != own:
                        wrong = f"this is board {own} in the book, and a board keeps its number"
                        self._wrong(row, "board", wrong, "Write its number as it was.")
                        continue
                    row.cells["board"] = own
                self._compare(row, newer=newer)
                continue
            if not board:
                years = [row.cells[c][:4] for c in NUMBERED_BY if row.cells.get(c, "")[:4].isdecimal()]
                board = next_number(
                    self.canon.names.ids.values(), int(years[0]) if years else self.today.year
                )
                row.cells["board"] = board
                self.canon.names.add(board, row.cells.get("called", ""))
            if board.casefold() in seen:
                self._wrong(row, "board", "this number stands in two rows", "Give each board its own.")
                continue
            seen.add(board.casefold())
            self.plan.added.append(row)
        return rows

    @staticmethod
    def _same(row: RowIn, cells: Mapping[str, str]) -> bool:
        """Whether a row of a file says what one of the book says, in the columns that the file has."""
        return all(cells.get(name, "") == cell for name, cell in row.cells.items())

    def _compare(self, row: RowIn, *, newer: bool) -> None:
        """A row that is known again: skipped where it is the same or struck out, else changed or a problem."""
        cells = self.there[row.sheet].get(row.there)
        if cells is None or self._same(row, cells):
            self.plan.skipped[row.sheet] += 1
        elif newer and row.sheet != "told":
            self.plan.changed.append(row)
        else:
            for name, cell in row.cells.items():
                if cells.get(name, "") != cell:
                    self._wrong(row, name, self._readings(cells.get(name, ""), cell), ONE_WINS)

    @staticmethod
    def _readings(book: str, file: str) -> str:
        """Both readings of a cell."""
        said = [f"“{shown(text)}”" if text else "nothing" for text in (book, file)]
        return f"the book says {said[0]} here, and the file {said[1]}"

    def _others(self, rows: list[RowIn], *, newer: bool) -> None:
        """Rows of the other sheets: those that are known again one by one, the rest as many as their board has."""
        loose: dict[tuple[str, str], list[RowIn]] = defaultdict(list)
        known: set[tuple[str, int]] = set()
        for row in rows:
            if row.there:
                known.add((row.sheet, row.there))
                self._compare(row, newer=newer)
            else:
                loose[row.sheet, row.board].append(row)
        of_board: dict[tuple[str, str], list[int]] = defaultdict(list)
        for sheet, there in self.there.items():
            for number, cells in there.items():
                if (sheet, number) not in known:
                    of_board[sheet, RowIn(sheet, Place(""), cells, (), 0).board].append(number)
        for (sheet, board), found in loose.items():
            self._as_many(sheet, board, found, of_board[sheet, board], newer=newer)
        self.plan.added.sort(key=lambda row: (row.source, row.place.row))  # as they stand in their file

    def _as_many(self, sheet: str, board: str, rows: list[RowIn], numbers: list[int], *, newer: bool) -> None:
        """Rows that nothing tells apart: equal ones are skipped, more are added, other ones are a problem."""
        columns = sorted({name for row in rows for name in row.cells})
        here: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for number in numbers:
            here[tuple(self.there[sheet][number].get(name, "") for name in columns)].append(number)
        new = []
        for row in rows:
            same = here.get(tuple(row.cells.get(name, "") for name in columns), [])
            if same:
                same.pop()
                self.plan.skipped[sheet] += 1
            else:
                new.append(row)
        left = [number for same in here.values() for number in same]
        if not new or not left:
            self.plan.added += new
        elif newer and sheet != "told":
            self.plan.added += new
            self.plan.struck += [(sheet, number) for number in left]
        else:
            only = self.there[sheet][left[0]]
            said = [
                " ".join(shown(cells[n]) for n in columns if cells.get(n)) for cells in (only, new[0].cells)
            ]
            of = f"board {board}" if board.strip() and "board" in columns else "these rows"
            wrong = f"{of}: only in the book “{said[0]}”, only in the file “{said[1]}”"
            for row in new:
                self.plan.left_out.append(row.place)
            self.plan.problems.append(Problem(new[0].place, "", wrong, ONE_WINS))

    def _wrong(self, row: RowIn, column: str, wrong: str, cure: str) -> None:
        """A problem of a row, which is not taken."""
        place = row.place if row.place.lettered else replace(row.place, column=column)
        found = (
            f"{column} {row.cells.get(column, '')}".strip()
            if row.place.lettered
            else row.cells.get(column, "")
        )
        self.plan.problems.append(Problem(place, shown(found), wrong, cure))
        if row.place not in self.plan.left_out:
            self.plan.left_out.append(row.place)

    def _checked(self, sheets: Sequence[Incoming], *, good_rows: bool) -> None:
        """All that is wrong with rows that would be written, read together with the book as any log is."""
        plan = self.plan
        writes = [*plan.added, *plan.changed]
        if not writes:
            return
        changed = {(row.sheet, row.there) for row in plan.changed} | set(plan.struck)
        kept = [
            replace(
                sheet,
                rows=[
                    (number, cells)
                    for at, (number, cells) in enumerate(sheet.rows)
                    if at <= sheet.head or (sheet.sheet, number) not in changed
                ],
            )
            for sheet in self.book.sheets
        ]
        more = [self._as_written(at, sheet, writes) for at, sheet in enumerate(sheets)]
        before = set(read_log(self.book, (), self.settings)[1])
        log, problems, _ = read_log(RawLog((*kept, *more), THE_BOOK), (), self.settings, today=self.today)
        plan.problems += [problem for problem in problems if problem not in before]
        records: tuple[Sequence[_Placed], ...] = (
            log.boards,
            log.entries,
            log.told,
            log.waits,
            log.weighings,
            log.notes,
            log.money,
        )
        taken = {record.where.whole_row for some in records for record in some}
        bad = [row for row in writes if row.place not in taken]
        plan.left_out += [row.place for row in bad]
        if good_rows:
            plan.added = [row for row in plan.added if row.place in taken]
            plan.changed = [row for row in plan.changed if row.place in taken]

    def _as_written(self, at: int, sheet: Incoming, writes: Iterable[RowIn]) -> RawSheet:
        """The rows of a sheet that would be written, with what the book has of them beyond its columns."""
        raw = sheet.raw
        header = list(raw.rows[raw.head][1])
        named = {self.names[raw.sheet].find(cell): spot for spot, cell in enumerate(header)}
        of = [row for row in writes if row.source == at]
        known = set(self.names[raw.sheet].known.values())
        extra = sorted({n for row in of for n in self._whole(row) if n in known and n not in named})
        rows = []
        for row in of:
            whole = self._whole(row)
            cells: list[CellValue] = [*row.raw, *(whole.get(name, "") for name in extra)]
            if raw.sheet == "boards" and "board" in named:
                cells[named["board"]] = cells[named["board"]] or row.cells["board"]
            rows.append((row.place.row, cells))
        return replace(raw, rows=[(raw.rows[raw.head][0], [*header, *extra]), *rows], head=0)

    def _whole(self, row: RowIn) -> dict[str, str]:
        """All cells of a row as it would stand in the book."""
        return {**self.there[row.sheet].get(row.there, {}), **row.cells}
