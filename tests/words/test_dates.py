import calendar
import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from estimator.words.dates import (
    last_day_named,
    read_date,
    read_quarter,
    say_date,
    say_day,
    say_exactly,
    short_date,
    short_exactly,
    the_date,
)
from estimator.words.errors import UnreadableError

DAYS = st.dates(dt.date(1950, 1, 1), dt.date(2100, 12, 31))
MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"]  # fmt: skip
TWELFTH = dt.date(2026, 6, 12)


def refused(reader, *args):
    with pytest.raises(UnreadableError) as error:
        reader(*args)
    return error.value


@pytest.mark.parametrize(
    "value",
    ["2026-06-12", "2026-6-12", "2026/06/12", "2026.06.12", "20260612", 20260612.0, "2026-W24-5", "2026W245", "2026-06-12T09:30", "2026-06-12 09:30:00", "2026-06-12T09:30:00.5Z", "20260612T0930", "2026-06-12T09:30+02:00", "12 June 2026", "12 jun 2026", "12th of June, 2026", "12-Jun-2026", "June 12, 2026", "Jun. 12 2026", "Fri 12 June 2026", "Friday, 12 June 2026", TWELFTH, dt.datetime.fromisoformat("2026-06-12T09:30"), dt.datetime(2026, 6, 12, tzinfo=dt.UTC)],
)  # fmt: skip
def test_one_day_in_every_spelling(value):
    assert read_date(value, "iso") == TWELFTH


@pytest.mark.parametrize(
    "text",
    ["Mon 8", "Tues 9", "Tuesday, 9", "Wed. 10", "Wednesday 10", "thur 11", "Thurs. 11", "Sat 13", "Saturday 13", "sun 14"],
)  # fmt: skip
def test_a_weekday_before_a_date_is_read_as_it_is_shortened(text):
    assert read_date(f"{text} June 2026").day == int(text.split()[1])


# ISO 8601-1:2019, week dates; the same pairs stand in the test suites of several date libraries
@pytest.mark.parametrize(
    ("week_date", "day"),
    [
        ("2004-W53-6", "2005-01-01"),
        ("2004-W53-7", "2005-01-02"),
        ("2005-W52-6", "2005-12-31"),
        ("2005-W52-7", "2006-01-01"),
        ("2006-W01-1", "2006-01-02"),
        ("2008-W01-1", "2007-12-31"),
        ("2009-W01-1", "2008-12-29"),
        ("2009-W53-4", "2009-12-31"),
        ("2009-W53-7", "2010-01-03"),
    ],
)
def test_week_dates(week_date, day):
    assert read_date(week_date) == dt.date.fromisoformat(day)


def test_long_years_have_a_fifty_third_week():
    # ISO 8601: a year is long when 1 January is a Thursday, or a Wednesday in a leap year; 2026 is one
    def is_long(year):
        first = dt.date(year, 1, 1).weekday()
        return first == 3 or (first == 2 and calendar.isleap(year))

    def has_week_53(year):
        try:
            return bool(read_date(f"{year}-W53-4"))
        except UnreadableError:
            return False

    assert [y for y in range(1950, 2101) if has_week_53(y)] == [y for y in range(1950, 2101) if is_long(y)]
    assert has_week_53(2026)


@given(DAYS)
def test_every_day_is_read_back_from_every_spelling(day):
    month = MONTHS[day.month - 1]
    year, week, weekday = day.isocalendar()
    texts = [str(day), f"{day:%Y%m%d}", f"{day.year}/{day.month}/{day.day}", f"{day.day} {month} {day.year}", f"{month[:3]} {day.day}, {day.year}", say_day(day), f"{day}T23:59:59Z"]  # fmt: skip
    texts += [f"{year}-W{week:02}-{weekday}", f"{year}W{week:02}{weekday}"]
    for value in [*texts, day, dt.datetime.combine(day, dt.time(23, 59))]:
        assert read_date(value) == day
    for mark in "/.- ":
        assert read_date(f"{day.day}{mark}{day.month}{mark}{day.year}", "day-month") == day
        if day.day <= 12 or mark != " ":
            assert read_date(f"{day.month:02}{mark}{day.day:02}{mark}{day.year}", "month-day") == day


@given(DAYS)
def test_no_day_is_guessed(day):
    text = f"{day.day}/{day.month}/{day.year}"
    if day.day > 12 or day.day == day.month:
        assert read_date(text, "iso") == day
    else:
        error = refused(read_date, text, "iso")
        other = dt.date(day.year, day.day, day.month)
        assert str(day) in error.cure
        assert str(other) in error.cure


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("03/04/2026", '"03/04/2026" could be 3 April or 4 March 2026'),
        ("03.04.2026", '"03.04.2026" could be 3 April or 4 March 2026'),
        ("03/04/26", '"03/04/26" has a year of two figures'),
        ("26-06-12", '"26-06-12" has a year of two figures'),
        ("12 June '26", '"12 June \'26" has a year of two figures'),
        ("12 June", '"12 June" has no year'),
        ("Mon 12 June 2026", '"Mon 12 June 2026" falls on a Fri'),
        ("2026-02-30", '"2026-02-30" is in no calendar'),
        ("29/02/2025", '"29/02/2025" is in no calendar'),
        ("13/13/2026", '"13/13/2026" is in no calendar'),
        ("00/05/2026", '"00/05/2026" is in no calendar'),
        ("2025-W53-1", '"2025-W53-1" is in no calendar'),
        ("2026-W24", '"2026-W24" is not a date that can be read'),
        ("12 Juni 2026", '"12 Juni 2026" is not a date that can be read'),
        ("12 Mayo 2026", '"12 Mayo 2026" is not a date that can be read'),
        ("soon", '"soon" is not a date that can be read'),
        ("1949-12-31", '"1949-12-31" is in the year 1949'),
        ("2101-01-01", '"2101-01-01" is in the year 2101'),
        (dt.date(1900, 1, 1), '"1900-01-01" is in the year 1900'),
        (46185, '"46185" is a number, not a date'),
        (46185.4, '"46185.4" is a number, not a date'),
    ],
)
def test_what_is_wrong_is_said(value, wrong):
    assert refused(read_date, value, "iso").wrong == wrong


def test_september_has_two_short_names_and_a_missing_date_of_a_data_frame_is_empty():
    import pandas as pd

    assert read_date("3 Sep 2026") == read_date("Sept. 3, 2026") == dt.date(2026, 9, 3)
    assert refused(read_date, pd.NaT).wrong == "nothing is written"


def test_only_one_reading_is_no_ambiguity():
    for style in ("iso", "day-month", "month-day"):
        assert read_date("25/12/2026", style) == read_date("12/25/2026", style) == dt.date(2026, 12, 25)
    assert read_date("03/04/2026", "day-month") == dt.date(2026, 4, 3)
    assert read_date("03/04/2026", "month-day") == dt.date(2026, 3, 4)


@pytest.mark.parametrize("text", ["2026-Q3", "2026Q3", "2026 q3", "Q3 2026", "q3/2026"])
def test_a_quarter_in_every_spelling(text):
    assert read_quarter(text) == (dt.date(2026, 7, 1), dt.date(2026, 9, 30))


@given(st.integers(1950, 2100))
def test_four_quarters_are_a_year_without_gaps(year):
    quarters = [read_quarter(f"{year}-Q{q}") for q in (1, 2, 3, 4)]

    assert quarters[0][0] == dt.date(year, 1, 1)
    assert quarters[3][1] == dt.date(year, 12, 31)
    for (_, last), (first, _) in pairwise(quarters):
        assert first - last == dt.timedelta(days=1)


def test_what_is_no_quarter_is_refused():
    for value in ("2026-Q5", "2026", "Q3", 2026.3, TWELFTH):
        refused(read_quarter, value)
    assert refused(read_quarter, "1949-Q4").wrong == '"1949-Q4" is in the year 1949'


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("2026-06-01", "Mon 1 June"),
        ("2026-06-22", "Mon 22 June"),
        ("2026-05-11", "Mon 11 May"),
        ("2026-06-23", "week of Mon 22 June"),
        ("2026-06-28", "week of Mon 22 June"),
        ("2026-08-10", "week of Mon 10 August"),
        ("2026-08-11", "mid August"),
        ("2026-10-01", "early October"),
        ("2026-10-10", "early October"),
        ("2026-10-11", "mid October"),
        ("2026-10-20", "mid October"),
        ("2026-10-21", "late October"),
        ("2026-10-31", "late October"),
        ("2027-01-05", "early January 2027"),
        ("2025-11-30", "late November 2025"),
    ],
)
def test_a_day_is_said_as_surely_as_it_can_be_known(day, said):
    assert say_date(dt.date.fromisoformat(day), dt.date(2026, 6, 1)) == said


@given(DAYS, st.integers(-200, 200))
def test_a_later_day_is_never_said_as_an_earlier_week(today, days):
    day = today + dt.timedelta(days=days)
    assume(1950 <= day.year <= 2100)
    said = say_date(day, today)

    if abs(days) <= 21:
        assert read_date(f"{said} {day.year}") == day
    elif abs(days) <= 70:
        monday = next(m for m in (day - dt.timedelta(days=n) for n in range(7)) if m.weekday() == 0)
        assert said == f"week of Mon {monday.day} {MONTHS[monday.month - 1]}"
    else:
        third, month, *year = said.split()
        assert MONTHS[day.month - 1] == month
        first = {"early": 1, "mid": 11, "late": 21}[third]
        assert first <= day.day <= {1: 10, 11: 20, 21: 31}[first]
        assert year == ([] if day.year == today.year else [str(day.year)])


@given(DAYS, DAYS)
def test_what_an_owner_is_told_is_one_day_however_far_off(day, today):
    said = say_exactly(day, today)

    assert read_date(said if day.year != today.year else f"{said} {day.year}") == day


@given(DAYS, st.integers(-600, 600), st.sampled_from([(say_date, short_date), (say_exactly, short_exactly)]))
def test_the_short_day_is_the_day_in_fewer_letters(today, days, both):
    day = today + dt.timedelta(days=days)
    said, short = (say(day, today) for say in both)

    assert len(short) <= len("Wed 30 Sep 2026")
    long = next((m for m in MONTHS if m[:3] in short.split()), "")
    assert said.replace("of Mon ", "of ").startswith(
        short.replace(long[:3], long).removesuffix(f" {day.year}")
    )
    if abs(days) > 300 and day.year != today.year:
        assert short.endswith(str(day.year))


@given(DAYS, st.integers(-600, 600))
def test_the_last_day_named_is_the_last_of_what_would_be_said_of_that_day(today, ahead):
    day = today + dt.timedelta(ahead)
    last = last_day_named(day, today)

    assert last >= day
    if abs(ahead) <= 21:
        assert last == day
    elif abs(ahead) <= 70:
        assert last.weekday() == 6
        assert (last - day).days < 7
    else:
        assert (last.year, last.month) == (day.year, day.month)
        assert min((last.day - 1) // 10, 2) == min((day.day - 1) // 10, 2)
        assert last.day in {10, 20, calendar.monthrange(day.year, day.month)[1]}


@pytest.mark.parametrize(
    ("ahead", "short", "within"),
    [
        (21, "Tue 22 Dec", "Tue 22 December"),
        (22, "week of 21 Dec", "the week of Mon 21 December"),
        (70, "week of 8 Feb", "the week of Mon 8 February"),
        (71, "early Feb", "early February 2027"),
        (299, "late Sep", "late September 2027"),
        (300, "late Sep 2027", "late September 2027"),
    ],
)
def test_a_day_in_the_column_of_a_table_and_within_a_sentence(ahead, short, within):
    today = dt.date(2026, 12, 1)
    day = today + dt.timedelta(ahead)
    assert (short_date(day, today), the_date(day, today)) == (short, within)
    assert short_exactly(day, today).endswith("2027") is (ahead == 300)


def test_a_day_late_in_this_year_has_no_year_however_far_off():
    assert short_date(dt.date(2026, 12, 4), dt.date(2026, 1, 5)) == "early Dec"
    assert short_date(dt.date(2027, 1, 4), dt.date(2026, 1, 5)) == "early Jan 2027"
