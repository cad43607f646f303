"""A board that was promised before the log: the day that two figures name."""

from dataclasses import replace

import pytest
from making.notebooks import SETTINGS, TODAY

from estimator.log.notebook.promised import PromisedReader

READER = PromisedReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, dates="day-month")), TODAY)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("20/8", "2026-08-20"),  # to come, this year
        ("13/6", "2026-06-13"),  # tomorrow
        ("5/3", "2026-03-05"),  # over since three months: late
        ("5/1", "2027-01-05"),  # five months back: the next one
    ],
)
def test_a_day_without_its_year_is_to_come_or_not_long_over(said, day):
    assert READER.read(f"green fish, told {said}").cells["promised_last"] == day


EITHER = PromisedReader(SETTINGS, TODAY)  # which does not say how days are written
ODO = {"owner": "Odo", "kind": "major", "length": "9'1"}
LINES = {
    "Odo, full 9'1, by 5 September, 70 h, about 22 h done, next sand": (
        {"owner": "Odo", "kind": "major", "length": "9'1", "guess": "70 h", "promised_last": "2026-09-05", "state": "on bench"},
        "about 22 h", "sand",
    ),
    "Odo, full 9'1, 60-80 h, due 20 August": (
        {"owner": "Odo", "kind": "major", "length": "9'1", "guess": "60-80 h", "promised_last": "2026-08-20", "state": "waiting"},
        "", "",
    ),
    "red 9'6 full, told 30/8, 60": (
        {"called": "red 9'6", "kind": "major", "length": "9'6", "guess": "60", "promised_last": "2026-08-30", "state": "waiting"},
        "", "",
    ),
    "Odo, full 9'1, on the bench, 2 col, let in 3, 900 mk": (
        {"owner": "Odo", "kind": "major", "length": "9'1", "assessed_spray_colours": "2", "assessed_infills": "3",
         "price_quoted": "900", "state": "on bench"},
        "", "",
    ),
    "Odo, ding, 2 days, collected 3 June": ({"owner": "Odo", "kind": "minor", "guess": "2 days", "state": "waiting"}, "", ""),
    "Odo, ding, next comes sand": ({"owner": "Odo", "kind": "minor", "state": "on bench"}, "", "sand"),
    "Odo, ding, half done": ({"owner": "Odo", "kind": "minor", "state": "on bench"}, "", ""),
    "Odo, ding, worked 3½ h, next up: gloss coat": ({"owner": "Odo", "kind": "minor", "state": "on bench"}, "3½ h", "gloss"),
    "Odo, full 9'1, 60 to 80 h": ({**ODO, "guess": "60 to 80 h", "state": "waiting"}, "", ""),
    "Odo, full 9'1, 5–7 days": ({**ODO, "guess": "5–7 days", "state": "waiting"}, "", ""),
    "Odo, full 9'1, 5 - 7 hours, on my bench": ({**ODO, "guess": "5 - 7 hours", "state": "on bench"}, "", ""),
    "Odo, full 9'1, 60 h, worked some 12 hrs, next sand": ({**ODO, "guess": "60 h", "state": "on bench"}, "some 12 hrs", "sand"),
    "Odo, full 9'1, 60 h, 12:30 h in already, next comes: sanding": ({**ODO, "guess": "60 h", "state": "on bench"}, "12:30 h", "sand"),
    "Odo, full 9'1, 60 h, next is sanding": ({**ODO, "guess": "60 h", "state": "on bench"}, "", "sand"),
    "Odo, full 9'1, 60 h, next": ({**ODO, "guess": "60 h", "note": "next", "state": "waiting"}, "", ""),
    "Odo, full 9'1, 60 h, half done": ({**ODO, "guess": "60 h", "state": "on bench"}, "", ""),
    "Odo, full 9'1, 60 h, in hand": ({**ODO, "guess": "60 h", "state": "on bench"}, "", ""),
    "Odo, full 9'1, 60 h, begun": ({**ODO, "guess": "60 h", "state": "on bench"}, "", ""),
    "Odo, full 9'1, i told her by 5 September": ({**ODO, "promised_last": "2026-09-05", "state": "waiting"}, "", ""),
    "Odo, full 9'1, promised for 30 September": ({**ODO, "promised_last": "2026-09-30", "state": "waiting"}, "", ""),
    "Odo, full 9'1, by 30/9, 60 h": ({**ODO, "guess": "60 h", "promised_last": "2026-09-30", "state": "waiting"}, "", ""),
    "Odo, full 9'1, 30.9, 60 h": ({**ODO, "guess": "60 h", "promised_last": "2026-09-30", "state": "waiting"}, "", ""),
    "Odo, full 9'1, 30/9/26, 60 h": ({**ODO, "guess": "60 h", "promised_last": "2026-09-30", "state": "waiting"}, "", ""),
    "Odo, full 9'1, told 3/4 h": ({**ODO, "guess": "3/4 h", "state": "waiting"}, "", ""),  # a part of an hour
    "Odo, full 9'1, 3/4 day": ({**ODO, "guess": "3/4 day", "state": "waiting"}, "", ""),
    "Odo, full 9'1, by 11 February 2027, 60 h": ({**ODO, "guess": "60 h", "promised_last": "2027-02-11", "state": "waiting"}, "", ""),
    "Odo, full 9'1, next strip and sand": ({**ODO, "note": "sand", "state": "on bench"}, "", "strip"),
    "red 9'1, full, 60 h": ({"called": "red 9'1", "kind": "major", "length": "9'1", "guess": "60 h", "state": "waiting"}, "", ""),
    "red, full 9'1, 60 h": ({**ODO, "owner": "red", "guess": "60 h", "state": "waiting"}, "", ""),
    "Odo's red 9'1, full, 60 h": ({**ODO, "called": "red 9'1", "guess": "60 h", "state": "waiting"}, "", ""),
    "Odo, ding, 900 mk, 2 col, soaked": (
        {"owner": "Odo", "kind": "minor", "assessed_spray_colours": "2", "assessed_wetness": "soaked", "price_quoted": "900",
         "state": "waiting"}, "", "",
    ),
    "Odo, ding, asked 3 May, collected 4 May, 6 h": (
        {"owner": "Odo", "kind": "minor", "guess": "6 h", "asked": "2026-05-03", "state": "waiting"}, "", "",
    ),
    "Odo's red gun, full 9'1, 60 h": ({**ODO, "called": "red gun", "guess": "60 h", "state": "waiting"}, "", ""),
    "Odo, full 9'1, told 11 June 2029, 60 h": ({**ODO, "guess": "60 h", "promised_last": "2029-06-11", "state": "waiting"}, "", ""),
    "Odo, ding, 70": ({"owner": "Odo", "kind": "minor", "guess": "70", "state": "waiting"}, "", ""),
}  # fmt: skip


@pytest.mark.parametrize("text", LINES)
def test_a_line_of_a_board_in_hand_is_its_row_and_the_hours_so_far(text):
    mine = PromisedReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, currency="mk")), TODAY)
    line = mine.read(text)
    assert line.doubts == ()
    assert (dict(line.cells), line.hours, line.next_stage) == LINES[text]


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("Odo, full 9'1, by 12 February, 60 h", "2026-02-12"),  # a hundred and twenty days back
        ("Odo, full 9'1, by 11 February, 60 h", "2027-02-11"),
        ("Odo, full 9'1, by 11 February 2026, 60 h", "2026-02-11"),
        ("Odo, full 9'1, by 20 December, 60 h", "2026-12-20"),
    ],
)
def test_a_day_in_words_is_to_come_or_not_long_over(text, day):
    assert EITHER.read(text).cells["promised_last"] == day


@pytest.mark.parametrize(
    ("text", "asked", "offered", "answer", "kept"),
    [
        ("red 9'6 full, told 3/8", "“3/8” can be two days. Which one is it?", ["2026-08-03", "2026-03-08"],
         "2026-03-08", ("promised_last", "2026-03-08")),
        ("red 9'6 full, told 31/6", "“31/6” is no day. Which one is it?", [], "2026-07-01", ("promised_last", "2026-07-01")),
        ("full 9'1, by 5 September", "Whose is it, or what do you call it?", [], "Ines", ("owner", "Ines")),
        ("Odo, full 9'1, 12 h done", "What comes next on it?", ["assess", "clean"], "sand", ("next", "sand")),
        ("Odo, full 9'1, next frobnicate, 60 h", "“frobnicate”: which work is that?", ["assess", "clean"], "fins", ("next", "fins")),
    ],
)  # fmt: skip
def test_what_a_line_does_not_say_for_sure_is_asked(text, asked, offered, answer, kept):
    line = EITHER.read(text)
    (doubt,) = line.doubts
    assert doubt.question == asked
    assert [choice.value for choice in doubt.choices][:2] == offered
    then = EITHER.read(text, {doubt.key: answer})
    assert then.doubts == ()
    assert {**then.cells, "next": then.next_stage}[kept[0]] == kept[1]
    assert kept[0] not in line.cells
    odd = EITHER.read(text, {doubt.key: ""})
    assert odd.doubts == (doubt,)


DAY_FIRST = PromisedReader(
    replace(SETTINGS, workshop=replace(SETTINGS.workshop, dates="day-month", currency="mk")), TODAY
)


@pytest.mark.parametrize(
    ("text", "question", "span", "choices", "cells"),
    [
        ("Odo, full 9'1, told 29/2", "“29/2” is no day. Which one is it?", (20, 24), 0, {**ODO, "state": "waiting"}),
        ("Odo, full 9'1, told 12/13", "“12/13” is no day. Which one is it?", (20, 25), 0, {**ODO, "state": "waiting"}),
        ("Odo, full 9'1, 60 h, about 12 h done", "What comes next on it?", (0, 36), len(SETTINGS.stages),
         {**ODO, "guess": "60 h", "state": "on bench"}),
        ("Odo, full 9'1, next frob, on bench, 60 h", "“frob”: which work is that?", (20, 24), len(SETTINGS.stages),
         {**ODO, "guess": "60 h", "state": "on bench"}),
        ("Odo, full 9'1, 12 h done, next frob", "“frob”: which work is that?", (31, 35), len(SETTINGS.stages),
         {**ODO, "state": "on bench"}),
        ("Odo, full 9'1, next foam, 60 h", "“foam”: which work is that?", (20, 24), len(SETTINGS.stages),
         {**ODO, "guess": "60 h", "state": "on bench"}),
        ("full 9'1, on the bench", "Whose is it, or what do you call it?", (0, 22), 0,
         {"kind": "major", "length": "9'1", "state": "on bench"}),
    ],
)  # fmt: skip
def test_what_is_asked_once_and_what_stands_all_the_same(text, question, span, choices, cells):
    line = DAY_FIRST.read(text)
    (doubt,) = line.doubts
    assert (doubt.question, doubt.span, doubt.typed, len(doubt.choices)) == (
        question, span, text[slice(*span)], choices,
    )  # fmt: skip
    assert dict(line.cells) == cells


def test_of_two_bare_figures_each_is_asked_and_neither_taken():
    line = DAY_FIRST.read("Odo, ding, 70, 900")
    assert [(doubt.typed, doubt.span) for doubt in line.doubts] == [("70", (11, 13)), ("900", (15, 18))]
    assert dict(line.cells) == {"owner": "Odo", "kind": "minor", "state": "waiting"}


@pytest.mark.parametrize(
    ("text", "day"), [("Odo, ding, told 12/2", "2026-02-12"), ("Odo, ding, told 11/2", "2027-02-11")]
)
def test_figures_a_hundred_and_twenty_days_back_are_late_and_further_back_to_come(text, day):
    assert DAY_FIRST.read(text).cells["promised_last"] == day


def test_a_name_is_not_asked_before_what_else_is_and_no_answer_is_taken_that_was_not_offered():
    assert [doubt.typed for doubt in DAY_FIRST.read("ding, 70, 900").doubts] == ["70", "900"]
    (comes,) = DAY_FIRST.read("Odo, ding, 12 h done").doubts
    again = DAY_FIRST.read("Odo, ding, 12 h done", {comes.key: "frob"})
    assert (again.doubts, again.next_stage) == ((comes,), "")


def test_a_day_may_be_typed_where_figures_are_none_and_is_chosen_where_they_are_two():
    assert [EITHER.read(f"Odo, ding, told {said}").doubts[0].free for said in ("31/6", "3/8")] == ["line", ""]
