"""Quarters and the twelve months up to their ends: they follow one another without a gap or an overlap."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.dates import (
    A_DAY,
    Quarter,
    public_holidays,
    read_weekday,
    read_weekdays,
    within,
    years_before,
)
from estimator.words.errors import UsageError

DAYS = st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1))
QUARTERS = st.builds(lambda y, q: f"{y}-Q{q}", st.integers(1990, 2090), st.integers(1, 4))


@given(QUARTERS, DAYS)
def test_a_quarter_is_behind_running_or_ahead(name, today):
    quarter = Quarter.read(name, today)

    assert quarter.name == name
    assert [quarter.last < today, quarter.running, quarter.ahead].count(True) == 1
    assert quarter.end <= today
    assert list(quarter.days()) == [d for d in _days(quarter.first, quarter.last) if d <= today]


@given(QUARTERS, DAYS, st.integers(0, 3))
def test_years_and_quarters_follow_without_a_gap(name, today, back):
    quarter = Quarter.read(name, today)
    first, last = quarter.twelve_months(back)

    assert (last - first).days + 1 in {365, 366}
    assert quarter.twelve_months(back + 1)[1] == first - A_DAY
    assert quarter.before(back + 1).last + A_DAY == quarter.before(back).first
    assert quarter.before(4).first == quarter.first.replace(year=quarter.first.year - 1)


def test_the_day_that_other_years_have_not():
    assert years_before(dt.date(2024, 2, 29), 4) == dt.date(2020, 2, 29)
    assert years_before(dt.date(2024, 2, 29), 1) == dt.date(2023, 2, 28)


def _days(first, last):
    return [first + n * A_DAY for n in range((last - first).days + 1)]


@pytest.mark.parametrize(
    ("today", "end", "running", "ahead", "days"),
    [
        ("2026-06-30", "2026-06-30", False, True, 0),
        ("2026-07-01", "2026-07-01", True, False, 1),
        ("2026-09-30", "2026-09-30", True, False, 92),
        ("2026-10-01", "2026-09-30", False, False, 92),
    ],
)
def test_a_quarter_on_the_days_about_its_beginning_and_its_end(today, end, running, ahead, days):
    third = Quarter.read("2026-Q3", dt.date.fromisoformat(today))
    assert (str(third.end), third.running, third.ahead, len(list(third.days()))) == (
        end,
        running,
        ahead,
        days,
    )
    assert third.span == (dt.date(2026, 7, 1), third.end)


@pytest.mark.parametrize(
    ("name", "back", "before"),
    [
        ("2026-Q1", 1, "2025-Q4"),
        ("2026-Q4", 1, "2026-Q3"),
        ("2026-Q1", 5, "2024-Q4"),
        ("2026-Q2", 0, "2026-Q2"),
    ],
)
def test_the_quarter_so_many_before(name, back, before):
    assert Quarter.read(name, dt.date(2026, 12, 31)).before(back).name == before


def test_twelve_months_end_with_the_last_day_that_is_looked_at():
    running = Quarter.read("2026-Q3", dt.date(2026, 8, 15))
    assert list(map(str, running.twelve_months())) == ["2025-08-16", "2026-08-15"]
    assert list(map(str, running.twelve_months(1))) == ["2024-08-16", "2025-08-15"]
    assert [Quarter.holding(dt.date(2026, month, 1)).name[-2:] for month in (1, 3, 4, 6, 7, 9, 10, 12)] == [
        "Q1", "Q1", "Q2", "Q2", "Q3", "Q3", "Q4", "Q4",
    ]  # fmt: skip
    assert str(years_before(dt.date(2026, 3, 1), 2)) == "2024-03-01"


def test_a_day_lies_in_a_span_with_both_its_ends():
    span = (dt.date(2026, 7, 1), dt.date(2026, 7, 3))
    days = [None, *(dt.date(2026, 7, 1) + n * dt.timedelta(1) for n in (-1, 0, 2, 3))]
    assert [within(day, span) for day in days] == [False, False, True, True, False]


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Mon-Thu", (0, 1, 2, 3)),
        ("sat-mon", (0, 5, 6)),
        ("Fri", (4,)),
        ("wed, mon wed", (0, 2)),
        ("Tue–Thu", (1, 2, 3)),  # as a telephone writes it
        ("Sat - Mon, wed.", (0, 2, 5, 6)),
        ("Mon-Mon", (0,)),
        ("Sun-Sun", (6,)),
    ],
)
def test_days_of_the_week_that_are_named(text, days):
    assert read_weekdays(text) == days


@pytest.mark.parametrize("text", ["", " , ", "xyz", "Mon-", "-Tue", "Mon/Thu", "Mon3"])
def test_what_names_no_day_of_the_week_is_refused(text):
    with pytest.raises(UsageError):
        read_weekdays(text)


def test_several_days_are_no_day():
    assert (read_weekday(" Thursday"), read_weekday("sat.")) == (3, 5)
    with pytest.raises(UsageError, match="'Mon-Thu' is no day of the week"):
        read_weekday("Mon-Thu")


def test_public_holidays_are_those_of_the_region_and_of_none_where_no_code_is():
    """Scotland keeps 2 January and St Andrew's Day: Bank Holiday (Scotland) Act 2007 and the Act of 1971."""
    scotland, england = public_holidays("GB-SCT", 2026), public_holidays("GB-ENG", 2026)
    assert dt.date(2026, 1, 2) in scotland - england
    assert dt.date(2026, 11, 30) in scotland - england
    assert dt.date(2026, 4, 6) in england - scotland  # Easter Monday
    assert public_holidays("", 2026) == frozenset()
    with pytest.raises(KeyError):
        public_holidays("XX", 2026)
