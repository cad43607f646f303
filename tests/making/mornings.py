"""A morning at an invented bench, by hand."""

import datetime as dt

from estimator.bench.promises import (
    ANSWER_DUE,
    IN_DANGER,
    IS_READY,
    BenchDay,
    Dates,
    Leave,
    Promise,
    Ring,
    Swap,
    ToldDates,
    Touch,
)

TODAY = dt.date(2026, 6, 9)  # a Tuesday


def day(text):
    """A day of 2026 as 06-20, or of another year in full."""
    return dt.date.fromisoformat(text if len(text) > 5 else f"2026-{text}")


def dates(low, likely, high):
    return Dates(day(low), day(likely), day(high))


def told(last, first=None):
    """The day told last, and where it was another the first one."""
    return ToldDates(None, day(last), day(first or last))


def board(number, called, on, ready, when=None, chance=None, **more):
    """A board in hand; ten equal days stand for its ten boards on a calendar tape."""
    plain = {"hours_left": 12.0, "next_stage": "gloss", "from_day": TODAY, "chance_first": chance}
    return Promise(number, called, on, ready, (ready.likely,) * 10, when, chance, **{**plain, **more})


CLUB = board("26-011", "club board", "bench", dates("06-12", "06-19", "06-26"), told("06-20", "06-06"), 0.41)
FISH = board("26-012", "green fish", "bench", dates("06-15", "06-18", "06-22"), told("07-03"), 0.98)
RED = board(
    "26-009",
    "red nine-four",
    "rack",
    dates("06-11", "06-12", "07-14"),
    told("06-05"),
    0.0,
    next_stage="polish",
    from_day=day("06-13"),
    why="gloss coat has to set",
)
LOG = board("26-020", "", "queue", dates("08-03", "10-12", "2027-01-08"), told("2027-01-15"), 0.93)
EGG = board("26-021", "plum egg", "queue", dates("07-06", "07-20", "08-10"))

MORNING = BenchDay(
    today=TODAY,
    log_up_to=day("06-08"),
    last_entry=day("06-08"),
    promises=(CLUB, FISH, RED, EGG, LOG),
    ring=(
        Ring("26-009", "red nine-four", IN_DANGER, day("07-14"), day("06-05")),
        Ring("26-011", "club board", IN_DANGER, day("06-26"), day("06-20")),
        Ring("26-004", "straw gun", IS_READY, about=day("06-08")),
        Ring("26-021", "plum egg", ANSWER_DUE, about=day("06-01")),
    ),
    touch=(
        Touch("26-011", "club board", "sand", "its date is in danger"),
        Touch("26-012", "green fish", "strip", "the day you told comes next"),
    ),
    leave=(Leave("26-009", "red nine-four", day("06-13"), "gloss coat has to set"),),
    next_start=dates("07-27", "08-12", "09-25"),
    say_yes_by=day("06-16"),
    swap=Swap(
        "26-011",
        "club board",
        {"26-009": 0.0, "26-012": 0.98, "26-011": 0.41, "26-020": 0.93},
        {"26-009": 0.0, "26-012": 0.81, "26-011": 0.72, "26-020": 0.92},
    ),
    capacity="31 weeks as they came",
    left_out={
        "26-022": "ink seven-two: it needs Pinlines, and neither a rule of thumb nor a past board says how "
        "long that takes."
    },
    names={"26-022": "ink seven-two"},
)

EMPTY = BenchDay(
    today=TODAY,
    log_up_to=day("06-08"),
    last_entry=None,
    promises=(),
    ring=(),
    touch=(),
    leave=(),
    next_start=dates("06-09", "06-09", "06-09"),
    say_yes_by=day("06-16"),
    capacity="the week in your settings",
)
