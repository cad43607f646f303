"""Which days the invented workshop is open, and for how many hours. [invented]"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from estimator.log.demo_dice import Dice
from estimator.log.demo_recipe import FIRST_DAY, LAST_DAY
from estimator.log.demo_waits import QUARTERS

HOURS_A_DAY, HOURS_SD = 6.0, 0.25  # sd as a share
OFF, DAYS_OFF = ((8, 5), (12, 24)), 14  # from the Monday on or before; the settings have the same days
SCATTERED, OPEN_DAYS_A_YEAR = 4, 240  # single days a year on which he did not work
ONE_DAY = dt.timedelta(days=1)


def all_days() -> Iterator[dt.date]:
    """Every day that the log covers."""
    day = FIRST_DAY
    while day <= LAST_DAY:
        yield day
        day += ONE_DAY


def monday_before(day: dt.date) -> dt.date:
    """That Monday, or the last one before.

    >>> monday_before(dt.date(2026, 8, 5))
    datetime.date(2026, 8, 3)
    """
    return day - day.weekday() * ONE_DAY


def monday_after(day: dt.date) -> dt.date:
    """That Monday, or the next one.

    >>> monday_after(dt.date(2026, 8, 5))
    datetime.date(2026, 8, 10)
    """
    return day + -day.weekday() % 7 * ONE_DAY


def times_away() -> list[tuple[dt.date, dt.date]]:
    """First and last day of the weeks away that begin while the log runs."""
    years = range(FIRST_DAY.year, LAST_DAY.year + 1)
    firsts = [monday_before(dt.date(year, *monthday)) for year in years for monthday in OFF]
    return [(first, first + (DAYS_OFF - 1) * ONE_DAY) for first in firsts if FIRST_DAY <= first <= LAST_DAY]


def open_days() -> list[dt.date]:
    """Mondays to Fridays without the weeks away."""
    away = times_away()
    return [
        day
        for day in all_days()
        if day.weekday() < 5 and not any(first <= day <= last for first, last in away)
    ]


def worked_days(dice: Dice) -> list[dt.date]:
    """The open days without the single ones on which he did not work."""
    days = open_days()
    missed: set[dt.date] = set()
    for year in sorted({day.year for day in days}):
        of_year = [day for day in days if day.year == year]
        missed |= set(dice.shuffled(of_year)[: round(SCATTERED * len(of_year) / OPEN_DAYS_A_YEAR)])
    return [day for day in days if day not in missed]


def quarters_by_day(dice: Dice) -> dict[dt.date, int]:
    """Quarters of an hour at the bench on every day that is worked."""
    return {
        day: max(0, round(QUARTERS * dice.normal(HOURS_A_DAY, HOURS_SD * HOURS_A_DAY)))
        for day in worked_days(dice)
    }
