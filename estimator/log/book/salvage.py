"""What can still be read of a damaged book: whole rows, one by one, and of lost ones what its history holds."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from estimator.log.book.schema import FIRST_ROW, OWNERS, SHEETS
from estimator.log.book.store import BookReading
from estimator.log.tables import RawLog
from estimator.words.errors import UsageError
from estimator.words.problems import THE_BOOK, Problem
from estimator.words.settings.reader import settings_bytes

MOST_ROWS = 1_000_000  # numbers up to which lost rows are looked for
UNREADABLE = (sqlite3.Error, ValueError)  # the second where a name in it is no text any more
MISSED = 5_000  # numbers without a row, one after another, after which none is expected
Row = tuple[object, ...]


@dataclass(frozen=True)
class SalvagedReading(BookReading):
    """What could be read of a damaged book."""

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The raw sheets that have rows; their source is not the book itself, for its rows have no marks any more."""
        raw, problems = super().read()
        return replace(raw, source=f"what can be read of {THE_BOOK}"), problems


@dataclass(frozen=True)
class SalvagedBook:
    """A damaged book as something to read from, and nothing else."""

    folder: Path

    @property
    def path(self) -> Path:
        """The damaged file."""
        return self.folder / THE_BOOK

    def held(self) -> SalvagedReading:
        """What can be read of it.

        Raises UsageError where that is nothing.
        """
        where = f"{self.path.resolve().as_uri()}?mode=ro"
        try:
            with closing(sqlite3.connect(where, uri=True, isolation_level=None)) as connection:
                connection.text_factory = lambda text: text.decode("utf-8", "replace")
                return self._read(connection)
        except UNREADABLE as error:
            raise UsageError(
                f"Nothing of {self.path} can be read any more.", "Put a copy of it back."
            ) from error

    def _read(self, connection: sqlite3.Connection) -> SalvagedReading:
        """All rows that can be read."""
        connection.execute(
            "SELECT count(*) FROM sqlite_master"
        ).fetchone()  # else every question fails, and slowly
        rows: dict[str, list[tuple[int | str | None, ...]]] = {}
        kept = _history(connection)
        for sheet, columns in SHEETS.items():
            known = {row[1] for row in _all(connection, f"PRAGMA table_info({sheet})")}
            names = ", ".join(f'"{one}"' if one in known else "NULL" for one in ("id", *columns, "struck"))
            there = {int(str(row[0])): row for row in _rows(connection, sheet, names)}
            for number, cells in kept.get(sheet, {}).items():
                if number not in there:
                    there[number] = (number, *(cells.get(column) for column in columns), cells.get("struck"))
            rows[sheet] = [
                tuple(cell if isinstance(cell, int) else _text(cell) for cell in there[number][:-1])
                for number in sorted(there)
                if there[number][-1] is None
            ]
        if not any(rows.values()):
            raise UsageError(f"Nothing of {self.path} can be read any more.", "Put a copy of it back.")
        pieces: dict[str, dict[int, dict[str, str]]] = {sheet: {} for sheet in SHEETS}
        boards = pieces["boards"]
        for board, owner, reach in _all(connection, "SELECT board, owner, reach FROM owners"):
            whose = zip(OWNERS, map(_text_of, (owner, reach)), strict=True)
            boards.setdefault(_number(board), {}).update(whose)
        for board, side, what, written in _all(connection, "SELECT board, side, what, written FROM amounts"):
            boards.setdefault(_number(board), {})[f"{side}_{what}"] = _text_of(written)
        for where, row, name, written in _all(connection, "SELECT sheet, row, name, written FROM others"):
            pieces.get(_text_of(where), {}).setdefault(_number(row), {})[_text_of(name)] = _text_of(written)
        headings: dict[str, list[str]] = {}
        for where, name in _all(connection, "SELECT sheet, name FROM headings ORDER BY id"):
            headings.setdefault(_text_of(where), []).append(_text_of(name))
        toml = settings_bytes(self.folder)
        return SalvagedReading(self.folder, "", toml, rows, pieces, headings, ())


def _text(cell: object) -> str | None:
    return None if cell is None else str(cell)


def _text_of(cell: object) -> str:
    return "" if cell is None else str(cell)


def _number(cell: object) -> int:
    return cell if isinstance(cell, int) else 0


def _all(connection: sqlite3.Connection, query: str) -> Iterator[Row]:
    """The rows of a query up to where it can't be read any further."""
    with suppress(*UNREADABLE):
        yield from connection.execute(query)


def _rows(connection: sqlite3.Connection, sheet: str, names: str) -> Iterator[Row]:
    """The rows of a sheet: all at once where that can be, else each by its number."""
    try:
        whole = connection.execute(f"SELECT {names} FROM {sheet}").fetchall()
    except UNREADABLE:
        whole = None
    if whole is not None:
        yield from whole
        return
    missed, last = 0, MOST_ROWS
    for (count,) in _all(connection, f"SELECT seq FROM sqlite_sequence WHERE name = '{sheet}'"):
        last = min(_number(count), MOST_ROWS)
    for number in range(FIRST_ROW, last + 1):
        found = None
        with suppress(*UNREADABLE):
            found = connection.execute(f"SELECT {names} FROM {sheet} WHERE id = ?", (number,)).fetchone()
        missed = missed + 1 if found is None else 0
        if found is not None:
            yield found
        if missed > MISSED:
            return


def _history(connection: sqlite3.Connection) -> Mapping[str, dict[int, dict[str, object]]]:
    """What the history says that stands in each row of the sheets, as far as it can be read."""
    found: dict[str, dict[int, dict[str, object]]] = {}
    for what, sheet, row, after in _all(
        connection, "SELECT what, sheet, row, after FROM changes ORDER BY id"
    ):
        if what == sheet:
            with suppress(ValueError, TypeError):
                cells = json.loads(_text_of(after))
                if isinstance(cells, dict):
                    found.setdefault(_text_of(sheet), {})[_number(row)] = cells
    return found
