"""Where the log of a folder is kept: in a book where there is one, else in its files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from estimator.log.store import FileStore, Store
from estimator.words.problems import THE_BOOK

if TYPE_CHECKING:
    from estimator.log.book.salvage import SalvagedBook


def still_kept_in(store: Store) -> bool:
    """Whether the log of a folder still is in this store, and not in a book that was begun since."""
    return not isinstance(store, FileStore) or not (store.folder / THE_BOOK).exists()


def store_of(folder: Path | str) -> Store:
    """The store of a folder: `book.sqlite`, else log.xlsx or log.ods, else csv files, which may be none.

    Raises UsageError for a book that cannot be used.
    """
    folder = Path(folder)
    if not (folder / THE_BOOK).exists():
        return FileStore(folder)
    from estimator.log.book.store import BookStore  # files want nothing of a book

    return BookStore(folder)


def readable_of(folder: Path | str) -> tuple[Store | SalvagedBook, str]:
    """The store of a folder, or what can be read of its damaged book; what is to be said of that, else empty.

    Raises UsageError for a book that cannot be used, or of which nothing can be read.
    """
    if not (Path(folder) / THE_BOOK).exists():
        return store_of(folder), ""
    from estimator.log.book.opening import DamagedBookError
    from estimator.log.book.salvage import SalvagedBook

    try:
        return store_of(folder), ""
    except DamagedBookError as error:
        return SalvagedBook(Path(folder)), str(error)
