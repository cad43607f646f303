"""What comes into a book: all or nothing, what is there is skipped, what differs is a problem."""

import datetime as dt

import pytest
from making.books import NOON, SETTINGS, book

from estimator.log.book.store import BookStore
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files, import_folder
from estimator.words.errors import UsageError

LATER = NOON + dt.timedelta(days=1)
BOARDS = [{"board": "A", "called": "red", "owner": "Ann", "Zeal": "high"}, {"board": "B", "called": "tan"}]
HOURS = [
    {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "4.5"},
    {"board": "A", "date": "2026-05-05", "stage": "gloss", "hours": "2"},
    {"board": "B", "date": "2026-05-05", "stage": "strip", "hours": "3"},
]


def content(store):
    """The rows by sheet, as dictionaries of what is filled, without their numbers; and the columns."""
    out = {}
    for sheet in store.read()[0].sheets:
        header = sheet.rows[0][1]
        rows = [{n: c for n, c in zip(header, cells, strict=True) if c} for _, cells in sheet.rows[1:]]
        out[sheet.sheet] = (header, rows)
    return out


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=BOARDS, hours=HOURS)


def take(folder, *files, only_try=False, newer=False, good_rows=False):
    return import_files(folder, files, LATER, ImportChoices(only_try, newer, good_rows))


def out(store, tmp_path):
    export_log(store, tmp_path / "out", with_owners=True)
    return tmp_path / "out"


def edit(folder, sheet, old, new):
    path = folder / f"{sheet}.csv"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def test_the_folders_own_files_go_into_a_new_book_and_stay(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board,called,owner,Zeal\nA,red,Ann,high\nB,tan,,\n", "utf-8")
    (tmp_path / "hours.csv").write_text("board,date,stage,hours\nred,4.5.2026,Strip it,4½\n", "utf-8")
    done = import_folder(tmp_path, NOON, ImportChoices())
    assert (done.written, done.begun, dict(done.added)) == (True, True, {"boards": 2, "hours": 1})
    assert (tmp_path / "boards.csv").exists()
    rows = content(BookStore(tmp_path))
    assert rows["boards"][1] == BOARDS
    assert rows["hours"][1] == HOURS[:1]
    act = BookStore(tmp_path).acts()[0]
    assert (act.origin, act.sentence) == ("import", "3 rows from boards.csv, hours.csv")
    with pytest.raises(UsageError, match="there already"):
        import_folder(tmp_path, NOON, ImportChoices())


def test_a_file_of_the_folder_whose_columns_have_no_names_is_a_problem_and_nothing_is_written(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board,called\nA,red\n", "utf-8")
    (tmp_path / "hours.csv").write_text("1,2,3\n4,5,6\n", "utf-8")
    done = import_folder(tmp_path, NOON, ImportChoices())
    assert [problem.wrong for problem in done.problems] == ["no row at its head names the columns"]
    assert not done.written
    assert not (tmp_path / "book.sqlite").exists()


def test_the_same_file_changes_nothing(store, tmp_path):
    before = store.revision()
    done = take(store.folder, out(store, tmp_path))
    assert (done.written, done.problems, dict(done.skipped)) == (False, (), {"boards": 2, "hours": 3})
    assert store.revision() == before


def test_a_corrected_row_is_a_problem_with_both_readings_unless_the_file_wins(store, tmp_path):
    files = out(store, tmp_path)
    edit(files, "hours", "strip,4.5", "strip,5.5")
    before = store.revision()
    done = take(store.folder, files)
    [problem] = done.problems
    assert problem.said() == 'hours.csv, line 2, hours: "5.5": the book says “4.5” here, and the file “5.5”.'
    assert (done.written, store.revision()) == (False, before)
    done = take(store.folder, files, newer=True)
    assert (done.written, dict(done.changed), dict(done.added)) == (True, {"hours": 1}, {})
    assert content(store)["hours"][1] == [{**HOURS[0], "hours": "5.5"}, *HOURS[1:]]
    assert store.acts()[0].origin == "import"


def test_nothing_is_written_where_one_row_is_wrong_but_the_good_rows_when_asked_for(store, tmp_path):
    files = tmp_path / "hours.csv"
    files.write_text(
        "board,date,stage,hours\nB,2026-05-05,strip,3\nB,2026-05-06,gloss,1\nB,2026-05-07,gloss,x\n"
    )
    done = take(store.folder, files)
    assert (done.written, len(done.problems), done.problems[0].where) == (
        False,
        1,
        "hours.csv, line 4, hours",
    )
    assert take(store.folder, files, only_try=True, good_rows=True).written is False
    assert len(content(store)["hours"][1]) == 3
    done = take(store.folder, files, good_rows=True)
    assert (done.written, dict(done.added), done.left_out) == (True, {"hours": 1}, 1)
    assert dict(done.skipped) == {"hours": 1}
    assert content(store)["hours"][1][-1]["date"] == "2026-05-06"


def test_rows_without_a_mark_compare_as_many_within_their_board(store, tmp_path):
    file = tmp_path / "hours.csv"
    head = "board,date,stage,hours\n"
    twice = "B,2026-05-05,strip,3\nB,2026-05-05,strip,3\n"
    file.write_text(head + twice)
    assert dict(take(store.folder, file).added) == {"hours": 1}
    done = take(store.folder, file)
    assert (done.written, dict(done.skipped)) == (False, {"hours": 2})
    file.write_text(head + "B,2026-05-05,strip,4\n")
    done = take(store.folder, file)
    assert (done.written, len(done.problems)) == (False, 1)
    assert (
        "only in the book “B 2026-05-05 3 strip”, only in the file “B 2026-05-05 4 strip”"
        in done.problems[0].wrong
    )
    done = take(store.folder, file, newer=True)
    assert (dict(done.added), dict(done.struck)) == ({"hours": 1}, {"hours": 2})
    assert [row["hours"] for row in content(store)["hours"][1]] == ["4.5", "2", "4"]


def test_what_was_told_stays_told(tmp_path):
    store = book(
        tmp_path / "shop", boards=BOARDS, told=[{"board": "A", "date": "2026-05-04", "hours_low": "40"}]
    )
    files = out(store, tmp_path)
    edit(files, "told", ",40,", ",30,")
    done = take(store.folder, files, newer=True)
    assert (done.written, len(done.problems)) == (False, 1)


def test_a_file_is_kept_as_it_came_and_one_that_fails_is_not(store, tmp_path):
    file = tmp_path / "boards.csv"
    file.write_bytes(b"board;called\r\nC;blue\r\n")
    done = take(store.folder, file)
    assert [path.read_bytes() for path in done.kept] == [file.read_bytes()]
    assert done.kept[0].parent == store.folder / "backups"
    assert len(list((store.folder / "backups").glob("before-import-*.sqlite"))) == 1
    file.write_bytes(b"board;called;asked\r\nD;blue;soon\r\n")
    assert take(store.folder, file).kept == ()
    assert len(list((store.folder / "backups").glob("import-*"))) == 1


def test_a_log_in_files_is_taken_into_a_book_first(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board\nA\n", "utf-8")
    more = tmp_path / "more"
    more.mkdir()
    (more / "boards.csv").write_text("board\nB\n", "utf-8")
    with pytest.raises(UsageError, match="not in a book yet"):
        take(tmp_path, more)
    assert not (tmp_path / "book.sqlite").exists()


def test_a_board_keeps_its_number(store, tmp_path):
    files = out(store, tmp_path)
    edit(files, "boards", "B,tan", "C,tan")
    done = take(store.folder, files, newer=True)
    assert (done.written, [p.wrong for p in done.problems]) == (
        False,
        ["this is board B in the book, and a board keeps its number"],
    )
