"""Where the log of a folder is kept: a book before files, and what is said of one that is damaged."""

import pytest
from making.working_day import in_a_book, in_files

from estimator.log.book.salvage import SalvagedBook
from estimator.log.book.store import BookStore
from estimator.log.kept_in import readable_of, still_kept_in, store_of
from estimator.log.store import FileStore
from estimator.words.errors import UsageError


def test_a_book_that_is_there_holds_the_log_whatever_files_lie_beside_it(tmp_path):
    files = in_files(tmp_path)
    assert isinstance(store_of(tmp_path), FileStore)
    assert still_kept_in(files)
    in_a_book(tmp_path)
    assert isinstance(store_of(str(tmp_path)), BookStore)
    assert not still_kept_in(files)
    assert still_kept_in(store_of(tmp_path))


def test_of_a_damaged_book_it_is_said_and_what_can_be_is_read(tmp_path):
    in_a_book(tmp_path)
    store, said = readable_of(tmp_path)
    assert (type(store), said) == (BookStore, "")
    book = tmp_path / "book.sqlite"
    whole = book.read_bytes()
    book.write_bytes(whole[: len(whole) // 2])
    store, said = readable_of(tmp_path)
    assert type(store) is SalvagedBook
    assert "is damaged" in said
    with pytest.raises(UsageError, match="is damaged"):
        store_of(tmp_path)
    book.unlink()
    assert (type(readable_of(tmp_path)[0]), readable_of(tmp_path)[1]) == (FileStore, "")
