"""What takes no hours is kept as a note in the words that were typed; work whose hours were forgotten never is."""

import datetime as dt

import pytest
from making.notebooks import READER, TODAY, WEEK

from estimator.log.notebook.atom import BOARD, UNKNOWN, Atom
from estimator.log.notebook.boxes import NotebookBox, read_boxes
from estimator.log.notebook.mentions import Mention
from estimator.log.notebook.no_hours import note_of


def kept(text, day=WEEK["Tue"]):
    page = READER.read(text, week=TODAY, day=day)
    assert page.doubts == ()
    return [(note.board, note.date, note.note) for note in page.notes]


@pytest.mark.parametrize(
    ("text", "board"),
    [
        ("red: water round the fin box", "26-101"),
        ("green fish 6.4 kg, was 6.6", "26-105"),
        ("waiting for resin", "shop"),
        ("teal egg cracked at the nose", "26-106"),
        ("red drying, leave it till August", "26-101"),
        ("no spraying, humid", "shop"),
    ],
)
def test_a_line_of_no_hours_is_a_note_on_the_board_that_it_names(text, board):
    assert kept(text) == [(board, WEEK["Tue"], text)]


def test_its_day_is_the_one_it_begins_with_and_one_that_is_spoken_of_is_no_day_of_it():
    assert kept("Wed: red soft at the tail", None) == [("26-101", WEEK["Wed"], "red soft at the tail")]
    assert kept("red: told the owner 14 August") == [("26-101", WEEK["Tue"], "red: told the owner 14 August")]
    assert kept("resin delivered", None) == [("shop", TODAY, "resin delivered")]
    assert kept("Mon\nred soft at the tail", None)[0][1] == dt.date(
        2026, 6, 8
    )  # and Monday is not asked about


def test_it_stands_beside_hours_and_what_follows_goes_on_with_its_board():
    page = READER.read("red strip 3. Green fish 6.4 kg. Sand 2", day=WEEK["Tue"])
    assert page.doubts == ()
    assert [(line.board, line.stage, line.hours, line.note) for line in page.lines] == [
        ("26-101", "strip", 3, ""),
        ("26-105", "sand", 2, ""),
    ]
    assert [(note.board, note.note) for note in page.notes] == [("26-105", "Green fish 6.4 kg")]


def test_behind_hours_it_is_a_remark_on_them_where_it_names_no_board():
    (line,) = READER.read("red reshape 3. stringer looks sound", day=WEEK["Tue"]).lines
    assert line.note == "stringer looks sound"


@pytest.mark.parametrize(
    "text",
    [
        "red strip, water at the tail",
        "red stripped, told the owner",
        "mended the crack in red",
        "cut the rot out of red",
        "weighed them all, red 6.4 kg",
        "cross out red, water in it",
        "red strip",
        "told the owner, sanded green fish",
        "waiting for resin, and fixed the ding in red",
        "red soft at the tail, then stripped it",
    ],
)
def test_work_whose_hours_were_forgotten_is_asked(text):
    page = READER.read(text, day=WEEK["Tue"])
    assert page.doubts
    assert page.notes == ()


@pytest.mark.parametrize(
    "text", ["the man with the gauge came", "red strip", "Wed the owner of red rang, wants pinlines"]
)
def test_what_is_asked_may_be_kept_as_a_note(text):
    box = NotebookBox(text, WEEK["Tue"])
    first = read_boxes(READER, (box,), WEEK["Tue"], {})
    (one,) = first.asked
    assert "note" in [choice.value for choice in one.doubt.choices]
    then = read_boxes(READER, (box,), WEEK["Tue"], {one.name: "note"})
    assert (then.asked, then.lines) == ((), ())
    assert [note.note for note in then.notes] == [text.removeprefix("Wed ")]


@pytest.mark.parametrize(
    ("own", "above", "on"),
    [
        ((), (), "shop"),
        ((), ("a",), "a"),
        ((), ("a", "b"), "shop"),  # a name that two boards have
        (("b",), ("a",), "b"),
        (("b", "c"), ("a",), "a"),
    ],
)
def test_a_note_is_on_the_board_that_it_names_else_on_the_one_above_where_that_is_sure(own, above, on):
    def named(boards, span):
        return Atom(BOARD, span, "x", boards=Mention(boards, exact=True, end=1))

    atoms = [*([named(own, (0, 1))] if own else []), Atom(UNKNOWN, (2, 7), "water")]
    note = note_of(atoms, "x water  in", WEEK["Tue"], named(above, (0, 1)) if above else None)
    assert (note.board, note.date, note.note) == (on, WEEK["Tue"], "x water" if own else "water")


def test_two_stages_of_a_day_that_took_as_long_are_two_and_the_same_line_is_asked():
    two = READER.read("red strip 2\nred sand 2", day=WEEK["Tue"])
    same = READER.read("red strip 2\nred strip 2", day=WEEK["Tue"])

    assert (len(two.lines), two.doubts) == (2, ())
    assert [doubt.key.partition("-")[0] for doubt in same.doubts] == ["more"]


def test_the_owner_comes_on_the_day_that_is_spoken_of_and_the_note_is_of_its_own():
    (note,) = READER.read("Mon red strip 2\nWed: owner of red coming Fri 10.30", week=TODAY).notes
    assert (note.board, note.date, note.note) == ("26-101", WEEK["Wed"], "owner of red coming Fri 10.30")
