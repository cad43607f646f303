"""Which day words mean that go by the day on which one types: a Friday and a Wednesday, by hand."""

import datetime as dt

import pytest
from making.notebooks import BOARDS, ENTRIES, SETTINGS

from estimator.log.notebook.reader import NotebookReader

WEDNESDAY, FRIDAY = dt.date(2026, 6, 10), dt.date(2026, 6, 12)


def days_of(text, today):
    """The days of the lines, or those that are asked about."""
    page = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, today).read(text, week=today)
    if page.doubts:
        return {choice.value for doubt in page.doubts for choice in doubt.choices}
    return [line.date for line in page.lines]


@pytest.mark.parametrize(
    ("text", "today", "day"),
    [
        ("last Fri club sand 2", FRIDAY, dt.date(2026, 6, 5)),
        ("last Fri club sand 2", WEDNESDAY, dt.date(2026, 6, 5)),
        ("last Thu club gloss 2", WEDNESDAY, dt.date(2026, 6, 4)),
        ("last Wed club sand 2", WEDNESDAY, dt.date(2026, 6, 3)),
        ("yesterday club sand 2", FRIDAY, dt.date(2026, 6, 11)),
        ("today club sand 2", FRIDAY, FRIDAY),
    ],
)
def test_a_day_before_today_is_the_nearest_of_its_name_and_never_today(text, today, day):
    assert days_of(text, today) == [day]


def test_a_day_that_this_week_has_had_is_asked():
    asked = days_of("last Mon club sand 2", FRIDAY)

    assert {"2026-06-08", "2026-06-01"} <= asked
