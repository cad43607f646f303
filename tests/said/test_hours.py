"""Hours as they were read and as they are held, line by line."""

import datetime as dt
from pathlib import Path

import pytest

from estimator.log.booking import KeptHours
from estimator.log.notebook.page import A_LINE, A_TIME, Choice, Doubt, HoursLine, NotebookPage, NoteLine
from estimator.said.hours import (
    asked,
    by_key,
    held_lines,
    held_notes,
    kept_parts,
    lines_table,
    read_parts,
    read_table,
    rows_to_copy,
)
from estimator.said.parts import Heading
from estimator.words.records import SHOP, Board, Entry, Note
from estimator.words.settings.schema import Settings, Stage

DAY, NEXT = dt.date(2026, 6, 9), dt.date(2026, 6, 11)
STAGES = Settings(stages={"strip": Stage("strip", label="Strip it")})
BOARDS = (Board("a", "red"), Board("b"))
LINES = (
    HoursLine("a", DAY, "strip", 4.5, done=True),
    HoursLine("b", DAY, "sand", 1.0, until=NEXT, done=False, again="paint", note="slowly"),
    HoursLine(SHOP, DAY, "sweeping", 0.75),
    HoursLine("z", DAY, "strip", 13.0, again="yes", written="2 days"),
    HoursLine("a", DAY, "strip", 3.0, written="about 3 h"),
)
NOTES = (NoteLine("a", NEXT, "soft tail"), NoteLine(SHOP, DAY, "gas ran out"))


def test_lines_and_notes_are_a_table_with_the_board_of_each_row():
    table = lines_table(LINES, STAGES, BOARDS, NOTES)

    assert table.rows == (
        ("Tue 9 June 2026", "red", "Strip it", "4½", "done"),
        ("Tue 9 to Thu 11 June 2026", "b", "Sand", "1", "again: paint, not done, slowly"),
        ("Tue 9 June 2026", "the shop", "sweeping", "¾", ""),
        ("Tue 9 June 2026", "z", "Strip it", "13", "again"),
        ("Tue 9 June 2026", "red", "Strip it", "about 3 h", ""),
        ("Thu 11 June 2026", "red", "a note", "", "soft tail"),
        ("Tue 9 June 2026", "the shop", "a note", "", "gas ran out"),
    )
    assert table.boards == ("a", "b", "", "z", "a", "a", "")
    assert table.right == (3,)
    page = read_table(LINES[:1], STAGES, BOARDS, NOTES[1:])
    assert page.rows == (
        ("red", "Tue 9 June 2026", "Strip it", "4½", "done"),
        ("the shop", "Tue 9 June 2026", "a note", "", "gas ran out"),
    )
    assert (page.boards, page.head) == (("a", ""), ("", "day", "work", "hours", ""))


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        (Entry("a", DAY, "strip", 4.5, done=True), "red: Strip it 4½, done"),
        (Entry("a", DAY, "strip", 4.5, done=False, note="slow"), "red: Strip it 4½, not done, slow"),
        (Entry("a", DAY, "strip", 6.0, until=NEXT), "red: Strip it 6, Tue 9 to Thu 11 June 2026"),
        (Entry("a", DAY, "redo", 1.0, again="resin", of="strip"), "red: Strip it 1, again: resin"),
        (Entry(SHOP, DAY, "sweeping", 1.0), "the shop: sweeping 1"),
        (Entry(SHOP, DAY, "", 0.0, note="surf"), "surf"),
        (Entry(SHOP, DAY, "", 0.0, until=NEXT, note="away"), "away, Tue 9 to Thu 11 June 2026"),
        (Entry(SHOP, DAY, "", 0.0), "nothing"),
        (Entry("z", DAY, "strip", 1.0), "z: Strip it 1"),
    ],
)
def test_what_the_log_holds_of_a_day(entry, said):
    assert held_lines([entry], STAGES, BOARDS) == (said,)


def test_what_was_noted_on_a_day():
    notes = [
        Note("a", DAY, "soft tail"),
        Note(SHOP, DAY, "gas ran out"),
        Note("a", DAY, "", photo="x.jpg"),
        Note("z", DAY, "?"),
    ]

    assert held_notes(notes, BOARDS) == (
        "red, a note: soft tail",
        "the shop, a note: gas ran out",
        "z, a note: ?",
    )


def doubt(choices=2, free="", typed="gren", question="Which board?", **more):
    return Doubt(
        "board", (0, 4), typed, question, tuple(Choice(str(n), f"c{n}") for n in range(choices)), free, **more
    )


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (doubt(), "“gren”: Which board? (c0; c1)"),
        (doubt(question="Is “gren” red?"), "Is “gren” red? (c0; c1)"),
        (doubt(0), "“gren”: Which board?"),
        (doubt(1, A_TIME), "“gren”: Which board? (c0; or the hours)"),
        (doubt(0, A_LINE), "“gren”: Which board? (or write it anew)"),
        (doubt(7), "“gren”: Which board? (c0; c1; c2; c3; c4; c5; c6)"),
        (doubt(8), "“gren”: Which board? (c0; c1; c2; c3; c4; c5; …; c7)"),
    ],
)
def test_a_question_with_its_answers(one, said):
    assert asked(one) == said


def test_each_question_stands_once_in_its_order():
    one, other, again = doubt(about="gren"), doubt(about="bleu"), doubt(about="gren", typed="grn")

    assert by_key([one, other]) == (one, other)
    assert len(by_key([one, other, again])) == 2
    page = NotebookPage("x", LINES[:1], (one,))
    table, head, question = read_parts(page, STAGES, BOARDS)
    assert (len(table.rows), head, question) == (1, Heading("To ask"), asked(one))
    assert read_parts(NotebookPage("x"), STAGES, BOARDS) == ["Nothing is read there."]
    assert len(read_parts(NotebookPage("x", notes=NOTES), STAGES, BOARDS)) == 1


def test_what_was_kept_and_where():
    kept = KeptHours(LINES[:1], Path("hours.csv"), (), NOTES, Path("notes.csv"))

    assert kept_parts(kept) == ["1 line kept in hours.csv.", "2 notes kept in notes.csv."]
    assert kept_parts(KeptHours((), Path("hours.csv"), (), NOTES[:1], Path("notes.csv"))) == [
        "1 note kept in notes.csv."
    ]
    assert kept_parts(KeptHours((), Path("hours.csv"), ())) == ["no lines kept in hours.csv."]
    hours, notes = rows_to_copy(LINES[:3], NOTES)
    assert (len(hours.rows), len(notes.rows), hours.head[0]) == (3, 2, "board")
    assert list(rows_to_copy([])) == []
