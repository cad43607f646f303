"""A book that is damaged, strange, held or full: one clear sentence, and nothing half done."""

import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing

import pytest
from making.books import NOON, SETTINGS, book, log_of, placeless

from estimator.log.book import opening
from estimator.log.book.opening import DamagedBookError, connected, new_file
from estimator.log.book.schema import APPLICATION
from estimator.log.book.store import BookStore
from estimator.words.errors import UsageError

ROW = {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "2"}


@pytest.fixture
def store(tmp_path):
    """A book with a board and an hour."""
    return book(tmp_path / "shop", boards=[{"board": "A"}], hours=[ROW])


def add(store, many=1, **cells):
    with store.act("hours", NOON) as act:
        for _ in range(many):
            act.append("hours", {**ROW, **cells})


def test_the_file_says_whose_it_is_and_of_what_form(store):
    with connected(store.path) as connection:
        for pragma, value in (
            ("application_id", APPLICATION),
            ("user_version", opening.newest()),
            ("foreign_keys", 1),
            ("recursive_triggers", 1),
            ("synchronous", 2),
            ("journal_mode", "delete"),
        ):
            assert connection.execute(f"PRAGMA {pragma}").fetchall() == [(value,)]
        tables = connection.execute(
            "SELECT sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        )
        assert all("STRICT" in sql for (sql,) in tables)


@pytest.mark.parametrize("content", [b"", b"board\nA\n" * 200, b"PK\x03\x04" * 100])
def test_a_file_of_another_program_is_refused_and_stays(tmp_path, content):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "book.sqlite").write_bytes(content)
    with pytest.raises(UsageError, match="is a file of another program, and is left as it is") as caught:
        BookStore(tmp_path)
    assert not isinstance(caught.value, DamagedBookError)
    assert (tmp_path / "book.sqlite").read_bytes() == content


def test_another_programs_database_is_refused_and_stays(tmp_path):
    with sqlite3.connect(tmp_path / "book.sqlite") as other:
        other.execute("CREATE TABLE boards (x)")
    other.close()
    before = (tmp_path / "book.sqlite").read_bytes()
    with pytest.raises(UsageError, match="a file of another program"):
        BookStore(tmp_path)
    assert (tmp_path / "book.sqlite").read_bytes() == before


def test_a_book_of_a_later_version_is_refused_and_stays(store):
    with connected(store.path, write=True) as connection:
        connection.execute(f"PRAGMA user_version = {opening.newest() + 1}")
    before = store.path.read_bytes()
    with pytest.raises(UsageError, match=r"a later version of this program \(form 3, and 2 is known\)"):
        BookStore(store.folder)
    assert store.path.read_bytes() == before


def test_a_damaged_book_is_not_written_and_its_newest_whole_copy_is_named(store):
    add(store, 300)
    [copy] = (store.folder / "backups").glob("*.sqlite")
    data = bytearray(store.path.read_bytes())
    for at in range(8192, len(data) - 4096, 4096):  # the head stays, and so is it known as ours
        data[at : at + 2000] = b"\xff" * 2000
    store.path.write_bytes(data)
    with pytest.raises(DamagedBookError) as caught:
        BookStore(store.folder)
    assert (
        str(caught.value)
        == f"{store.path} is damaged. It is not written any more. Put the copy backups/{copy.name} back. "
        "What can still be read of it can be exported."
    )
    assert store.path.read_bytes() == bytes(data)
    copy.write_bytes(b"x" * 5000)
    with pytest.raises(DamagedBookError, match="There is no whole copy of it"):
        BookStore(store.folder)


def spoil_pages(path):
    """All but the head of a copy is no book any more."""
    data = bytearray(path.read_bytes())
    for at in range(8192, len(data) - 4096, 4096):
        data[at : at + 2000] = b"\xff" * 2000
    path.write_bytes(bytes(data))


def spoil_a_row(path):
    """A copy that can be read from end to end, with a row in it that no book lets in."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("UPDATE now SET one = 2")
        connection.commit()


def spoil_the_owner(path):
    """A file of another program that bears the name of a copy."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA application_id = 7")


@pytest.mark.parametrize("spoil", [spoil_pages, spoil_a_row, spoil_the_owner])
def test_a_newer_copy_that_is_damaged_itself_is_not_the_one_to_put_back(store, spoil):
    add(store, 300)
    older, newer = (store.folder / "backups" / name for name in ("older.sqlite", "newer.sqlite"))
    for copy, at in ((older, 1_000), (newer, 2_000)):
        copy.write_bytes(store.path.read_bytes())
        if copy == newer:
            spoil(copy)
        os.utime(copy, (at, at))
    for daily in (store.folder / "backups").glob("book-*.sqlite"):
        daily.unlink()
    assert [copy.name for copy in opening.copies(store.folder)] == ["newer.sqlite", "older.sqlite"]

    assert "Put the copy backups/older.sqlite back." in str(opening.damaged(store.path))


def test_a_new_form_is_made_of_the_old_in_one_go_with_a_copy_before(store, monkeypatch):
    before = placeless(log_of(store)[0])
    new = {
        **opening.MIGRATIONS,
        3: ("ALTER TABLE hours ADD COLUMN mood TEXT", "CREATE TABLE extra (x TEXT) STRICT"),
    }
    monkeypatch.setattr(opening, "MIGRATIONS", new)
    revision = store.revision()
    newer = BookStore(store.folder)
    assert placeless(log_of(newer)[0]) == before
    assert newer.revision() != revision  # no answer of the old form is shown for it
    with connected(store.path) as connection:
        assert connection.execute("PRAGMA user_version").fetchall() == [(3,)]
    [copy] = (store.folder / "backups").glob("before-schema-*.sqlite")
    with connected(copy) as connection:
        assert connection.execute("PRAGMA user_version").fetchall() == [(2,)]
    monkeypatch.setattr(opening, "MIGRATIONS", {**new, 4: ("CREATE TABLE more (x TEXT) STRICT", "not SQL")})
    with pytest.raises(sqlite3.OperationalError):
        BookStore(store.folder)
    with connected(store.path) as connection:
        assert connection.execute("PRAGMA user_version").fetchall() == [(3,)]
        assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'more'").fetchall()


def test_where_nothing_may_be_written_a_book_is_read_all_the_same(store, monkeypatch):
    def for_reading(path):
        return sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)

    monkeypatch.setattr(opening, "_open", for_reading)
    assert len(log_of(BookStore(store.folder))[0].entries) == 1
    monkeypatch.setattr("estimator.log.book.store.daily_copy", lambda *_: None)
    with pytest.raises(UsageError) as caught:
        add(store)
    assert str(caught.value) == (
        f"{store.path} cannot be written. Close it in other programs, and see whether you may write there."
    )


def test_damage_where_nothing_is_read_is_seen_too(store):
    with connected(store.path) as connection:
        [(page,)] = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'changes_of_rows'")
    with store.path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xff" * 4096)
    with pytest.raises(DamagedBookError):
        BookStore(store.folder)


def test_a_book_that_is_held_is_waited_for_and_then_said(store, monkeypatch):
    monkeypatch.setattr(opening, "WAIT", 0.05)
    add(store)
    with connected(store.path, write=True) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(UsageError, match=r"is being written by another program\. Try again in a moment"):
            add(store)
    monkeypatch.setattr(opening, "WAIT", 5.0)
    with connected(store.path, write=True) as other:
        other.execute("BEGIN IMMEDIATE")
        late = threading.Thread(target=add, args=(store,))
        late.start()
        other.execute("COMMIT")
        late.join()
    assert len(log_of(store)[0].entries) == 3


def test_a_full_disk_leaves_every_act_whole_or_undone_and_says_so(store, monkeypatch):
    """Room for more and more pages, so that each write of the act is the one that fails at some size."""
    true, limit = opening._open, [0]

    def narrow(path):
        connection = true(path)
        if limit[0]:
            [(pages,)] = connection.execute("PRAGMA page_count")
            connection.execute(f"PRAGMA max_page_count = {pages + limit[0] - 1}")
        return connection

    add(store)
    monkeypatch.setattr(opening, "_open", narrow)
    failed, said = 0, set()
    for room in range(1, 60):
        limit[0] = room
        before, was = placeless(log_of(store)[0]), store.revision()
        try:
            add(store, 60, note="x" * 400)
        except UsageError as error:
            failed += 1
            said.add(str(error))
            assert (placeless(log_of(BookStore(store.folder))[0]), store.revision()) == (before, was)
        else:
            break
    assert failed > 10
    assert said == {f"{store.path} cannot be written: the disk is full. Make room, and do it again."}
    assert len(log_of(store)[0].entries) == 62


def test_a_file_that_may_grow_no_further_is_a_full_disk_too(store, tmp_path):
    script = """
import resource, signal, sys, datetime as dt
from estimator.log.book.store import BookStore
from estimator.words.errors import UsageError
store = BookStore(sys.argv[1])
size = store.path.stat().st_size
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (size + 8192, -1))
try:
    with store.act("hours", dt.datetime(2026, 6, 4)) as act:
        for _ in range(500):
            act.append("hours", {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "2", "note": "x" * 300})
except UsageError as error:
    print(error)
"""
    add(store)
    path = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    done = subprocess.run(  # noqa: PLW1510  what it says is looked at
        [sys.executable, "-c", script, str(store.folder)], capture_output=True, text=True, env=path
    )
    assert done.stderr == ""
    assert f"{store.path} cannot be written" in done.stdout
    assert len(log_of(BookStore(store.folder))[0].entries) == 2


def test_nothing_is_left_of_a_book_that_could_not_be_made(tmp_path):
    with pytest.raises(ZeroDivisionError), new_file(tmp_path / "book.sqlite"):
        raise ZeroDivisionError
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(UsageError, match="cannot be written"), new_file(tmp_path / "nowhere" / "book.sqlite"):
        pass


@pytest.mark.parametrize(
    ("code", "name", "reading", "writing"),
    [
        (sqlite3.SQLITE_BUSY, "book.sqlite", "is being written by another program.", None),
        (sqlite3.SQLITE_BUSY_SNAPSHOT, "book.sqlite", "is being written by another program.", None),
        (sqlite3.SQLITE_LOCKED, "book.sqlite", "is being written by another program.", None),
        (sqlite3.SQLITE_FULL, "book.sqlite", "the disk is full.", None),
        (sqlite3.SQLITE_CORRUPT, "book.sqlite", "is damaged. It is not written any more.", None),
        (sqlite3.SQLITE_CORRUPT_INDEX, "book.sqlite", "is damaged. It is not written any more.", None),
        (sqlite3.SQLITE_CORRUPT, "book-2026-06-05.sqlite", "is no book, or is damaged.", None),
        (sqlite3.SQLITE_NOTADB, "book.sqlite", "is a file of another program", None),
        (sqlite3.SQLITE_NOTADB, "book-2026-06-05.sqlite", "is no book, or is damaged.", None),
        (sqlite3.SQLITE_READONLY, "book.sqlite", "cannot be read.", "cannot be written."),
        (sqlite3.SQLITE_READONLY_DBMOVED, "book.sqlite", "cannot be read.", "cannot be written."),
        (sqlite3.SQLITE_PERM, "book.sqlite", "cannot be read.", "cannot be written."),
        (sqlite3.SQLITE_CANTOPEN, "book.sqlite", "cannot be read.", "cannot be written."),
        (sqlite3.SQLITE_IOERR_FSYNC, "book.sqlite", "cannot be read.", "cannot be written."),
    ],
)
def test_what_the_file_system_refuses_is_said_in_words(store, code, name, reading, writing):
    path = store.path if name == "book.sqlite" else store.path.with_name(name)
    path.touch()
    for write, said in ((False, reading), (True, writing or reading)):
        error = sqlite3.OperationalError("so")
        error.sqlite_errorcode = code
        with pytest.raises(UsageError) as caught, connected(path, write=write):
            raise error
        assert f"{path} " in str(caught.value)
        assert said in str(caught.value)
        assert isinstance(caught.value, DamagedBookError) is ("damaged" in said)


def test_what_no_shop_can_mend_is_raised_as_it_is(store):
    with pytest.raises(sqlite3.OperationalError, match="no such table"), connected(store.path) as connection:
        connection.execute("SELECT 1 FROM racks")


def test_a_book_that_came_meanwhile_is_not_written_over(tmp_path):
    path = tmp_path / "book.sqlite"
    with pytest.raises(UsageError, match="There is a book already"), new_file(path):
        path.write_bytes(b"mine")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("book.sqlite", b"mine")]


def test_of_copies_made_at_one_moment_the_last_by_name_is_the_newest(tmp_path):
    (tmp_path / "backups").mkdir()
    made = {f"book-2026-05-0{day}.sqlite": 5 for day in (2, 5, 3, 7, 4, 6)}
    for name, at in {**made, "book-2026-05-09.sqlite": 4, "x.toml": 9}.items():
        (tmp_path / "backups" / name).touch()
        os.utime(tmp_path / "backups" / name, (at, at))
    assert [copy.name[-9:-7] for copy in opening.copies(tmp_path)] == [
        *("07", "06", "05", "04", "03", "02"),
        "09",
    ]


def test_a_book_may_be_read_by_whoever_may_read_the_folder(tmp_path):
    before = os.umask(0o022)
    try:
        with new_file(tmp_path / "book.sqlite"):
            pass
    finally:
        os.umask(before)
    assert (tmp_path / "book.sqlite").stat().st_mode & 0o777 == 0o644
