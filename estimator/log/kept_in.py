"""Where the log of a folder is kept: in a book where there is one, else in its files."""

from __future__ import annotations

from pathlib import Path

from estimator.log.book.opening import DamagedBookError
from estimator.log.book.salvage import SalvagedBook
from estimator.log.book.store import BookStore
from estimator.log.store import FileStore, Store
from estimator.words.problems import THE_BOOK


def still_kept_in(store: Store) -> bool:
    """Whether the log of a folder still is in this store, and not in a book that was begun since."""
    return isinstance(store, BookStore) or not (store.folder / THE_BOOK).exists()


def store_of(folder: Path | str) -> Store:
    """The store of a folder: `book.sqlite`, else log.xlsx or log.ods, else csv files, which may be none.

    Raises UsageError for a book that cannot be used.
    """
    folder = Path(folder)
    return BookStore(folder) if (folder / THE_BOOK).exists() else FileStore(folder)


def readable_of(folder: Path | str) -> tuple[Store | SalvagedBook, str]:
    """The store of a folder, or what can be read of its damaged book; what is to be said of that, else empty.

    Raises UsageError for a book that cannot be used, or of which nothing can be read.
    """
    try:
        return store_of(folder), ""
    except DamagedBookError as error:
        return SalvagedBook(Path(folder)), str(error)
