"""What an hour at the bench is worth: what the ordinary work pays, and what overheads take of it."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from estimator.bench.calendar import Calendar, capacity_of
from estimator.decide.quarter.pay import Made
from estimator.log.money import price_of, rent_a_month
from estimator.words.dates import A_DAY
from estimator.words.json_form import JsonForm, named
from estimator.words.records import SHOP, Log
from estimator.words.settings.schema import Settings

LOOKED_BACK = 730  # days of which finished boards tell what ordinary work pays
LENT_HOURS = 200.0  # hours at the pay that is wanted, until the log tells
FULL = 4.0  # weeks of work in hand from which on no hour is taken to stand idle
ASKS, FEW_ASKS = 60, 10  # enquiries that tell which work would fill the hours, the newest; and fewest of them
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
class Filling:
    """The pay an hour from which on the work that was asked for just fills the hours; 0 where all of it does not.

    asks: enquiries that it comes from, refused ones included
    """

    pay: float
    asks: int


@dataclass(frozen=True, slots=True)
class Elsewhere(JsonForm):
    """What an hour is worth that does not go to the board that is weighed.

    pay: money an hour; weeks: of work in hand without the board, None where that cannot be told
    filled: how much of that hour is taken to be filled with better work, 0 to 1
    better: what that work pays; idle: what an hour without a board is worth; asks: enquiries that tell of it, 0 where
    they are too few and the ordinary work stands in
    """

    pay: float
    weeks: float | None = field(metadata=named("weeks_in_hand"))
    filled: float
    better: float = field(metadata=named("better_work"))
    idle: float = field(default=0.0, metadata=named("idle_hour"))
    asks: int = 0


def elsewhere(better: float, idle: float, weeks: float | None, asks: int = 0) -> Elsewhere:
    """What better work pays, with four weeks of it in line; what an idle hour is worth, without a line.

    >>> [elsewhere(42.0, 30.0, weeks).pay for weeks in (None, 0.0, 2.0, 15.0)]
    [42.0, 30.0, 36.0, 42.0]
    """
    filled = 1.0 if weeks is None else min(weeks / FULL, 1.0)
    return Elsewhere(idle + filled * max(better - idle, 0.0), weeks, filled, better, idle, asks)


def filling(asks: Sequence[tuple[float, float]], hours: float) -> float:
    """The pay at which the better-paying of asks just fill so many hours; 0 where all of them do not.

    asks: pay an hour and hours of each

    >>> asks = [(20.0, 30.0), (50.0, 40.0), (35.0, 30.0)]
    >>> filling(asks, 60.0), filling(asks, 101.0)
    (35.0, 0.0)
    """
    taken = 0.0
    for pay, much in sorted(asks, reverse=True):
        taken += much
        if taken >= hours:
            return max(pay, 0.0)
    return 0.0


def filling_of(
    log: Log, settings: Settings, hours: Mapping[str, float | None], day: dt.date
) -> Filling | None:
    """The pay that fills the hours, by the last sixty enquiries up to a day; None where fewer than ten tell.

    hours: by board all that it took, None where some are missing

    Hours are the restorer's own guess, times how guesses ran, or what a board took of which there is none; materials
    that are not written are the usual part of the price. Enquiries without a price or hours count for as much work, at
    as much pay, as the others.
    """
    dated = [(asked, b) for b in log.boards if (asked := b.asked or b.quoted) is not None and asked <= day]
    newest = sorted(dated, key=lambda one: (one[0], one[1].board))[-ASKS:]
    took = [
        (b.guess, much) for b in log.boards if b.guess and not b.from_memory and (much := hours.get(b.board))
    ]
    ran = sum(much for _, much in took) / sum(guess for guess, _ in took) if took else 1.0
    spent = [(b.materials, price) for b in log.boards if b.materials is not None and (price := price_of(b))]
    part = sum(much for much, _ in spent) / sum(price for _, price in spent) if spent else 0.0
    asks = []
    for _, board in newest:
        guessed = board.guess * ran if board.guess and not board.from_memory else None
        much, price = guessed or hours.get(board.board), board.price_quoted or price_of(board)
        if much and price:
            materials = part * price if board.materials is None else board.materials
            asks.append(((price - materials) / much, much))
    if len(asks) < FEW_ASKS:
        return None
    first = newest[0][0]
    there = float(Calendar.of(settings.bench).hours_from(first, (day - first).days + 1).sum())
    ahead = capacity_of(log, settings.bench, day + A_DAY)
    if ahead.past is not None and ahead.as_they_came and ahead.apart:
        there *= float(ahead.past.hours.sum(axis=1).mean()) / sum(settings.bench.hours_by_weekday)
    return Filling(filling(asks, there * len(asks) / len(newest)), len(asks))


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

    Overheads are those that rows of money tell, where they do for three months, else those of the settings.

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
    rent = rent_a_month(log, day)
    yearly = 12 * (settings.workshop.overheads_a_month if rent is None else rent)
    return Overhead(yearly / hours if hours else 0.0, hours, from_log)
