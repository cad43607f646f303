"""What is asked of an item, how its answers are shown, and the line that each answer makes."""

import pytest
from making.notebooks import answered as read


def shown(page, at=0):
    return [(choice.value, choice.says) for choice in page.doubts[at].choices]


LEFT = ("leave", "leave it out")


def test_whether_work_is_finished_is_kept_as_it_is_answered():
    text = "done club sand 2"
    (doubt,) = read(text).doubts
    assert shown(read(text)) == [("yes", "yes, it is finished"), ("no", "no, more is to come"), LEFT]
    assert doubt.known == {"day": "Tue 9 June 2026", "text": "done club sand 2"}
    assert [read(text, said).lines[0].done for said in ("yes", "no")] == [True, False]
    assert (read(text, "leave").lines, read(text, "leave").left_out) == ((), ((0, 16),))
    assert read(text, "perhaps").doubts == (doubt,)  # which was not offered


def test_why_it_was_done_again_is_kept_where_it_was():
    text = "red strip 2 paint lifted"
    assert shown(read(text)) == [("paint", "yes, it was done again"), ("no", "no"), LEFT]
    assert [read(text, said).lines[0].again for said in ("paint", "no")] == ["paint", ""]
    two = read("red strip 3 paint lifted, sanded through")
    assert shown(two) == [("paint", "paint"), ("sand-through", "sand-through"), LEFT]
    assert read("red strip 3 paint lifted, sanded through", "sand-through").lines[0].again == "sand-through"


def test_work_done_again_is_for_what_the_item_before_it_says_or_for_something_else():
    text = "red sand paint lifted 2, sand again 1"
    page = read(text)
    assert page.doubts[1].question == "“sand again 1”: was that for “paint lifted”?"
    assert shown(page, 1) == [("paint", "yes, paint lifted"), ("yes", "no, something else"), LEFT]
    assert [line.again for line in read(text, "no").lines] == ["", "yes"]
    assert [line.again for line in read(text, "paint", "paint").lines] == ["paint", "paint"]
    assert [line.again for line in read(text, "paint", "yes").lines] == ["paint", "yes"]
    assert page.doubts[1].known["text"] == "sand again 1"  # and not the whole line


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("club sand 1½ h?", [("1 1/2 h", "1½ h"), LEFT]),
        ("club sand 55", [("5.5", "5.5 h"), ("55 h", "55 h"), LEFT]),
        ("club sand 99", [("9.9", "9.9 h"), ("99 h", "99 h"), LEFT]),
        ("club sand 100", [("100 h", "100 h"), LEFT]),
        ("club sand 2-6", [("2", "2 h"), ("6", "6 h"), LEFT]),
        ("club sand coat 2", [("2", "2 h"), LEFT]),
        ("club 3 sand", None),
        (
            "red strip 2.5 days",
            [
                ("2026-06-11", "from Tue 9 June 2026 to Thu 11 June 2026"),
                ("2026-06-07", "from Sun 7 June 2026 to Tue 9 June 2026"),
                LEFT,
            ],
        ),
    ],
)
def test_hours_and_days_to_choose_from_as_they_are_shown(text, choices):
    page = read(text)
    assert (shown(page) if page.doubts else None) == choices


def test_hours_that_are_typed_are_taken_and_what_is_no_time_is_asked_again_with_what_is_wrong():
    (line,) = read("club sand 55", "5½").lines
    assert (line.hours, line.until) == (5.5, None)
    (doubt,) = read("club sand 55", "soon").doubts
    assert doubt.question.startswith('"soon" is not a time that can be read.')
    assert (doubt.what, doubt.key, doubt.free) == ("hours", "hours-0-12", "time")
    assert [choice.value for choice in doubt.choices] == ["5.5", "55 h", "leave"]


@pytest.mark.parametrize(
    ("text", "said", "board", "days", "hours", "written"),
    [
        ("red strip 2.5 days", ["2026-06-07"], "26-101", (7, 9), 16.25, "2.5 days"),
        ("red strip 2.5 days", ["2026-06-11"], "26-101", (9, 11), 16.25, "2.5 days"),
        ("red strip about 2 days", ["2026-06-10"], "26-101", (9, 10), 13, "about 2 days"),
        ("shop 2 days", ["2026-06-08"], "shop", (8, 9), 13, "2 days"),
    ],
)
def test_several_days_of_work_go_from_the_day_of_the_line_on_or_back(text, said, board, days, hours, written):
    assert (read(text).lines, read(text, "leave").lines) == ((), ())
    (line,) = read(text, *said).lines
    assert (line.board, line.date.day, line.until.day) == (board, *days)
    assert (line.hours, line.written) == (hours, written)


def test_a_word_that_may_be_a_board_can_be_work_on_none():
    (line,) = read("zzyx sand 2", "shop").lines
    assert (line.board, line.stage, line.hours) == ("shop", "zzyx sand", 2)


def test_a_name_that_two_boards_have_is_asked_once_and_what_follows_goes_on_with_it():
    text = "ochre strip 2, Ochre strip 1½"
    assert len({doubt.key for doubt in read(text).doubts}) == 1
    page = read(text, "26-109")
    assert [(line.board, line.hours) for line in page.lines] == [("26-109", 2), ("26-109", 1.5)]
    assert read("ochre strip 2", "26-101").doubts  # which was not offered
    assert [line.board for line in read("ochre strip 2. sand 1", "leave").lines] == ["26-108"]
    assert [line.board for line in read("ochre strip 2. sand 1").lines] == ["26-108"]


def test_work_that_the_board_before_is_past_may_be_on_another_or_on_none():
    text = "red strip 2, clean brushes 1"
    (doubt,) = read(text).doubts
    assert doubt.question == "Was “clean brushes 1” on red, which is past that?"
    assert shown(read(text))[0] == ("26-101", "red")
    assert shown(read(text))[-2:] == [("shop", "no board: the shop"), LEFT]
    assert [(line.board, line.stage) for line in read(text, "shop").lines][1] == ("shop", "clean brushes")
    assert [(line.board, line.stage) for line in read(text, "26-104").lines][1] == ("26-104", "clean")
    assert len(read(text, "leave").lines) == 1
