"""Logs kept in a spreadsheet: xlsx and ods, with typed cells and durations above a day."""

import datetime as dt

import pytest

from estimator.words.problems import NOWHERE

DAY = dt.date(2026, 3, 2)  # a Monday
BOARDS = [
    ["board", "kind", "accepted", "ready", "assessed infills", "price_charged"],
    ["A", "major", DAY, dt.date(2026, 4, 1), 2, 1800.5],
    [None, None, None, None, None, None],
    ["12", "minor", None, None, "2,5", None],
]
HOURS = [
    ["board", "date", "until", "stage", "hours", "done"],
    ["A", DAY, dt.date(2026, 3, 13), "strip", dt.timedelta(hours=27, minutes=30), True],
    ["A", dt.date(2026, 3, 16), None, "infill", dt.timedelta(hours=2, minutes=15), False],
    [12, dt.date(2026, 3, 17), None, "infill", 1.5, "yes"],
]


@pytest.fixture(params=["xlsx", "ods"])
def write(request):
    return request.getfixturevalue(f"write_{request.param}")


def test_a_spreadsheet_is_read_with_its_dates_durations_numbers_and_yes_and_no(write, read):
    write({"Boards": BOARDS, "HOURS": HOURS})
    found = read()
    assert found.problems == []
    one, other = found.log.boards
    assert (one.board, one.accepted, one.ready, one.state, one.price_charged) == (
        "A",
        DAY,
        dt.date(2026, 4, 1),
        "finished",
        1800.5,
    )
    assert (other.board, other.state, other.assessed["infills"]) == ("12", "on bench", 2.5)
    assert [(e.board, e.date, e.last, e.stage, e.hours, e.done) for e in found.log.entries] == [
        ("A", DAY, dt.date(2026, 3, 13), "strip", 27.5, True),
        ("A", dt.date(2026, 3, 16), dt.date(2026, 3, 16), "infill", 2.25, False),
        ("12", dt.date(2026, 3, 17), dt.date(2026, 3, 17), "infill", 1.5, True),
    ]


def test_the_same_log_is_the_same_in_xlsx_ods_and_csv(write_xlsx, write_ods, read, tmp_path):
    sheets = {"boards": BOARDS, "hours": HOURS}
    write_xlsx(sheets)
    in_xlsx = read().log
    (tmp_path / "log.xlsx").unlink()
    write_ods(sheets)
    in_ods = read().log
    (tmp_path / "log.ods").unlink()
    texts = {
        name: "\n".join(",".join(_as_text(cell) for cell in row) for row in rows)
        for name, rows in sheets.items()
    }
    in_csv = read(**texts).log
    assert _without_places(in_xlsx) == _without_places(in_ods) == _without_places(in_csv)
    assert len(in_csv.entries) == 3


def _as_text(cell):
    if isinstance(cell, dt.timedelta):
        return f"{int(cell.total_seconds()) // 3600}:{int(cell.total_seconds()) // 60 % 60:02d}"
    text = "" if cell is None else str(cell)
    return f'"{text}"' if "," in text else text


def _without_places(log):
    from dataclasses import replace

    return [replace(record, where=NOWHERE) for record in (*log.boards, *log.entries)]


def test_a_problem_names_sheet_and_cell(write, read):
    write(
        {
            "boards": [["The boards of 2026"], [], ["", "board", "kind", "lenght"], ["", "A", "majr", 9.5]],
            "hours": HOURS[:2],
        }
    )
    found = read()
    name = found.log.source
    assert found.problems == [
        (
            f'{name}, sheet boards, cell C4: "majr": that is not one of the words known here. '
            "The nearest name known here is major."
        ),
        (
            f'{name}, sheet boards, cell D3: "lenght": boards has no column of this name, and it is not read. '
            "The nearest is length: rename it, or take it out."
        ),
    ]
    assert str(found.log.boards[0].where) == f"{name}, sheet boards, row 4"


def test_a_note_says_which_log_was_read_and_which_were_not(write_xlsx, write_ods, read):
    write_xlsx({"boards": BOARDS, "holiday plans": [["surf"]], "empty": []})
    write_ods({"boards": BOARDS})
    found = read(boards="board\nZ\n", hours="board,date,stage,hours\n", told="board,date\nA,2026-03-02\n")
    assert [board.board for board in found.log.boards] == ["A", "12"]
    assert [told.board for told in found.log.told] == ["A"]
    assert found.log.source == "log.xlsx, told.csv"
    assert [note for note in found.notes if note.startswith("log.xlsx:")] == [
        "log.xlsx: not read: sheet holiday plans.",
        (
            "log.xlsx: the log is log.xlsx, told.csv; unread beside it: log.ods, boards.csv, hours.csv. "
            "Keep one log, and move the other away."
        ),
    ]


def test_rows_of_the_told_sheet_and_of_told_csv_stand_together(write, read):
    write({"boards": BOARDS, "told": [["board", "date", "price"], ["A", DAY, 1500]]})
    found = read(told="board,date,price\nA,2026-03-20,1800\n")
    assert [(told.date, told.price) for told in found.log.told] == [
        (DAY, 1500.0),
        (dt.date(2026, 3, 20), 1800.0),
    ]


def test_a_spreadsheet_that_cannot_be_opened_is_one_problem(read):
    found = read({"log.xlsx": b"PK\x03\x04 and then nothing"})
    assert found.problems == [
        (
            "log.xlsx: this file cannot be opened as a spreadsheet. "
            "Open it in your spreadsheet program and save it again, without a password."
        )
    ]
    assert found.log.boards == ()


def test_a_spreadsheet_without_a_boards_sheet_says_what_sheets_it_has(write, read):
    write({"Sheet1": BOARDS, "hours": HOURS})
    found = read()
    name = found.log.source
    assert found.problems == [
        f"{name}: there is no sheet “boards” in it, only Sheet1, hours. Call the sheet with one row for each board “boards”.",
        f"{name}, sheet hours: 3 rows on boards, and there is no sheet of boards. Write one row for each board in boards.csv.",
    ]


def test_an_empty_boards_sheet_is_a_log_without_boards_yet(write, read):
    write({"boards": []})
    found = read()
    assert found.problems == []
    assert "boards.csv: no boards are written down yet. Write one row for each board." in found.notes


def test_a_sheet_whose_columns_nobody_named_is_a_problem(write, read):
    write({"boards": [["board"], ["A"]], "hours": [["A", "strip"], ["B", "sand"]]})
    (problem,) = read().problems
    assert problem.partition("sheet ")[2] == (
        "hours: no row at its head names the columns. Write a first row with the names: board, date, stage, hours."
    )
