"""Which files of a workshop folder hold its log."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from estimator.log.headers import BOARDS, FILES, HOURS
from estimator.words.settings_values import SETTINGS_FILE

WORKBOOKS = ("log.xlsx", "log.ods")


@dataclass(frozen=True, slots=True)
class Sources:
    """The files that are read, and those that lie beside them unread.

    workbook: the spreadsheet, or None where the log is kept in csv
    tables: csv files by sheet; beside a spreadsheet only those that a sheet may be added to
    """

    workbook: Path | None
    tables: Mapping[str, Path]
    unread: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the files that are read, in the order in which they are."""
        first = (self.workbook,) if self.workbook else ()
        return tuple(path.name for path in (*first, *self.tables.values()))


def log_files(folder: Path) -> Sources:
    """The files of a folder's log: log.xlsx, else log.ods, else csv; names in any case.

    told.csv, waits.csv and weights.csv are read beside a spreadsheet too. A folder that is not there or
    cannot be looked into has none.
    """
    try:
        files = sorted(path for path in folder.iterdir() if path.is_file())
        paths = {path.name.casefold(): path for path in reversed(files)}
    except OSError:
        paths = {}
    books = [paths[name] for name in WORKBOOKS if name in paths]
    tables = {file.removesuffix(".csv"): paths[file] for file in FILES if file in paths}
    beside = []
    if books:
        beside = [tables.pop(file.removesuffix(".csv")).name for file in (BOARDS, HOURS) if file in paths]
    unread = (*(book.name for book in books[1:]), *beside)
    return Sources(books[0] if books else None, tables, unread)


def log_digest(folder: Path) -> str:
    """SHA-256, in hexadecimal, of the bytes of the settings file and of the log's files.

    Nothing is parsed. A file that cannot be read counts by its name alone.
    """
    digest = hashlib.sha256()
    for name in (SETTINGS_FILE, *log_files(folder).names):
        try:
            data = (folder / name).read_bytes()
        except OSError:
            data = b""
        for piece in (name.encode(), data):
            digest.update(len(piece).to_bytes(8, "big"))
            digest.update(piece)
    return digest.hexdigest()
