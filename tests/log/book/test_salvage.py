"""A damaged book: what can still be read of it goes out into a spreadsheet, and the file itself stays as it is."""

import random
import sqlite3
from pathlib import Path

import pytest
from making.books import NOON, SETTINGS, book, log_of

from estimator.log.book import salvage
from estimator.log.book.opening import DamagedBookError, connected
from estimator.log.book.salvage import SalvagedBook, _rows
from estimator.log.book.schema import FIRST_ROW
from estimator.log.book.store import BookStore
from estimator.log.exchange.export import export_log
from estimator.log.kept_in import readable_of
from estimator.log.reading import read_log
from estimator.log.store import FileStore
from estimator.words.errors import UsageError
from estimator.words.settings.reader import parse_settings

KNOWN = parse_settings(SETTINGS)[0]
BOARDS = [
    {
        "board": f"B{n}",
        "called": f"board {n}",
        "owner": f"Ann {n}",
        "assessed_area": "2",
        "Rack": str(n),
        "Bay": "n",
    }
    for n in range(40)
]
HOURS = [
    {"board": f"B{n % 40}", "date": "2026-05-04", "stage": "strip", "hours": "2", "note": f"{n} " + "x" * 60}
    for n in range(400)
]


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=BOARDS, hours=HOURS)


def page_of(store, table):
    """The first page of a table or index, and the size of a page."""
    with connected(store.path) as connection:
        [(size,)] = connection.execute("PRAGMA page_size")
        [(page,)] = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,))
    return page, size


def spoil(store, page, size):
    with store.path.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)


def salvaged(store):
    return read_log(*SalvagedBook(store.folder).held().read(), KNOWN)[0]


def test_where_only_the_history_is_spoiled_all_rows_are_there(store):
    before = log_of(store)[0]
    spoil(store, *page_of(store, "changes_of_rows"))
    with pytest.raises(DamagedBookError, match="What can still be read of it can be exported"):
        BookStore(store.folder)
    found = salvaged(store)
    assert [board.owner for board in found.boards] == [board.owner for board in before.boards]
    assert (found.boards, found.entries) == (before.boards, before.entries)


def test_rows_that_are_lost_in_their_sheet_are_found_in_the_history(store):
    with store.act("another figure", NOON) as act:
        act.fill(log_of(store)[0].entries[0].where.whole_row, {"hours": "3.25"}, {})
    before = log_of(store)[0]
    assert before.entries[0].hours == 3.25
    spoil(store, *page_of(store, "hours"))
    assert salvaged(store).entries == before.entries  # as it was written last


def test_where_a_sheet_can_only_be_read_row_by_row_its_first_and_last_rows_are_there():
    """Reading all at once fails; what each number finds is read, from the first to the last that was given."""
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE hours (id INTEGER PRIMARY KEY AUTOINCREMENT, note TEXT)")
    connection.executemany(
        "INSERT INTO hours VALUES (?, ?)", [(FIRST_ROW, "a"), (FIRST_ROW + 3, "b"), (90, "c")]
    )

    class RowByRow:
        def execute(self, query, *more):
            if "WHERE id" not in query and "sqlite_sequence" not in query:
                raise sqlite3.DatabaseError("malformed")
            return connection.execute(query, *more)

    assert list(_rows(RowByRow(), "hours", "id, note")) == [(FIRST_ROW, "a"), (FIRST_ROW + 3, "b"), (90, "c")]
    connection.close()


@pytest.mark.parametrize("table", ["changes_of_rows", "hours"])
def test_a_row_that_was_struck_out_does_not_come_back(store, table):
    place = log_of(store)[0].entries[7].where
    with store.act("struck out", NOON) as act:
        act.strike(place, "written twice")
    before = log_of(store)[0].entries
    assert len(before) == len(HOURS) - 1
    spoil(store, *page_of(store, table))
    assert [one.note for one in salvaged(store).entries] == [one.note for one in before]


def test_what_can_be_read_goes_out_and_the_file_stays(store, tmp_path):
    spoil(store, *page_of(store, "hours"))
    spoil(store, *page_of(store, "changes"))
    damaged = store.path.read_bytes()
    source, said = readable_of(store.folder)
    assert said.startswith(f"{store.path} is damaged.")
    done = export_log(source, tmp_path / "out")
    assert done.rows["boards"] == 40
    log = read_log(*FileStore(tmp_path / "out", KNOWN).read(), KNOWN)[0]
    assert [board.called for board in log.boards] == [f"board {n}" for n in range(40)]
    assert "Ann" not in (tmp_path / "out" / "boards.csv").read_text("utf-8")
    header = (tmp_path / "out" / "boards.csv").read_text("utf-8").splitlines()[0]
    assert header.endswith("Rack,Bay,book_row")  # in their order
    assert store.path.read_bytes() == damaged


def test_whatever_is_spoiled_no_row_comes_out_that_was_not_there(store):
    """Pages at random: fewer rows may come out, none made up, and no error but in words."""
    before = log_of(store)[0]
    whole = store.path.read_bytes()
    size = page_of(store, "hours")[1]
    dice, least = random.Random(4), []
    for _ in range(40):
        data = bytearray(whole)
        for at in dice.sample(range(1, len(whole) // size), 3):
            data[at * size : (at + 1) * size] = dice.randbytes(size)
        store.path.write_bytes(data)
        try:
            found = salvaged(store)
        except UsageError as error:
            assert "Nothing of" in str(error)  # noqa: PT017  most say nothing
            continue
        assert {entry.note for entry in found.entries} <= {entry.note for entry in before.entries}
        assert {board.board for board in found.boards} <= {board.board for board in before.boards}
        least.append(len(found.entries))
    assert len(least) > 10
    assert max(least) == len(before.entries)


def test_of_a_file_that_is_none_nothing_can_be_read(store):
    store.path.write_bytes(b"x" * 9000)
    with pytest.raises(UsageError, match=r"Nothing of .* can be read any more"):
        SalvagedBook(store.folder).held()
    with pytest.raises(sqlite3.DatabaseError):
        sqlite3.connect(store.path).execute("SELECT 1 FROM sqlite_master")


def test_rows_are_looked_for_beyond_a_few_that_are_lost_and_not_without_end(monkeypatch):
    """Each gap counts alone."""
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE hours (id INTEGER PRIMARY KEY AUTOINCREMENT)")
    connection.executemany("INSERT INTO hours VALUES (?)", [(one,) for one in (5, 9, 13, 18)])
    monkeypatch.setattr(salvage, "MISSED", 3)

    class RowByRow:
        def execute(self, query, *more):
            if "WHERE id" not in query and "sqlite_sequence" not in query:
                raise sqlite3.DatabaseError("malformed")
            return connection.execute(query, *more)

    assert list(_rows(RowByRow(), "hours", "id")) == [(5,), (9,), (13,)]
    connection.close()


def test_a_letter_that_is_none_any_more_costs_no_row(store):
    with connected(store.path, write=True) as connection:
        connection.execute("UPDATE now SET act = 1")
        connection.execute("UPDATE hours SET note = CAST(x'6f6cff64' AS TEXT) WHERE id = ?", (FIRST_ROW + 7,))
    found = salvaged(store)
    assert len(found.entries) == len(HOURS)
    assert found.entries[7].note == "ol\ufffdd"


def test_of_a_book_of_version_1_tellings_come_out_with_what_they_say(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "book.sqlite").write_bytes(Path(__file__).with_name("version_1.sqlite").read_bytes())
    raw, _ = SalvagedBook(tmp_path).held().read()
    (told,) = (one for one in raw.sheets if one.sheet == "told")
    where = list(told.rows[0][1]).index("struck_out")
    assert {cells[where] for _, cells in told.rows[1:]} <= {"", "said of another board"}
    assert next(cells[list(told.rows[0][1]).index("price")] for _, cells in told.rows[1:]) == "900.00"


def test_what_stands_beside_the_columns_comes_out_of_a_damaged_book_with_its_settings(tmp_path):
    boards = [
        {"board": "A", "owner": "Ann", "reach": "by post", "found_area": "3", "Rack": "left"},
        {"board": "B", "reach": "12 34", "asked": "soon"},
    ]
    store = book(
        tmp_path / "shop", boards=boards, hours=[{"board": "B", "date": "2026-05-04", "Rack": "mine"}]
    )
    spoil(store, *page_of(store, "changes_of_rows"))
    held = SalvagedBook(store.folder).held()
    raw, problems = held.read()
    assert (problems, raw.source, held.settings_text()) == ([], "what can be read of book.sqlite", SETTINGS)
    found = {
        s.sheet: [{n: c for n, c in zip(s.rows[0][1], cells, strict=True) if c} for _, cells in s.rows[1:]]
        for s in raw.sheets
    }
    assert found == {
        "boards": [
            {"board": "A", "owner": "Ann", "reach": "by post", "found_area": "3 m2", "Rack": "left"},
            {"board": "B", "reach": "12 34", "asked": "soon"},
        ],
        "hours": [{"board": "B", "date": "2026-05-04", "Rack": "mine"}],
    }


def test_of_a_book_without_a_row_nothing_can_be_read(tmp_path):
    book(tmp_path / "shop")
    with pytest.raises(UsageError) as caught:
        SalvagedBook(tmp_path / "shop").held()
    assert str(caught.value) == (
        f"Nothing of {tmp_path / 'shop' / 'book.sqlite'} can be read any more. Put a copy of it back."
    )


def test_what_comes_out_of_a_damaged_book_bears_no_mark_of_its_rows(store, tmp_path):
    spoil(store, *page_of(store, "changes_of_rows"))
    done = export_log(SalvagedBook(store.folder), tmp_path / "out", with_owners=True)
    assert dict(done.rows) == {"boards": 40, "hours": 400}
    line = (tmp_path / "out" / "boards.csv").read_text("utf-8").splitlines()[3]
    assert line.startswith("B2,")
    assert ",Ann 2," in line
    assert line.endswith(",2,n,")


def test_a_row_of_the_history_stands_where_it_stood_among_those_that_are_left(store, monkeypatch):
    true, before = salvage._rows, log_of(store)[0]

    def without_some(connection, sheet, names):
        yield from (row for row in true(connection, sheet, names) if row[0] not in {FIRST_ROW, FIRST_ROW + 7})

    monkeypatch.setattr(salvage, "_rows", without_some)
    found = salvaged(store)
    assert [one.note for one in found.entries] == [one.note for one in before.entries]
    assert [one.board for one in found.boards] == [one.board for one in before.boards]
