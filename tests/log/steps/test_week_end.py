"""What is asked at the end of a week: of the stage before the one in hand, and only where nobody said."""

import datetime as dt

import pytest
from making.plans import written
from making.working_day import MAY, STORES, opened

from estimator.log.stage_hours import stage_hours
from estimator.log.steps.enquiry import OwnerAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.week_end import OpenStage, WeekEnded, open_stages
from estimator.words.errors import EstimatorError
from estimator.working_day import as_written

RED, FISH = "26-001", "26-002"


@pytest.fixture(params=sorted(STORES))
def day(request, tmp_path):
    return opened(request.param, tmp_path)


def asked(day, first=0, last=4):
    days = (MAY + dt.timedelta(days=n) for n in (first, last))
    return open_stages(as_written(day.now(30)), *days)


def is_done(day, board, stage):
    now = as_written(day.now(30))
    return {
        one.stage: one.done for one in stage_hours(now.log.entries, now.log.by_id, now.settings.stages)[board]
    }[stage]


def test_a_stage_is_asked_about_once_later_work_is_begun_and_nobody_said(day):
    day.do(HoursNow(RED, "strip", "4"))
    assert asked(day) == ()
    day.do(HoursNow(RED, "infill", "2"), 1)
    assert asked(day) == (OpenStage(RED, "strip", "infill"),)
    assert asked(day, 7, 11) == ()  # nothing was worked on it then

    day.do(WeekEnded(((RED, "strip", True),)), 4)
    assert asked(day) == ()
    assert is_done(day, RED, "strip")


def test_what_is_not_over_stays_open_though_later_work_was_begun(day):
    day.do(HoursNow(RED, "strip", "4"))
    day.do(HoursNow(RED, "infill", "2"), 1)
    assert is_done(day, RED, "strip")  # what comes after it was begun
    day.do(WeekEnded(((RED, "strip", False),)), 4)

    assert not is_done(day, RED, "strip")
    assert asked(day) == ()


def test_one_stage_a_board_and_never_what_was_said_to_be_done(day):
    day.do(OwnerAnswered(FISH, yes=True))
    day.do(HoursNow(RED, "strip", "4"))
    day.do(HoursNow(RED, "infill", "2", done=True), 1)
    day.do(HoursNow(RED, "reshape", "1"), 2)
    day.do(HoursNow(FISH, "strip", "1"), 2)
    day.do(HoursNow(FISH, "infill", "1"), 3)

    assert asked(day) == (OpenStage(FISH, "strip", "infill"),)


WEEK = dt.date(2026, 5, 4), dt.date(2026, 5, 8)


def in_week(hours):
    """Of boards a, b, c, d, and f, which is finished: hours as `board day[/last] stage [hours]`, by commas."""
    row = "2026-04-01,2026-04-01"
    boards = (
        "board,accepted,started,ready\n"
        + "".join(f"{name},{row},\n" for name in "abcd")
        + f"f,{row},2026-05-08\n"
    )
    rows = []
    for board, days, stage, *much in (one.split() for one in hours.split(", ")):
        first, _, last = days.partition("/")
        until = f"2026-05-{last}" if last else ""
        rows.append(f"{board},2026-05-{first},{until},{stage},{much[0] if much else 1}")
    now = written(boards=boards, hours="\n".join(["board,date,until,stage,hours", *rows]), doubted=True)
    return [(one.board, one.stage, one.since) for one in open_stages(now, *WEEK)]


@pytest.mark.parametrize(
    ("hours", "asked"),
    [
        ("a 01 strip, a 02/04 infill", [("a", "strip", "infill")]),  # into the first day
        ("a 01 strip, a 08 infill", [("a", "strip", "infill")]),  # on the last
        ("a 01 strip, a 03 infill", []),
        ("a 05 strip, a 09 infill", []),  # in this week nobody knew of it
        ("a 05 strip, a 06 infill 0", []),
        ("a 05 strip, a 05 infill", [("a", "strip", "infill")]),
        ("f 05 strip, f 06 infill", []),
        ("a 04 strip, a 05 infill, a 06 sand", [("a", "infill", "sand")]),
        (
            "a 05 strip, a 08 infill, b 07 strip, b 08 infill, c 04 strip, c 08 infill, d 06 strip, d 08 infill",
            [("b", "strip", "infill"), ("d", "strip", "infill"), ("a", "strip", "infill")],
        ),
    ],
)
def test_three_stages_at_most_of_boards_of_the_week_the_last_days_first(hours, asked):
    assert in_week(hours) == asked


def test_days_and_stages_are_one_act_and_nothing_is_refused(day):
    day.do(HoursNow(RED, "strip", "4"))
    day.do(HoursNow(RED, "infill", "2"), 1)
    done = day.do(WeekEnded(((RED, "strip", True),), {"2026-05-06": "did not work"}), 4)
    assert done.label == "end of the week: 1 stage looked over, 1 empty day explained"
    shop = [e for e in as_written(day.now(30)).log.entries if e.board == "shop"]
    assert [(e.date, e.hours, e.note) for e in shop] == [(dt.date(2026, 5, 6), 0, "did not work")]
    again = day.do(WeekEnded(((RED, "infill", False),), {"2026-05-07": " "}), 4)
    assert again.label == "end of the week: 1 stage looked over"
    for step in (WeekEnded(), WeekEnded(((FISH, "strip", True),)), WeekEnded((), {"2026-05-06": "ill"})):
        with pytest.raises(EstimatorError):
            day.do(step, 4)


def test_a_stage_of_which_any_hours_say_whether_it_is_over_is_not_asked_about(day):
    day.do(HoursNow(RED, "strip", "4"))
    day.do(HoursNow(RED, "strip", "1", done=True), 1)
    day.do(HoursNow(RED, "infill", "2"), 2)

    assert asked(day) == ()
