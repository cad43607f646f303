"""Which tables of a file are sheets of ours: those with all that each of their rows must have, and nothing strange."""

from dataclasses import replace

import pytest
from making.books import SETTINGS

from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import FoundTable, _without_control, as_ours, tables_of
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
