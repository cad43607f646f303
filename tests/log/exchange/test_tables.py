"""The table in somebody's sheet: its header, its rows, and the rows that only sum up or head others."""

import pytest
from making.strangers import SETTINGS

from estimator.log.exchange.files_in import FoundTable
from estimator.log.exchange.strangers import ColumnWords, table_in, with_unit
from estimator.log.exchange.usual_words import a_sum, unit_in
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

WORDS = ColumnWords(parse_settings(SETTINGS)[0])
HEAD = ["Job no", "Nickname", "Charged", "Hours"]


def table(*rows, csv=False, first=1):
    place = Place("jobs.csv") if csv else Place("jobs.xlsx", "Jobs")
    numbered = [(n, row) for n, row in enumerate(rows, first) if any(cell != "" for cell in row)]
    return table_in(FoundTable("Jobs", place, numbered), WORDS)


@pytest.mark.parametrize(
    ("last", "sums"),
    [
        (["", "", 30.0, 7.0], (4,)),
        (["", "", 30.0, ""], (4,)),
        (["", "", "30,00", 7], (4,)),
        (["", "", 30.1, ""], (4,)),  # to the nearest half of a hundredth
        (["", "", 30.2, ""], ()),
        (["", "", 30.0, 8], ()),
        (["", "", -30.0, ""], ()),
        (["", "red", 30.0, 7], ()),
        (["", "", 0, ""], ()),
        (["Total", "", 99, 99], (4,)),
        (["", "Grand total:", 99, 99], (4,)),
        (["", "total rebuild", 99, 99], ()),
        ([101, "", "", ""], ()),
    ],
)
def test_a_last_row_that_is_the_sum_of_those_above_is_no_board(last, sums):
    of = table(HEAD, ["A", "red", 10, 3], ["B", "tan", 20, 4], last)
    assert of.sums == sums
    assert [n for n, _ in of.rows] == [n for n in (2, 3, 4) if n not in sums]


def test_two_rows_are_needed_to_be_summed_up_and_sums_may_stand_below_each_other():
    assert table(HEAD, ["A", "red", 10, 3], ["", "", 10, 3]).sums == ()
    of = table(HEAD, ["A", "red", 10, 3], ["B", "tan", 20, 4], ["", "", "", 7], ["", "", 30, ""])
    assert (of.sums, [n for n, _ in of.rows]) == ((4, 5), [2, 3])


@pytest.mark.parametrize(
    ("row", "heading"),
    [
        (["2024", "", "", ""], True),
        ([2024, "", "", ""], True),
        (["", "March 2024", "", ""], True),
        (["Q3", "", "", ""], True),
        (["Week 12", "", "", ""], True),
        (["101", "", "", ""], False),
        (["", "red", "", ""], False),
        (["2024", "red", "", ""], False),
    ],
)
def test_a_year_or_a_month_alone_heads_others(row, heading):
    of = table(HEAD, ["A", "red", 10, 3], row, ["B", "tan", 20, 4])
    assert of.headings == ((3,) if heading else ())
    assert len(of.rows) == (2 if heading else 3)


def test_in_a_sheet_of_two_columns_a_year_alone_is_a_row():
    assert table(["Job no", "Nickname"], ["A", "red"], ["2024", ""]).headings == ()


@pytest.mark.parametrize(
    ("rows", "number"),
    [
        ([HEAD, ["A", "red", 10, 3]], 1),
        ([["My boards", "", "", ""], ["printed", "in May", "", ""], HEAD, ["A", "red", 10, 3]], 3),
        ([["Ann", "Bea", "Cid", "Dot"], HEAD, ["A", "red", 10, 3]], 2),
        ([["red", "tan", 3, 4], ["blue", "egg", 5, 6]], None),
        ([["A", "red", 10, 3], HEAD], None),  # nothing stands below it
        ([["Nickname", "", "", ""], ["red", "", "", ""]], None),  # one column is no table
        ([HEAD, ["A", "red", "x", "y"], HEAD, ["B", "tan", 5, 6]], 1),
        ([["", "", "", ""]] * 19 + [HEAD, ["A", "red", 10, 3]], 20),
    ],
)
def test_the_header_is_the_row_of_the_best_known_names(rows, number):
    of = table(*rows)
    assert (of.header_row if of else None) == number


def test_a_header_is_looked_for_in_the_first_rows_alone():
    above = [["x", "y", 1, 2]] * 21
    assert table(*above, HEAD, ["A", "red", 10, 3]) is None
    assert table(*above[:5], HEAD, ["A", "red", 10, 3]).header_row == 6


def test_the_header_once_more_is_no_row_and_columns_of_one_name_are_told_apart():
    of = table([*HEAD, "Hours", ""], ["A", "red", 10, 3, 4, "x"], [*HEAD, "Hours"], ["B", "tan", 1, 2, 3])
    assert [n for n, _ in of.rows] == [2, 4]
    assert [column.name for column in of.columns] == [*HEAD, "Hours 2", "column F"]
    assert of.samples(of.columns[0]) == ("A", "B")
    assert (of.gaps(of.columns[5]), of.cells(of.columns[5])) == (1, ["x"])


@pytest.mark.parametrize(
    ("above", "groups"),
    [
        (["", "", "Hours", "", "Logos", ""], [(), (), ("hours",), ("hours",), ("logos",), ("logos",)]),
        (["", "", "Hours", "", "", ""], [()] * 6),  # a title, which is of all
    ],
)
def test_words_above_several_columns_are_of_those_up_to_the_next(above, groups):
    of = table(above, ["No", "Surfboard", "Look", "Gloss coat", "Expected", "Found"], [1, "log", 1, 4, 2, 3])
    assert [column.group for column in of.columns] == groups


def test_a_row_of_a_text_that_is_wider_than_its_header_is_said_but_not_its_empty_cells():
    rows = (HEAD, ["A", "red", "1", "234.50", "3"], ["B", "tan", "2", "3", "", ""])
    assert [(p.place.row, p.wrong) for p in table(*rows, csv=True).problems] == [
        (2, "the row has 5 cells where the header has 4")
    ]
    assert table(*rows).problems == ()  # a spreadsheet parts its cells itself


@pytest.mark.parametrize(
    ("cell", "unit", "kind", "taken"),
    [
        (9.5, "ft", "length", "9.5 ft"),
        ("22½", "in", "width", "22½ in"),
        ("6 - 8", "days", "hours_range", "6 - 8 days"),
        ("-", "h", "hours", "-"),
        ("", "h", "hours", ""),
        ("9'6", "ft", "length", "9'6"),
        ("3 days", "h", "hours", "3 days"),
        (5, "", "hours", 5),
        (5, "h", "own_money", 5),
        (5, "h", "date", 5),
        (5, "h", "money", 5),
        (5, "h", "odds", 5),
        (True, "h", "hours", True),
        (2, "", "", 2),
        (2, "m2", "", "2 m2"),
    ],
)
def test_a_bare_number_has_the_unit_of_its_header(cell, unit, kind, taken):
    assert with_unit(cell, unit, kind) == taken


@pytest.mark.parametrize(
    ("sheet", "target", "cells", "unit", "fits"),
    [
        ("boards", "length", [9.5, "9'6"], "", True),
        ("boards", "length", ["much"], "", False),
        ("boards", "length", [3, 13], "", True),
        ("boards", "length", ["9'6"], "kg", False),
        ("boards", "price_charged", ["1.234"], "", True),
        ("boards", "price_charged", ["so much"], "", False),
        ("boards", "started", ["03/04/2024", "25/04/2024", "04/25/2024"], "", True),
        ("boards", "started", ["soon"], "", False),
        ("boards", "assessed_infills", ["2", "?"], "", True),
        ("boards", "found_wetness", ["damp"], "", True),
        ("boards", "found_wetness", ["purple"], "", False),
        ("boards", "hours strip", ["2:30"], "", True),
        ("boards", "hours strip", ["much"], "", False),
        ("boards", "called", [7, "red"], "", True),
        ("boards", "called", [True], "", False),
        ("hours", "stage", ["Sanding", "strip"], "", True),
        ("hours", "stage", ["surfing"], "", False),
        ("boards", "total_hours", [1] * 9 + ["x"], "", True),  # nine in ten
        ("boards", "total_hours", [1] * 8 + ["x"], "", False),
        ("boards", "total_hours", [], "", True),
    ],
)
def test_a_column_fits_where_nearly_all_of_it_reads(sheet, target, cells, unit, fits):
    assert WORDS.fits(sheet, target, cells, unit) is fits


@pytest.mark.parametrize(
    ("heading", "bare"),
    [
        ("Weight (lbs.)", ("Weight", "lb")),
        ("Area [sq. ft]", ("Area", "ft2")),
        ("Width in cm", ("Width", "cm")),
        ("Strip hrs", ("Strip", "h")),
        ("Strip - min", ("Strip", "min")),
        ("Hours sanding", ("sanding", "h")),
        ("Hours", ("Hours", "")),
        ("Hrs", ("Hrs", "")),
        ("Start day", ("Start day", "")),
        ("Came in", ("Came in", "")),
        ("Price (mk)", ("Price (mk)", "")),
        ("Length(m)", ("Length", "m")),
        ("Admin", ("Admin", "")),
    ],
)
def test_the_unit_in_a_heading(heading, bare):
    assert unit_in(heading) == bare


@pytest.mark.parametrize(
    ("cells", "sums"),
    [
        (["Totals"], True), (["Total hours", 3], True), (["", "Average"], True), ([3, "Sum"], True),
        (["total of the boards"], False), (["Total rebuild"], False), (["hours"], False), ([], False), ([3], False),
    ],
)  # fmt: skip
def test_the_first_words_of_a_row_say_that_it_sums_up(cells, sums):
    assert a_sum(cells) is sums


@pytest.mark.parametrize(
    ("rows", "number"),
    [
        # six words that are none of ours, and three of which two are
        ([["Ann", "Bea", "Cid", "Dot", "Eve", "Flo"], ["Job no", "Nickname", "Shelf"], ["A", "red", "left"]], 2),
        ([["so"] * 6, ["Shelf", "Rack", "Glass"], ["left", "x", "y"]], 2),  # one word six times
        ([["My boards"], *[[""]] * 19, HEAD, ["A", "red", 10, 3]], 21),
        ([["My boards"], *[[""]] * 20, HEAD, ["A", "red", 10, 3]], None),  # too far below the first
        ([[*HEAD, 2024], ["A", "red", 10, 3, 1]], 1),  # four texts in five
        ([[*HEAD[:3], 2023, 2024], [1, 2, 3, 4, 5]], None),
    ],
)  # fmt: skip
def test_a_header_is_told_by_known_words_by_their_being_different_and_by_standing_near_the_top(rows, number):
    of = table(*rows)
    assert (of.header_row if of else None) == number


def test_words_above_a_blank_row_are_of_no_column_and_samples_are_different_ones():
    head = ["No", "Surfboard", "Look", "Found"]
    of = table(["", "Hours", "", "Logos"], [""], head, [1, "log", 1, 4], [2, "log", 2, 3], [3, "egg", 3, 2], [4, "gun", 4, 2], [5, "fish", 1, 1])  # fmt: skip
    assert [column.group for column in of.columns] == [()] * 4
    assert of.samples(of.columns[1]) == ("log", "egg", "gun")
    assert of.at(4, of.columns[2]) == Place("jobs.xlsx", "Jobs", 4, "C")


def test_of_two_stages_of_one_word_the_first_is_meant():
    text = SETTINGS.replace("[stages.polish]", '[stages.polish]\n[stages.buff]\nlabel = "Sand it"')
    words = ColumnWords(parse_settings(text)[0])
    assert (words.stage("sand it"), words.stage("Sanding"), words.stage("surfing")) == (
        "sand it",
        "sand",
        "surfing",
    )
    assert list(words.stages.values()).count("sand") == 2
    assert list(words.stages.values()).count("buff") == 1
