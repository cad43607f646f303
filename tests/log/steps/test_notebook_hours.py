"""A week of the notebook in one act: its rows, and what its first hours say of the boards."""

import datetime as dt

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.notebook_hours import NotebookHours, week_of
from estimator.words.errors import UsageError

BOARDS = """\
board,called,accepted,started,state
a,red,2026-05-01,,
b,blue,,,
c,tan,2026-04-01,2026-04-02,
"""
HOURS = "board,date,stage,hours,done\nc,2026-04-30,strip,2,\n"
FRIDAY = dt.date(2026, 5, 8)


@pytest.fixture(scope="module")
def now():
    return written(boards=BOARDS, hours=HOURS)


def typed(*lines, week="2026-05-06"):
    return NotebookHours(tuple(lines), week)


def test_a_board_is_begun_by_its_first_hours_whatever_was_typed_first(now):
    step = typed(("2026-05-06", "red strip 2\nblue assess 1"), ("2026-05-05", "red strip 3"), ("2026-05-07", "blue strip 2"))  # fmt: skip
    plan = planned(step, now, FRIDAY)
    rows = [(c["board"], c["date"], c["stage"], c["hours"]) for _, c in plan.rows]
    assert sorted(rows) == [
        ("a", "2026-05-05", "strip", "3"),
        ("a", "2026-05-06", "strip", "2"),
        ("b", "2026-05-06", "assess", "1"),
        ("b", "2026-05-07", "strip", "2"),
    ]
    # blue was looked over first, and begun the day after
    assert plan.fills == {
        "boards 2": {"started": "2026-05-05"},
        "boards 3": {"state": "asked", "started": "2026-05-07"},
    }
    assert plan.label == "4 lines of hours, 8 h"


def test_done_alone_marks_the_hours_of_the_log_and_a_note_is_a_note(now):
    plan = planned(typed(("2026-05-06", "tan strip done\nBlue 6.4 kg")), now, FRIDAY)
    assert plan.fills == {"hours 2": {"done": "yes"}}
    assert [sheet for sheet, _ in plan.rows] == ["notes"]
    shop = planned(typed(("2026-05-06", "shop sweeping 1")), now, FRIDAY)
    assert (shop.fills, shop.rows[0][1]["board"]) == ({}, "shop")


def test_a_line_of_no_time_begins_no_board(now):
    assert planned(typed(("2026-05-06", "red strip 0 min")), now, FRIDAY).fills == {}
    more = typed(("2026-05-05", "red strip 0 min"), ("2026-05-06", "red strip 10 min"))
    assert planned(more, now, FRIDAY).fills == {"boards 2": {"started": "2026-05-06"}}


def test_today_is_no_day_to_come_and_tomorrow_is(now):
    assert planned(typed(("2026-05-08", "red strip 2")), now, FRIDAY).rows
    for day, text in (("2026-05-09", "red strip 2"), ("", "Thu to Sat red strip 9")):
        with pytest.raises(UsageError, match=r"still to come|to be asked"):
            typed((day, text)).plan(now, FRIDAY)


def test_a_note_may_stand_alone_and_hours_without_a_day_are_asked_about(now):
    alone = planned(typed(("2026-05-06", "Blue 6.4 kg")), now, FRIDAY)
    assert ([sheet for sheet, _ in alone.rows], alone.label) == (["notes"], "1 note")
    with pytest.raises(UsageError, match="to be asked first"):
        typed(("", "tan strip 2")).plan(now, FRIDAY)


@pytest.mark.parametrize(("text", "why"), [("red strip", "to be asked first"), ("", "No hours are written")])
def test_what_is_not_sure_or_not_there_is_not_written(now, text, why):
    with pytest.raises(UsageError, match=why):
        typed(("2026-05-06", f"{text}\nred sand 1" if text else text)).plan(now, FRIDAY)


def test_days_without_a_date_are_of_the_week_that_is_meant(now):
    plan = planned(typed(("", "Mon tan strip 2"), week="2026-04-30"), now, FRIDAY)
    assert plan.rows[0][1]["date"] == "2026-04-27"


@pytest.mark.parametrize("day", [MAY, MAY + dt.timedelta(3), MAY + dt.timedelta(6)])
def test_a_week_runs_from_monday_to_sunday(day):
    assert week_of(day) == tuple(MAY + dt.timedelta(n) for n in range(7))


def test_days_in_one_text_that_run_backwards_begin_a_board_on_the_first_of_them(now):
    plan = planned(typed(("2026-05-06", "red strip 2\nTue red strip 3\nThu red strip 1")), now, FRIDAY)
    assert [cells["date"] for _, cells in plan.rows] == ["2026-05-06", "2026-05-05", "2026-05-07"]
    assert plan.fills == {"boards 2": {"started": "2026-05-05"}}


def test_hours_over_several_days_begin_a_board_on_the_first_day_of_all(now):
    step = typed(("2026-05-06", "red strip 2\nTue to Thu red sand 9"))
    assert planned(step, now, FRIDAY).fills == {"boards 2": {"started": "2026-05-05"}}


def test_what_was_begun_already_is_not_begun_again(now):
    assert planned(typed(("2026-05-06", "tan sand 2")), now, FRIDAY).fills == {}
