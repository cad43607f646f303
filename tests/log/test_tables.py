"""Places of cells, and the row that names the columns."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.columns import names_of_sheets
from estimator.log.tables import RawSheet, SheetTable, headed, header_among, letters, shown
from estimator.words.problems import THE_BOOK, Place
from estimator.words.settings.schema import Settings

NAMES = names_of_sheets(Settings())["hours"]


@given(st.integers(0, 20_000))
def test_letters_count_columns_as_spreadsheets_do(column):
    # worked back: each letter a digit from 1 to 26
    number = 0
    for letter in letters(column):
        number = number * 26 + ord(letter) - ord("A") + 1
    assert number == column + 1


def test_the_last_column_of_a_spreadsheet_is_xfd():
    # Office Open XML worksheets have 16,384 columns, the last of them XFD (from memory)
    assert letters(16_383) == "XFD"


def test_the_header_is_the_first_row_with_most_known_names():
    rows = [
        ["Hours of 2026"],
        ["hours"],
        ["board", "date", "stage", "hours"],
        ["board", "date", "stage", "hours"],
    ]
    assert header_among(rows, NAMES) == (2, 4)
    assert header_among([["a"], ["b"]], NAMES) == (-1, 0)
    assert header_among([["a"]] * 11 + [["board"]], NAMES) == (11, 1)
    assert header_among([["a"]] * 12 + [["board"]], NAMES) == (-1, 0)


def test_cells_are_found_by_their_names_and_places_by_both():
    grid = [(3, ["note", "", "board", "Date", "stage", "hours"]), (5, ["x", "", "A", "", "strip"])]
    for place, row, cell in (
        (Place("log.xlsx", "hours"), "row 5", "cell C5"),
        (Place("hours.csv"), "line 5", "line 5, board"),
    ):
        table, problems, notes = headed(RawSheet("hours", place, grid, 0), NAMES)
        assert (problems, notes) == ([], [])
        [(number, cells)] = table.rows
        assert table.named(cells) == {"note": "x", "board": "A", "stage": "strip"}
        assert str(table.at_row(number)) == f"{place}, {row}"
        assert str(table.at(number, "board")) == f"{place}, {cell}"
        assert str(table.at(number, "until")) == f"{place}, {row}"


def test_boards_without_a_column_of_numbers_are_read_and_hours_without_one_are_not():
    for sheet, header, kept in (("boards", ["called", "owner"], 1), ("hours", ["date", "stage"], 0)):
        grid = [(1, header), (2, ["red", "Tam"])]
        table, problems, _ = headed(
            RawSheet(sheet, Place("x.csv"), grid, 0), names_of_sheets(Settings())[sheet]
        )
        assert (len(table.rows), bool(problems)) == (kept, not kept)


def test_a_long_cell_is_shown_cut_short():
    assert shown("a" * 60) == "a" * 60
    assert shown("a" * 61) == "a" * 58 + " …"


def test_control_characters_are_taken_out_once_and_said():
    grid = [
        (1, ["board", "date", "stage", "no\x07te", "hours"]),
        (2, ["red\x1b[31m\x00", "2026\x9b", "a\tb\nc", "x\x7f", 1.0]),
    ]

    table, problems, _ = headed(RawSheet("hours", Place("hours.csv"), grid, 0), NAMES)

    assert table.columns["note"] == 3
    assert table.rows == ((2, ["red[31m", "2026", "a\tb\nc", "x", 1.0]),)
    assert [problem.sentence() for problem in problems if "control" in problem.wrong] == [
        f"hours.csv, line {place}: control characters stand in it, which are left out. Type the cell anew."
        for place in ('1, note: "note"', '2, board: "red[31m"', '2, date: "2026"', '2, note: "x"')
    ]


@pytest.mark.parametrize(
    ("sheet", "header", "missing"),
    [
        ("hours", "board", "date stage hours"),
        ("hours", "stage", "board date hours"),
        ("told", "price", "board date"),
        ("waits", "board", "from for"),
        ("waits", "for", "board from"),
        ("weights", "weight", "board date"),
        ("weights", "date", "board weight"),
        ("notes", "note", "board date"),
        ("notes", "date", "board note"),
        ("money", "boards", "date in out what"),
    ],
)
def test_columns_without_which_a_sheet_is_not_read(sheet, header, missing):
    raw = RawSheet(sheet, Place("x.csv"), [(4, [header]), (5, ["x"])], 0)
    table, problems, _ = headed(raw, names_of_sheets(Settings())[sheet])
    assert table.rows == ()
    assert [str(one.place) for one in problems] == ["x.csv, line 4"] * len(problems)
    assert [one.cure for one in problems] == [
        f"Add a column with the name {name}." for name in missing.split()
    ]


def test_a_strange_column_is_a_problem_in_a_file_and_kept_as_it_is_in_the_book():
    grid = [(1, ["board", "odd", "date", "stage", "hours"]), (2, ["A", "x", "", "", 1.0])]
    for place, where in ((Place("log.xlsx", "hours"), "B1"), (Place("hours.csv"), "")):
        _, problems, notes = headed(RawSheet("hours", place, grid, 0), NAMES)
        assert (
            [(one.found, one.place.row, one.place.column + "1" * bool(where)) for one in problems],
            notes,
        ) == (
            [("odd", 1, where)],
            [],
        )
    _, problems, notes = headed(RawSheet("hours", Place(THE_BOOK), grid, 0), NAMES)
    assert (problems, [(one.found, one.cure) for one in notes]) == ([], [("odd", "")])
    assert notes[0].wrong == "a column of your own: it is kept, goes out with every export, and is not read"


def test_a_cell_beyond_the_names_goes_by_its_letter():
    grid = [(1, ["odd", "", "x", ""]), (3, ["Board", "date"]), (4, ["A", "", "z"])]
    found = [f"{one.place}: {one.value}" for one in RawSheet("told", Place("told.csv"), grid, 1).cells()]
    assert found == [
        "told.csv, line 1, Board: odd",
        "told.csv, line 1, C: x",
        "told.csv, line 3, Board: Board",
        "told.csv, line 3, date: date",
        "told.csv, line 4, Board: A",
        "told.csv, line 4, C: z",
    ]
    lettered = RawSheet("told", Place("log.ods", "told"), grid, 1)
    assert [one.place.column for one in lettered.cells()] == ["A", "C", "A", "B", "A", "C"]


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (False, "no"),
        (1, "1"),
        (0.25, "0.25"),
        (1234567890.5, "1234567890.5"),
        (dt.datetime(2026, 3, 4, 7, 30, tzinfo=dt.UTC), "2026-03-04 07:30:00+00:00"),
        (dt.date(2026, 3, 4), "2026-03-04"),
        (dt.datetime(2026, 3, 4, tzinfo=dt.UTC), "2026-03-04"),
    ],
)
def test_a_cell_is_shown_as_one_would_write_it(cell, text):
    assert shown(cell) == text


def test_nought_and_no_are_something_and_what_is_beyond_the_row_is_not():
    table = SheetTable(
        "boards", Place("log.xlsx", "boards"), {"board": 0, "paid": 1, "for_love": 2, "note": 3, "aim": 4}
    )
    assert table.named(["A", 0, False, ""]) == {"board": "A", "paid": 0, "for_love": False}
