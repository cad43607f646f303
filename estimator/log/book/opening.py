"""A book's file opened: that it is ours, whole, and of a version that is known; what goes wrong, in one sentence."""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from estimator.log.book.schema import APPLICATION, VERSION, first_schema, with_struck_out
from estimator.log.files import PART
from estimator.words.errors import UsageError
from estimator.words.problems import THE_BOOK

WAIT = 5.0  # seconds for which another that writes is waited for
# what makes a book of each later version out of the one before
MIGRATIONS: Mapping[int, tuple[str, ...]] = {2: with_struck_out()}

BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


class DamagedBookError(UsageError):
    """A book that is not whole: it is read as far as it goes, and never written."""


def new_revision() -> str:
    """A name of a book's content that no other content has."""
    return secrets.token_hex(16)


@contextmanager
def connected(path: Path, *, write: bool = False) -> Iterator[sqlite3.Connection]:
    """A connection to a book, closed at the end; what goes wrong in between is said in words.

    Raises UsageError where the file cannot be opened, read or written, is held, or the disk is full;
    DamagedBookError where it is damaged.
    """
    connection = None
    try:
        connection = _open(path)
        yield connection
    except sqlite3.Error as error:
        raise _in_words(error, path, write=write) from error
    finally:
        if connection is not None:
            connection.close()


def _open(path: Path) -> sqlite3.Connection:
    """A connection as every one is made: safe against power loss, and slow rather than wrong."""
    # rw for readers too: one that comes after a crash takes back what was half written; of a file that may not be
    # written SQLite makes it ro by itself
    where = f"{path.resolve().as_uri()}?mode=rw"
    connection = sqlite3.connect(where, uri=True, timeout=WAIT, isolation_level=None)
    for pragma in (
        "foreign_keys = ON",
        "recursive_triggers = ON",
        "synchronous = FULL",
        "secure_delete = ON",  # an owner who is forgotten is gone from the file too
    ):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def examine(path: Path) -> int:
    """Looks at a book before it is used, and changes nothing; its version.

    Raises UsageError for a file that is not ours, or of a later version, DamagedBookError for one that is not whole.
    """
    with connected(path) as connection:
        [(ours,)] = connection.execute("PRAGMA application_id")
        if ours != APPLICATION:
            raise UsageError(
                f"{path} is a file of another program, and is left as it is.",
                "Move it away, or give it another name.",
            )
        [(version,)] = connection.execute("PRAGMA user_version")
        if version > newest():
            raise UsageError(
                f"{path} was written by a later version of this program (form {version}, and {newest()} is known).",
                "Bring the program up to date; the book is left as it is.",
            )
        if connection.execute("PRAGMA quick_check(1)").fetchall() != [("ok",)]:
            raise damaged(path)
    return int(version)


def newest() -> int:
    """The version that books are written in."""
    return max(MIGRATIONS, default=VERSION)


def migrate(path: Path, before: Callable[[], object]) -> None:
    """Brings a book of an earlier version to the newest, all of it or nothing; before: called first, keeps a copy."""
    before()
    with connected(path, write=True) as connection:
        connection.execute("BEGIN IMMEDIATE")
        try:
            _brought_up(connection)
            connection.execute("UPDATE now SET revision = ?", (new_revision(),))
            connection.execute("COMMIT")
        except BaseException:
            roll_back(connection)
            raise


def _brought_up(connection: sqlite3.Connection) -> None:
    """Runs what makes the newest version of the one that is there, in the transaction that is begun."""
    [(version,)] = connection.execute("PRAGMA user_version")
    for number in range(version + 1, newest() + 1):
        for statement in MIGRATIONS[number]:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number}")


def roll_back(connection: sqlite3.Connection) -> None:
    """Takes back what was begun, also where the disk has done so already."""
    with suppress(sqlite3.Error):
        if connection.in_transaction:
            connection.execute("ROLLBACK")


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """An empty book under another name, which gets its own at the end; nothing is left of it where that fails.

    Raises UsageError where there is a book already, or none can be written there.
    """
    part = path.with_name(f"{PART}{secrets.token_hex(8)}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        with connected(part, write=True) as connection:
            connection.executescript(f"BEGIN;{first_schema(new_revision())}")
            _brought_up(connection)
            connection.execute("COMMIT")
        yield part
        if path.exists():
            raise UsageError(f"There is a book already, {path}.", "Use it, or move it away.")
        part.rename(path)
    except OSError as error:
        raise UsageError(
            f"{path} cannot be written.", "Close it in other programs, and see whether you may write there."
        ) from error
    finally:
        for file in (part, part.with_name(f"{part.name}-journal")):
            with suppress(OSError):
                file.unlink()


def damaged(path: Path) -> DamagedBookError:
    """The error of a book that is not whole, with the newest copy that is."""
    copy = next((one for one in copies(path.parent) if _whole(one)), None)
    cure = f"Put the copy {copy.parent.name}/{copy.name} back." if copy else "There is no whole copy of it."
    return DamagedBookError(
        f"{path} is damaged. It is not written any more.",
        f"{cure} What can still be read of it can be exported.",
    )


def copies(folder: Path) -> list[Path]:
    """The copies of a book that lie in its folder, the newest first."""
    found = (folder / "backups").glob("*.sqlite")
    return sorted(found, key=lambda path: (path.stat().st_mtime_ns, path.name), reverse=True)


def _whole(path: Path) -> bool:
    """Whether a copy is ours, and not damaged itself."""
    try:
        with connected(path) as connection:
            [(ours,)] = connection.execute("PRAGMA application_id")
            found = connection.execute("PRAGMA quick_check(1)").fetchall()
    except UsageError:
        return False
    return ours == APPLICATION and found == [("ok",)]


def _in_words(error: sqlite3.Error, path: Path, *, write: bool) -> UsageError:
    """What went wrong, where it is something that can happen to anyone; else the error itself is raised again."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in BUSY:
        return UsageError(f"{path} is being written by another program.", "Try again in a moment.")
    if code == sqlite3.SQLITE_FULL:
        return UsageError(f"{path} cannot be written: the disk is full.", "Make room, and do it again.")
    if code in DAMAGED:
        if path.name != THE_BOOK:
            return DamagedBookError(f"{path} is no book, or is damaged.")
        if code == sqlite3.SQLITE_NOTADB:
            return UsageError(
                f"{path} is a file of another program, and is left as it is.",
                "Move it away, or give it another name.",
            )
        return damaged(path)
    if code in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR}:
        if write:
            return UsageError(
                f"{path} cannot be written.",
                "Close it in other programs, and see whether you may write there.",
            )
        return UsageError(f"{path} cannot be read.", "See whether it is there, and whether you may read it.")
    raise error
