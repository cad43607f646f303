"""Days that a text names, read near Friday 12 June 2026, each by the calendar."""

import datetime as dt

import pytest

from estimator.log.notebook.days_named import day_at
from estimator.log.notebook.tokens import tokens_of

FRIDAY = dt.date(2026, 6, 12)


def found(text, style="iso", *, place=0, first=False):
    day = day_at(tokens_of(text), place, FRIDAY, style, first=first)
    if day is None:
        return None
    days = [one.isoformat() for one in day.days]
    said = [*days, *([day.weekday] if day.weekday is not None else [])]
    week = ["week"] if day.whole_week else []
    return (day.end, *said, *week, *([day.weeks] if day.weeks else []), *([day.wrong] if day.wrong else []))


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("last Fri", (2, 4, -1)),
        ("last red", None),
        ("last", None),
        ("last week", (2, "week", -1)),
        ("this week", (2, "week")),
        ("all week", (2, "week")),
        ("the week", (2, "week")),
        ("week of 6 April", (4, "2026-04-06", "week")),
        ("w/e: 5 April", (6, "2026-04-05", "week")),
        ("week commencing Mon 8 June", (5, "2026-06-08", "week")),
        ("week ending", None),
        ("week ending red", None),
    ],
)
def test_a_week_and_a_day_of_the_last_one(text, means):
    assert found(text) == means


def test_a_part_of_a_week_is_no_week():
    assert found("first half of the week", place=3) is None
    assert found("half the week", place=1) == (3, "week")


@pytest.mark.parametrize(
    ("text", "first", "means"),
    [
        ("m: red", True, (1, 0)),
        ("m: red", False, None),
        ("th: red", True, (1, 3)),
        ("m red", True, None),  # a small letter needs its colon
        ("M red", True, (1, 0)),
        ("Tu red", True, (1, 1)),
        ("W red", True, (1, 2)),
        ("Th red", True, (1, 3)),
        ("F red", True, (1, 4)),
        ("F red", False, None),
        ("M 3", True, None),
        ("M", True, None),
    ],
)
def test_the_first_letters_of_a_day_at_the_head_of_a_line(text, first, means):
    assert found(text, first=first) == means


@pytest.mark.parametrize(
    ("text", "weekday"),
    [
        ("Mondays", 0), ("tues", 1), ("weds", 2), ("thur", 3), ("Fri", 4), ("Sat", 5), ("sunday", 6),
        ("Tuseday", 1), ("Wensday", 2), ("frday", 4), ("Mondey", 0), ("thrusday", 3),
        ("midday", None), ("sundry", None), ("money", None), ("fry", None),
    ],
)  # fmt: skip
def test_a_weekday_also_with_a_slip_of_the_pen(text, weekday):
    assert found(text) == (None if weekday is None else (1, weekday))


@pytest.mark.parametrize(
    ("text", "place", "means"),
    [
        ("sun out", 0, (1, 6)),
        ("red sun out", 1, None),  # in the sun
        ("owner sat down", 1, None),
        ("red Sun out", 1, (2, 6)),
        (", sun out", 1, (2, 6)),
        ("red mon", 1, (2, 0)),
    ],
)
def test_sun_and_sat_in_small_letters_behind_a_word_are_no_days(text, place, means):
    assert found(text, place=place) == means


@pytest.mark.parametrize(
    ("text", "first", "means"),
    [
        ("10th: red", True, (1, "2026-06-10")),
        ("10th red", True, None),  # it may be the tenth of something
        ("11th red", True, (1, "2026-06-11")),
        ("11th red", False, None),
        ("2nd: red", True, (1, "2026-06-02")),
        ("2nd red", True, None),
        ("2nd", True, (1, "2026-06-02")),
        ("on the 6th red", False, None),
        ("on the 7th red", False, (3, "2026-06-07")),
        ("on 7th red", False, (2, "2026-06-07")),
        ("on 2nd", False, (2, "2026-06-02")),
        ("the 11th red", True, (2, "2026-06-11")),
        ("the 10th red", True, None),
        ("on the", False, None),
        ("on 7", False, None),
        ("32nd: red", True, None),
        ("0th: red", True, None),
        ("31st: red", True, (1, "2026-05-31")),
        ("27th: red", True, (1, "2026-06-27")),  # fifteen days to come, sixteen gone
        ("28th: red", True, (1, "2026-05-28")),  # fifteen gone, sixteen to come
    ],
)
def test_a_day_of_the_month_alone_is_the_nearest_and_no_second_coat(text, first, means):
    assert found(text, first=first) == means


@pytest.mark.parametrize(
    ("text", "style", "means"),
    [
        ("Fri 12 June", "iso", (3, "2026-06-12")),
        ("Fri, 12 June", "iso", (4, "2026-06-12")),
        ("Fri. 12 June", "iso", (4, "2026-06-12")),
        ("Fri , 12 June", "iso", (1, 4)),
        ("Fri, 11 June", "iso", (1, 4)),  # a Thursday: what follows is another day
        ("Fri 11 June", "iso", (3, "2026-06-11", "that day is a Thu")),
        ("Fri 12th", "iso", (2, "2026-06-12")),
        ("Fri the 5th", "iso", (3, "2026-06-05")),
        ("Fri 4th", "iso", (2, "2026-06-04", "that day is a Thu")),
        ("Mon 8:", "iso", (2, "2026-06-08")),
        ("Mon 8 - red", "iso", (2, "2026-06-08")),
        ("Mon 15:", "iso", (2, "2026-06-15")),
        ("Mon 8 red", "iso", (1, 0)),  # eight hours
        ("Mon 9:", "iso", (1, 0)),
        ("Mon 008:", "iso", (1, 0)),
        ("Mon", "iso", (1, 0)),
        ("Fri 12/6", "day-month", (2, "2026-06-12")),
        ("Fri 12/6", "month-day", (1, 4)),
        ("Fri 12/6", "iso", (2, "2026-06-12")),  # of the two that one which is a Friday
        ("Tue 3/4", "day-month", (1, 1)),  # three quarters
    ],
)
def test_a_weekday_with_its_date_where_the_two_agree(text, style, means):
    assert found(text, style) == means


@pytest.mark.parametrize(
    ("text", "style", "first", "means"),
    [
        ("7 April 4", "iso", True, (2, "2026-04-07")),  # and four hours
        ("7 April 2025", "iso", False, (3, "2025-04-07")),
        ("April 7", "iso", False, (2, "2026-04-07")),
        ("7th of April", "iso", False, (3, "2026-04-07")),
        ("7 sept", "iso", False, (2, "2026-09-07")),
        ("2026-04-07", "iso", False, (5, "2026-04-07")),
        ("11 December", "iso", False, (2, "2026-12-11")),  # 182 days to come, 183 gone
        ("12 December", "iso", False, (2, "2025-12-12")),  # 182 gone, 183 to come
        ("31 June", "iso", False, None),
        ("today", "iso", True, None),
        ("yesterday", "iso", True, None),
        ("7/4", "day-month", True, (1, "2026-04-07")),
        ("7/4", "month-day", True, (1, "2026-07-04")),
        ("7/4", "iso", True, (1, "2026-04-07", "2026-07-04")),
        ("13/4", "iso", True, (1, "2026-04-13")),
        ("5/5", "iso", True, (1, "2026-05-05")),
        ("7/4", "day-month", False, None),
        ("7/4/26", "day-month", False, (1, "2026-04-07")),
        ("7/4/2025", "month-day", False, (1, "2025-07-04")),
        ("7.4", "day-month", True, (1, "2026-04-07")),
        ("7.4", "day-month", False, None),
        ("7.4.26", "day-month", False, (1, "2026-04-07")),
    ],
)
def test_a_date_in_words_and_in_figures(text, style, first, means):
    assert found(text, style, first=first) == means
