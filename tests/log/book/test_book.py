"""What a book keeps, refuses and takes back."""

import datetime as dt
import sqlite3
from contextlib import suppress

import pytest
from making.books import NOON, SETTINGS, book, log_of

from estimator.log.book.backups import put_back
from estimator.log.book.opening import connected
from estimator.log.book.store import BookStore
from estimator.log.columns import csv_headers
from estimator.log.kept_in import store_of
from estimator.log.store import FileStore
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

HOURS = {"board": "red", "date": "2026-05-04", "stage": "strip", "hours": "4½"}


@pytest.fixture
def store(tmp_path):
    """A book with two boards, and hours on one."""
    boards = [{"board": "A", "called": "red", "owner": "Ann", "assessed_area": "1.2"}, {"called": "tan"}]
    return book(tmp_path / "shop", boards=boards, hours=[HOURS])


def add(store, sheet="hours", label="hours", **cells):
    with store.act(label, NOON) as act:
        return act.append(sheet, {**HOURS, **cells} if sheet == "hours" else cells)


def fill(store, place, label="a change", **cells):
    with store.act(label, NOON) as act:
        act.fill(place, cells, {})


def sql(store, statement, *values):
    with connected(store.path, write=True) as connection:
        return connection.execute(statement, values).fetchall()


def where(store, board="A"):
    return log_of(store)[0].by_id[board].where


def test_every_column_of_every_sheet_comes_back(tmp_path):
    headers = csv_headers(parse_settings(SETTINGS)[0])
    rows = {name[:-4]: [dict.fromkeys(columns, "x")] for name, columns in headers.items()}
    store = book(tmp_path / "shop", **rows)
    read = {sheet.sheet: sheet for sheet in store.read()[0].sheets}
    assert {name: tuple(sheet.rows[0][1]) for name, sheet in read.items()} == {
        name[:-4]: columns for name, columns in headers.items()
    }
    assert {cell for sheet in read.values() for cell in sheet.rows[1][1]} == {"x", "yes", "soaked"}


def test_columns_that_are_not_known_are_kept_by_name_and_order(tmp_path):
    rows = [{"board": "A", "Zeal": "high", "Akin": "to B"}, {"board": "B", "Middle": "m"}]
    store = book(tmp_path / "shop", boards=rows)
    (sheet,) = store.read()[0].sheets
    assert tuple(sheet.rows[0][1][-3:]) == ("Zeal", "Akin", "Middle")
    assert [tuple(cells[-3:]) for _, cells in sheet.rows[1:]] == [("high", "to B", ""), ("", "", "m")]
    fill(store, where(store), Zeal="")
    assert [tuple(cells[-2:]) for _, cells in store.read()[0].sheets[0].rows[1:]] == [("to B", ""), ("", "m")]


def test_what_cannot_be_read_stays_beside_its_problem_and_can_be_mended(store):
    place = add(store, hours="2,5O", date="04/05/2026")
    log, problems, _ = log_of(store)
    assert [str(p.place) for p in problems] == [f"book.sqlite, sheet hours, row {place.row}, hours"]
    assert problems[0].found == "2,5O"
    assert len(log.entries) == 1
    fill(store, place, hours="2,5")
    log, problems, _ = log_of(store)
    assert (problems, log.entries[1].hours) == ((), 2.5)
    with store.act("a change", NOON) as act:
        act.fill(place, {"note": "mended"}, {"hours": "2.5"})
    fill(store, place, hours="x")
    assert log_of(store)[1][0].found == "x"


def test_a_board_is_known_by_its_number_whatever_it_is_called_later(store):
    assert sql(store, "SELECT board FROM hours") == [("A",)]
    fill(store, where(store), called="green")
    assert [entry.board for entry in log_of(store)[0].entries] == ["A"]
    add(store, board="green")
    assert sql(store, "SELECT DISTINCT board FROM hours") == [("A",)]


def test_a_board_without_a_number_gets_one_that_stays(store):
    assert set(log_of(store)[0].by_id) == {"A", "26-001"}
    assert add(store, "boards", asked="2025-03-01").row
    assert "25-001" in log_of(store)[0].by_id
    with pytest.raises(UsageError, match="There is a board A already"):
        add(store, "boards", board="a")
    for other in ("B", "a"):
        with pytest.raises(UsageError, match="Board A keeps its number"):
            fill(store, where(store), board=other)
    with pytest.raises(sqlite3.IntegrityError, match="number of a board never changes"):
        sql(store, "UPDATE boards SET board = 'B'")


def test_nothing_is_written_without_an_act_and_no_row_is_taken_away(store):
    for table in ("hours", "boards", "amounts", "owners"):
        with pytest.raises(sqlite3.IntegrityError, match="no row is taken away"):
            sql(store, f"DELETE FROM {table}")
    for statement in (
        "INSERT INTO hours (board) VALUES ('A')",
        "UPDATE hours SET note = 'x'",
        "INSERT INTO others VALUES ('hours', 2, 'x', 'y')",
        "UPDATE amounts SET written = '2'",
        "UPDATE owners SET owner = 'Bob'",
        "INSERT INTO headings (sheet, name) VALUES ('hours', 'x')",
        "INSERT OR REPLACE INTO hours (id, board) VALUES (2, 'A')",
    ):
        with pytest.raises(sqlite3.IntegrityError, match=r"no act is in hand|no row is taken away"):
            sql(store, statement)


@pytest.mark.parametrize("table", ["acts", "changes"])
def test_what_was_done_is_never_changed(store, table):
    assert sql(store, f"SELECT count(*) FROM {table}")[0][0]
    for statement in (f"UPDATE {table} SET id = id + 1000", f"DELETE FROM {table}"):
        with pytest.raises(sqlite3.IntegrityError, match="is never changed"):
            sql(store, statement)


def test_dates_that_are_none_are_refused_by_the_table_itself(store):
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"), store.act("x", NOON) as act:
        act.connection.execute("INSERT INTO hours (date) VALUES ('4 May 2026')")
    assert len(log_of(store)[0].entries) == 1


def test_the_history_says_before_and_after_and_who_owns_a_board_nowhere(store):
    fill(
        store,
        where(store),
        "another name",
        called="green",
        owner="Bob",
        assessed_area="2",
        reach="bob@x.example",
    )
    [row, *others] = sql(store, "SELECT what, before, after FROM changes WHERE act = 2 ORDER BY id")
    assert row[0] == "boards"
    assert '"called":"red"' in row[1]
    assert '"called":"green"' in row[2]
    assert others == [("owners", '""', '""'), ("amounts", '"1.2 m2"', '"2 m2"'), ("owners", '""', '""')]
    assert not any(b"Bob" in str(line).encode() for line in sql(store, "SELECT * FROM changes"))


def test_undo_takes_the_newest_act_back_and_then_the_one_before(store):
    place = add(store, label="4½ hours on red, strip")
    fill(store, place, "more of it", hours="5", note="long")
    assert store.undo(None, NOON).sentence == "more of it"
    assert [e.hours for e in log_of(store)[0].entries] == [4.5, 4.5]
    assert store.undo(None, NOON, origin="page").sentence == "4½ hours on red, strip"
    assert len(log_of(store)[0].entries) == 1
    assert sql(store, "SELECT struck FROM hours WHERE id = ?", place.row) == [("taken back",)]
    said = [(act.sentence, act.undone, act.undo_of, act.origin) for act in store.acts()]
    assert said == [
        ("taken back: 4½ hours on red, strip", False, 2, "page"),
        ("taken back: more of it", False, 3, "command"),
        ("more of it", True, None, "command"),
        ("4½ hours on red, strip", True, None, "command"),
        ("the log so far", False, None, "command"),
    ]
    assert len(store.acts(2)) == 2


def test_an_act_is_not_taken_back_where_its_row_was_changed_since(store):
    place = add(store, label="hours on red")
    fill(store, place, "a note", note="x")
    fill(store, place, "another note", note="y")
    with pytest.raises(UsageError, match="was changed since, by “another note”"):
        store.undo(2, NOON)
    store.undo(4, NOON)
    before = store.revision()
    with pytest.raises(UsageError) as caught:
        store.undo(2, NOON)
    assert str(caught.value) == (
        "“hours on red” cannot be taken back: its row of hours was changed since, by “a note”. "
        "Take that back first, or correct the row by hand."
    )
    assert store.revision() == before
    store.undo(3, NOON)
    assert store.undo(2, NOON).undone is False
    for number, why in ((2, "already"), (5, "took something back"), (99, "no act 99")):
        with pytest.raises(UsageError, match=why):
            store.undo(number, NOON)


def test_a_board_that_others_speak_of_stays(store):
    board = add(store, "boards", label="a new board", called="blue")
    add(store, board="blue")
    with pytest.raises(UsageError, match="rows of hours speak of board 26-002"):
        store.undo(2, NOON)
    said = r"Rows of hours speak of board 26-002, and it stays\. Strike those out first\."
    with store.act("x", NOON) as act, pytest.raises(UsageError, match=said):
        act.strike(board, "never came")
    store.undo(None, NOON)
    store.undo(None, NOON)
    assert "26-002" not in log_of(store)[0].by_id


def test_a_board_does_not_come_back_beside_another_of_its_number(store):
    with store.act("a slip", NOON) as act:
        act.strike(where(store, "26-001"), "never came")
    add(store, "boards", label="again", board="26-001")
    with pytest.raises(UsageError, match="there is another board 26-001 now"):
        store.undo(2, NOON)
    store.undo(None, NOON)
    assert store.undo(2, NOON).sentence == "a slip"


def test_all_that_is_read_is_of_one_moment(store, monkeypatch):
    true, other = BookStore._settings, BookStore(store.folder)
    monkeypatch.setattr("estimator.log.book.opening.WAIT", 0.05)
    refused = []

    def meanwhile(self, connection):
        if self is store and not refused:
            refused.append(True)
            with suppress(UsageError):  # who comes in between waits
                add(other)
        return true(self, connection)

    before = store.revision()
    monkeypatch.setattr(BookStore, "_settings", meanwhile)
    fresh = store.held()
    assert (fresh.revision() == before) == (len(fresh.rows["hours"]) == 1)
    add(other)
    assert len(store.held().rows["hours"]) == 2


def test_amounts_and_strange_columns_go_back_too(store):
    fill(store, where(store), assessed_area="3", found_area="4", Rack="2", called="")
    store.undo(None, NOON)
    board = log_of(store)[0].by_id["A"]
    assert (dict(board.assessed), dict(board.found), board.called) == (
        {"area": 1.2, "logos": 0.0, "wet": 0.0},
        {},
        "red",
    )
    assert "Rack" not in store.read()[0].sheets[0].rows[0][1]


def test_an_owner_that_was_changed_cannot_be_taken_back(store):
    fill(store, where(store), owner="Bob")
    with pytest.raises(UsageError, match="only the last is kept"):
        store.undo(None, NOON)
    fill(store, where(store, "26-001"), owner="Cat", reach="by post")
    store.undo(None, NOON)
    board = log_of(store)[0].by_id["26-001"]
    assert (board.owner, board.reach) == ("", "")


def test_a_telling_that_is_struck_out_stays_to_be_read_and_does_not_count(store):
    with store.act("a telling", NOON) as act:
        place = act.append("told", {"board": "A", "date": "2026-05-05", "price": "900"})
    with store.act("a slip", NOON) as act:
        act.strike(place, "said of another board")
    log = log_of(store)[0]
    assert (log.told, [(one.price, one.struck) for one in log.struck]) == (
        (),
        [(900, "said of another board")],
    )
    store.undo(None, NOON)
    assert [one.price for one in log_of(store)[0].told] == [900]
    store.undo(None, NOON)  # a telling that was taken back was never said, and is not struck out
    assert (log_of(store)[0].told, log_of(store)[0].struck) == ((), ())


def test_a_row_that_is_struck_out_stays_and_is_not_read(store):
    with store.act("a weight", NOON) as act:
        place = act.append("weights", {"board": "A", "date": "2026-05-05", "weight": "8 kg"})
    with store.act("a slip", NOON) as act:
        act.strike(place, "of another board")
    assert "weights" not in [sheet.sheet for sheet in store.read()[0].sheets]
    assert sql(store, "SELECT struck, weight FROM weights") == [("of another board", "8 kg")]
    with pytest.raises(UsageError, match="was changed meanwhile"), store.act("x", NOON) as act:
        act.fill(place, {"weight": "1"}, {})
    with pytest.raises(UsageError, match="without a reason"), store.act("x", NOON) as act:
        act.strike(where(store), " ")
    store.undo(None, NOON)
    assert [one.board for one in log_of(store)[0].weighings] == ["A"]


def test_files_strike_nothing_out(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    with (
        pytest.raises(UsageError, match="keeps no rows that are struck out"),
        FileStore(tmp_path).act("x", NOON) as act,
    ):
        act.strike(Place("told.csv", row=2), "x")


def test_a_revision_is_never_the_same_twice(store):
    seen = [store.revision()]
    add(store)
    seen.append(store.revision())
    store.undo(None, NOON)
    seen.append(store.revision())
    add(store)
    seen.append(store.revision())
    (store.folder / "workshop.toml").write_text(SETTINGS + "# by hand\n", "utf-8")
    seen.append(store.revision())
    assert len(set(seen)) == 5
    with store.act("nothing at all", NOON):
        pass
    fill(store, where(store), called="red")
    assert store.revision() == seen[-1]


def test_settings_changed_by_an_act_are_finished_at_the_next_opening(store, monkeypatch):
    from estimator.log.book import store as module

    with monkeypatch.context() as broken:
        broken.setattr(module, "finish_settings", lambda *_: None)  # as if the machine stopped there
        with store.act("settings", NOON) as act:
            act.settings(SETTINGS + "# more\n")
    file = store.folder / "workshop.toml"
    assert file.read_text("utf-8") == SETTINGS
    assert store.settings_text() == SETTINGS + "# more\n"  # whoever reads has them already
    add(BookStore(store.folder))
    assert file.read_text("utf-8") == SETTINGS + "# more\n"
    file.write_text(SETTINGS, "utf-8")  # the restorer wants them as they were
    add(store)
    assert store.settings_text() == SETTINGS


def test_settings_that_were_changed_by_hand_meanwhile_stay(store, monkeypatch):
    from estimator.log.book import store as module

    with monkeypatch.context() as broken:
        broken.setattr(module, "finish_settings", lambda *_: None)
        with store.act("settings", NOON) as act:
            act.settings(SETTINGS + "# more\n")
    (store.folder / "workshop.toml").write_text(SETTINGS + "# mine\n", "utf-8")
    add(store)
    assert store.settings_text() == SETTINGS + "# mine\n"


def test_settings_are_taken_back(store):
    with store.act("more places", NOON) as act:
        act.settings(SETTINGS + "# more\n")
    store.undo(None, NOON)
    assert (store.folder / "workshop.toml").read_text("utf-8") == SETTINGS
    with store.act("more places", NOON) as act:
        act.settings(SETTINGS + "# more\n")
    (store.folder / "workshop.toml").write_text(SETTINGS + "# mine\n", "utf-8")
    with pytest.raises(UsageError, match="the settings were changed since"):
        store.undo(None, NOON)


def test_a_settings_file_that_may_not_be_written_stops_the_act_before(store):
    (store.folder / "workshop.toml").chmod(0o444)
    before = store.revision()

    def both():
        with store.act("x", NOON) as act:
            act.append("hours", HOURS)
            act.settings("")

    with pytest.raises(UsageError, match=r"workshop\.toml cannot be written"):
        both()
    assert store.revision() == before


def test_the_book_comes_first_and_says_what_lies_unread_beside_it(store):
    (store.folder / "boards.csv").write_text("board\nX\n", "utf-8")
    (store.folder / "log.xlsx").write_bytes(b"")
    assert isinstance(store_of(store.folder), BookStore)
    notes = [note.sentence() for note in log_of(store)[2]]
    assert (
        "book.sqlite: the log is book.sqlite; unread beside it: log.xlsx, boards.csv. "
        "Keep one log, and move the other away."
    ) in notes
    store.path.unlink()
    assert isinstance(store_of(store.folder), FileStore)


def test_a_book_is_made_whole_or_not_at_all(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")

    def half(act):
        act.append("boards", {"board": "A"})
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        BookStore.create(tmp_path, label="x", at=NOON, fill=half)
    assert [path.name for path in tmp_path.iterdir()] == ["workshop.toml"]
    BookStore.create(tmp_path)
    with pytest.raises(UsageError, match="There is a book already"):
        BookStore.create(tmp_path)


def test_put_back_makes_another_book_of_it_and_keeps_what_was_there(store):
    first = store.revision()
    add(store)  # with the first act of a day comes a copy
    [copy] = (store.folder / "backups").glob("book-*.sqlite")
    second = store.revision()
    kept = put_back(store.path, copy, dt.datetime(2026, 6, 5, 9, 30, tzinfo=dt.UTC))
    assert kept.name == "before-putback-2026-06-05-093000.sqlite"
    assert len(log_of(store)[0].entries) == 1
    assert store.revision() not in {first, second}
    put_back(store.path, kept, dt.datetime(2026, 6, 5, 9, 30, tzinfo=dt.UTC))
    assert len(log_of(store)[0].entries) == 2
    assert (store.folder / "backups" / "before-putback-2026-06-05-093000-2.sqlite").exists()


def test_a_row_that_was_changed_since_it_was_read_is_not_filled(store):
    place = log_of(store)[0].entries[0].where
    fill(store, place, hours="5")
    for was in ({"hours": "4.5"}, {"hours": "5", "note": "x"}, {"board": "B", "hours": "5"}):
        with pytest.raises(UsageError, match="changed"), store.act("a change", NOON) as act:
            act.fill(place, {"hours": "6"}, was)
    with store.act("a change", NOON) as act:
        act.fill(place, {"hours": "6"}, {"hours": "5"})
    assert log_of(store)[0].entries[0].hours == 6.0


def test_what_stood_in_a_strange_column_before_stands_there_again(store):
    for text in ("left", "right"):
        fill(store, where(store), Rack=text)
    store.undo(None, NOON)
    assert sql(store, "SELECT written FROM others WHERE name = 'Rack'") == [("left",)]


@pytest.mark.parametrize(
    ("days", "number"),
    [
        ({"asked": "2024-12-30", "quoted": "2025-01-04", "started": "2026-02-01"}, "25-001"),
        ({"asked": "2024-12-30", "started": "2026-02-01"}, "24-001"),
        ({"started": "2023-12-30", "ready": "2024-02-01"}, "23-001"),
        ({"ready": "2022-12-30", "collected": "2023-02-01"}, "22-001"),
        ({"collected": "2021-12-30"}, "21-001"),
        ({"asked": "2024-12-30", "accepted": "2025-01-04", "started": "2026-02-01"}, "24-001"),
        ({"accepted": "2024-12-30", "started": "2026-02-01"}, "24-001"),
        ({"asked": "soon", "started": "2023-12-30"}, "23-001"),  # a day that cannot be read is none
        ({"wanted_by": "2027-01-01"}, "26-002"),  # which says nothing of when it came
    ],
)
def test_a_new_board_is_numbered_by_the_day_of_its_quote_else_the_first_that_is_known(store, days, number):
    place = add(store, "boards", **days)
    assert sql(store, "SELECT board FROM boards WHERE id = ?", place.row) == [(number,)]


def test_within_one_act_a_board_goes_by_the_name_it_was_just_given_and_undo_goes_back_before_all_of_it(store):
    with store.act("much at once", NOON) as act:
        act.fill(where(store), {"called": "green"}, {})
        act.fill(where(store), {"called": "plum", "note": "n"}, {})
        place = act.append("hours", {**HOURS, "board": "green", "hours": "1"})
        act.fill(place, {"hours": "2"}, {"hours": "1"})
    assert [(one.board, one.hours) for one in log_of(store)[0].entries] == [("A", 4.5), ("A", 2.0)]
    store.undo(None, NOON)
    log = log_of(store)[0]
    assert (log.by_id["A"].called, log.by_id["A"].note, len(log.entries)) == ("red", "", 1)


def test_money_on_several_boards_speaks_of_each_and_no_row_of_one_that_is_only_spelt_like_it(store):
    for board in ("B", "B1"):
        add(store, "boards", board=board)
    add(store, board="B1")
    with store.act("resin", NOON) as act:
        bought = act.append("money", {"date": "2026-05-05", "out": "20", "what": "resin", "boards": "A; B"})
    with store.act("x", NOON) as act, pytest.raises(UsageError, match="Rows of money speak of board B,"):
        act.strike(where(store, "B"), "never came")
    with store.act("x", NOON) as act:
        act.strike(bought, "not bought")
        act.strike(where(store, "B"), "never came")
    assert set(log_of(store)[0].by_id) == {"A", "B1", "26-001"}


def test_a_board_does_not_come_back_beside_another_of_its_number_in_small_letters(store):
    add(store, "boards", board="X1", Rack="3", assessed_logos="2")
    with store.act("a slip", NOON) as act:
        act.strike(where(store, "X1"), "never came")
    assert "Rack" not in store.read()[0].sheets[0].rows[0][1]  # of what is struck out no column is left
    add(store, "boards", label="again", board="x1")
    with pytest.raises(UsageError, match="there is another board X1 now"):
        store.undo(3, NOON)


def test_acts_are_listed_below_a_number_and_counted_from_the_first(store):
    for hour in (1, 2):
        with store.act(f"act {hour}", NOON + dt.timedelta(hours=hour)) as act:
            act.append("hours", HOURS)
    assert [one.id for one in store.acts(2)] == [3, 2]
    assert [one.id for one in store.acts(20, 3)] == [2, 1]
    assert store.first_act() == (3, "2026-06-04T12:00:00+00:00")


def test_a_log_that_is_put_beside_a_book_later_is_named_too(store):
    assert not [note for note in store.read()[0].notes if "unread beside it" in note.wrong]
    (store.folder / "boards.csv").write_text("board\nX\n", "utf-8")
    assert [note for note in store.read()[0].notes if "unread beside it: boards.csv" in note.wrong]


def test_nothing_is_taken_back_where_the_settings_could_not_follow(store):
    add(store)
    (store.folder / "workshop.toml").chmod(0o444)
    with pytest.raises(UsageError, match=r"workshop\.toml cannot be written"):
        store.undo(None, NOON)
    assert len(log_of(store)[0].entries) == 2


@pytest.mark.parametrize(
    ("named", "at"), [("../stick", "stick"), ("{}/stick", "stick"), ("~/stick", "stick"), (" ", None)]
)
def test_the_second_place_is_named_from_the_workshop_on_or_from_home(tmp_path, monkeypatch, named, at):
    monkeypatch.setenv("HOME", str(tmp_path))
    text = SETTINGS.replace("[workshop]", f'[workshop]\nbackup_folder = "{named.format(tmp_path)}"')
    store = book(tmp_path / "shop", settings=text, boards=[{"board": "A"}])
    found = store.backup_folder()
    assert (found and found.resolve()) == (at and (tmp_path / at).resolve())
    assert store.copy_elsewhere(NOON) is None
    assert not (tmp_path / "stick").exists()


def test_a_copy_that_is_put_back_brings_no_settings_with_it(store, monkeypatch):
    """Not even those that an act was about to put into their file when it was made."""
    from estimator.log.book import store as module

    with monkeypatch.context() as broken:
        broken.setattr(module, "finish_settings", lambda *_: None)
        with store.act("settings", NOON) as act:
            act.settings(SETTINGS + "# more\n")
    copy = store.before_import(NOON)
    add(store)
    (store.folder / "workshop.toml").write_text(SETTINGS, "utf-8")
    store.put_back(copy, NOON)
    add(store)
    assert (store.folder / "workshop.toml").read_text("utf-8") == SETTINGS


def test_the_key_of_an_act_that_wrote_nothing_is_kept_too(store):
    for _ in range(2):
        with store.act("nothing", NOON, key="k", digest="d"):
            pass
    assert sql(store, "SELECT key, digest, places FROM keys") == [("k", "d", "[]")]
    with store.act("nothing", NOON):
        pass
    assert [act.sentence for act in store.acts()] == ["nothing", "the log so far"]


def test_what_taking_an_act_back_would_do_is_said_of_each_row_it_wrote(store):
    with store.act("much", NOON) as act:
        act.fill(where(store), {"called": "green", "assessed_area": "3", "reach": "by post"}, {})
        place = act.append("boards", {"called": "blue", "assessed_area": "2", "Rack": "4"})
    would = store.would_undo(2)
    assert (would.act.sentence, would.settings, would.refused != "") == ("much", False, True)  # whose it is
    rows = {(row.sheet, row.row): (row.before, row.after, row.whose) for row in would.rows}
    assert rows[where(store).sheet, where(store).row] == (
        {"board": "A", "called": "red", "assessed_area": "1.2 m2"},
        {"board": "A", "called": "green", "assessed_area": "3 m2"},
        True,
    )
    assert rows[place.sheet, place.row] == (
        None,
        {"board": "26-002", "called": "blue", "assessed_area": "2 m2", "Rack": "4"},
        False,
    )
    add(store, label="hours")
    assert store.would_undo().refused == ""
    store.undo(None, NOON)
    assert store.would_undo(3).refused == "“hours” was taken back already."
    assert "took something back, and stays" in store.would_undo(4).refused
    with pytest.raises(UsageError, match="There is no act 9"):
        store.would_undo(9)


def test_a_board_goes_with_the_hours_that_the_same_act_booked_on_it(store):
    with store.act("a board and its hours", NOON) as act:
        act.append("boards", {"board": "C", "called": "blue"})
        act.append("hours", {**HOURS, "board": "blue"})
    assert store.undo(None, NOON).sentence == "a board and its hours"
    log = log_of(store)[0]
    assert ("C" in log.by_id, len(log.entries)) == (False, 1)


def test_a_board_without_any_day_is_numbered_by_the_year_of_its_act(store):
    with store.act("a board", dt.datetime(2023, 6, 4, 12, tzinfo=dt.UTC)) as act:
        place = act.append("boards", {"called": "blue"})
    assert sql(store, "SELECT board FROM boards WHERE id = ?", place.row) == [("23-001",)]


def test_columns_named_as_an_owner_or_a_side_are_what_they_are_only_where_they_belong(tmp_path):
    """In hours an owner is a column like any strange one; and a side without a name says nothing of an amount."""
    boards = [{"board": "A", "Rack": "7"}, {"board": "B", "found": "in May"}]
    hours = [{**HOURS, "board": "B", "owner": "Ann", "assessed_wool": "2", "Rack": "9"}]
    store = book(tmp_path / "shop", boards=boards, hours=hours)
    assert sql(store, "SELECT * FROM owners") == sql(store, "SELECT * FROM amounts") == []
    assert sql(store, "SELECT sheet, name, written FROM others ORDER BY sheet, name") == [
        ("boards", "Rack", "7"),
        ("boards", "found", "in May"),
        ("hours", "Rack", "9"),
        ("hours", "assessed_wool", "2"),
        ("hours", "owner", "Ann"),
    ]
    assert sql(store, "SELECT sheet, name FROM headings ORDER BY id") == [
        ("boards", "Rack"),
        ("boards", "found"),
        ("hours", "owner"),
        ("hours", "assessed_wool"),
        ("hours", "Rack"),
    ]
    read = {sheet.sheet: sheet.rows for sheet in store.read()[0].sheets}
    assert [cells[-2:] for _, cells in read["boards"]] == [["Rack", "found"], ["7", ""], ["", "in May"]]
    with store.act("a change", NOON) as act:  # each row has its own, though both are the first of their sheet
        act.fill(where(store), {"note": "x"}, {"Rack": "7", "found": "", "called": ""})
        act.fill(log_of(store)[0].entries[0].where, {"Rack": "10"}, {"Rack": "9", "owner": "Ann"})
    assert sql(store, "SELECT sheet, written FROM others WHERE name = 'Rack' ORDER BY sheet") == [
        ("boards", "7"),
        ("hours", "10"),
    ]


def test_a_cell_of_ours_that_cannot_be_read_is_no_strange_column(store):
    place = add(store, hours="much")
    assert sql(store, "SELECT name, written FROM others WHERE row = ?", place.row) == [("hours", "much")]
    assert sql(store, "SELECT * FROM headings") == []
    fill(store, place, hours="3")
    assert sql(store, "SELECT hours FROM hours WHERE id = ?", place.row) == [("3",)]
    assert log_of(store)[0].entries[-1].hours == 3.0


@pytest.mark.parametrize(
    "place",
    [Place("hours.csv", "hours", 2), Place("book.sqlite", "racks", 2), Place("book.sqlite", "hours", 99)],
)
def test_a_row_that_is_not_in_the_book_is_neither_filled_nor_struck_out(store, place):
    before = store.revision()
    for change in ("fill", "strike"):
        with pytest.raises(UsageError, match="changed meanwhile"), store.act("x", NOON) as act:
            act.fill(place, {"note": "x"}, {}) if change == "fill" else act.strike(place, "x")
    assert store.revision() == before


def test_an_act_is_kept_with_its_second_and_no_part_of_it_and_where_it_came_from(store):
    with store.act("x", NOON.replace(microsecond=987_654), origin="page") as act:
        act.append("hours", HOURS)
    assert sql(store, "SELECT at, origin, sentence, undo_of FROM acts WHERE id = 2") == [
        ("2026-06-04T12:00:00+00:00", "page", "x", None)
    ]


def test_a_row_of_strange_columns_alone_is_a_row(store):
    with store.act("x", NOON) as act:
        place = act.append("weights", {"weight": "", "Scales": "old"})
    assert sql(store, "SELECT id, board FROM weights") == [(place.row, None)]
    assert store.read()[0].sheets[-1].rows[1][1][-1] == "old"


def test_the_places_of_an_act_are_kept_with_its_key_in_their_order(store):
    with store.act("two", NOON, key="k", digest="d") as act:
        first, second = act.append("boards", {"board": "Q"}), act.append("hours", {**HOURS, "board": "Q"})
    with store.act("two", NOON, key="k", digest="d") as act:
        again = (act.append("boards", {"board": "Q"}), act.append("hours", {**HOURS, "board": "Q"}))
    assert [(one.sheet, one.row) for one in again] == [(first.sheet, first.row), (second.sheet, second.row)]
    assert (first.sheet, second.sheet, len(log_of(store)[0].entries)) == ("boards", "hours", 2)
