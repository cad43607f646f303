"""An owner forgotten: who he is and how to reach him blanked, in the book and in every copy that is at hand."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from estimator.log.book.act import begin_act
from estimator.log.book.backups import BACKUPS
from estimator.log.book.opening import connected, examine, new_revision, roll_back
from estimator.log.store import COMMAND
from estimator.words.errors import UsageError
from estimator.words.json_form import JsonForm


@dataclass(frozen=True, slots=True)
class Forgotten(JsonForm):
    """Where an owner was forgotten, and where he may still stand.

    books: files in which he is blanked; left: files that stay as they are, and places that are not at hand
    """

    board: str
    books: tuple[Path, ...]
    left: tuple[Path, ...]


def forget_owner(
    book: Path, board: str, at: dt.datetime, elsewhere: Path | None = None, origin: str = COMMAND
) -> Forgotten:
    """Blanks the owner of a board, and how to reach him, in the book and in its copies.

    board: its number; elsewhere: the second place for copies. Logs that were read into the book are kept as they were
    and are named, so that the restorer can look into them.

    Raises UsageError where there is no such board, or the book cannot be written.
    """
    with _changing(book) as connection:
        if not _blanked(connection, board, at, origin):
            raise UsageError(f"There is no board {board} in {book}.", "Name it by its number.")
    done, left = [book], []
    for copy in _files(book.parent / BACKUPS, elsewhere):
        if copy.suffix == ".sqlite":
            try:
                examine(copy)
                with _changing(copy) as connection:
                    if _blanked(connection, board, at, origin):
                        done.append(copy)
                continue
            except UsageError:  # damaged, or of another form
                pass
        left.append(copy)
    if elsewhere is not None and not elsewhere.is_dir():
        left.append(elsewhere)
    return Forgotten(board, tuple(done), tuple(left))


def _files(*folders: Path | None) -> Iterator[Path]:
    """Copies, and logs as they were read, in these folders."""
    for folder in folders:
        if folder is not None and folder.is_dir():
            yield from sorted(path for path in folder.iterdir() if path.is_file() and path.suffix != ".toml")


@contextmanager
def _changing(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection in a transaction of its own; what is in the book gets a new name."""
    with connected(path, write=True) as connection:
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield connection
            connection.execute("UPDATE now SET act = NULL, revision = ?", (new_revision(),))
            connection.execute("COMMIT")
        finally:
            roll_back(connection)


def _blanked(connection: sqlite3.Connection, board: str, at: dt.datetime, origin: str) -> bool:
    """Whether a book has the board; its owner is blanked then, also of rows of that number that are struck out."""
    rows = connection.execute("SELECT id FROM boards WHERE board = ?", (board,)).fetchall()
    if rows:
        begin_act(connection, at, origin, f"the owner of board {board} is forgotten")
        connection.executemany("UPDATE owners SET owner = '', reach = '' WHERE board = ?", rows)
    return bool(rows)
