"""Somebody's cells as ours read them: blanks, feet, days and numbers as was answered; hours beside boards on their days."""

import datetime as dt

import pytest
from making.strangers import SETTINGS

from estimator.log.exchange.files_in import FoundTable
from estimator.log.exchange.strangers import STAGE, ColumnWords, ForeignColumn, replace_dates, table_in
from estimator.log.exchange.translation import as_text, sheets_of, taken_cell
from estimator.log.exchange.understanding import Understood
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

WORDS = ColumnWords(parse_settings(SETTINGS)[0])


def known(header, *rows, ours, sheet="boards", **said):
    """A sheet of which all is clear; ours: what each column is, in their order."""
    found = FoundTable("Jobs", Place("jobs.xlsx", "Jobs"), list(enumerate([header, *rows], 1)))
    table = table_in(found, WORDS)
    return Understood(table, sheet, dict(zip(header, ours, strict=True)), **said)


def one(cell, target, header="x", **said):
    """One cell of a column that is taken for one of ours."""
    of = known([header, "Nickname"], [cell, "red"], ours=[target, "called"], **said)
    canon = replace_dates(WORDS.settings, of.dates)
    return taken_cell(cell, target, of.table.columns[0], of, canon)


@pytest.mark.parametrize(
    ("target", "meant", "kept"),
    [
        ("assessed_infills", "none", "0"),
        ("assessed_infills", "unknown", "?"),
        ("assessed_infills", "", ""),
        ("materials", "none", "0"),
        ("materials", "unknown", ""),
        ("hours strip", "none", "0"),
        ("hours strip", "unknown", ""),
    ],
)
def test_a_blank_is_none_or_not_known_as_was_answered(target, meant, kept):
    assert one("", target, blanks={"x": meant}) == kept
    assert one("", target, blanks={"Nickname": "none"}) == ""  # which was said of another column


@pytest.mark.parametrize(
    ("cell", "said", "kept"),
    [
        (9.6, "feet and inches", "9'6"),
        ("9.6", "feet and inches", "9'6"),
        ("9,6", "feet and inches", "9'6"),
        (9.1, "feet and inches", "9.1"),  # a spreadsheet writes 9.10 so too
        ("9.1", "feet and inches", "9'1"),
        ("9.10", "feet and inches", "9'10"),
        (9, "feet and inches", "9 ft"),
        (9.6, "tenths of a foot", "9.6 ft"),
        ("9,25", "tenths of a foot", "9.25 ft"),
        ("9'6", "tenths of a foot", "9'6"),
        ("long", "feet and inches", "long"),
    ],
)
def test_parts_of_a_foot_are_inches_or_tenths_as_was_answered(cell, said, kept):
    from estimator.words.settings.schema import FEET, TENTHS

    assert (
        one(cell, "length", feet={"x": {"feet and inches": FEET, "tenths of a foot": TENTHS}[said]}) == kept
    )


@pytest.mark.parametrize(
    ("cell", "target", "header", "decimals", "kept"),
    [
        ("1.234", "price_charged", "x", ",", "1234"),
        ("1.234", "price_charged", "x", ".", "1.234"),
        ("1.234", "price_charged", "x", "", "1.234"),
        ("31,5", "total_hours", "x", "", "31.5"),
        ("2", "total_hours", "Hours (days)", "", "2 days"),
        (90.0, "hours strip", "Strip (min)", "", "90 min"),
        (dt.time(2, 30), "total_hours", "x", "", "2.5"),
        (dt.time(2, 30, 36), "total_hours", "x", "", "2.51"),
        (dt.timedelta(hours=30, minutes=15), "hours strip", "x", "", "30.25"),
        (dt.timedelta(hours=30, minutes=30), "guess", "x", "", "30.5"),
        ("1.234,5 of them", "note", "x", ",", "1.234,5 of them"),
        ("0170 1.234", "reach", "x", ",", "0170 1.234"),
        ("4,5 Bird", "owner", "x", ",", "4,5 Bird"),
        ("7,5", "length", "x", ",", "7,5"),
        ("1,5", "leave", "x", "", "1,5"),
        (True, "assessed_logos", "x", "", "yes"),
        (False, "assessed_logos", "x", "", "no"),
        (dt.date(2024, 3, 4), "started", "x", "", "2024-03-04"),
        ("soon", "started", "x", "", "soon"),
    ],
)
def test_a_cell_is_a_text_that_reads_as_it_was_meant(cell, target, header, decimals, kept):
    assert one(cell, target, header, decimals=decimals) == kept


def test_a_day_is_read_as_was_answered():
    assert one("03/04/2024", "started", dates="day-month") == "2024-04-03"
    assert one("03/04/2024", "started", dates="month-day") == "2024-03-04"


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (12.0, "12"),
        (False, "no"),
        (dt.timedelta(hours=3), "3:00:00"),
        (0.1, "0.1"),
        (dt.time(14, 0, 36), "14:00:36"),
        ("  so ", "so"),
        (7, "7"),
    ],
)
def test_what_stands_in_a_cell_as_text(cell, text):
    assert as_text(cell) == text


def beside(days, hours, ours):
    """The days, hours and problem of hours of a stage beside one board; days: by columns of ours."""
    header = ["No", "Nickname", *(f"day {n}" for n in range(len(days))), "Strip hrs"]
    row = [1, "red", *days, hours]
    found, problems = sheets_of(known(header, row, ours=["board", "called", *ours, "hours strip"]), WORDS)
    rows = [
        dict(zip(one.raw.rows[0][1], cells, strict=True))
        for one in found[1:]
        for _, cells in one.raw.rows[1:]
    ]
    return [(r["board"], r["date"], r["until"], r["stage"], r["hours"]) for r in rows], [
        p.wrong for p in problems
    ]


NO_DAY, TOO_MANY = (
    "no day says when these hours were worked",
    "only one day is written, and these hours are more",
)
JAN, FEB = dt.date(2024, 1, 8), dt.date(2024, 2, 2)


@pytest.mark.parametrize(
    ("ours", "days", "hours", "rows", "wrong"),
    [
        (["started", "ready"], [JAN, FEB], 60, [("1", "2024-01-08", "2024-02-02", "strip", "60 h")], []),
        (["ready", "started"], [FEB, JAN], 6, [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["asked", "started", "ready"], [dt.date(2023, 1, 1), JAN, FEB], 6,
         [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["asked", "accepted"], [dt.date(2023, 1, 1), JAN], 6, [("1", "2024-01-08", "", "strip", "6 h")], []),
        (["asked", "quoted"], [dt.date(2023, 1, 1), JAN], 6, [("1", "2024-01-08", "", "strip", "6 h")], []),
        (["accepted", "started", "ready"], [dt.date(2023, 12, 1), JAN, FEB], 6,
         [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["quoted", "accepted", "ready"], [dt.date(2023, 12, 1), JAN, FEB], 6,
         [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["started", "accepted"], ["", JAN], 6, [("1", "2024-01-08", "", "strip", "6 h")], []),
        (["started", "collected", "ready"], [JAN, dt.date(2024, 9, 9), FEB], 6,
         [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["started", "collected"], [JAN, FEB], 6, [("1", "2024-01-08", "2024-02-02", "strip", "6 h")], []),
        (["started", "ready"], [JAN, JAN], 24, [("1", "2024-01-08", "", "strip", "24 h")], []),
        (["started", "ready"], [JAN, JAN], 24.5, [], [TOO_MANY]),
        (["started"], [JAN], 25, [], [TOO_MANY]),
        (["ready"], [FEB], 6, [("1", "2024-02-02", "", "strip", "6 h")], []),
        (["started", "ready"], [JAN, FEB], 0, [("1", "2024-02-02", "", "strip", "0 h")], []),
        (["started", "ready"], ["", ""], 6, [], [NO_DAY]),
        (["started", "ready"], [JAN, FEB], "", [], []),
    ],
)  # fmt: skip
def test_hours_of_a_stage_lie_from_the_day_of_beginning_to_that_of_the_end(ours, days, hours, rows, wrong):
    assert beside(days, hours, ours) == (rows, wrong)


def test_rows_of_which_nothing_is_read_are_none_and_what_is_none_of_ours_keeps_its_name():
    of = known(
        ["No", "Shelf", "Board"], [1, "left", "red"], ["", "", ""], [2, "", ""],
        ours=["board", "leave", "called"],
    )  # fmt: skip
    (boards,), problems = sheets_of(of, WORDS)
    assert [(number, list(cells)) for number, cells in boards.raw.rows] == [
        (1, ["board", "", "called"]), (2, ["1", "left", "red"]), (4, ["2", "", ""]),
    ]  # fmt: skip
    assert (dict(boards.kept), problems, boards.beside) == ({1: "Shelf"}, [], False)


def test_a_stage_in_a_diary_is_the_one_that_its_word_means():
    of = known(
        ["Day", "Job", "What", "Hours"], [JAN, "red", "sanding", 2], [JAN, "red", "surfing", 1], sheet="hours",
        ours=["date", "board", "stage", "hours"],
    )  # fmt: skip
    ((hours,), _) = sheets_of(of, WORDS)
    assert [cells[2] for _, cells in hours.raw.rows[1:]] == ["sand", "surfing"]
    assert STAGE == "hours "


@pytest.mark.parametrize(
    ("unit", "group", "meant"),
    [
        ("", (), ["assessed_infills", "found_infills"]),
        ("", ("looked",), ["assessed_infills"]),
        ("h", (), []),
        ("days", (), []),
        ("", ("hours",), []),
        ("", ("time",), []),
    ],
)
def test_hours_of_infills_are_not_how_many_infills_there_were(unit, group, meant):
    assert (
        WORDS.meant("boards", ForeignColumn(1, "infills", unit, ("infills",), group, named=True))[0] == meant
    )
