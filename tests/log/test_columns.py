"""Names of columns in other spellings, and what is said of those that are none."""

from dataclasses import replace

import pytest

from estimator.log.columns import columns_of, csv_headers, names_of_sheets
from estimator.words.settings.schema import Driver


@pytest.fixture(scope="module")
def names(shop):
    return names_of_sheets(shop)


@pytest.mark.parametrize(
    ("written", "column"),
    [
        ("Board", "board"),
        (" BOARD id", "board"),
        ("finished", "ready"),
        ("Wanted by", "wanted_by"),
        ("wanted-by", "wanted_by"),
        ("Assessed infills", "assessed_infills"),
        ("assessed foam pieces", "assessed_infills"),
        ("Looked like: infills", ""),
        ("looked like infills", "assessed_infills"),
        ("Turned out old glass to take off", "found_glass_stripped"),
        ("asked for since logos", "later_logos"),
        ("asked later logos", "later_logos"),
        ("found wetness", "found_wetness"),
        ("found redo", "found_redo"),
        ("infills", ""),
    ],
)
def test_a_column_is_known_in_other_spellings(names, written, column):
    assert names["boards"].find(written) == column


def test_every_column_of_the_log_is_known_by_its_own_name(names, shop):
    for file, columns in csv_headers(shop).items():
        sheet = file.removesuffix(".csv")
        assert columns_of(columns, names[sheet]) == ({name: at for at, name in enumerate(columns)}, [])
        assert len(columns) >= 3


def test_an_unknown_name_is_said_with_the_nearest(names):
    header = ["board", "lenght", "infills", "xyzzy", "", "Finished", "ready"]
    places, troubles = columns_of(header, names["boards"])
    assert places == {"board": 0, "ready": 5}
    assert troubles == [
        (
            1,
            "boards has no column of this name, and it is not read",
            "The nearest is length: rename it, or take it out.",
        ),
        (
            2,
            "this name does not say whether as judged before work or as it turned out",
            "Name it assessed_infills or found_infills.",
        ),
        (3, "boards has no column of this name, and it is not read", "Rename it, or take it out."),
        (6, "two columns are read as ready, and only the first counts", "Take one of them out."),
    ]


@pytest.mark.parametrize(
    "name", ["glass", "assessed_glass", "strip hours", "price", "wax", "paint", "later_wit"]
)
def test_a_stranger_s_column_is_never_told_to_be_one_that_means_something_else(shop, name):
    cure = names_of_sheets(replace(shop, drivers={"gloss": Driver("gloss")}))["boards"].unknown(name)[1]
    assert cure == "Rename it, or take it out."


@pytest.mark.parametrize(
    ("slip", "meant"), [("lenght", "length"), ("acepted", "accepted"), ("assessed_glos", "assessed_gloss")]
)
def test_a_slip_of_the_pen_is_told_what_was_meant(shop, slip, meant):
    cure = names_of_sheets(replace(shop, drivers={"gloss": Driver("gloss")}))["boards"].unknown(slip)[1]
    assert cure == f"The nearest is {meant}: rename it, or take it out."


def test_a_column_of_our_own_is_passed_over_and_the_very_nearest_name_is_offered(shop):
    boards = names_of_sheets(replace(shop, drivers={"gloss": Driver("gloss")}))["boards"]
    assert columns_of(["Board", "book_row", "note"], boards) == ({"board": 0, "note": 2}, [])
    assert boards.unknown("guess_hihg")[1] == "The nearest is guess_high: rename it, or take it out."
    assert boards.unknown("promised_irst")[1] == "The nearest is promised_first: rename it, or take it out."
    assert boards.unknown("found_glos")[1] == "The nearest is found_gloss: rename it, or take it out."


@pytest.mark.parametrize(
    ("sheet", "header", "columns"),
    [
        ("boards", "id notes finished", "board note ready"),
        ("hours", "day notes board_id stage", "date note board stage"),
        ("hours", "from until", "date until"),
        ("told", "board_id day low high", "board date hours_low hours_high"),
        ("waits", "board_id first last cause notes", "board from until for note"),
        ("notes", "board_id day text picture", "board date note photo"),
        ("notes", "notes", "note"),
        ("money", "day for board notes", "date what boards note"),
        ("money", "board_id", "boards"),
    ],
)
def test_what_else_may_stand_above_a_column(names, sheet, header, columns):
    assert [names[sheet].find(name) for name in header.split()] == columns.split()


def test_a_quantity_on_another_sheet_is_a_strange_name_there_and_of_two_notes_the_first_counts(names):
    assert names["hours"].unknown("infills")[0] == "hours has no column of this name, and it is not read"
    assert columns_of(["note", "board", "Notes"], names["boards"])[0] == {"note": 0, "board": 1}
