"""One time and several boards: shared evenly, all on one of them, left out, or written anew."""

import pytest
from making.notebooks import READER, WEEK

from estimator.log.notebook.boxes import NotebookBox, read_boxes

TUESDAY = WEEK["Tue"]


def offered(text):
    (doubt,) = READER.read(text, day=TUESDAY).doubts
    return doubt, [choice.says for choice in doubt.choices]


def answered(text, *said):
    """The text read until nothing is asked; said: answers in the order of the questions."""
    answers = {}
    left = list(said)
    while (read := read_boxes(READER, (NotebookBox(text, TUESDAY),), TUESDAY, answers)).asked:
        answers[read.asked[0].name] = left.pop(0)
    assert not left
    return [(line.board, line.stage, line.hours) for line in read.lines]


def test_shared_evenly_or_all_on_one_of_them_comes_before_leaving_it_out():
    doubt, says = offered("red and green fish strip 5")
    assert doubt.question == "Several boards, and one time. Whose hours are they?"
    assert says == ["shared evenly: 2½ h each", "all on red", "all on green fish", "leave it out"]
    assert doubt.free == "line"  # or written anew


@pytest.mark.parametrize(
    ("text", "each"),
    [
        ("red and green fish strip 5", {"26-101": 2.5, "26-105": 2.5}),
        ("strip red and green fish 5", {"26-101": 2.5, "26-105": 2.5}),
        ("red, club board and green fish sand 4", {"26-101": 4 / 3, "26-104": 4 / 3, "26-105": 4 / 3}),
        ("sanded red & club board 9.30-12.00", {"26-101": 1.25, "26-104": 1.25}),
    ],
)
def test_shared_evenly_each_has_its_part_and_all_of_it_is_there(text, each):
    lines = answered(text, "shared")
    assert {board: hours for board, _, hours in lines} == pytest.approx(each)
    assert len({stage for _, stage, _ in lines}) == 1


def test_all_on_one_of_them():
    assert answered("red and green fish strip 5", "26-105") == [("26-105", "strip", 5)]
    assert answered("red and green fish strip 5", "26-101") == [("26-101", "strip", 5)]


def test_left_out_or_written_anew():
    assert answered("red and green fish strip 5", "leave") == []
    assert answered("red and green fish strip 5", "red strip 3, green fish strip 2") == [
        ("26-101", "strip", 3),
        ("26-105", "strip", 2),
    ]


def test_what_else_is_asked_is_asked_of_each_of_them():
    assert answered("red and green fish 4", "shared", "strip", "sand") == [
        ("26-101", "strip", 2),
        ("26-105", "sand", 2),
    ]
    assert answered("worked on red and green fish 4", "shared", "strip", "sand") == [
        ("26-101", "strip", 2),
        ("26-105", "sand", 2),
    ]


def test_the_same_hours_in_the_log_already_are_asked_of_that_board_alone():
    first = READER.read("red strip 2½", day=TUESDAY).lines
    reader = READER.knowing(_entries(first))
    answers = {}
    page = reader.read("strip red and green fish 5", day=TUESDAY)
    answers[page.doubts[0].key] = "shared"
    page = reader.read("strip red and green fish 5", day=TUESDAY, answers=answers)
    assert [doubt.what for doubt in page.doubts] == ["more"]
    assert [line.board for line in page.lines] == ["26-105"]
    answers[page.doubts[0].key] = "same"
    page = reader.read("strip red and green fish 5", day=TUESDAY, answers=answers)
    assert ([line.board for line in page.lines], page.doubts) == (["26-105"], ())


def test_where_all_of_them_have_hours_already_each_has_its_own_answer():
    first = READER.read("red strip 2½, green fish strip 1", day=TUESDAY).lines
    reader, text = READER.knowing(_entries(first)), "strip red and green fish 5"
    answers = {reader.read(text, day=TUESDAY).doubts[0].key: "shared"}
    red, fish = reader.read(text, day=TUESDAY, answers=answers).doubts
    answers |= {red.key: "same", fish.key: "more"}
    page = reader.read(text, day=TUESDAY, answers=answers)
    assert ([(line.board, line.hours) for line in page.lines], page.doubts) == ([("26-105", 2.5)], ())


def _entries(lines):
    from estimator.words.records import Entry

    return [Entry(line.board, line.date, line.stage, line.hours) for line in lines]


def test_one_or_the_other_is_not_shared():
    assert offered("sand red or green fish 2")[1] == ["all on red", "all on green fish", "leave it out"]


@pytest.mark.parametrize(
    "text",
    [
        "ochre and green fish sand 4",  # two ochre ones
        "red strip 2, few hours on green fish",  # whose are the 2?
        "red and green fish strip",
    ],
)
def test_nothing_is_shared_where_boards_or_hours_are_not_sure(text):
    assert "shared" not in {
        choice.value for doubt in READER.read(text, day=TUESDAY).doubts for choice in doubt.choices
    }


def test_a_board_that_is_named_twice_has_one_part():
    assert offered("red, red and club board sand 3")[1][1:3] == ["all on red", "all on club board"]
    assert answered("red, red and club board sand 3", "shared") == [
        ("26-101", "sand", 1.5),
        ("26-104", "sand", 1.5),
    ]
