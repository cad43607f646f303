"""What an import would do to a book: rows that are new, that are there already, and that differ."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from estimator.log.book.act import NUMBERED_BY
from estimator.log.book.canonical import Canon, NamesInBook, next_number
from estimator.log.book.schema import OWNERS
from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import Incoming
from estimator.log.exchange.plan import DAY, MergePlan, RowChange, RowIn, as_it_is, board_of, on_trial
from estimator.log.parse.cells import one_line
from estimator.log.reading import read_log
from estimator.log.tables import CellValue, RawLog, RawSheet, empty, shown
from estimator.words.measures import printable
from estimator.words.problems import THE_BOOK, Place, Problem, in_order
from estimator.words.settings.schema import Settings

ONE_WINS = "Correct the one or the other, or let the file win."
BY_MARK = "Correct it in a spreadsheet that was written out of the book: its marks tell rows apart."
GONE = "taken out in the file that was read in"
STRUCK = "struck_out"  # the column of what was told that says why it does not count
PAIRED_BY = ("stage", "what", "for")  # columns by which rows of one day are told apart


class _Placed(Protocol):
    """A record of a log."""

    @property
    def where(self) -> Place: ...


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
        self.numbers: dict[tuple[Place, int], str] = {}  # of boards, by their sheets and rows
        boards = NamesInBook()
        for board in self.there["boards"].values():
            boards.add(board.get("board", ""), board.get("called", ""))
        self.canon = Canon(settings, boards)
        self.plan = MergePlan()

    def of(
        self, sheets: Sequence[Incoming], *, newer: bool, good_rows: bool, gone: Collection[str] = ()
    ) -> MergePlan:
        """What is to be done with these sheets.

        newer: where a row differs, the file wins; good_rows: rows that cannot be taken are left out, not all
        gone: sheets of which rows are struck out that the file no longer has
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
        self._gone(rows)
        plan.struck = [(sheet, number) for sheet in gone for number in plan.gone.get(sheet, ())]
        self._checked(sheets, good_rows=good_rows)
        plan.problems = list(in_order(plan.problems))
        return plan

    def _rows(self, at: int, sheet: Incoming) -> list[RowIn]:
        """The rows of a sheet, in canonical text."""
        raw, names = sheet.raw, self.names[sheet.raw.sheet]
        columns = {spot: names.find(cell) for spot, cell in enumerate(raw.rows[raw.head][1])}
        columns = {spot: name for spot, name in columns.items() if name} | dict(sheet.kept)
        found = []
        names_row = raw.rows[raw.head][1]
        for number, cells in raw.rows[raw.head + 1 :]:
            if cells[0] == names_row[0] and list(map(one_line, cells)) == list(map(one_line, names_row)):
                continue  # the header once more
            if sheet.beside:
                spot = next(spot for spot, name in columns.items() if name == "board")
                board = self.numbers.get((raw.place, number), "")
                if not board:  # what is wrong with it is said of the board
                    self.plan.left_out.append(replace(raw.place, row=number))
                    continue
                cells = [board if one == spot else cell for one, cell in enumerate(cells)]  # noqa: PLW2901
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
        raw = {name: row.raw[spot] for spot, name in columns.items()}
        clean = {name: printable(cell) if isinstance(cell, str) else cell for name, cell in raw.items()}
        return {name: self.canon.cell(row.sheet, name, cell)[0] for name, cell in clean.items()}

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
                    row.cells["board"] = self.numbers[row.place.whole_sheet, row.place.row] = own
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
            self.numbers[row.place.whole_sheet, row.place.row] = board
            self.plan.added.append(row)
        return rows

    @staticmethod
    def _same(row: RowIn, cells: Mapping[str, str]) -> bool:
        """Whether a row of a file says nothing that one of the book does not."""
        return all(cells.get(name, "") == cell for name, cell in row.said.items())

    def _compare(self, row: RowIn, *, newer: bool) -> None:
        """A row that is known again: skipped where it is the same or struck out, else changed or a problem."""
        cells = self.there[row.sheet].get(row.there)
        row.was = cells or {}
        # a telling that was struck out stays so, whatever an older file has of it
        struck = bool(cells and row.sheet == "told" and cells.get(STRUCK) and not row.said.get(STRUCK))
        if cells is None or struck or self._same(row, cells):
            self.plan.skipped[row.sheet] += 1
        elif newer:
            (self.plan.told if row.sheet == "told" else self.plan.changed).append(row)
        else:
            for name, cell in row.differs.items():
                self._wrong(row, name, self._readings(name, cells.get(name, ""), cell), ONE_WINS)

    @staticmethod
    def _readings(column: str, book: str, file: str) -> str:
        """Both readings of a cell; of an owner only that they differ."""
        if column in OWNERS:
            return "the book says otherwise here"
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
        days: dict[str, list[str]] = defaultdict(list)
        for row in rows:
            days[row.sheet] += [row.day] if row.day else []
        of_board: dict[tuple[str, str], list[int]] = defaultdict(list)
        for sheet, there in self.there.items():
            for number, cells in there.items():
                if (sheet, number) not in known:
                    of_board[sheet, board_of(sheet, cells)].append(number)
        for (sheet, board), found in loose.items():
            left, numbers = self._without_equals(sheet, found, of_board[sheet, board])
            # a row of the book on another day than the file is about says nothing against it
            span = (min(days[sheet]), max(days[sheet])) if days[sheet] else ("", "")
            within = [number for number in numbers if span[0] <= self._day(sheet, number) <= span[1]]
            self._unlike(sheet, board, left, within, newer=newer)
        self.plan.added.sort(key=lambda row: (row.source, row.place.row))  # as they stand in their file

    def _day(self, sheet: str, number: int) -> str:
        """The day of a row of the book."""
        return self.there[sheet][number].get(DAY.get(sheet, "date"), "")

    def _without_equals(
        self, sheet: str, rows: list[RowIn], numbers: list[int]
    ) -> tuple[list[RowIn], list[int]]:
        """Rows of a file and of the book that nothing tells apart, without those that are equal."""
        columns = sorted({name for row in rows for name in row.cells})
        here: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for number in reversed(numbers):
            here[tuple(self.there[sheet][number].get(name, "") for name in columns)].append(number)
        left = []
        for row in rows:
            same = here.get(tuple(row.cells.get(name, "") for name in columns), [])
            if same:
                same.pop()
                self.plan.skipped[sheet] += 1
            else:
                left.append(row)
        free = {number for same in here.values() for number in same}
        of_day: dict[str, list[int]] = defaultdict(list)
        for number in numbers:
            of_day[self._day(sheet, number)].append(number)
        unlike = []
        for row in left:
            there = of_day[row.day]
            alike = next((n for n in there if n in free and self._same(row, self.there[sheet][n])), 0)
            if alike:  # it is empty where the book has more
                free.discard(alike)
                self.plan.skipped[sheet] += 1
            else:
                unlike.append(row)
        return unlike, [number for number in numbers if number in free]

    def _unlike(self, sheet: str, board: str, rows: list[RowIn], numbers: list[int], *, newer: bool) -> None:
        """Rows of a file that the book has not: more than it has are added, others are a problem.

        Where the file wins, one that is plainly a row of the book changes that; and one of a day on which the book
        has no other is added.
        """
        if not rows or not numbers:
            self.plan.added += rows
            return
        if not newer:
            self._differ(sheet, board, rows, numbers[0], ONE_WINS)
            return
        of_day: dict[str, tuple[list[RowIn], list[int]]] = defaultdict(lambda: ([], []))
        for row in rows:
            of_day[row.day][0].append(row)
        for number in numbers:
            of_day[self._day(sheet, number)][1].append(number)
        for new, old in of_day.values():
            alike: dict[tuple[str, ...], tuple[list[RowIn], list[int]]] = defaultdict(lambda: ([], []))
            for row in new:
                alike[self._paired(row.cells)][0].append(row)
            for number in old:
                alike[self._paired(self.there[sheet][number])][1].append(number)
            pairs = [(of[0][0], of[1][0]) for of in alike.values() if len(of[0]) == len(of[1]) == 1]
            paired = {*(id(row) for row, _ in pairs)}, {number for _, number in pairs}
            rows_left = [row for row in new if id(row) not in paired[0]]
            ours_left = [number for number in old if number not in paired[1]]
            if len(rows_left) == len(ours_left) == 1:
                pairs.append((rows_left.pop(), ours_left.pop()))
            for row, number in pairs:
                row.there = number
                self._compare(row, newer=True)
            if rows_left and ours_left:
                self._differ(sheet, board, rows_left, ours_left[0], BY_MARK)
            else:
                self.plan.added += rows_left

    @staticmethod
    def _paired(cells: Mapping[str, str]) -> tuple[str, ...]:
        """What tells a row from others of its day."""
        return tuple(cells.get(name, "") for name in PAIRED_BY)

    def _differ(self, sheet: str, board: str, rows: list[RowIn], number: int, cure: str) -> None:
        """The problem of rows of which nobody knows whether they are new, or rows of the book that were corrected."""
        columns = sorted({name for row in rows for name in row.cells}.difference(OWNERS))
        only = self.there[sheet][number]
        said = [" ".join(shown(cells[n]) for n in columns if cells.get(n)) for cells in (only, rows[0].cells)]
        of = f"board {board}" if board.strip() and "board" in columns else "these rows"
        wrong = f"{of}: only in the book “{said[0]}”, only in the file “{said[1]}”"
        self.plan.left_out += [row.place for row in rows]
        self.plan.problems.append(Problem(rows[0].place, "", wrong, cure))

    def _gone(self, rows: Iterable[RowIn]) -> None:
        """Rows of the book that a file of ours had, for it has later ones, and no longer has."""
        of: dict[str, set[int]] = defaultdict(set)
        for row in rows:
            if row.there and self.by_mark.get((row.sheet, row.mark)) == row.there:
                of[row.sheet].add(row.there)
        for sheet, known in of.items():
            last = max(known)
            gone = [
                number
                for number, cells in self.there[sheet].items()
                if number < last and number not in known and not (sheet == "told" and cells.get(STRUCK))
            ]
            if gone:
                self.plan.gone[sheet] = gone

    def changes(self) -> tuple[RowChange, ...]:
        """What becomes of rows that are there."""
        found = []
        for row in (*self.plan.changed, *self.plan.told):
            was, differs = row.was, row.differs
            before = {n: "…" if n in OWNERS else was.get(n, "") for n in differs}
            after = {n: "…" if n in OWNERS else cell for n, cell in differs.items()}
            name = " ".join(one for one in (was.get("board") or was.get("boards", ""), row.day) if one)
            found.append(RowChange(row.place, row.sheet, name, before, after))
        return tuple(found)

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
        writes = [*plan.added, *plan.changed, *plan.told]
        if not writes and not plan.struck:
            return
        changed = {(row.sheet, row.there) for row in (*plan.changed, *plan.told)} | set(plan.struck)
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
        found = [as_it_is(problem) for problem in problems]
        plan.problems += [problem for problem in found if problem not in before]
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
        bad = {id(row) for row in writes if on_trial(row.place, row.source) not in taken}
        plan.left_out += [row.place for row in writes if id(row) in bad]
        if good_rows:
            plan.added = [row for row in plan.added if id(row) not in bad]
            plan.changed = [row for row in plan.changed if id(row) not in bad]
            plan.told = [row for row in plan.told if id(row) not in bad]

    def _as_written(self, at: int, sheet: Incoming, writes: Iterable[RowIn]) -> RawSheet:
        """The rows of a sheet that would be written, with what the book has of them beyond its columns."""
        raw = sheet.raw
        header = list(raw.rows[raw.head][1])
        named = {self.names[raw.sheet].find(cell): spot for spot, cell in enumerate(header)}
        of = [row for row in writes if row.source == at]
        known = set(self.names[raw.sheet].known.values())
        extra = sorted({n for row in of for n in row.whole if n in known and n not in named})
        rows = []
        for row in of:
            whole = row.whole
            cells: list[CellValue] = [*row.raw, *(whole.get(name, "") for name in extra)]
            for name, spot in named.items():
                if name and empty(cells[spot]):
                    cells[spot] = whole.get(name, "")
            rows.append((row.place.row, cells))
        place = on_trial(raw.place, at)
        return replace(raw, place=place, rows=[(raw.rows[raw.head][0], [*header, *extra]), *rows], head=0)
