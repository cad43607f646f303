"""Boxes of a week, one a day: each knows those before it, and an answer goes on standing for its own words."""

import datetime as dt

import pytest
from making.notebooks import BOARDS, ENTRIES, READER, SETTINGS, TODAY, WEEK

from estimator.log.notebook.boxes import NotebookBox, read_boxes
from estimator.log.notebook.page import Doubt
from estimator.log.notebook.reader import NotebookReader

MON, TUE = WEEK["Mon"], WEEK["Tue"]


def read(*boxes, answers=None):
    return read_boxes(READER, [NotebookBox(text, day) for text, day in boxes], TUE, answers or {})


def hours(found):
    return [(line.board, line.date, line.stage, line.hours) for line in found.lines]


def test_an_empty_box_is_none_and_each_is_of_its_day():
    found = read(("red strip 2", MON), ("  \n", TUE), ("club sand 1", TUE))
    assert hours(found) == [("26-101", MON, "strip", 2), ("26-104", TUE, "sand", 1)]
    assert [box.text for box in found.boxes] == ["red strip 2", "  \n", "club sand 1"]
    assert (found.asked, found.notes) == ((), ())


def test_the_same_hours_in_a_box_and_on_the_whole_page_are_asked_about():
    found = read(("red strip 2", MON), ("Mon red strip 2", None))
    (one,) = found.asked
    assert (one.doubt.what, hours(found)) == ("more", [("26-101", MON, "strip", 2)])
    more = read(("red strip 2", MON), ("Mon red strip 2", None), answers={one.name: "more"})
    assert hours(more) == [("26-101", MON, "strip", 2)] * 2
    same = read(("red strip 2", MON), ("Mon red strip 2", None), answers={one.name: "same"})
    assert (hours(same), same.asked) == ([("26-101", MON, "strip", 2)], ())


def test_the_same_words_in_two_boxes_have_their_own_answers_wherever_they_stand():
    first = read(("gren sand 2", MON), ("gren sand 3", TUE))
    names = [one.name for one in first.asked]
    assert len(set(names)) == 2
    moved = read(("red strip 1. gren sand 2", MON), ("gren sand 3", TUE))
    assert [one.name for one in moved.asked] == names
    told = read(("gren sand 2", MON), ("gren sand 3", TUE), answers={names[0]: "26-105"})
    assert [(line.board, line.date) for line in told.lines][:1] == [("26-105", MON)]
    other = read(("gren sand 2", MON), ("gren sand 3", TUE), answers={names[1]: "26-105"})
    assert [(line.board, line.date) for line in other.lines] == [("26-105", TUE)]
    assert [one.name for one in other.asked] == names[:1]


def test_words_that_are_asked_about_twice_in_a_box_are_two_questions():
    found = read(("red strip 1, 2, 1½\nred strip 1, 2, 1½", MON))
    assert [one.name[-2:] for one in found.asked] == ["-0", "-1"]
    written = read(
        ("red strip 1, 2, 1½\nred strip 1, 2, 1½", MON), answers={found.asked[0].name: "red strip 3"}
    )
    assert written.boxes[0].text == "red strip 3\nred strip 1, 2, 1½"
    assert hours(written) == [("26-101", MON, "strip", 3)]


def test_two_lines_of_a_box_that_are_written_anew_at_once_each_stand_in_their_own_place():
    box = ("red strip 1, 2, 1½\nclub sand 1\ntan sand 1, 2, 1½", MON)
    first, second = (one.name for one in read(box).asked)
    found = read(box, answers={first: "red strip 3 and sand 12", second: "tan sand 2"})
    assert found.boxes[0].text == "red strip 3 and sand 12\nclub sand 1\ntan sand 2"


@pytest.mark.parametrize(
    ("about", "key"), [("", "board-4-9"), ("gren", "board-gren")],
)  # fmt: skip
def test_a_doubt_is_known_by_its_place_or_by_the_word_that_it_is_about(about, key):
    assert Doubt("board", (4, 9), "gren", "?", about=about).key == key


def test_what_is_written_instead_of_a_line_is_read_in_its_place_and_asked_on():
    text = "red sand 3 4"
    (doubt,) = READER.read(text, day=MON).doubts
    page = READER.read(text, day=MON, answers={doubt.key: "red sand 3½, gren sand 1"})
    assert [(line.board, line.stage, line.hours, line.span) for line in page.lines] == [
        ("26-101", "sand", 3.5, (0, 12))
    ]
    (inner,) = page.doubts
    assert (inner.what, inner.span) == ("board", (0, 12))
    then = READER.read(text, day=MON, answers={doubt.key: "red sand 3½, gren sand 1", inner.key: "26-105"})
    assert ([line.board for line in then.lines], then.doubts) == (["26-101", "26-105"], ())


def test_a_time_of_several_days_is_asked_over_which_days_it_was():
    (doubt,) = READER.read("red strip 2 days", day=WEEK["Wed"]).doubts
    assert [choice.value for choice in doubt.choices] == ["2026-06-11", "2026-06-09", "leave"]
    for answer, days in (("2026-06-11", ("10", "11")), ("2026-06-09", ("09", "10"))):
        (line,) = READER.read("red strip 2 days", day=WEEK["Wed"], answers={doubt.key: answer}).lines
        assert (f"{line.date:%d}", f"{line.until:%d}", line.hours, line.written) == (*days, 13.0, "2 days")
    assert READER.read("red strip 1 day", day=WEEK["Wed"]).lines[0].until is None


def test_a_day_that_is_asked_is_the_one_that_is_answered_and_its_week_goes_on():
    text = "Wed red strip 2\nMon club sand 1\nTue club sand 2"
    reader = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, WEEK["Sun"])
    (doubt, *_) = reader.read(text, week=TUE).doubts
    assert [choice.value for choice in doubt.choices] == ["2026-06-08"]
    then = reader.read(text, week=TUE, answers={doubt.key: "2026-06-08"})
    assert ([line.date.day for line in then.lines], then.doubts) == ([10, 8, 9], ())
    left = reader.read(text, week=TUE, answers={doubt.key: "leave"})
    assert [line.date.day for line in left.lines][:1] == [10]
    assert doubt.span in left.left_out


def test_why_a_day_is_empty_is_kept_or_left():
    text = "Mon red strip 2\nTue\nWed red strip 1"
    (doubt,) = READER.read(text).doubts
    for answer, note in (("away", "away"), ("did not work", "did not work")):
        day = next(line for line in READER.read(text, answers={doubt.key: answer}).lines if line.away)
        assert (day.date, day.note, day.hours) == (TUE, note, 0.0)
    left = READER.read(text, answers={doubt.key: "leave"})
    assert (len(left.lines), left.doubts, left.left_out) == (2, (), (doubt.span,))


def test_an_item_without_a_day_is_asked_for_one_of_the_days_worked_so_far():
    reader = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, WEEK["Wed"])
    (doubt,) = reader.read("red strip 4", week=TUE).doubts
    assert [choice.value for choice in doubt.choices] == ["2026-06-08", "2026-06-09", "2026-06-10"]
    (line,) = reader.read("red strip 4", week=TUE, answers={doubt.key: "2026-06-09"}).lines
    assert line.date == TUE


def test_hours_on_the_shop_that_the_log_has_are_asked_about_as_the_shop_s():
    from estimator.words.records import Entry

    reader = READER.knowing([Entry("shop", MON, "sweeping", 1.5)])
    (doubt,) = reader.read("sweeping 1", day=MON).doubts
    assert (
        doubt.question
        == "The shop has 1½ h of “sweeping” on Mon 8 June 2026 already. Is this more, or the same?"
    )
    assert [choice.value for choice in doubt.choices] == ["same", "more"]
    assert reader.read("accounts 1", day=MON).doubts == ()


def test_no_day_is_offered_on_which_one_does_not_work():
    assert [SETTINGS.bench.hours_by_weekday[day] for day in (5, 6)] == [0, 0]
    reader = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, WEEK["Sun"])
    (doubt,) = reader.read("red strip 4", week=TUE).doubts
    assert [choice.value[-2:] for choice in doubt.choices] == ["08", "09", "10", "11", "12"]


def test_what_is_taken_back_is_asked_with_the_line_before_it_and_written_anew_in_its_day_and_week():
    text = "red strip 2. Scratch that. Sand 1"
    back, board = READER.read(text, day=TUE).doubts
    assert (back.typed, board.question) == ("red strip 2. Scratch that", "Which board was “Sand 1”?")
    left = READER.read(text, day=TUE, answers={back.key: "leave"})
    assert (left.lines, left.left_out, left.doubts) == ((), (back.span,), (board,))
    for anew, day in (("strip 3 on red", "2026-06-09"), ("Wed red strip 3", "2026-06-03")):
        page = READER.read(text, day=TUE, week=dt.date(2026, 6, 3), answers={back.key: anew})
        assert [(line.date.isoformat(), line.hours, line.span) for line in page.lines] == [(day, 3, (0, 25))]


def test_a_note_without_a_day_is_of_today_whatever_week_is_meant():
    page = READER.read("resin delivered", week=dt.date(2026, 6, 3))
    assert [(note.date, note.note) for note in page.notes] == [(TODAY, "resin delivered")]


def test_lines_and_questions_stand_in_the_order_of_the_text():
    page = READER.read(
        "gren sand 1\nred strip 2, tail soft, rail bad\nred strip 1\nred strip 1\nbleu sand 2", day=TUE
    )
    assert [doubt.typed for doubt in page.doubts] == ["gren sand 1", "red strip 1", "bleu sand 2"]
    assert [(line.note, line.span) for line in page.lines] == [
        ("tail soft, rail bad", (12, 44)),
        ("", (45, 56)),
    ]
