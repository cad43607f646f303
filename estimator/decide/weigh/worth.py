"""What an hour at the bench is worth: what the ordinary work pays, and what overheads take of it."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from estimator.bench.calendar import Calendar
from estimator.decide.quarter.pay import Made
from estimator.words.dates import A_DAY
from estimator.words.json_form import JsonForm, named
from estimator.words.records import SHOP, Log
from estimator.words.settings.schema import Settings

LOOKED_BACK = 730  # days of which finished boards tell what ordinary work pays
LENT_HOURS = 200.0  # hours at the pay that is wanted, until the log tells
FULL = 8.0  # weeks of work in hand from which on no hour is taken to stand idle
YEAR, ENOUGH = 365, 91  # days of bench hours that carry overheads; days of a log that tells of them


@dataclass(frozen=True, slots=True)
class UsualPay(JsonForm):
    """Pay an hour of the ordinary work, before overheads.

    boards, hours: that it comes from, beside 200 hours at the pay that is wanted; without_money: boards finished in
    the same time of which price, materials or hours are not known
    """

    pay: float
    boards: int
    hours: float
    without_money: int


@dataclass(frozen=True, slots=True)
class Elsewhere(JsonForm):
    """What an hour is worth that does not go to the board that is weighed.

    pay: money an hour; weeks: of work in hand without the board, None where that cannot be told
    filled: how much of that hour is taken to be filled with ordinary work, 0 to 1
    """

    pay: float
    weeks: float | None = field(metadata=named("weeks_in_hand"))
    filled: float


def elsewhere(usual: float, floor: float, weeks: float | None) -> Elsewhere:
    """What the ordinary work pays, with so much in line that hours are short; the least that is taken, without a line.

    >>> [elsewhere(42.0, 30.0, weeks).pay for weeks in (None, 0.0, 4.0, 15.0)]
    [42.0, 30.0, 36.0, 42.0]
    """
    filled = 1.0 if weeks is None else min(weeks / FULL, 1.0)
    return Elsewhere(usual + (1 - filled) * (min(floor, usual) - usual), weeks, filled)


@dataclass(frozen=True, slots=True)
class Overhead:
    """Overheads for each hour at the bench; `hours` of a year that carry them, from the log or the calendar."""

    an_hour: float
    hours: float
    from_log: bool


def usual_pay(made: Iterable[Made], target: float, day: dt.date) -> UsualPay:
    """(sum of prices less materials + 200 hours at the target) / (sum of hours + 200), of 24 months up to a day.

    >>> day = dt.date(2026, 10, 1)
    >>> usual_pay([Made("26-014", "", "", day, 50.0, True, 2200.0, 200.0)], 40.0, day).pay
    40.0
    """
    lately = [one for one in made if 0 <= (day - one.ended).days <= LOOKED_BACK]
    counted = [one for one in lately if one.counted]
    hours = math.fsum(one.hours for one in counted)
    brought = math.fsum(one.brought or 0.0 for one in counted)
    return UsualPay(
        pay=(brought + LENT_HOURS * target) / (hours + LENT_HOURS),
        boards=len(counted),
        hours=hours,
        without_money=len(lately) - len(counted),
    )


def overhead_an_hour(log: Log, settings: Settings, day: dt.date) -> Overhead:
    """Overheads of a year over the hours at the bench in it: as worked up to a day, else as the calendar has them.

    Of a board's total only what no row has is added.

    A log of less than a year counts for the days since its first entry; one of less than a quarter does not count.
    """
    since = day - YEAR * A_DAY
    rows = [e for e in log.entries if e.board != SHOP and since < e.last <= day]
    booked: dict[str, float] = defaultdict(float)
    for entry in log.entries:
        booked[entry.board] += entry.hours
    sums = [
        max((b.total_hours or 0.0) - booked[b.board], 0.0)
        for b in log.boards
        if b.ready and since < b.ready <= day
    ]
    first = min((e.date for e in log.entries), default=day)
    days = min((day - first).days, YEAR)
    worked = sum(e.hours for e in rows) + sum(sums)
    from_log = days >= ENOUGH and worked > 0
    if from_log:
        hours = worked * YEAR / days
    else:
        hours = float(Calendar.of(settings.bench).hours_from(day, YEAR).sum())
    yearly = 12 * settings.workshop.overheads_a_month
    return Overhead(yearly / hours if hours else 0.0, hours, from_log)
