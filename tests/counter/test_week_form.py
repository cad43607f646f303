"""What stands at each day of the week that is typed, what is asked of it, and what is asked once it is written."""

import datetime as dt
from types import SimpleNamespace

import pytest

from estimator.counter import week_form
from estimator.counter.forms import PageForm
from estimator.counter.week_form import (
    WeekEndQuestion,
    carried,
    day_boxes,
    form_after,
    on_the_bench,
    questions_asked,
    step_of,
    week_asked,
    week_before,
    week_end_questions,
    week_ended,
)
from estimator.log.notebook.page import A_DATE, A_LINE, A_TIME, LEAVE, Choice, Doubt
from estimator.words.records import ASKED, FINISHED, ON_BENCH, STOPPED, WAITING, Board, Entry, Note
from estimator.words.settings.schema import Bench, Settings, Stage

MONDAY = dt.date(2026, 6, 8)
FRIDAY = dt.date(2026, 6, 12)


def day(n):
    return dt.date(2026, 6, n)


def test_a_row_of_several_days_stands_at_each_of_them():
    """Six hours from Tuesday to Thursday, looked at on Friday: three days hold them, and ask for nothing."""
    row = Entry("26-101", dt.date(2026, 6, 9), "strip", 6.0, until=dt.date(2026, 6, 11))
    now = SimpleNamespace(
        log=SimpleNamespace(entries=(row,), notes=(), boards=(Board("26-101", called="red"),)),
        settings=Settings(stages={"strip": Stage("strip", drivers=("once",))}),
    )

    boxes = day_boxes(now, MONDAY, dt.date(2026, 6, 12), PageForm.blank())

    assert [box.name for box in boxes] == [f"on-2026-06-{day:02}" for day in range(8, 13)]
    assert [len(box.held) for box in boxes] == [0, 1, 1, 1, 0]


def test_a_day_on_which_nobody_works_is_shown_only_where_something_stands_there():
    """Monday and Tuesday are worked; Wednesday holds a note, Thursday is typed, Friday has hours; Saturday has nothing."""
    now = SimpleNamespace(
        log=SimpleNamespace(
            entries=(Entry("26-101", FRIDAY, "strip", 1.0),),
            notes=(Note("26-101", day(10), "soft tail"),),
            boards=(Board("26-101", called="red"),),
        ),
        settings=Settings(
            bench=Bench(hours_by_weekday=(6.0, 6.0, 0.0, 0.0, 0.0, 0.0, 0.0)),
            stages={"strip": Stage("strip")},
        ),
    )
    boxes = day_boxes(now, MONDAY, day(14), PageForm({"on-2026-06-11": [" red strip 4\r\nred sand 1"]}))

    assert [box.usual for box in boxes] == [True, True, True, True, True, False, False]
    assert [box.text for box in boxes][2:5] == ["", " red strip 4\nred sand 1", ""]
    assert boxes[2].held == ("red, a note: soft tail",)
    assert boxes[4].says == "Fri 12 June 2026"
    assert len(day_boxes(now, MONDAY, MONDAY, PageForm.blank())) == 1  # up to today
    assert day_boxes(now, day(15), MONDAY, PageForm.blank()) == ()


def test_boards_that_hours_are_likely_of_are_begun_and_not_over():
    states = (ASKED, WAITING, ON_BENCH, STOPPED, FINISHED)
    boards = [Board(f"b{n}", "red" if n == 2 else "", state=state) for n, state in enumerate(states)]

    assert on_the_bench(SimpleNamespace(log=SimpleNamespace(boards=boards))) == ("red", "b3")


@pytest.mark.parametrize(
    ("text", "monday"),
    [
        ("2026-06-12", MONDAY),
        ("2026-06-08", MONDAY),
        ("2026-06-07", day(1)),
        ("2026-06-15", MONDAY),
        ("", MONDAY),
        ("x", MONDAY),
    ],
)
def test_the_week_that_is_asked_for_is_never_a_later_one(text, monday):
    assert week_asked(text, FRIDAY) == monday
    assert week_before(MONDAY) == day(1)


def test_a_week_as_it_was_typed_and_answered():
    """Saturday is still to come; an empty box is none; what is typed beside a choice counts before it; a day is read."""
    form = PageForm(
        {
            "page": ["Mon red strip 4\r\n"], "on-2026-06-09": ["red sand 1"], "on-2026-06-10": ["  "], "on-2026-06-13": ["red 1"],
            "ask-board-0": ["26-101"], "ask-hours-1": [""], "ask-hours-1.other": ["1:30"], "ask-board-2": ["26-102"],
            "ask-board-2.other": ["26-103"], "ask-day-3": ["2026-06-08"], "ask-day-3.other": ["9/6/2026"], "ask-line-4": [""],
        }
    )  # fmt: skip
    step = step_of(form, MONDAY, FRIDAY, "day-month")

    assert step.boxes == (("", "Mon red strip 4\n"), ("2026-06-09", "red sand 1"))
    assert step.week == "2026-06-08"
    assert dict(step.answers) == {
        "board-0": "26-101",
        "hours-1": "1:30",
        "board-2": "26-103",
        "day-3": "2026-06-09",
    }
    assert form.errors == []
    odd = PageForm({"ask-day-3.other": ["someday"]})
    assert step_of(odd, MONDAY, FRIDAY, "iso").answers == ()
    assert [one.field for one in odd.errors] == ["ask-day-3"]


def doubt(choices, what="board", free="", question="Which board is “gren”?", typed="gren", known=()):
    offered = tuple(Choice(f"v{n}" if isinstance(n, int) else n, f"says {n}") for n in choices)
    return SimpleNamespace(
        name="board-0", doubt=Doubt(what, (0, 4), typed, question, offered, free, known=dict(known))
    )


def test_up_to_eight_choices_have_a_button_each_and_of_more_the_last_stands_in_a_list():
    [(few, none)] = questions_asked(SimpleNamespace(asked=[doubt([*range(7), LEAVE])]))
    assert [value for value, _ in few.choices] == [*(f"v{n}" for n in range(7)), LEAVE]
    assert (few.name, few.label, none) == ("ask-board-0", "Which board is “gren”?", None)
    [(first, rest)] = questions_asked(SimpleNamespace(asked=[doubt([0, 1, LEAVE, *range(2, 10)])]))
    assert [value for value, _ in first.choices] == [*(f"v{n}" for n in range(7)), LEAVE]
    assert (rest.name, rest.label) == ("ask-board-0.other", "Or another")
    assert [value for value, _ in rest.choices] == ["v7", "v8", "v9"]
    assert not first.other


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (doubt([0]), False),
        (doubt([0], free=A_TIME), True),
        (doubt([0], free=A_DATE), True),
        (doubt([0], free=A_LINE), False),
        (doubt([0], what="line", free=A_LINE), True),
        (doubt(range(9), free=A_TIME), False),  # the list stands there
    ],
)
def test_a_time_a_day_or_a_line_written_anew_may_be_typed_beside_the_buttons(one, other):
    [(field, _)] = questions_asked(SimpleNamespace(asked=[one]))

    assert field.other == other


def test_a_question_names_what_was_typed_and_what_is_known_once():
    """What the question repeats is not said before it, and what is known only where it is more than that."""
    known = {"day": "Mon 8 June", "text": "red  strip 4, gren sand 2"}
    cases = [
        (
            doubt([0], question="Which day?", known=known.items()),
            "“gren”: Which day?",
            "Mon 8 June, “red strip 4, gren sand 2”",
        ),
        (doubt([0], known={"text": "gren"}.items()), "Which board is “gren”?", ""),
        (doubt([0], question="What is “x”?", typed="x", known={"text": "x"}.items()), "What is “x”?", ""),
        (doubt([0], question="So?", typed="w " * 50), f"“{'w ' * 40}…”: So?", ""),
    ]
    for one, label, hint in cases:
        [(field, _)] = questions_asked(SimpleNamespace(asked=[one]))
        assert (field.label, field.hint) == (label, hint)


def test_what_was_answered_and_is_asked_no_more_goes_on_standing():
    form = PageForm(
        {
            "ask-board-0": ["26-101"],
            "ask-hours-1.other": ["2"],
            "ask-line-2": [""],
            "page": ["x"],
            "ask-board-3": ["a"],
        }
    )
    read = SimpleNamespace(
        asked=[SimpleNamespace(name="board-3")],
        boxes=[SimpleNamespace(day="", text="X"), SimpleNamespace(day="2026-06-08", text="Y")],
    )

    assert carried(form, read) == {"ask-board-0": "26-101", "ask-hours-1.other": "2"}
    after = form_after(form, read)
    assert (after.text("page"), after.text("on-2026-06-08"), after.text("ask-board-0")) == (
        "X",
        "Y",
        "26-101",
    )


def test_what_was_answered_at_the_end_of_the_week_goes_to_its_board_stage_and_day():
    form = PageForm(
        {"stage.strip.26%2F101": ["yes"], "stage.sand.b.2": ["no"], "stage.gloss.b": [""], "stage.wax.b": ["perhaps"], "day.2026-06-10": ["away"], "day.2026-06-11": [""], "week": ["x"]}
    )  # fmt: skip
    ended = week_ended(form)

    assert ended.stages == (("26/101", "strip", True), ("b.2", "sand", False), ("b", "wax", False))
    assert ended.days == {"2026-06-10": "away", "2026-06-11": ""}


def test_at_most_three_are_asked_stages_before_days_and_of_a_running_week_up_to_today(monkeypatch):
    spans = []
    found = [SimpleNamespace(board="26/1", stage="strip", since="sand")]
    monkeypatch.setattr(week_form, "open_stages", lambda _, first, last: spans.append((first, last)) or found)
    now = SimpleNamespace(
        log=SimpleNamespace(entries=(), waits=()),
        settings=Settings(
            stages={"strip": Stage("strip", label="Strip it"), "sand": Stage("sand", label="Sand it")}
        ),
        board=lambda _: Board("26/1", "red"),
    )
    asked = week_end_questions(now, MONDAY, day(10))

    assert asked[0] == WeekEndQuestion(
        "stage.strip.26%2F1", "red: is “Strip it” finished?", (("yes", "Finished"), ("no", "Not yet")), "Hours of “Sand it” are written after it.", "yes"
    )  # fmt: skip
    assert [(one.name, one.first) for one in asked[1:]] == [("day.2026-06-08", ""), ("day.2026-06-09", "")]
    assert asked[1].asks == "Nothing is written of Mon 8 June. What was it?"
    assert [value for value, _ in asked[1].choices] == ["away", "did not work", "not written down"]
    assert len(week_end_questions(now, MONDAY, day(20))) == 3
    assert spans == [(MONDAY, day(10)), (MONDAY, day(14))]
