"""The book as a store: read as every other log is, and written by acts of which each is kept."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from estimator.log.book.act import BookAct, finish_settings, put_settings, writable
from estimator.log.book.backups import copy_book, daily_copy, kept_before, last_copy, put_back
from estimator.log.book.history import ActRecord, WouldUndo, acts_of, take_back, would_take_back
from estimator.log.book.opening import connected, examine, migrate, new_file, newest, roll_back
from estimator.log.book.owners import Forgotten, forget_owner
from estimator.log.book.schema import OWNERS, SHEETS
from estimator.log.book.synced import synced_note
from estimator.log.columns import csv_headers, names_of_sheets
from estimator.log.store import COMMAND, Act, FirstAct, log_files, which_log
from estimator.log.tables import Grid, RawLog, RawSheet
from estimator.words.errors import UsageError
from estimator.words.problems import THE_BOOK, Place, Problem
from estimator.words.settings.reader import decoded_settings, parse_settings, settings_bytes
from estimator.words.settings.values import SETTINGS_FILE

HEAD = 1  # number of the row with the names of the columns

Pieces = Mapping[
    int, Mapping[str, str]
]  # cells that have no column in the table of their sheet, by row and name


@dataclass(frozen=True)
class BookReading:
    """A book as it stood at one moment.

    state: the revision of its rows; toml: the settings file then
    rows: of each sheet the rows that are read: their number, then the cells of SHEETS; pieces: what else is in them
    headings: names of columns that are not known, in their order
    """

    folder: Path
    state: str
    toml: bytes
    rows: Mapping[str, list[tuple[int | str | None, ...]]]
    pieces: Mapping[str, Pieces]
    headings: Mapping[str, list[str]]
    unread: tuple[str, ...]

    def revision(self) -> str:
        """SHA-256, in hexadecimal, of the random name of what is in the sheets, and of the settings."""
        return hashlib.sha256(f"{self.state}\n".encode() + self.toml).hexdigest()

    def settings_text(self) -> str:
        """The text of `workshop.toml`, or that which an act has written and is about to put there."""
        return decoded_settings(self.toml)

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The raw sheets that have rows."""
        return self._raw, []

    @cached_property
    def _raw(self) -> RawLog:
        """The raw log; every column that is known stands in it, whether anything is written there or not."""
        settings = parse_settings(self.settings_text())[0]
        headers = csv_headers(settings)
        sheets = tuple(
            self._sheet(sheet, headers[f"{sheet}.csv"])
            for sheet in names_of_sheets(settings)
            if self.rows.get(sheet)
        )
        notes = (*which_log((THE_BOOK,), self.unread), *synced_note(self.folder))
        return RawLog(sheets, THE_BOOK, notes)

    def _sheet(self, sheet: str, known: tuple[str, ...]) -> RawSheet:
        """One sheet, with its header as the first row."""
        own, pieces = tuple(SHEETS[sheet]), self.pieces.get(sheet, {})
        filled = {name for cells in pieces.values() for name, cell in cells.items() if cell}
        more = [name for name in self.headings.get(sheet, ()) if name in filled and name not in known]
        more += sorted(filled.difference(known, more, own))
        header = (*known, *more)
        places = [own.index(name) + 1 if name in own else 0 for name in header]
        rows: list[tuple[int, list[str]]] = [(HEAD, list(header))]
        nothing: Mapping[str, str] = {}
        for row in self.rows[sheet]:
            number = int(row[0] or 0)
            cells = [str(row[at] or "") if at else "" for at in places]
            if piece := pieces.get(number, nothing):
                cells = [piece.get(name) or cell for name, cell in zip(header, cells, strict=True)]
            rows.append((number, cells))
        grid: Grid = rows
        return RawSheet(sheet, Place(THE_BOOK, sheet), grid, 0)


class BookStore:
    """A log kept in `book.sqlite`; it may be asked by several threads, each with a connection of its own.

    Raises UsageError where the file is not ours or cannot be opened, DamagedBookError where it is damaged.
    """

    def __init__(self, folder: Path | str, *, file: Path | None = None) -> None:
        self.folder = Path(folder)
        self.path = file or self.folder / THE_BOOK
        self._held: BookReading | None = None
        self._bring_up()

    def _bring_up(self) -> None:
        """Brings a book of an earlier version to the newest, with a copy before."""
        if examine(self.path) < newest():
            migrate(self.path, lambda: kept_before(self.path, "schema", dt.datetime.now().astimezone()))

    @classmethod
    def create(
        cls,
        folder: Path | str,
        *,
        label: str = "",
        at: dt.datetime | None = None,
        fill: Callable[[Act], object] | None = None,
        origin: str = COMMAND,
    ) -> BookStore:
        """A new book in a folder that has settings; it is there when all of it is, or not at all.

        fill: writes its first rows in one act, which label and at name

        Raises UsageError where there is one already, or it cannot be written, and what `fill` raises.
        """
        path = Path(folder) / THE_BOOK
        with new_file(path) as part:
            if fill is not None:
                first = cls(folder, file=part)
                with first.act(label, at or dt.datetime.now().astimezone(), origin=origin) as act:
                    fill(act)
        return cls(folder)

    def held(self) -> BookReading:
        """The book as it stands now; the same as the last time where nothing was written since."""
        with connected(self.path) as connection:
            connection.execute("BEGIN")  # all is of one moment
            [(state,)] = connection.execute("SELECT revision FROM now")
            toml = self._settings(connection)
            unread = self._unread()
            before = self._held
            if before and (before.state, before.toml, before.unread) == (state, toml, unread):
                return before
            self._held = held = self._read(connection, state, toml, unread)
        return held

    def revision(self) -> str:
        """See BookReading.revision."""
        return self.held().revision()

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The raw sheets as they stand now."""
        return self.held().read()

    def settings_text(self) -> str:
        """The text of the settings as they stand now."""
        return self.held().settings_text()

    @contextmanager
    def act(
        self, label: str, at: dt.datetime, key: str = "", digest: str = "", origin: str = COMMAND
    ) -> Iterator[Act]:
        """One act, and a copy of the book before the first of a day; one that writes nothing is not kept."""
        if self.path.name == THE_BOOK:
            daily_copy(self.path, self.backup_folder(), dt.datetime.now().astimezone())
        with self._writing() as connection:
            first = connection.execute("SELECT digest, places FROM keys WHERE key = ?", (key,)).fetchone()
            if first:
                kept = [(THE_BOOK, sheet, row, "") for sheet, row in json.loads(first[1])]
                yield FirstAct.of({"digest": first[0], "places": kept}, digest)
                return
            toml = self._settings(connection)
            known = parse_settings(decoded_settings(toml))[0]
            act = BookAct.begun(connection, known, toml, label, at, origin, self.folder)
            yield act
            act.end(key, digest)
        finish_settings(self.path, self.folder)

    def undo(self, number: int | None, at: dt.datetime, *, origin: str = COMMAND) -> ActRecord:
        """Takes an act back, which is an act too; the act that was taken back.

        number: which; None: the newest that is neither an undo nor undone

        Raises UsageError where there is none, or what it wrote was changed since.
        """
        writable(self.folder / SETTINGS_FILE)
        with self._writing() as connection:
            done = take_back(connection, number, at, origin, self._settings(connection).decode("utf-8"))
        finish_settings(self.path, self.folder)
        return done

    def forget_owner(self, board: str, at: dt.datetime, *, origin: str = COMMAND) -> Forgotten:
        """Blanks the owner of a board, by its number, here and in the copies; see forget_owner."""
        return forget_owner(self.path, board, at, self.backup_folder(), origin)

    def put_back(self, copy: Path, now: dt.datetime) -> Path:
        """Copies a backup into this book, and returns where what was there is kept; see put_back."""
        kept = put_back(self.path, copy, now)
        self._bring_up()  # a copy of an earlier version
        return kept

    def would_undo(self, number: int | None = None) -> WouldUndo:
        """What taking an act back would do; see would_take_back."""
        with connected(self.path) as connection:
            connection.execute("BEGIN")
            return would_take_back(connection, number, self._settings(connection).decode("utf-8"))

    def copy_elsewhere(self, now: dt.datetime) -> Path | None:
        """A copy of the book as it is into the second place; None where none is named, or it is not at hand.

        Raises UsageError where it cannot be written there.
        """
        elsewhere = self.backup_folder()
        if elsewhere is None or not elsewhere.is_dir():
            return None
        copy = elsewhere / f"book-{now.date()}.sqlite"
        copy_book(self.path, copy)
        return copy

    def before_import(self, now: dt.datetime) -> Path:
        """A copy of the book as it is before an import; where it is."""
        return kept_before(self.path, "import", now)

    def last_copy_elsewhere(self) -> dt.date | None:
        """The day of the newest copy in the second place; None where there is none, or the place is not at hand."""
        return last_copy(self.backup_folder())

    def acts(self, most: int = 20, before: int | None = None) -> tuple[ActRecord, ...]:
        """What was done, the newest first; before: only acts of a lower number."""
        with connected(self.path) as connection:
            return acts_of(connection, most, before)

    def first_act(self) -> tuple[int, str]:
        """How many acts there are, and when the first was, ISO 8601, empty where there is none."""
        with connected(self.path) as connection:
            [(many, first)] = connection.execute("SELECT count(*), coalesce(min(at), '') FROM acts")
        return int(many), str(first)

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """A connection in a transaction that nobody else can write in; kept at the end, or taken back whole."""
        with connected(self.path, write=True) as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                put_settings(connection, self.folder)  # of an act that was broken off, or has just ended
                yield connection
                connection.execute("UPDATE now SET act = NULL WHERE act IS NOT NULL")
                if connection.in_transaction:
                    connection.execute("COMMIT")
            except BaseException:
                roll_back(connection)
                raise
            finally:
                roll_back(connection)  # where a generator was closed in between

    def _settings(self, connection: sqlite3.Connection) -> bytes:
        """The settings that go with the rows: those of the file, unless an act is about to replace it."""
        toml = settings_bytes(self.folder)
        for before, after in connection.execute(
            "SELECT before, after FROM settings_changes JOIN now ON settings_of = settings_changes.act"
        ):
            if toml == before.encode("utf-8"):
                return bytes(after.encode("utf-8"))
        return toml

    def backup_folder(self) -> Path | None:
        """Where copies go too; None where the settings name no place."""
        try:
            named = parse_settings(decoded_settings(settings_bytes(self.folder)))[0].workshop.backup_folder
        except UsageError:
            return None
        return (self.folder / Path(named).expanduser()) if named.strip() else None

    def _unread(self) -> tuple[str, ...]:
        """Other logs that lie in the folder."""
        there = log_files(self.folder)
        return (*there.names, *there.unread)

    def _read(
        self, connection: sqlite3.Connection, state: str, toml: bytes, unread: tuple[str, ...]
    ) -> BookReading:
        """All rows that are read."""
        rows = {}
        for sheet, columns in SHEETS.items():
            names = ", ".join(f'"{column}"' for column in columns)
            rows[sheet] = connection.execute(
                f"SELECT id, {names} FROM {sheet} WHERE struck IS NULL ORDER BY id"
            ).fetchall()
        pieces: dict[str, dict[int, dict[str, str]]] = {sheet: {} for sheet in SHEETS}
        there = {sheet: {row[0] for row in rows[sheet]} for sheet in SHEETS}
        boards = pieces["boards"]
        for board, *cells in connection.execute("SELECT board, owner, reach FROM owners"):
            boards.setdefault(board, {}).update(zip(OWNERS, cells, strict=True))
        for board, side, what, written in connection.execute(
            "SELECT board, side, what, written FROM amounts"
        ):
            boards.setdefault(board, {})[f"{side}_{what}"] = written
        for sheet, row, name, written in connection.execute("SELECT sheet, row, name, written FROM others"):
            pieces[sheet].setdefault(row, {})[name] = written
        kept = {s: {r: cells for r, cells in of.items() if r in there[s]} for s, of in pieces.items()}
        headings: dict[str, list[str]] = {}
        for sheet, name in connection.execute("SELECT sheet, name FROM headings ORDER BY id"):
            headings.setdefault(sheet, []).append(name)
        return BookReading(self.folder, state, toml, rows, kept, headings, unread)
