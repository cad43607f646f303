"""Where the log of a folder is kept: in a book where there is one, else in its files."""

from __future__ import annotations

from pathlib import Path

from estimator.log.store import FileStore, Store
from estimator.words.problems import THE_BOOK


def store_of(folder: Path | str) -> Store:
    """The store of a folder: `book.sqlite`, else log.xlsx or log.ods, else csv files, which may be none.

    Raises UsageError for a book that cannot be used.
    """
    folder = Path(folder)
    if not (folder / THE_BOOK).exists():
        return FileStore(folder)
    from estimator.log.book.store import BookStore  # files want nothing of a book

    return BookStore(folder)
