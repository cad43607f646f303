"""Copies of a book: when they are made, how long they stay, and how one is put back."""

from __future__ import annotations

import datetime as dt
import re
import secrets
import shutil
import sqlite3
import time
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from estimator.log.book.history import ActRecord, acts_of
from estimator.log.book.opening import connected, examine, new_revision
from estimator.log.cache import A_DAY
from estimator.log.files import PART, write_whole
from estimator.words.errors import UsageError
from estimator.words.json_form import JsonForm
from estimator.words.problems import THE_BOOK
from estimator.words.settings.values import SETTINGS_FILE

BACKUPS, PHOTOS = "backups", "photos"
EVERY = 2**62
DAYS = 14  # of which each keeps its copy
A_YEAR = dt.timedelta(days=366)
DAILY = re.compile(r"book-(\d{4}-\d{2}-\d{2})\.sqlite")
BEFORE = re.compile(r"before-[a-z]+-(\d{4}-\d{2}-\d{2})-\d{6}(?:-\d+)?\.sqlite")


def daily_copy(book: Path, elsewhere: Path | None, now: dt.datetime) -> Path | None:
    """The copy of a book as it was before the first act of a day; None where that day has one already.

    It goes to a second place too, where one is named and at hand; what is too old goes, in both.

    Raises UsageError where the copy in the folder itself cannot be written.
    """
    name = f"book-{now.date()}.sqlite"
    copy = book.parent / BACKUPS / name
    made = not copy.exists()
    if made:
        copy_book(book, copy)
        thin_out(copy.parent, now.date())
    if elsewhere is not None and elsewhere.is_dir() and not (elsewhere / name).exists():
        with suppress(UsageError, OSError):  # a stick that is full or taken out holds no act up
            copy_book(book, elsewhere / name)
            thin_out(elsewhere, now.date())
    return copy if made else None


def kept_before(book: Path, what: str, now: dt.datetime) -> Path:
    """A copy of a book as it is before something greater: an import, a new form, an older copy put back.

    Raises UsageError where it cannot be written.
    """
    name = f"before-{what}-{now:%Y-%m-%d-%H%M%S}"
    copy = book.parent / BACKUPS / f"{name}.sqlite"
    number = 1
    while copy.exists():
        number += 1
        copy = copy.with_name(f"{name}-{number}.sqlite")
    copy_book(book, copy)
    return copy


def copy_book(book: Path, copy: Path) -> None:
    """Copies a book, whole or not at all; settings and photos are copied beside it.

    Raises UsageError where the copy cannot be written.
    """
    part = copy.with_name(f"{PART}{secrets.token_hex(8)}.part")  # several may copy at once
    try:
        copy.parent.mkdir(parents=True, exist_ok=True)
        with connected(book) as source:
            _copied(source, part)
        part.rename(copy)
        settings = book.parent / SETTINGS_FILE
        if settings.is_file():
            write_whole(copy.with_suffix(".toml"), settings.read_bytes())
        _copy_photos(book.parent / PHOTOS, copy.parent / PHOTOS)
    except OSError as error:
        raise UsageError(
            f"{copy} cannot be written, and without a copy nothing else is.",
            "See whether the disk is full, and whether you may write there.",
        ) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _copied(source: sqlite3.Connection, part: Path) -> None:
    """Copies what is connected into a new file; raises OSError where that cannot be written."""
    try:
        with closing(sqlite3.connect(part)) as target:
            source.backup(target)
    except sqlite3.Error as error:
        raise OSError(str(error)) from error


def _copy_photos(photos: Path, copies: Path) -> None:
    """Copies the photos that are not there yet; they are named by what is in them, and never change."""
    for photo in sorted(photos.glob("*.*")) if photos.is_dir() else ():
        if not photo.name.startswith(".") and not (copies / photo.name).exists():
            copies.mkdir(parents=True, exist_ok=True)
            part = copies / f"{PART}{secrets.token_hex(8)}.part"
            shutil.copyfile(photo, part)
            part.rename(copies / photo.name)


def thin_out(folder: Path, today: dt.date) -> None:
    """Takes copies away that are too old: all stay of the last days, one of each month, and a year those before."""
    days = {day: path for path, day in _dated(folder, DAILY)}
    recent = sorted((day for day in days if day <= today), reverse=True)[:DAYS]
    first: dict[tuple[int, int], dt.date] = {}
    for day in sorted(days):
        first.setdefault((day.year, day.month), day)
    stay = {*recent, *first.values(), *(day for day in days if day > today)}
    gone = [path for day, path in days.items() if day not in stay]
    gone += [path for path, day in _dated(folder, BEFORE) if today - day > A_YEAR]
    for part in folder.glob(f"{PART}*.part"):  # of a copy that was broken off
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > A_DAY:
                part.unlink()
    for path in gone:
        for file in (path, path.with_suffix(".toml")):
            with suppress(OSError):
                file.unlink()


def _dated(folder: Path, named: re.Pattern[str]) -> Iterable[tuple[Path, dt.date]]:
    """The copies of a kind, each with its day."""
    for path in folder.glob("*.sqlite"):
        if found := named.fullmatch(path.name):
            with suppress(ValueError):
                yield path, dt.date.fromisoformat(found[1])


def last_copy(folder: Path | None) -> dt.date | None:
    """The day of the newest copy in a place; None where there is none, or the place is not at hand."""
    if folder is None or not folder.is_dir():
        return None
    return max((day for _, day in _dated(folder, DAILY)), default=None)


@dataclass(frozen=True, slots=True)
class BookCopy(JsonForm):
    """A copy of a book. why: import, schema or putback, before which it was made; empty for that of a day"""

    path: Path
    day: dt.date
    why: str
    size: int


@dataclass(frozen=True, slots=True)
class WouldPutBack(JsonForm):
    """What putting a copy back would do: acts that would be gone, and others that would be there again.

    known: False of a damaged book, whose acts cannot be told
    """

    copy: BookCopy
    gone: tuple[ActRecord, ...]
    again: tuple[ActRecord, ...]
    known: bool = True


def copies_in(folder: Path | None) -> tuple[BookCopy, ...]:
    """The copies in a place, the newest first; none where it is not at hand."""
    found: list[tuple[float, BookCopy]] = []
    if folder is None or not folder.is_dir():
        return ()
    for named in (DAILY, BEFORE):
        for path, day in _dated(folder, named):
            why = "" if named is DAILY else path.name.split("-")[1]
            with suppress(OSError):
                found.append((path.stat().st_mtime, BookCopy(path, day, why, path.stat().st_size)))
    return tuple(copy for _, copy in sorted(found, key=lambda one: (one[1].day, one[0]), reverse=True))


def would_put_back(book: Path, copy: BookCopy) -> WouldPutBack:
    """What would be gone, and what would be there again; of a damaged book that is not known.

    Raises UsageError where the copy is no whole book.
    """
    examine(copy.path)
    with connected(copy.path) as connection:
        then = acts_of(connection, EVERY)
    try:
        with connected(book) as connection:
            now = acts_of(connection, EVERY)
    except UsageError:
        return WouldPutBack(copy, (), (), known=False)
    here, there = ({(act.id, act.at, act.sentence) for act in acts} for acts in (now, then))
    gone = tuple(act for act in now if (act.id, act.at, act.sentence) not in there)
    return WouldPutBack(copy, gone, tuple(act for act in then if (act.id, act.at, act.sentence) not in here))


def put_back(book: Path, copy: Path, now: dt.datetime) -> Path:
    """Copies a backup into the live book, page by page and not by replacing the file; what was there is kept first.

    Returns where that is. The settings stay as they are.

    Raises UsageError where the copy is no whole book, or the book cannot be written.
    """
    examine(copy)
    kept = copy_damaged(book, now) if not _readable(book) else kept_before(book, "putback", now)
    with connected(copy) as source, connected(book, write=True) as target:
        source.backup(target)
        # from here on it is another book: no answer of the one before is shown for it
        target.execute("UPDATE now SET revision = ?, act = NULL, settings_of = NULL", (new_revision(),))
    return kept


def _readable(book: Path) -> bool:
    """Whether a book is whole."""
    try:
        examine(book)
    except UsageError:
        return False
    return True


def copy_damaged(book: Path, now: dt.datetime) -> Path:
    """Moves a damaged book aside as it is, and puts an empty file where it was."""
    aside = book.parent / BACKUPS / f"damaged-{now:%Y-%m-%d-%H%M%S}-{THE_BOOK}"
    aside.parent.mkdir(exist_ok=True)
    book.rename(aside)
    book.touch()
    return aside
