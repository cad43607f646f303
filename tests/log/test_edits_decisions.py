"""Decisions are kept in the board's own row; all else in the file stays byte for byte."""

import csv
import datetime as dt
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.folders import read_folder

from estimator.log.edits import DECISIONS, STILL_ASKED, Decision, decision_of, keep_decision, own_row
from estimator.log.store import FileStore
from estimator.words.errors import UsageError
from estimator.words.records import Board
from estimator.words.settings.schema import Settings

NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
HEAD = "board;called;note;decided;decided_why;for_love"
ROWS = f'{HEAD}\r\nA;red;"two\r\nlines";;;\r\nB;tan;x ; no ; "too far; gone" ;\r\nC;old;;;;'


@pytest.fixture
def shop(tmp_path):
    (tmp_path / "boards.csv").write_bytes(ROWS.encode("utf-8-sig"))
    return tmp_path


def boards_of(shop):
    log, problems, _ = read_folder(shop, Settings())
    assert not problems
    return {board.board: board for board in log.boards}


def kept(shop, board, answer, why="that shape", *, for_love=False):
    row = boards_of(shop)[board]
    decision = decision_of(row, answer, why, for_love=for_love)
    return keep_decision(*own(shop, row), row, decision, NOON)


def own(shop, board):
    """The store, and the board's own row in it."""
    store = FileStore(shop, Settings())
    return store, own_row(store.read()[0], Settings(), board)


def test_a_decision_reads_back_and_nothing_else_changes(shop):
    said = kept(shop, "A", "yes", for_love=True)

    board = boards_of(shop)["A"]
    assert (board.decided, board.decided_why, board.for_love) == ("yes", "that shape", True)
    written = (shop / "boards.csv").read_bytes()
    assert written == ROWS.replace('lines";;;', 'lines";yes;that shape;yes').encode("utf-8-sig")
    assert said.before is None
    assert said.file == shop / "boards.csv"


def test_a_second_decision_says_what_stood(shop):
    said = kept(shop, "B", "open-first", "he rang again")

    assert said.before == Decision("no", "too far; gone")
    board = boards_of(shop)["B"]
    assert (board.decided, board.decided_why, board.for_love) == ("open-first", "he rang again", False)
    assert said.as_dict()["before"] == {
        "decided": "no",
        "decided_why": "too far; gone",
        "for_love": False,
    }


def test_a_board_that_is_still_asked_for_is_said_to_be(shop):
    assert kept(shop, "C", "no", "no room").notes == (STILL_ASKED,)
    assert kept(shop, "C", "yes", "some room").notes == ()
    (shop / "boards.csv").write_text("board,state,decided,decided_why\nA,declined,,\n", "utf-8")
    assert kept(shop, "A", "no", "no room").notes == ()


def test_love_that_is_over_is_taken_back(shop):
    kept(shop, "C", "yes", for_love=True)
    kept(shop, "C", "yes", "it pays")

    assert boards_of(shop)["C"].for_love is False


def test_a_column_that_is_not_there_is_begun(shop):
    (shop / "boards.csv").write_text("board,decided\nA,\nB,no\n", "utf-8")
    kept(shop, "A", "yes", "that shape")

    assert (shop / "boards.csv").read_text("utf-8") == "board,decided,decided_why\nA,yes,that shape\nB,no,\n"


def test_a_column_for_love_is_needed_for_love_alone(shop):
    (shop / "boards.csv").write_text("board,decided,decided_why\nA,,\n", "utf-8")
    kept(shop, "A", "yes")

    assert (shop / "boards.csv").read_text("utf-8") == "board,decided,decided_why\nA,yes,that shape\n"


def test_a_row_that_is_another_board_s_by_now_is_left_alone(shop):
    board = boards_of(shop)["A"]
    before = own(shop, board)
    (shop / "boards.csv").write_text("board,decided,decided_why\nZ,,\n", "utf-8")

    with pytest.raises(UsageError, match="changed meanwhile"):
        keep_decision(*before, board, Decision("yes", "x"), NOON)
    with pytest.raises(UsageError, match="changed meanwhile"):
        own(shop, board)


def test_a_decision_that_stands_there_by_now_is_not_written_over(shop):
    board = boards_of(shop)["A"]
    before = own(shop, board)
    kept(shop, "A", "no", "no room")

    with pytest.raises(UsageError, match="changed meanwhile"):
        keep_decision(*before, board, Decision("yes", "x"), NOON)
    assert boards_of(shop)["A"].decided == "no"


def test_a_spreadsheet_stays_as_it_is_and_the_cells_are_named(shop):
    import xlsxwriter

    with xlsxwriter.Workbook(str(shop / "log.xlsx")) as book:
        sheet = book.add_worksheet("boards")
        sheet.write_row(0, 0, ["board", "called"])
        sheet.write_row(1, 0, ["A", "red"])
    before = (shop / "log.xlsx").read_bytes()
    said = kept(shop, "A", "yes", for_love=True)

    assert (shop / "log.xlsx").read_bytes() == before
    assert said.file is None
    [note] = said.notes
    assert note == (
        "log.xlsx stays as it is. Write into the board's row there yourself: decided yes, decided_why that shape, "
        "for_love yes."
    )
    [bare] = kept(shop, "A", "yes").notes  # what stays empty is nothing to write
    assert bare.endswith(": decided yes, decided_why that shape.")


@pytest.mark.parametrize(
    ("answer", "why", "love", "told"),
    [
        ("maybe", "x", False, '"maybe" is no decision'),
        ("yes", " ", False, "without its reason"),
        ("yes", "-", False, "without its reason"),
        ("no", "x", True, "not taken for love"),
    ],
)
def test_what_is_no_decision_is_refused(answer, why, love, told):
    with pytest.raises(UsageError, match=told):
        decision_of(Board("26-001"), answer, why, for_love=love)


@pytest.mark.parametrize("answer", ["yes", "open-first"])
def test_a_board_that_is_opened_first_may_be_taken_for_love_too(answer):
    assert decision_of(Board("26-001"), answer, "x", for_love=True) == Decision(answer, "x", for_love=True)


@given(
    st.sampled_from(DECISIONS),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=40),
)
def test_any_reason_reads_back_or_nothing_is_written(tmp_path_factory, answer, why):
    try:
        decision = decision_of(Board("26-001"), answer, why, for_love=False)
    except UsageError:
        return
    shop = tmp_path_factory.mktemp("any")
    before = ROWS.encode("utf-8-sig")
    (shop / "boards.csv").write_bytes(before)
    try:
        row = boards_of(shop)["C"]
        keep_decision(*own(shop, row), row, decision, NOON)
    except UsageError:
        assert (shop / "boards.csv").read_bytes() == before
        return

    assert Decision.of(boards_of(shop)["C"]) == decision
    rows = list(csv.reader(io.StringIO((shop / "boards.csv").read_text("utf-8-sig")), delimiter=";"))
    assert len(rows) == 4


@pytest.mark.parametrize("why", ["that shape", "2; 3", 'he said "please"', "für die Liebe", "日本", "a, b"])
def test_a_reason_as_people_write_it_is_kept(shop, why):
    kept(shop, "C", "yes", why)

    assert boards_of(shop)["C"].decided_why == why
