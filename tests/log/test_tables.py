"""Places of cells, and the row that names the columns."""

from hypothesis import given
from hypothesis import strategies as st

from estimator.log.columns import names_of_sheets
from estimator.log.tables import RawSheet, headed, header_among, letters, shown
from estimator.words.problems import Place
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
