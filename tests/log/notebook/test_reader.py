"""What answers make of a whole text: its lines, notes and days, and what is left out."""

from making.notebooks import READER, TODAY, WEEK
from making.notebooks import answered as read

from estimator.words.records import Entry


def test_what_is_kept_as_a_note_is_of_the_day_of_its_line():
    first, second = read(
        "the man came\nWed red drying next", "note", "note", day=None, week=WEEK["Mon"]
    ).notes[:2]
    assert (first.note, first.board) == ("the man came", "shop")
    assert (second.note, second.board, second.date) == ("red drying next", "26-101", WEEK["Wed"])
    (whole,) = read("Mon club, red strip 3", "note", day=None, week=TODAY).notes
    assert (whole.note, whole.board, whole.date) == ("club, red strip 3", "26-104", WEEK["Mon"])


def test_hours_shared_stand_in_the_text_from_their_own_board_on():
    lines = read("club, red strip 3", "shared").lines
    assert [(line.board, line.hours, line.span) for line in lines] == [
        ("26-104", 1.5, (0, 17)),
        ("26-101", 1.5, (6, 17)),
    ]


def test_what_is_asked_of_a_line_written_anew_is_asked_in_its_place():
    anew = "club sand 2, ochre strip 1"
    page = read("club, red strip 3", anew)
    assert [(one.typed, one.span) for one in page.doubts] == [("ochre", (0, 17))]
    lines = read("club, red strip 3", anew, "26-109").lines
    assert [(line.board, line.date.day, line.span, line.pieces) for line in lines] == [
        ("26-104", 9, (0, 17), ()),
        ("26-109", 9, (0, 17), ()),
    ]
    assert page.left_out == ((0, 17),)
    assert read("club, red strip 3", "Wed club sand 2", week=TODAY).lines[0].date == WEEK["Wed"]
    june = read("Wed club, red strip 3", "Tue club sand 2", day=None, week=WEEK["Mon"].replace(day=3))
    assert [line.date.day for line in june.lines] == [2]


def test_a_day_off_of_which_it_is_not_known_why_is_left_out():
    assert read("not written down").left_out == ((0, 16),)


def test_the_answer_to_a_day_that_goes_back_carries_the_days_behind_it():
    text = "Thu red sand 2\nMon club sand 1\nTue fish lam 2"
    page = read(text, "2026-06-08", day=None, week=WEEK["Mon"].replace(day=3))
    assert [line.date.day for line in page.lines] == [4, 8, 9]
    page = read(text, "leave", day=None, week=WEEK["Mon"].replace(day=3))
    assert (15, 18) in page.left_out
    other = read("Sat red sand 2\nMon club sand 1", "2026-06-06", day=None, week=TODAY)
    assert [line.date.day for line in other.lines][:1] == [6]
    assert [choice.value for choice in other.doubts[0].choices] == ["2026-06-08"]  # of the week that is meant


def test_in_the_box_of_a_day_its_week_is_meant():
    (line,) = read("Wed club sand 2", day=WEEK["Mon"].replace(day=2)).lines
    assert line.date.day == 3


def test_a_log_that_has_learned_of_more_hours_still_has_those_from_before():
    reader = READER.knowing([Entry("26-104", WEEK["Tue"], "gloss", 1.0)])
    (old,) = reader.read("Thu 4 June red strip 1", week=TODAY).doubts
    assert old.question.startswith("red has 2 h of “Strip old glass” on Thu 4 June 2026")
    stages = [choice.value for choice in reader.read("club 1", day=WEEK["Tue"]).doubts[0].choices]
    assert stages[:3] == ["gloss", "polish", "owner_change"]  # and no more sand, pinlines, gloss
    assert READER.read("club 1", day=WEEK["Tue"]).doubts[0].choices[0].value == "sand"


def test_a_sum_names_nothing_but_the_sum():
    assert len(read("red strip 2, club sand 2, total 4").lines) == 2
    lines = read("red strip 2, club sand all 2").lines
    assert [(line.board, line.stage, line.hours) for line in lines] == [
        ("26-101", "strip", 2),
        ("26-104", "sand", 2),
    ]
