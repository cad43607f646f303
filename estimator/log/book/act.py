"""One act on a book: rows added, filled and struck out in one transaction, each in canonical text."""

from __future__ import annotations

import datetime as dt
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from estimator.log.book.canonical import Canon, NamesInBook, next_number
from estimator.log.book.opening import connected, new_revision, roll_back
from estimator.log.book.schema import OWNERS, SHEETS, SIDES
from estimator.log.columns import csv_headers
from estimator.log.files import ANY_WRITER, write_all
from estimator.log.parse.cells import one_line
from estimator.log.store import MAKE_IT_YOURS, changed_meanwhile
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.problems import THE_BOOK, Place
from estimator.words.records import SHOP
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import SETTINGS_FILE

NUMBERED_BY = (
    "quoted",
    "asked",
    "accepted",
    "started",
    "ready",
    "collected",
)  # the day whose year a number has


@dataclass(slots=True)
class BookAct:
    """What one act writes into a book; see Act.

    places: of the rows that were added
    """

    connection: sqlite3.Connection
    known: Settings
    toml: bytes
    number: int
    at: dt.datetime
    canon: Canon
    folder: Path
    places: list[Place] = field(default_factory=list)
    new_settings: str | None = None
    by_hand: str = ""
    again: bool = False

    @classmethod
    def begun(
        cls,
        connection: sqlite3.Connection,
        known: Settings,
        toml: bytes,
        label: str,
        at: dt.datetime,
        origin: str,
        folder: Path,
    ) -> BookAct:
        """An act, in a transaction that has begun."""
        number = begin_act(connection, at, origin, label)
        names = NamesInBook()
        for board, called in connection.execute(
            "SELECT coalesce(board, ''), coalesce(called, '') FROM boards WHERE struck IS NULL ORDER BY id"
        ):
            names.add(board, called)
        return cls(connection, known, toml, number, at, Canon(known, names), folder)

    def columns(self, sheet: str) -> frozenset[str]:
        """Every column that is known of a sheet."""
        return frozenset(csv_headers(self.known)[f"{sheet}.csv"])

    def append(self, sheet: str, cells: Mapping[str, str]) -> Place:
        """A row more; a board without a number gets the next one of its year."""
        if sheet not in SHEETS:
            raise UsageError(f"A book has no sheet {sheet}.", f"Its sheets are {', '.join(SHEETS)}.")
        own, pieces = self._apart(sheet, cells)
        if sheet == "boards":
            own["board"] = self._new_board(own)
        filled = {column: cell for column, cell in own.items() if cell}
        names = ", ".join(f'"{column}"' for column in filled)
        values = f"({names}) VALUES ({', '.join('?' * len(filled))})" if filled else "DEFAULT VALUES"
        done = self.connection.execute(f"INSERT INTO {sheet} {values}", tuple(filled.values()))
        place = Place(THE_BOOK, sheet, int(done.lastrowid or 0))
        for name, (cell, piece) in pieces.items():
            if cell:
                self._put(sheet, place.row, name, cell, piece=piece)
        if sheet == "boards":
            self.canon.names.add(own["board"], own.get("called", ""))
        self.places.append(place)
        return place

    def fill(self, place: Place, cells: Mapping[str, str], expected: Mapping[str, str]) -> None:
        """Any cells of a row filled; an empty text empties one."""
        there = self._row(place)
        if any(there.get(name, "") != was for name, was in expected.items()):
            raise changed_meanwhile(place)
        own, pieces = self._apart(place.sheet, cells)
        if place.sheet == "boards":
            if own.pop("board", there["board"]) != there["board"]:
                raise UsageError(f"Board {there['board']} keeps its number.", "Leave it as it is.")
            if own.get("called"):
                self.canon.names.add(there["board"], own["called"])
        if own:
            names = ", ".join(f'"{column}" = ?' for column in own)
            self.connection.execute(
                f"UPDATE {place.sheet} SET {names} WHERE id = ?",
                (*(cell or None for cell in own.values()), place.row),
            )
        for name, (cell, piece) in pieces.items():
            self._put(place.sheet, place.row, name, cell, piece=piece)

    def strike(self, place: Place, why: str) -> None:
        """Strikes a row out, with why; a board only where no row that is read speaks of it.

        A telling stays to be read, with why beside it.
        """
        there = self._row(place)
        words = one_line(why)
        if not words:
            raise UsageError("A row is not struck out without a reason.", "Say why.", field="why")
        if place.sheet == "told":
            self.fill(place, {"struck_out": words}, {})
            return
        if place.sheet == "boards" and (spoken := next(speaks_of(self.connection, there["board"]), None)):
            raise UsageError(
                f"Rows of {spoken[0]} speak of board {there['board']}, and it stays.",
                "Strike those out first.",
            )
        self.connection.execute(f"UPDATE {place.sheet} SET struck = ? WHERE id = ?", (words, place.row))

    def settings(self, text: str) -> None:
        """The settings as they shall be; the file is replaced once the book has them."""
        writable(self.folder / SETTINGS_FILE)
        self.new_settings = text

    def headings(self, sheet: str, names: Iterable[str]) -> None:
        """Columns that are not known, in the order in which they are to stand; those that are there stay."""
        heading = "INSERT INTO headings (sheet, name) VALUES (?, ?) ON CONFLICT DO NOTHING"
        self.connection.executemany(heading, [(sheet, name) for name in names])

    def end(self, key: str, digest: str) -> None:
        """Keeps the key, and names the book's content anew; takes an act back that wrote nothing."""
        if self.new_settings is not None:
            change_settings(self.connection, self.number, self.toml.decode("utf-8"), self.new_settings)
        [(wrote,)] = self.connection.execute(
            "SELECT EXISTS (SELECT 1 FROM changes WHERE act = ?1)"
            " OR EXISTS (SELECT 1 FROM settings_changes WHERE act = ?1)",
            (self.number,),
        )
        if not wrote and not key:
            roll_back(self.connection)
            return
        if key:
            places = json.dumps([(place.sheet, place.row) for place in self.places])
            self.connection.execute(
                "INSERT INTO keys VALUES (?, ?, ?, ?)", (key, digest, self.number, places)
            )
        self.connection.execute("UPDATE now SET revision = ?", (new_revision(),))

    def _apart(
        self, sheet: str, cells: Mapping[str, str]
    ) -> tuple[dict[str, str], dict[str, tuple[str, str]]]:
        """Cells in canonical text: those of the sheet's own columns; and what else, with the table it belongs to."""
        own: dict[str, str] = {}
        pieces: dict[str, tuple[str, str]] = {}
        for column, value in cells.items():
            cell, readable = self.canon.cell(sheet, column, value)
            if column in SHEETS[sheet]:
                own[column] = cell if readable else ""
                pieces[column] = ("" if readable else cell, "others")
            elif sheet == "boards" and column in OWNERS:
                pieces[column] = (cell, "owners")
            elif sheet == "boards" and column.partition("_")[0] in SIDES and "_" in column:
                pieces[column] = (cell, "amounts")
            else:
                pieces[column] = (cell, "others")
        return own, pieces

    def _put(self, sheet: str, row: int, name: str, cell: str, *, piece: str) -> None:
        """Writes a cell that has no column in the table of its sheet; an empty one only over another."""
        of: Mapping[str, str | int] = {"sheet": sheet, "row": row, "name": name}
        column = "written"
        if piece == "owners":
            of, column = {"board": row}, name
        elif piece == "amounts":
            side, _, what = name.partition("_")
            of = {"board": row, "what": what, "side": side}
        elif cell and name not in SHEETS[sheet]:
            self.headings(sheet, [name])
        keys = " AND ".join(f"{key} = ?" for key in of)
        done = self.connection.execute(f"UPDATE {piece} SET {column} = ? WHERE {keys}", (cell, *of.values()))
        if cell and not done.rowcount:
            self.connection.execute(
                f"INSERT INTO {piece} ({', '.join(of)}, {column}) VALUES ({'?, ' * len(of)}?)",
                (*of.values(), cell),
            )

    def _row(self, place: Place) -> dict[str, str]:
        """The filled cells of a row that is read, by column; raises UsageError where there is no such row."""
        if place.source != THE_BOOK or place.sheet not in SHEETS:
            raise changed_meanwhile(place)
        row = filled_cells(self.connection, place.sheet, place.row)
        if row is None:
            raise changed_meanwhile(place)
        return row

    def _new_board(self, own: Mapping[str, str]) -> str:
        """The number of a new board; raises UsageError where another has it."""
        board, names = one_line(own.get("board", "")), self.canon.names
        if board.casefold() in names.ids:
            raise UsageError(
                f"There is a board {names.ids[board.casefold()]} already.", "Give it another number."
            )
        if board.casefold() == SHOP:
            raise UsageError("shop stands for time on no board.", "Give the board another number.")
        if board:
            return board
        year = next((cell[:4] for column in NUMBERED_BY if (cell := own.get(column, ""))), "")
        with suppress(UnreadableError):
            return next_number(names.ids.values(), read_date(f"{year}-01-01").year)
        return next_number(names.ids.values(), self.at.year)


def begin_act(
    connection: sqlite3.Connection, at: dt.datetime, origin: str, sentence: str, undo_of: int | None = None
) -> int:
    """Puts an act in hand, and returns its number."""
    done = connection.execute(
        "INSERT INTO acts (at, origin, sentence, undo_of) VALUES (?, ?, ?, ?)",
        (at.isoformat(timespec="seconds"), origin, sentence, undo_of),
    )
    connection.execute("UPDATE now SET act = ?", (done.lastrowid,))
    return int(done.lastrowid or 0)


def change_settings(connection: sqlite3.Connection, act: int, before: str, after: str) -> None:
    """Keeps what an act makes of the settings, for their file to follow."""
    connection.execute(
        "INSERT INTO settings_changes (act, before, after) VALUES (?, ?, ?)", (act, before, after)
    )
    connection.execute("UPDATE now SET settings_of = ?", (act,))


def writable(file: Path) -> None:
    """Raises UsageError where a file may not be written, before a book says that it was."""
    if file.exists() and not (file.stat().st_mode & ANY_WRITER and os.access(file, os.W_OK)):
        raise UsageError(f"{file} cannot be written.", MAKE_IT_YOURS)


def filled_cells(connection: sqlite3.Connection, sheet: str, row: int) -> dict[str, str] | None:
    """The filled cells of a row by column; None where there is none, or it is struck out."""
    names = ", ".join(f'"{column}"' for column in SHEETS[sheet])
    found = connection.execute(
        f"SELECT {names} FROM {sheet} WHERE id = ? AND struck IS NULL",
        (row,),
    ).fetchone()
    if found is None:
        return None
    cells = dict(zip(SHEETS[sheet], found, strict=True))
    if sheet == "boards":
        for name in OWNERS:
            for (cell,) in connection.execute(f"SELECT {name} FROM owners WHERE board = ?", (row,)):
                cells[name] = cell
        cells |= dict(
            connection.execute("SELECT side || '_' || what, written FROM amounts WHERE board = ?", (row,))
        )
    others = connection.execute("SELECT name, written FROM others WHERE sheet = ? AND row = ?", (sheet, row))
    cells |= {name: cell for name, cell in others if cell}
    return {name: cell for name, cell in cells.items() if cell}


def speaks_of(connection: sqlite3.Connection, board: str) -> Iterator[tuple[str, int]]:
    """The rows that are read and speak of a board: their sheet and number."""
    for sheet, columns in SHEETS.items():
        for column in ("board", "boards"):
            if sheet != "boards" and column in columns:
                found = connection.execute(
                    f"SELECT id FROM {sheet} WHERE struck IS NULL"
                    f" AND instr('; ' || {column} || ';', '; ' || ? || ';')",
                    (board,),
                )
                yield from ((sheet, number) for (number,) in found)


def finish_settings(path: Path, folder: Path) -> None:
    """Puts settings that an act has written into their file, unless somebody else has changed that since.

    Raises UsageError where the file cannot be written; it is tried again at the next opening.
    """
    with connected(path, write=True) as connection:
        [(of,)] = connection.execute("SELECT settings_of FROM now")
        if of is None:
            return
        connection.execute("BEGIN IMMEDIATE")
        try:
            put_settings(connection, folder)
            connection.execute("COMMIT")
        finally:
            roll_back(connection)


def put_settings(connection: sqlite3.Connection, folder: Path) -> None:
    """The same in a transaction that nobody else can write in: before another act changes the settings again.

    Raises UsageError where the file cannot be written.
    """
    file = folder / SETTINGS_FILE
    try:
        for before, after in connection.execute(
            "SELECT before, after FROM settings_changes JOIN now ON settings_of = settings_changes.act"
        ).fetchall():
            if file.read_bytes() == before.encode("utf-8"):
                write_all(folder, {SETTINGS_FILE: after.encode("utf-8")})
            connection.execute("UPDATE now SET settings_of = NULL")
    except OSError as error:
        raise UsageError(f"{file} cannot be written.", MAKE_IT_YOURS) from error
