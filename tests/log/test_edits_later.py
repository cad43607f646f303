"""What an owner asked for since, written into the board's own row: added to what stands there, and nothing else touched."""

import datetime as dt
from pathlib import Path

import pytest

from estimator.forecast.scope_change import asked_since
from estimator.log.edits import OwnRow, keep_more, later_cells, own_row
from estimator.log.store import FileStore
from estimator.model.fit import known_board
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.records import Board, Told

NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
HEAD = "board;called;accepted;length;assessed_infills;found_infills;later_infills;assessed_logos;later_logos;note\r\n"
RED = 'A; red nine-four ;2026-05-01;9\'4;2;5;;1;1;"pays; well"\r\n'
TAN = "B;tan;2026-05-02;9'1;1;;;;;\r\n"


def keep(read, tmp_path, shop, name, **more):
    """What was asked for of a board, kept, and the log that is read then."""
    board = read().log.by_id[name]
    then, grown = asked_since(known_board(board), more, shop)
    what = {q: grown[q] for q in more}
    store = FileStore(tmp_path, shop)
    row = own_row(store.read()[0], shop, board)
    return keep_more(store, row, board, what, grown, NOON), then, read()


def test_the_rest_of_the_file_stays_byte_for_byte(read, tmp_path, shop):
    read(boards=HEAD + RED + TAN)
    kept, then, after = keep(read, tmp_path, shop, "B", infills=2)

    boards = (tmp_path / "boards.csv").read_bytes().decode()
    assert boards == HEAD + RED + TAN.replace(";1;;;", ";1;;2;")
    assert (kept.file, dict(kept.cells), kept.notes) == (tmp_path / "boards.csv", {"later_infills": "2"}, ())
    assert known_board(after.log.by_id["B"]) == then
    assert after.problems == []


def test_it_is_added_to_what_stands_there(read, tmp_path, shop):
    read(boards=HEAD + RED + TAN)
    keep(read, tmp_path, shop, "A", logos=1)
    kept, then, after = keep(read, tmp_path, shop, "A", logos="1")

    assert dict(kept.cells) == {"later_logos": "3"}
    assert after.log.by_id["A"].assessed["logos"] == 1.0
    assert known_board(after.log.by_id["A"]) == then
    assert then.wanted["logos"] == 4.0


def test_what_turned_out_in_all_grows_with_it_so_that_none_of_it_is_hidden_work(read, tmp_path, shop):
    read(boards=HEAD + RED + TAN)
    kept, then, after = keep(read, tmp_path, shop, "A", infills=1, logos=1)
    board = after.log.by_id["A"]

    assert dict(kept.cells) == {"later_infills": "1", "later_logos": "2", "found_infills": "6"}
    assert board.found["infills"] - board.assessed["infills"] - board.later["infills"] == 5 - 2
    assert known_board(board) == then
    assert after.problems == []


def test_areas_come_from_the_faces_and_have_no_cell_of_their_own(read, tmp_path, shop):
    head = "board,accepted,length,width,assessed_sides_stripped,later_sides_stripped\n"
    read(boards=f"{head}A,2026-05-01,9'4,22,1,\n")
    kept, then, after = keep(read, tmp_path, shop, "A", sides_stripped=1)
    board = after.log.by_id["A"]

    assert dict(kept.cells) == {"later_sides_stripped": "1"}
    assert board.later["glass_stripped"] == pytest.approx(board.assessed["glass_stripped"])
    assert known_board(board) == then
    assert then.turned_out["glass_stripped"] == pytest.approx(2 * known_board(board).face_m2)


@pytest.mark.parametrize(
    ("there", "more", "cell"), [("0.1", 0.2, "0.3"), ("", "1/8", "0.125"), ("1.5 ft2", 1, "1.139355")]
)
def test_amounts_read_back_as_they_are(read, tmp_path, shop, there, more, cell):
    read(boards=f"board,accepted,assessed_glass_stripped,later_glass_stripped\nA,2026-05-01,1.2,{there}\n")
    kept, then, after = keep(read, tmp_path, shop, "A", glass_stripped=more)

    assert kept.cells["later_glass_stripped"] == cell
    assert after.log.by_id["A"].later == pytest.approx(dict(then.later))


def test_conditions_and_stages_that_come_or_not_are_kept_too(read, tmp_path, shop):
    head = "board,accepted,assessed_nested,later_nested,later_redo\n"
    read(boards=f"{head}A,2026-05-01,no,,\n")
    kept, then, after = keep(read, tmp_path, shop, "A", nested="yes", redo="yes")

    assert dict(kept.cells) == {"later_nested": "1", "later_redo": "1"}
    assert known_board(after.log.by_id["A"]) == then


def test_a_file_without_the_column_gets_it(read, tmp_path, shop):
    read(boards="board,accepted,assessed_infills\nA,2026-05-01,2\n")
    kept, _, _ = keep(read, tmp_path, shop, "A", infills=1, logos=1)

    assert dict(kept.cells) == {"later_infills": "1", "later_logos": "1"}  # what was written is said
    assert (tmp_path / "boards.csv").read_text("utf-8") == (
        "board,accepted,assessed_infills,later_infills,later_logos\nA,2026-05-01,2,1,1\n"
    )


def test_a_row_that_is_another_boards_by_now_stays_as_it_is(read, tmp_path, shop):
    read(boards=HEAD + RED + TAN)
    board = read().log.by_id["A"]
    read(boards=HEAD + TAN + RED)

    with pytest.raises(UsageError, match="changed meanwhile"):
        own_row(FileStore(tmp_path, shop).read()[0], shop, board)
    assert Path(tmp_path / "boards.csv").read_bytes().decode() == HEAD + TAN + RED


def test_a_spreadsheet_stays_and_the_cells_are_named(read, tmp_path, shop, write_xlsx):
    write_xlsx(
        {"boards": [["board", "accepted", "assessed_infills", "found_infills"], ["A", "2026-05-01", 2, 3]]}
    )
    book = (tmp_path / "log.xlsx").read_bytes()
    kept, _, _ = keep(read, tmp_path, shop, "A", infills=2)

    said = "Write into the board's row there yourself: later_infills 2, found_infills 5."
    assert kept.notes == (f"log.xlsx stays as it is. {said}",)
    assert kept.file is None
    assert kept.as_dict()["cells"] == {"later_infills": "2", "found_infills": "5"}
    assert (tmp_path / "log.xlsx").read_bytes() == book


@pytest.mark.parametrize(
    ("by_hand", "cells"),
    [
        (False, {"later_infills": "2", "later_logos": "0", "found_infills": "5", "found_area": "3.5"}),
        (
            True,
            {
                "later_infills": "2",
                "later_logos": "0",
                "later_tan": "2",
                "found_infills": "5",
                "found_tan": "3",
            },
        ),
    ],
)
def test_what_grows_in_the_row_is_what_stands_in_it_and_by_hand_what_was_asked_for(by_hand, cells):
    board = Board("A", found={"infills": 3.0, "area": 1.5, "tan": 1.0, "logos": 4.0})
    row = OwnRow(
        Place("boards.csv", row=2),
        {"found_infills": "3", "found_area": "1.5", "found_logos": "4"},
        frozenset(),
    )
    more = {"infills": 2.0, "logos": 0.0} | ({"tan": 2.0} if by_hand else {})
    grown = more | {"area": 2.0, "tan": 2.0}
    assert later_cells(row, board, more, grown, by_hand=by_hand) == cells


def test_beside_a_spreadsheet_what_is_told_of_it_is_not_kept(read, tmp_path, shop, write_xlsx):
    write_xlsx({"boards": [["board", "accepted", "assessed_infills"], ["A", "2026-05-01", 2]]})
    board = read().log.by_id["A"]
    store = FileStore(tmp_path, shop)
    row = own_row(store.read()[0], shop, board)
    told = Told("A", dt.date(2026, 6, 4), price=9.0, because="asked later")
    kept = keep_more(store, row, board, {"infills": 1.0}, {"infills": 1.0}, NOON, told=told)

    assert kept.told is None
    assert not (tmp_path / "told.csv").exists()
