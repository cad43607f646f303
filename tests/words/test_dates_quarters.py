"""Quarters and the twelve months up to their ends: they follow one another without a gap or an overlap."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from estimator.words.dates import A_DAY, Quarter, years_before

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
