"""Places are data, and come out as the texts that messages have always had."""

import re

from hypothesis import given
from hypothesis import strategies as st

from estimator.log.tables import letters
from estimator.words.problems import NOWHERE, Place, Problem, in_order

ROW = re.compile(
    r"(?P<source>[^,]+)(?:, sheet (?P<sheet>[^,]+))?"
    r"(?:, (?:(?:line|row) (?P<row>\d+)|cell (?P<letters>[A-Z]+)(?P<cell>\d+)))?(?:, (?P<column>[^,]+))?"
)
SHEETS = ["boards", "hours", "Told", "waits ", "weights"]
csv_places = st.builds(
    Place,
    st.sampled_from(["boards.csv", "Hours.CSV", "told.csv"]),
    row=st.integers(1, 30_000),
    column=st.sampled_from(["", "board", "found_infills", "length"]),
)
spreadsheet_places = st.builds(
    Place,
    st.sampled_from(["log.xlsx", "log.ods"]),
    sheet=st.sampled_from(SHEETS),
    row=st.integers(1, 30_000),
    column=st.just("") | st.integers(0, 900).map(letters),
)
whole = st.builds(Place, st.sampled_from(["boards.csv", "log.xlsx"])) | spreadsheet_places.map(
    lambda place: place.whole_sheet
)
places = csv_places | spreadsheet_places | whole


def read_again(text):
    """The place that a text names: the way back, which the program itself never goes."""
    found = ROW.fullmatch(text)
    return Place(
        found["source"],
        found["sheet"] or "",
        int(found["row"] or found["cell"] or 0),
        found["letters"] or found["column"] or "",
    )


@given(places)
def test_a_place_in_words_names_that_place_and_no_other(place):
    assert read_again(str(place)) == place


@given(places)
def test_a_row_and_its_sheet_are_found_from_any_of_its_cells(place):
    assert place.whole_row == Place(place.source, place.sheet, place.row)
    assert place.whole_sheet == Place(place.source, place.sheet)
    if place.row and not place.column:
        assert f"{place.whole_sheet}, {place.in_short}" == str(place)


def test_places_as_they_have_always_been_said():
    said = {
        Place("boards.csv"): "boards.csv",
        Place("boards.csv", row=12): "boards.csv, line 12",
        Place("boards.csv", row=12, column="length"): "boards.csv, line 12, length",
        Place("log.ods", "Boards"): "log.ods, sheet Boards",
        Place("log.ods", "Boards", 12): "log.ods, sheet Boards, row 12",
        Place("log.ods", "Boards", 12, "AB"): "log.ods, sheet Boards, cell AB12",
        Place("workshop.toml", row=5): "workshop.toml, line 5",
        Place(
            "workshop.toml", path=("[bench]", "away", "number 1")
        ): "workshop.toml, [bench], away, number 1",
        Place("book.sqlite", "hours", 41): "book.sqlite, sheet hours, row 41",
        Place("book.sqlite", "hours", 41, "stage"): "book.sqlite, sheet hours, row 41, stage",
        NOWHERE: "",
    }
    assert {place: str(place) for place in said} == said


def natural(text):
    """Texts with their numbers as numbers: how problems were sorted while their places were texts."""
    return [(1, int(p), "") if p.isdecimal() else (0, 0, p) for p in re.split(r"(\d+)", text)]


@given(st.lists(places, max_size=30))
def test_problems_are_in_the_order_of_the_words_with_numbers_as_numbers(some):
    problems = [Problem(place, "", "wrong", "") for place in some]
    ordered = [problem.where for problem in in_order(problems)]
    assert ordered == sorted(set(map(str, some)), key=natural)


def test_sections_of_settings_are_in_the_order_of_their_words():
    at = [("[bench]",), ("[bench]", "away"), ("[bench]", "away", "number 2"), ("[bench]", "away", "number 10"),
          ("[[rules]] number 9",), ("[[rules]] number 10", "low"), ('rule "a"',), ('rule "a 2"', "odds"), ("rules",)]  # fmt: skip
    problems = [Problem(Place("workshop.toml", path=path), "", "", "") for path in at]
    ordered = [problem.where for problem in in_order(reversed(problems))]
    assert ordered == sorted(ordered, key=natural)
    assert len(ordered) == len(at)


def test_of_one_place_problems_are_in_order_of_what_is_wrong_and_then_of_what_was_found():
    place = Place("boards.csv", row=3)
    one, two, three = (
        Problem(place, found, wrong, "") for found, wrong in (("z", "a"), ("y", "b"), ("z", "b"))
    )
    assert in_order([three, two, one, two]) == (one, two, three)


def test_in_a_spreadsheet_the_cells_of_a_column_come_one_below_the_other_and_whole_rows_last():
    def at(row=0, column=""):
        return Problem(Place("log.xlsx", "hours", row, column), "", "", "")

    ordered = [at(), at(2, "A"), at(10, "A"), at(3, "B"), at(1), at(12)]
    assert list(in_order(reversed(ordered))) == ordered
