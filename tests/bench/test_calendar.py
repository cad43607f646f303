import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.bench.calendar import Calendar
from estimator.words.settings.schema import Away, Bench

DAY = dt.date
FIVE_DAYS = (8.0,) * 5 + (0.0, 0.0)


def off(*days):
    return tuple(Away(day, day) for day in days)


# Printed by the help page of a common spreadsheet program for its count of working days, both ends included:
# 108 and 107. The others stand in a handbook page on the same functions; all agree with numpy.busday_count.
@pytest.mark.parametrize(
    ("first", "last", "away", "days"),
    [
        (DAY(2008, 10, 1), DAY(2009, 3, 1), (), 108),
        (DAY(2008, 10, 1), DAY(2009, 3, 1), off(DAY(2008, 11, 26)), 107),
        (
            DAY(2008, 10, 1),
            DAY(2009, 3, 1),
            off(DAY(2008, 11, 26), DAY(2008, 12, 4), DAY(2009, 1, 21)),
            105,
        ),
        (DAY(2009, 1, 1), DAY(2009, 1, 8), (), 6),
        (DAY(2009, 1, 1), DAY(2009, 1, 8), (Away(DAY(2009, 1, 1), DAY(2009, 1, 2)),), 4),
    ],
)
def test_working_days_as_spreadsheet_handbooks_print_them(first, last, away, days):
    assert Calendar(FIVE_DAYS, away).working_days(first, last) == days


# Public holidays of Scotland in 2026 as its government lists them (from memory): 1, 2 January, 3 April, 4, 25 May,
# 3 August, 30 November, 25, 28 December (for the 26th, a Saturday).
def test_public_holidays_are_free():
    scotland = Calendar(FIVE_DAYS, holidays="GB-SCT")
    free = [DAY(2026, 1, 1), DAY(2026, 1, 2), DAY(2026, 4, 3), DAY(2026, 5, 4), DAY(2026, 5, 25)]
    free += [DAY(2026, 8, 3), DAY(2026, 11, 30), DAY(2026, 12, 25), DAY(2026, 12, 28)]
    assert [scotland.hours(day) for day in free] == [0] * len(free)
    assert Calendar(FIVE_DAYS).working_days(free[0], free[1]) == 2
    assert scotland.hours(DAY(2026, 1, 5)) == 8
    assert scotland.hours(DAY(2027, 1, 1)) == 0  # of every year that is asked for


def test_it_is_made_of_the_settings():
    away = (Away(DAY(2026, 8, 3), DAY(2026, 8, 16)),)
    bench = Bench(hours_by_weekday=(6, 6, 6, 6, 5, 0, 0), away=away, holidays="GB")
    assert Calendar.of(bench) == Calendar((6, 6, 6, 6, 5, 0, 0), away, "GB")


def test_hours_day_by_day():
    calendar = Calendar((6, 6, 6, 6, 5, 0, 0), (Away(DAY(2026, 8, 6), DAY(2026, 8, 7)),))
    assert calendar.hours_from(DAY(2026, 8, 3), 9).tolist() == [6, 6, 6, 0, 0, 0, 0, 6, 6]
    assert calendar.hours_from(DAY(2026, 8, 3), 0).shape == (0,)


DAYS = st.dates(DAY(2020, 1, 1), DAY(2030, 1, 1))
WEEKS = st.tuples(*[st.sampled_from([0.0, 4.0])] * 7).filter(any)


@given(DAYS, st.integers(0, 80), WEEKS, st.lists(st.tuples(DAYS, st.integers(0, 20)), max_size=4))
def test_days_are_those_of_the_library_for_arrays(first, n, week, times_away):
    away = tuple(Away(day, day + dt.timedelta(days=more)) for day, more in times_away)
    free = [one.first + dt.timedelta(days=k) for one in away for k in range((one.last - one.first).days + 1)]
    mask, calendar = [hours > 0 for hours in week], Calendar(week, away)
    last = first + dt.timedelta(days=n)

    counted = np.busday_count(first, last + dt.timedelta(days=1), weekmask=mask, holidays=free)
    assert calendar.working_days(first, last) == counted


def test_nothing_lies_between_a_day_and_one_before_it():
    assert Calendar(FIVE_DAYS).working_days(DAY(2026, 8, 4), DAY(2026, 8, 3)) == 0


@pytest.mark.parametrize("ahead", [0, 3, 21, 22, 24, 40, 70, 71, 122, 150, 400])
def test_the_day_to_tell_is_open_and_no_sooner_than_the_one_that_holds(ahead):
    """The last open day of what is named: within three weeks the day, within ten its week, beyond a third of a month."""
    today = DAY(2026, 10, 1)
    sure, open_ = today + dt.timedelta(ahead), Calendar(FIVE_DAYS)
    tell = open_.day_to_tell(sure, today)

    assert tell >= sure
    assert tell.weekday() < 5
    most = 0 if ahead <= 21 else 6 if ahead <= 70 else 10
    assert (tell - sure).days <= most + 2  # two days of a weekend
    assert open_.day_to_tell(sure, today, told=tell) == tell


def test_a_day_told_stands_where_it_is_as_sure_and_no_closed_day_is_told():
    today, open_ = DAY(2026, 10, 1), Calendar(FIVE_DAYS)

    assert open_.day_to_tell(DAY(2026, 11, 20), today, told=DAY(2027, 1, 31)) == DAY(
        2027, 1, 31
    )  # as it was said
    assert open_.day_to_tell(DAY(2027, 1, 22), today, told=DAY(2027, 1, 21)) == DAY(
        2027, 1, 29
    )  # the 31st: a Sunday
    assert open_.day_to_tell(DAY(2027, 1, 22), today, told=DAY(2027, 1, 22)) == DAY(2027, 1, 22)
    assert open_.day_to_tell(DAY(2027, 2, 27), today) == DAY(2027, 3, 1)  # a Saturday; the 28th is a Sunday
    away = Calendar(FIVE_DAYS, (Away(DAY(2027, 1, 25), DAY(2027, 2, 5)),))
    assert away.day_to_tell(DAY(2027, 1, 22), today) == DAY(2027, 1, 22)
    assert Calendar((0.0,) * 7).day_to_tell(DAY(2027, 1, 22), today) == DAY(2027, 1, 31)


def test_what_should_have_been_ready_already_is_told_for_today_or_the_next_open_day():
    open_ = Calendar(FIVE_DAYS)

    assert open_.day_to_tell(DAY(2026, 9, 1), DAY(2026, 10, 1)) == DAY(2026, 10, 1)
    assert open_.day_to_tell(DAY(2026, 9, 1), DAY(2026, 10, 3)) == DAY(2026, 10, 5)  # a Saturday
    assert open_.day_to_tell(DAY(2026, 9, 1), DAY(2026, 10, 1), told=DAY(2026, 9, 20)) == DAY(2026, 10, 1)
    assert open_.day_to_tell(DAY(2026, 9, 1), DAY(2026, 10, 1), told=DAY(2026, 10, 1)) == DAY(2026, 10, 1)


def test_the_next_open_day_is_never_the_day_itself_and_there_may_be_none():
    open_ = Calendar(FIVE_DAYS, (Away(DAY(2026, 10, 5), DAY(2026, 10, 6)),))

    assert open_.next_open(DAY(2026, 10, 1)) == DAY(2026, 10, 2)
    assert open_.next_open(DAY(2026, 10, 2)) == DAY(2026, 10, 7)
    assert Calendar((0.0,) * 7).next_open(DAY(2026, 10, 2)) is None
