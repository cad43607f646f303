"""Days that a notebook names without their year: that of the nearest."""

import datetime as dt

import pytest
from making.notebooks import READER, TODAY

from estimator.log.notebook.amounts import clock_at
from estimator.log.notebook.days_named import day_at
from estimator.log.notebook.tokens import tokens_of


@pytest.mark.parametrize(
    ("text", "near", "style", "day"),
    [
        ("28 Dec", "2026-01-05", "iso", "2025-12-28"),
        ("3 January", "2025-12-30", "iso", "2026-01-03"),
        ("12 Jan", "2026-01-05", "iso", "2026-01-12"),
        ("28/12", "2026-01-05", "day-month", "2025-12-28"),
        ("1/3", "2025-12-30", "month-day", "2026-01-03"),
        ("Sun 28 Dec", "2026-01-05", "iso", "2025-12-28"),
        ("28 Dec 2024", "2026-01-05", "iso", "2024-12-28"),
        ("28/12/24", "2026-01-05", "day-month", "2024-12-28"),
        ("28/12/2023", "2026-01-05", "iso", "2023-12-28"),
        ("12/28/24", "2026-01-05", "month-day", "2024-12-28"),
    ],
)
def test_a_day_without_its_year_is_the_nearest(text, near, style, day):
    found = day_at(tokens_of(text), 0, dt.date.fromisoformat(near), style, first=True)

    assert found.days == (dt.date.fromisoformat(day),)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("10am-12pm", 2.0),  # noon is 12 pm
        ("12-2pm", 2.0),
        ("12am-1am", 1.0),
        ("11-2pm", 3.0),
        ("2-4pm", 2.0),
        ("9.30am-12.15pm", 2.75),
        ("9:00-12:30", 3.5),
        ("2-3", None),  # two to three of something
        ("8pm-7am", None),
        ("1am-1pm", 12.0),
        ("1am-2pm", None),
        ("9:00-19:00", 10.0),
        ("9:00-19:15", None),
    ],
)
def test_hours_between_two_times_of_the_clock(text, hours):
    assert clock_at(tokens_of(text), 0, text).hours == hours


@pytest.mark.parametrize(
    ("text", "in_a_day", "offered"),
    [
        ("9-12", 3.0, 3.0),
        ("12-2", 2.0, 2.0),  # past noon
        ("10-1", 3.0, 3.0),
        ("9-6", 9.0, 9.0),
        ("8-6", None, None),  # ten hours on one thing
        ("7-9", None, 2.0),  # or so many hours
        ("7-9.30", 2.5, 2.5),
        ("6-12", None, None),  # before the morning begins
        ("13-15", None, None),
        ("2-3", None, None),
        ("9-9", None, None),
        ("9-noon", 3.0, 3.0),
    ],
)
def test_two_figures_are_times_of_the_clock_where_one_works_then(text, in_a_day, offered):
    found = clock_at(tokens_of(text), 0, text)
    assert (found.in_a_day, found.offered) == (in_a_day, offered)


def test_from_before_two_figures_says_that_they_are_times():
    text = "from 2 to 5"
    assert clock_at(tokens_of(text), 1, text).in_a_day == 3.0
    assert clock_at(tokens_of("2 to 5"), 0, "2 to 5").in_a_day is None
    assert clock_at(tokens_of("2 to 3 h"), 0, "2 to 3 h").hours is None


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ("an hour and a half", 1.5),
        ("an hour and a quarter", 1.25),
        ("an hour and three quarters", 1.75),
        ("half an hour", 0.5),
        ("half hour", 0.5),
        ("a quarter of an hour", 0.25),
        ("quarter of an hour", 0.25),
        ("a quarter hour", 0.25),
        ("three quarters of an hour", 0.75),
        ("a couple of hours", 2),
        ("couple hrs", 2),
        ("an hour", 1),
    ],
)
def test_parts_of_an_hour_in_words_are_those_hours(said, hours):
    page = READER.read(f"Mon red strip {said}", week=TODAY)
    assert [line.hours for line in page.lines] == [hours]
