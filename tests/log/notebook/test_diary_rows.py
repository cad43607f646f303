"""Lines of a diary of 2025, typed on 12 June 2026, each with all that its row has of it, and what is asked instead."""

import datetime as dt
from dataclasses import replace

import pytest
from making.notebooks import SETTINGS, TODAY

from estimator.log.notebook.diary import DiaryReader

READER = DiaryReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, currency="mk")), TODAY)
FULL = {"length": "9'6", "kind": "major"}
ROWS = {
    "7'9, sanded both sides, 3 days": {"length": "7'9", "total_hours": "3 days", "note": "sanded both sides"},
    "7'9, stripped both sides, 3 days": {"length": "7'9", "found_sides_stripped": "2", "total_hours": "3 days", "note": "stripped"},
    "7'9, both sides, 3 days": {"length": "7'9", "found_sides_stripped": "2", "total_hours": "3 days"},
    "four-six full, 5 days": {"length": "4'6", "kind": "major", "total_hours": "5 days"},
    "twelve-eleven full, 5 days": {"length": "12'11", "kind": "major", "total_hours": "5 days"},
    "nine-eleven full, 5 days": {"length": "9'11", "kind": "major", "total_hours": "5 days"},
    "9-6 full, 5 days": {"length": "9-6", "kind": "major", "total_hours": "5 days"},
    "9'6 full, 5 days, €900": {**FULL, "total_hours": "5 days", "price_charged": "900"},
    "9'6 full, 5 days, £red": {**FULL, "total_hours": "5 days", "note": "£red"},
    "9'6 full, 5 days, paid 900": {**FULL, "total_hours": "5 days", "price_charged": "900"},
    "9'6 full, 5 days, charged 900 mk": {**FULL, "total_hours": "5 days", "price_charged": "900", "note": "mk"},
    "9'6 full, 900 mk": {**FULL, "price_charged": "900"},
    "9'6 full, 2:30": {**FULL, "total_hours": "2:30"},
    "9'6 full, about 70": {**FULL, "total_hours": "about 70"},
    "9'6 full, 5 days, 5 days": {**FULL, "total_hours": "5 days"},
    "9'6 full, £300, £300": {**FULL, "price_charged": "300"},
    "9'6 full, two logos, three col, 5 days": {**FULL, "found_logos": "2", "found_spray_colours": "3", "total_hours": "5 days"},
    "9'6 full, twenty one logos, 5 days": {**FULL, "found_logos": "21", "total_hours": "5 days"},
    "9'6 full, 2 fins, 5 days": {**FULL, "total_hours": "5 days", "note": "2 fins"},
    "9'6 full, 29 pcs, 5 days": {**FULL, "found_infills": "29", "total_hours": "5 days"},
    "7'9 let in 29, 3 days": {"length": "7'9", "found_infills": "29", "total_hours": "3 days"},
    "7'9 let in five, 3 days": {"length": "7'9", "found_infills": "5", "total_hours": "3 days"},
    "7'9 let in 4 pcs, let in 4, 3 days": {"length": "7'9", "found_infills": "4", "total_hours": "3 days"},
    "7'9 let in 4 pcs and 3 col, 3 days": {"length": "7'9", "found_infills": "4", "found_spray_colours": "3", "total_hours": "3 days"},
    "9'6 full, dry, 5 days": {**FULL, "found_wetness": "dry", "total_hours": "5 days"},
    "9'6 full, damp, 5 days": {**FULL, "found_wetness": "damp", "total_hours": "5 days"},
    "9'6 full, soaked, 5 days": {**FULL, "found_wetness": "soaked", "total_hours": "5 days"},
    "9'6 full, March 12, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-03-12"},
    "9'6 full, March 27, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-03-27"},
    "9'6 full, 13 March, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-03-13"},
    "9'6 full, March 5, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-03-05"},
    "9'6 full, 13/4/25, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-04-13"},
    "9'6 full, ready May, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-05-31", "note": "May"},
    "9'6 full, ready by 4 May, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-05-04"},
    "9'6 full, ready in May, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-05-31", "note": "May"},
    "9'6 full, ready soon 4 May, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-05-04", "note": "ready soon"},
    "9'6 full, started 4 March, 6 April, 5 days": {**FULL, "total_hours": "5 days", "started": "2025-03-04", "ready": "2025-04-06"},
    "9'6 full, ready 6 April, 4 March, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-04-06"},
    "9'6 full, collected 6 April, 5 days": {**FULL, "total_hours": "5 days", "collected": "2025-04-06"},
    "9'6 full, march, 5 days": {**FULL, "total_hours": "5 days", "note": "march"},
    "9'6 full, may, 5 days": {**FULL, "total_hours": "5 days", "note": "may"},
    "9'6 full, may 2024, 5 days": {**FULL, "total_hours": "5 days", "ready": "2024-05-31", "note": "may 2024"},
    "9'6 full, March 1999, 5 days": {**FULL, "total_hours": "5 days", "ready": "1999-03-31", "note": "March 1999"},
    "9'6 full, 4 March, April, 5 days": {**FULL, "total_hours": "5 days", "started": "2025-03-04", "ready": "2025-04-30", "note": "April"},
    "9'6 full, Feb, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-02-28", "note": "Feb"},
    "Hal's, full, 5 days": {"kind": "major", "total_hours": "5 days", "called": "Hal's"},
    "Hal's red gun, full, 5 days": {"kind": "major", "total_hours": "5 days", "owner": "Hal", "called": "red gun"},
    "Hal's red gun 9'6 strip, 5 days": {"length": "9'6", "total_hours": "5 days", "owner": "Hal", "called": "red gun 9'6", "note": "strip"},
    "the red gun that Hal found, full, 5 days": {"kind": "major", "total_hours": "5 days", "called": "the red gun that Hal found"},
    "the red gun that Hal found here, full, 5 days": {"kind": "major", "total_hours": "5 days", "note": "the red gun that Hal found here"},
    "9'6 red gun, full, 5 days": {**FULL, "total_hours": "5 days", "note": "red gun"},
    "red 9'6 gun, full, 5 days": {**FULL, "total_hours": "5 days", "called": "red 9'6", "note": "gun"},
    "full, red gun, 5 days": {"kind": "major", "total_hours": "5 days", "note": "red gun"},
    "full": {"kind": "major"},
    "9'6": {"length": "9'6"},
    "5 days": {"total_hours": "5 days"},
    "£300": {"price_charged": "300"},
    "9'6 full, 5 days, 1 box": {**FULL, "total_hours": "5 days", "note": "1 box"},
    "9'6 full, 5 days, 3 coats": {**FULL, "total_hours": "5 days", "note": "3 coats"},
    "9'6 full resto partial, 5 days": {**FULL, "total_hours": "5 days", "note": "partial"},
    "9'6 full, ready: 4 May, 5 days": {**FULL, "total_hours": "5 days", "ready": "2025-05-04"},
    "9'6 full, 3½, £900": {**FULL, "total_hours": "3 1/2", "price_charged": "900"},
    "9'6 full, Sept 2024, 5 days": {**FULL, "total_hours": "5 days", "ready": "2024-09-30", "note": "Sept 2024"},
    "9'6 full, new fin / loose tail, 5 days": {**FULL, "total_hours": "5 days", "note": "new fin, loose tail"},
    "the old red gun that Hal found, full, 5 days": {"kind": "major", "total_hours": "5 days", "called": "the old red gun that Hal found"},
    "the old red guns that Hal found, full, 5 days": {"kind": "major", "total_hours": "5 days", "note": "the old red guns that Hal found"},
}  # fmt: skip
ASKED = {  # with what is asked about, and the answers offered
    "9'6 full, sides stripped 3, 5 days": ({**FULL, "total_hours": "5 days", "note": "sides stripped"}, [("3", "total_hours", "price_charged", "note")]),
    "three-six full, 5 days": ({"kind": "major", "total_hours": "5 days"}, [("three", "total_hours", "price_charged", "note"), ("six", "total_hours", "price_charged", "note")]),
    "thirteen-one full, 5 days": ({"kind": "major", "total_hours": "5 days"}, [("thirteen", "total_hours", "price_charged", "note"), ("one", "total_hours", "price_charged", "note")]),
    "nine -six full, 5 days": ({"kind": "major", "total_hours": "5 days"}, [("nine", "total_hours", "price_charged", "note"), ("six", "total_hours", "price_charged", "note")]),
    "nine- six full, 5 days": ({"kind": "major", "total_hours": "5 days"}, [("nine", "total_hours", "price_charged", "note"), ("six", "total_hours", "price_charged", "note")]),
    "9-6, 8-2 full, 5 days": ({"length": "9-6", "kind": "major", "total_hours": "5 days"}, [("8", "total_hours", "price_charged", "note"), ("2", "total_hours", "price_charged", "note")]),
    "12-6 full, 5 days": ({"kind": "major", "total_hours": "5 days"}, [("12", "total_hours", "price_charged", "note"), ("6", "total_hours", "price_charged", "note")]),
    "9'6 full, 5 days, paid 5 h": ({**FULL, "note": "paid"}, [("5 days, paid 5 h", "5 days", "5 h")]),
    "9'6 full, 5 days, 99": ({**FULL, "total_hours": "5 days"}, [("99", "total_hours", "price_charged", "note")]),
    "9'6 full, 5 days, 2:30": (FULL, [("5 days, 2:30", "5 days", "2:30")]),
    "9'6 full, 70, 900": (FULL, [("70", "total_hours", "price_charged", "note"), ("900", "total_hours", "price_charged", "note")]),
    "9'6 full, 70, 80, 5 days": ({**FULL, "total_hours": "5 days"}, [("70", "total_hours", "price_charged", "note"), ("80", "total_hours", "price_charged", "note")]),
    "9'6 full, 5 days, 6 days": (FULL, [("5 days, 6 days", "5 days", "6 days")]),
    "9'6 full, 5 days, 900, £300": ({**FULL, "total_hours": "5 days", "price_charged": "300"}, [("900", "total_hours", "price_charged", "note")]),
    "7'9 let in 30, 3 days": ({"length": "7'9", "total_hours": "3 days", "note": "let in"}, [("30", "total_hours", "price_charged", "note")]),
    "7'9 sand 4, 3 days": ({"length": "7'9", "total_hours": "3 days", "note": "sand"}, [("4", "total_hours", "price_charged", "note")]),
    "7'9 let in 4½, 3 days": ({"length": "7'9", "total_hours": "3 days", "note": "let in"}, [("4½", "total_hours", "price_charged", "note")]),
    "9'6 full, March 13, 5 days": ({**FULL, "total_hours": "5 days"}, [("March 13", "2013-03", "2025-03-13")]),
    "9'6 full, March 24, 5 days": ({**FULL, "total_hours": "5 days"}, [("March 24", "2024-03", "2025-03-24")]),
    "9'6 full, March 25, 5 days": ({**FULL, "total_hours": "5 days"}, [("March 25", "2025-03", "2025-03-25")]),
    "9'6 full, March 26, 5 days": ({**FULL, "total_hours": "5 days"}, [("March 26", "2026-03", "2025-03-26")]),
    "9'6 full, 7/4/25, 5 days": ({**FULL, "total_hours": "5 days"}, [("7/4/25", "2025-04-07", "2025-07-04")]),
    "9'6 full, May to March, 5 days": ({**FULL, "total_hours": "5 days"}, [("May to March", "2025-03-31", "2025-05-31")]),
    "9'6 full, 1 March, 2 March, 3 March, 4 March": (FULL, [("1 March, 2 March, 3 March, 4 March", "2025-03-01", "2025-03-02", "2025-03-03", "2025-03-04")]),
    "red gun": ({"called": "red gun"}, [("line",)]),
    "six-pack full, 5 days": ({"kind": "major", "total_hours": "5 days", "note": "pack"}, [("six", "total_hours", "price_charged", "note")]),
    "7'9 foam 4, 3 days": ({"length": "7'9", "total_hours": "3 days", "note": "foam"}, [("4", "total_hours", "price_charged", "note")]),
    "9'6 full, 900, 800, 5 days": ({**FULL, "total_hours": "5 days"}, [("900", "total_hours", "price_charged", "note"), ("800", "total_hours", "price_charged", "note")]),
    "9'6 full, 3 logos, 2 logos, 5 days": ({**FULL, "found_logos": "3", "total_hours": "5 days"}, [("9'6 full, 3 logos, 2 logos, 5 days", "3", "2")]),
    "9'6 full, 5 days, 3 h": (FULL, [("5 days, 3 h", "5 days", "3 h")]),
}  # fmt: skip


def cells(box):
    return {name: cell for name, cell in box.cells.items() if name != "state"}


@pytest.mark.parametrize("text", ROWS)
def test_a_box_is_this_row_and_nothing_is_asked(text):
    box = READER.read(text, year=2025)
    assert (cells(box), box.doubts) == (ROWS[text], ())


@pytest.mark.parametrize("text", ASKED)
def test_what_can_be_read_of_a_box_stands_and_the_rest_is_asked(text):
    box = READER.read(text, year=2025)
    asked = [
        (
            doubt.what if doubt.what == "line" else doubt.typed,
            *[choice.value for choice in doubt.choices[:-1]],
        )
        for doubt in box.doubts
    ]
    assert (cells(box), asked) == ASKED[text]


@pytest.mark.parametrize(
    ("text", "ready"),
    [
        ("9'6 full, 7/4/25, 5 days", "2025-04-07"),  # days stand before months there
        ("9'6 full, 13 June, 5 days", "2025-06-13"),
        ("9'6 full, 28 June, 5 days", "2025-06-28"),
        ("9'6 full, May, 5 days", "2026-05-31"),
        ("9'6 full, June, 5 days", None),  # it has not ended yet: asked
        ("9'6 full, 13 June 2026, 5 days", None),
    ],
)
def test_a_day_of_this_year_that_is_to_come_is_of_the_last(text, ready):
    mine = DiaryReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, dates="day-month")), TODAY)
    box = mine.read(text, year=2026)
    assert (box.cells.get("ready"), bool(box.doubts)) == (ready, ready is None)


def test_a_day_that_is_in_no_other_year_is_asked_and_today_is_one_that_can_be_chosen():
    (leap,) = DiaryReader(SETTINGS, dt.date(2028, 2, 10)).read("9'6 full, 29 February", year=2028).doubts
    assert [choice.value for choice in leap.choices] == ["leave"]
    (order,) = READER.read("9'6 full, 12 June to 4 March", year=2026).doubts
    assert [choice.value for choice in order.choices] == ["2026-03-04", "2026-06-12", "leave"]


def test_a_figure_taken_for_hours_is_asked_about_with_the_time_behind_it():
    text = "9'6 full, 70, 5 days"
    (figure,) = READER.read(text, year=2025).doubts
    (times,) = READER.read(text, year=2025, answers={figure.key: "total_hours"}).doubts
    assert (times.question, times.typed) == ("Several times: how long was it in all?", "70, 5 days")
