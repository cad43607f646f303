"""Which tables of a file are sheets of ours: those with all that each of their rows must have, and nothing strange."""

from dataclasses import replace

import pytest
from making.books import SETTINGS

from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import FoundTable, _without_control, as_ours, own_name, tables_of
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

NAMES = names_of_sheets(parse_settings(SETTINGS)[0])


def table(title, header, *rows):
    return FoundTable(title, Place("log.xlsx", title), list(enumerate([header, *rows], 1)))


@pytest.mark.parametrize(
    ("header", "ours"),
    [
        (["board", "date", "stage", "hours"], True),
        (["Board", "Day", "Stage", "Hours", "Note"], True),
        (["board", "date", "hours"], False),
        (["board", "stage", "hours"], False),
        (["date", "stage", "hours"], False),
        (["board", "date", "stage"], False),
        (["board", "date", "stage", "hours", "mood"], False),
        (["board", "hours", "book_row"], True),
        (["board", "date", "stage", "hours", "mood", "book_row"], True),
    ],
)
def test_a_sheet_is_ours_with_what_it_must_have_or_with_our_marks(header, ours):
    found = as_ours(table("hours", header, ["x"] * len(header)), NAMES)

    assert (found is not None) is ours


def test_under_a_title_that_is_none_of_ours_it_takes_our_marks():
    header, row = ["board", "date", "stage", "hours"], ["A", "2026-05-04", "strip", "2"]

    assert as_ours(table("May", header, row), NAMES) is None
    found = as_ours(table("May", [*header, "book_row"], [*row, "7"]), NAMES)
    assert found is not None
    assert (found.raw.sheet, found.mark) == ("hours", 4)


def test_a_cell_with_a_control_character_is_named_by_its_column_only_where_columns_have_letters(tmp_path):
    (tmp_path / "jobs.csv").write_text("Job no,Customer\n1,An\x07n\n", "utf-8")
    _, problems = tables_of(tmp_path / "jobs.csv", NAMES)
    assert [(one.place.row, one.place.column) for one in problems] == [(2, "")]
    sheet = replace(table("Jobs", ["Job no", "Customer"], ["1", "An\x07n"]), place=Place("log.xlsx", "Jobs"))
    clean, problems = _without_control(sheet)
    assert [(one.place.row, one.place.column, one.found) for one in problems] == [(2, "B", "Ann")]
    assert clean.rows[1] == (2, ["1", "Ann"])


def test_files_of_a_folder_are_those_of_a_log_whatever_case_their_names_are_in(tmp_path):
    for name in ("HOURS.csv", "Boards.CSV", "jobs.csv"):
        (tmp_path / name).write_text("board,date,stage,hours\nA,2026-05-04,strip,2\n", "utf-8")
    tables, problems = tables_of(tmp_path, NAMES)
    assert ([one.title for one in tables], problems) == (["Boards", "HOURS"], [])
    (tmp_path / "none").mkdir()
    (problem,) = tables_of(tmp_path / "none", NAMES)[1]
    assert problem.sentence() == (
        "none: there is no csv file of a log in it. Name a folder with files as boards.csv, or a spreadsheet."
    )


def test_a_text_that_we_wrote_is_read_as_we_wrote_it_row_by_row(tmp_path):
    file = tmp_path / "notes.csv"
    file.write_text("board,note,book_row\nA,'=1+1,2-x\nB,\"two\nlines\",3-x\nC,''so,4-x\n", "utf-8")
    ((found,), problems) = tables_of(file, NAMES)
    assert problems == []
    assert [(number, list(cells)) for number, cells in found.rows] == [
        (1, ["board", "note", "book_row"]),
        (2, ["A", "=1+1", "2-x"]),
        (3, ["B", "two\nlines", "3-x"]),
        (5, ["C", "'so", "4-x"]),
    ]
    file.write_text("board,date,note,book_row\nA,2026-05-04,x,2-x\nB,y\n", "utf-8")  # one that was cut off
    ((found,), (problem,)) = tables_of(file, NAMES)
    assert (len(found.rows), problem.place.row) == (2, 3)
    assert "the row has 2 cells where the header has 4" in problem.wrong


def test_all_rows_of_a_stranger_s_text_are_read_though_its_name_is_one_of_ours(tmp_path):
    file = tmp_path / "hours.csv"
    file.write_text("Tooth;Pain\n" + "".join(f"left {n};much, so\n" for n in range(60)), "utf-8")
    ((found,), _) = tables_of(file, NAMES)
    assert (len(found.rows), list(found.rows[-1][1])) == (61, ["left 59", "much, so"])


def test_a_mark_of_ours_below_a_title_is_seen_and_a_second_one_is_theirs():
    rows = [["My log", "", ""], ["board", "hours", "book_row"], ["A", "2", "2-x"]]
    found = as_ours(FoundTable("May", Place("log.xlsx", "May"), list(enumerate(rows, 1))), NAMES)
    assert found is not None
    assert found.mark == 2
    assert own_name("book_row", NAMES["boards"], []) == "book_row (theirs)"
    assert own_name("Board", NAMES["boards"], ["Board (theirs)"]) == "Board (theirs) 2"


@pytest.mark.parametrize(("most", "read"), [(40, True), (39, False)])
def test_a_file_of_just_so_many_bytes_as_are_read_is_read(tmp_path, monkeypatch, most, read):
    file = tmp_path / "jobs.csv"
    file.write_bytes(b"Job no,Customer\n1,Ann\n2,Bob Reed of Bay\n"[:40])
    assert file.stat().st_size == 40
    monkeypatch.setattr("estimator.log.exchange.files_in.MOST_BYTES", most)
    tables, problems = tables_of(file, NAMES)
    assert (len(tables), len(problems)) == ((1, 0) if read else (0, 1))


def test_a_text_that_begins_with_an_apostrophe_of_its_own_keeps_it(tmp_path):
    file = tmp_path / "notes.csv"
    file.write_text("board,note,book_row\nA,'tis so,2-x\nB,'=1,3-x\n", "utf-8")
    ((found,), _) = tables_of(file, NAMES)
    assert [cells[1] for _, cells in found.rows] == ["note", "'tis so", "=1"]
