"""A diary's boxes: what is written of a board goes into its row, and what is not sure is asked."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.notebooks import SETTINGS, TODAY

from estimator.log.columns import csv_headers, names_of_sheets
from estimator.log.csv_tables import with_row
from estimator.log.notebook.diary import DiaryReader
from estimator.log.reading import read_log
from estimator.log.store import FileStore

READER = DiaryReader(SETTINGS, TODAY)
# invented boards; what each box means, by column
BOXES = {
    "9'6 strip + 2 col, about 9 days, 12 March 2024 to 3 May 2024, 1200": {
        "length": "9'6", "found_spray_colours": "2", "total_hours": "about 9 days", "started": "2024-03-12", "ready": "2024-05-03",
        "price_charged": "1200",
    },
    "Hal's red 9'6, full resto, strip both sides + 2 col, let in 4, March to May, 9 days, £1200": {
        "owner": "Hal", "called": "red 9'6", "length": "9'6", "kind": "major", "found_sides_stripped": "2", "found_spray_colours": "2",
        "found_infills": "4", "ready": "2024-05-31", "total_hours": "9 days", "price_charged": "1200",
    },
    "blue 7'9 full restoration, soaked, 3 colours, 1 logo, start 4 March, ready 20 May, about 70 hours, 1,450": {
        "called": "blue 7'9", "length": "7'9", "kind": "major", "found_wetness": "soaked", "found_spray_colours": "3", "found_logos": "1",
        "started": "2024-03-04", "ready": "2024-05-20", "total_hours": "about 70 hours", "price_charged": "1450",
    },
    "club board 8 ft 6 ding repair, 2 1/2 days, paid 180": {
        "called": "club board 8 ft 6", "length": "8 ft 6", "kind": "minor", "total_hours": "2 1/2 days", "price_charged": "180"
    },
    "old gun 10'2, strip, 2½ wks, 2024-04-02": {
        "called": "old gun 10'2", "length": "10'2", "total_hours": "2 1/2 wks", "ready": "2024-04-02"
    },
    "green fish 5'10, repair 6 h": {"called": "green fish 5'10", "length": "5'10", "kind": "minor", "total_hours": "6 h"},
    "red six-two, dings, 4h, July": {
        "called": "red six-two", "length": "6'2", "kind": "minor", "total_hours": "4h", "ready": "2024-07-31"
    },
    "red 9'6, strip 1 side, 3 fins made, 5½ days, 2024-03-04 - 2024-04-02, 1,100.50": {
        "called": "red 9'6", "length": "9'6", "found_sides_stripped": "1", "total_hours": "5 1/2 days", "started": "2024-03-04",
        "ready": "2024-04-02", "price_charged": "1100.50",
    },
    "plum gun 9 ft 6 in, resto, nose block, two logos, 12 days, ready by 4 May, 1900": {
        "called": "plum gun 9 ft 6 in", "length": "9 ft 6 in", "kind": "major", "found_logos": "2", "total_hours": "12 days",
        "ready": "2024-05-04", "price_charged": "1900",
    },
    "teal 6-10, bottom redone, let in 3 pcs, 38 h, 760": {
        "called": "teal 6-10", "length": "6-10", "kind": "partial", "found_infills": "3", "total_hours": "38 h", "price_charged": "760"
    },
    "290 cm, one side redone, damp, 6 days, charged 900": {
        "length": "290 cm", "kind": "partial", "found_wetness": "damp", "total_hours": "6 days", "price_charged": "900"
    },
    "about 70, £1500, 9'1 full": {"length": "9'1", "kind": "major", "total_hours": "about 70", "price_charged": "1500"},
}  # fmt: skip


@pytest.mark.parametrize("text", BOXES)
def test_a_box_is_read_as_it_is_meant(text):
    box = READER.read(text, year=2024)
    assert box.doubts == ()
    note = box.cells.get("note", "")
    assert {**box.cells, "note": note} == {**BOXES[text], "state": "finished", "note": note}


@pytest.mark.parametrize(
    ("text", "asked", "answer", "column", "value"),
    [
        ("teal egg 6-10, 70, 1200", "“70”: are those hours, or a price?", "total_hours", "total_hours", "70"),
        ("old gun 10'2, 9 days, Mar 24", "“Mar 24”: which of the two is it?", "2024-03", "ready", "2024-03-31"),
        ("gun 10'2, 9 days, 03/04/2024", "“03/04/2024” can be two days. Which one is it?", "2024-04-03", "ready", "2024-04-03"),
        ("9'6, 4 days, 6 days, 300", "Several times: how long was it in all?", "6 days", "total_hours", "6 days"),
    ],
)  # fmt: skip
def test_what_is_not_sure_is_asked(text, asked, answer, column, value):
    first = READER.read(text, year=2024)
    assert first.doubts[0].question == asked
    assert column not in first.cells
    answers = {first.doubts[0].key: answer}
    assert READER.read(text, year=2024, answers=answers).cells[column] == value


@pytest.mark.parametrize("text", BOXES)
def test_the_row_is_read_from_a_log_without_a_problem(text, tmp_path):
    box = READER.read(text, year=2024)
    header = ",".join(csv_headers(SETTINGS)["boards.csv"]).encode() + b"\n"
    data = with_row(header, names_of_sheets(SETTINGS)["boards"], "boards.csv", box.cells)
    (tmp_path / "boards.csv").write_bytes(data)
    log, problems, _ = read_log(*FileStore(tmp_path, SETTINGS).read(), SETTINGS, today=TODAY)
    assert problems == ()
    (board,) = log.boards
    assert board.total_hours is not None
    a_day = SETTINGS.workshop.hours_in_a_day
    assert board.total_grain == {"12 days": a_day, "9 days": a_day, "2 1/2 days": a_day / 2, "4h": None}.get(
        box.cells["total_hours"], board.total_grain
    )


WORDS = [word for text in BOXES for word in re.findall(r"\S+", text)]


@settings(deadline=None, max_examples=300)
@given(st.lists(st.one_of(st.sampled_from(WORDS), st.text(max_size=5)), max_size=20))
def test_nothing_typed_is_lost(words):
    box = READER.read(" ".join(words), year=2024)
    for piece in box.pieces:
        typed = box.text[slice(*piece.span)]
        if piece.role == "note":
            assert " ".join(typed.split()) in box.cells.get("note", ""), typed
        elif piece.role == "between":
            assert not any(c.isalnum() for c in typed) or typed.casefold() in {
                "to",
                "and",
                "then",
                "until",
                "till",
            }
        elif piece.role != "when":
            told = piece.role in box.cells or any(d.span[0] <= piece.span[0] < d.span[1] for d in box.doubts)
            assert told, (typed, piece.role)
    kept = "".join(box.text[slice(*piece.span)] for piece in box.pieces)
    assert [c for c in kept if not c.isspace()] == [c for c in box.text if not c.isspace()]


@pytest.mark.parametrize(
    ("text", "ready"),
    [
        ("club board 8 ft 6 ding repair, March 2023, 6 h", "2023-03-31"),
        ("club board 8 ft 6 ding repair, March, 6 h", "2024-03-31"),
        ("club board 8 ft 6 ding repair, Feb 2024, 6 h", "2024-02-29"),
    ],
)
def test_a_month_is_of_the_year_that_stands_behind_it_else_of_the_year_of_the_page(text, ready):
    assert READER.read(text, year=2024).cells["ready"] == ready


MINE = DiaryReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, currency="mk")), TODAY)
ALMOST = {  # typed of a diary of 2025, and what its row has beside the state
    "nine-six strip, 4 days, 300": {"length": "9'6", "total_hours": "4 days", "price_charged": "300", "note": "strip"},
    "9'6, strip both sides, 9 days, 1200 mk": {
        "length": "9'6", "found_sides_stripped": "2", "total_hours": "9 days", "price_charged": "1200", "note": "strip",
    },
    "gun 10'2, 9 days, 100": {"length": "10'2", "called": "gun 10'2", "total_hours": "9 days", "price_charged": "100"},
    "gun 10'2, 9 days, £90": {"length": "10'2", "called": "gun 10'2", "total_hours": "9 days", "price_charged": "90"},
    "club ding, May, 6 h": {"called": "club", "kind": "minor", "total_hours": "6 h", "ready": "2025-05-31", "note": "May"},
    "club ding, may be soft, 6 h": {"called": "club", "kind": "minor", "total_hours": "6 h", "note": "may be soft"},
    "club ding, started 4 March, ready 20 May, collected 1 June, 6 h": {
        "called": "club", "kind": "minor", "total_hours": "6 h", "started": "2025-03-04", "ready": "2025-05-20",
        "collected": "2025-06-01",
    },
    "club ding, 4 March, 20 May, 1 June, 6 h": {
        "called": "club", "kind": "minor", "total_hours": "6 h", "started": "2025-03-04", "ready": "2025-05-20",
        "collected": "2025-06-01",
    },
    "club ding, March to 20 May, 6 h": {
        "called": "club", "kind": "minor", "total_hours": "6 h", "ready": "2025-05-20", "note": "March",
    },
    "club ding, asked 4 March, 6 h": {"called": "club", "kind": "minor", "total_hours": "6 h", "asked": "2025-03-04"},
    "club ding, 20 December, 6 h": {"called": "club", "kind": "minor", "total_hours": "6 h", "ready": "2025-12-20"},
    "9'6 sanded one side, 5 days": {"length": "9'6", "total_hours": "5 days", "note": "sanded one side"},
    "9'6 full, 3 fins, 5 days, took 900": {
        "length": "9'6", "kind": "major", "total_hours": "5 days", "price_charged": "900", "note": "3 fins",
    },
    "9'6 full, damp then soaked, 5 days": {"length": "9'6", "kind": "major", "found_wetness": "damp", "total_hours": "5 days"},
    "9'6 full, not soaked, 5 days": {"length": "9'6", "kind": "major", "total_hours": "5 days", "note": "not soaked"},
    "9'6 full, foam wasn’t too wet, 5 days": {
        "length": "9'6", "kind": "major", "total_hours": "5 days", "note": "foam wasn’t too wet",
    },
    "9'6 full, fin not lost, crisp, plug no, damp, 5 days": {
        "length": "9'6", "kind": "major", "found_brittle_glass": "crisp", "found_wetness": "damp", "total_hours": "5 days",
        "note": "fin not lost, plug no",
    },
    "9'6 full, filler did not hold well crisp, 5 days": {
        "length": "9'6", "kind": "major", "found_brittle_glass": "crisp", "total_hours": "5 days",
        "note": "filler did not hold well",
    },
    "Hal's 9'6 full, 5 days": {"owner": "Hal", "length": "9'6", "kind": "major", "total_hours": "5 days"},
    "9'6 6'2, 5 days": {"length": "9'6", "total_hours": "5 days", "note": "6'2"},
    "blue 7'9 full, 3 May 2024, 70 h, 1.234,50": {
        "called": "blue 7'9", "length": "7'9", "kind": "major", "total_hours": "70 h", "price_charged": "1234.50",
        "ready": "2024-05-03",
    },
    "9'6 full, sound, none lost, 5 days": {"length": "9'6", "kind": "major", "total_hours": "5 days", "note": "sound, none lost"},
    "9'6 full, patched and sanded, glassed, 5 days": {
        "length": "9'6", "kind": "major", "total_hours": "5 days", "note": "patched and sanded, glassed",
    },
    "7'9 let in 12, 3 days": {"length": "7'9", "found_infills": "12", "total_hours": "3 days"},
    "7'9 let in 4 pcs, 2 col, 3 days": {
        "length": "7'9", "found_infills": "4", "found_spray_colours": "2", "total_hours": "3 days",
    },
}  # fmt: skip


@pytest.mark.parametrize("text", ALMOST)
def test_a_box_with_no_more_than_this_is_read_so(text):
    box = MINE.read(text, year=2025)
    assert box.doubts == ()
    expected = {**ALMOST[text], "state": "finished"}
    assert {name: cell for name, cell in box.cells.items() if name != "note" or name in expected} == expected


@pytest.mark.parametrize(
    ("text", "asked", "offered", "unsaid"),
    [
        ("nine-twelve full, 4 days", "“9”: are those hours, or a price?", ["total_hours", "price_charged", "note"], "length"),
        ("gun 10'2, 9 days, 90", "“90”: are those hours, or a price?", ["total_hours", "price_charged", "note"], "price_charged"),
        ("gun 10'2, 70", "“70”: are those hours, or a price?", ["total_hours", "price_charged", "note"], "total_hours"),
        ("9'6, let in 4, let in 2, 9 days", "Foam pieces to let in: how many were they in all?", ["4", "2"], ""),
        ("7'9 let in 4 h, 3 days", "Several times: how long was it in all?", ["4 h", "3 days"], "found_infills"),
        ("7'9 let in 30, 3 days", "“30”: are those hours, or a price?", ["total_hours", "price_charged", "note"], "found_infills"),
        ("7'9 full, 3 days, £300, £400", "Several prices: which was paid?", ["300", "400"], "price_charged"),
        ("club ding, 20 May to 4 March, 6 h", "The days don't follow one another. When was it ready?",
         ["2025-03-04", "2025-05-20"], "ready"),
        ("club ding, 1 July 2026, 6 h", "The days don't follow one another. When was it ready?", [], "ready"),
        ("club ding, 1 May, 2 May, 3 May, 4 May, 6 h", "The days don't follow one another. When was it ready?",
         ["2025-05-01", "2025-05-02", "2025-05-03", "2025-05-04"], "ready"),
        ("fun board, no hours", "I can't make a board of this. What is it?", [], "kind"),
    ],
)  # fmt: skip
def test_what_a_box_does_not_say_for_sure_is_asked_and_not_written(text, asked, offered, unsaid):
    """A day to come whose year is written is no day of the year before."""
    box = MINE.read(text, year=2025)
    assert box.doubts[0].question == asked
    assert [choice.value for choice in box.doubts[0].choices] == [*offered, "leave"]
    assert unsaid not in box.cells


@pytest.mark.parametrize(
    ("text", "answer", "cells"),
    [
        ("gun 10'2, 9 days, 90", "price_charged", {"price_charged": "90", "total_hours": "9 days"}),
        ("gun 10'2, 70", "total_hours", {"total_hours": "70", "price_charged": None}),
        ("gun 10'2, 9 days, 90", "note", {"note": "90", "price_charged": None}),
        ("gun 10'2, 9 days, 90", "leave", {"price_charged": None, "total_hours": "9 days"}),
        ("gun 10'2, 9 days, Mar 24", "2024-03-24", {"ready": "2025-03-24"}),
        ("9'6, let in 4, let in 2, 9 days", "6", {"found_infills": "6"}),
        ("9'6, let in 4, let in 2, 9 days", "leave", {"found_infills": "4"}),
        ("club ding, 20 May to 4 March, 6 h", "2025-05-20", {"ready": "2025-05-20", "started": None}),
    ],
)
def test_what_is_answered_goes_where_it_belongs(text, answer, cells):
    key = MINE.read(text, year=2025).doubts[0].key
    box = MINE.read(text, year=2025, answers={key: answer})
    assert {name: box.cells.get(name) for name in cells} == cells


def test_a_day_to_come_without_its_year_is_of_the_year_before():
    """Typed on 12 June 2026, of a diary of this year."""
    assert MINE.read("club ding, 11 June, 6 h", year=2026).cells["ready"] == "2026-06-11"
    assert MINE.read("club ding, 12 June, 6 h", year=2026).cells["ready"] == "2026-06-12"
    assert MINE.read("club ding, 13 June, 6 h", year=2026).cells["ready"] == "2025-06-13"


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("red 9'6, 9 days, ready in March", {"ready": "2024-03-31"}),
        ("red 9'6, 9 days, ready 4 March", {"ready": "2024-03-04"}),
        ("red 9'6, 9 days, ready May, collected 3 June", {"ready": "2024-05-31", "collected": "2024-06-03"}),
    ],
)
def test_a_month_alone_is_its_last_day_and_never_its_first(text, days):
    cells = READER.read(text, year=2024).cells
    assert {name: cells[name] for name in ("ready", "collected") if name in cells} == days
