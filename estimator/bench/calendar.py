"""On which days the shop works and for how many hours: the week, days away, holidays; or weeks as they came."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from estimator.log.checks import day_shares
from estimator.model.saved_fit import Array
from estimator.words.dates import A_DAY, last_day_named, public_holidays
from estimator.words.phrases import say_middle
from estimator.words.records import SHOP, WAITING, Board, Entry, Log
from estimator.words.settings.schema import Away, Bench

A_YEAR = 366  # days within which a shop is open again


@dataclass(frozen=True, slots=True)
class Calendar:
    """The hours at the bench on any day.

    week: hours from Monday to Sunday; away: days on which nobody works, both ends included
    holidays: a country's or region's code, or empty
    """

    week: tuple[float, ...]
    away: tuple[Away, ...] = ()
    holidays: str = ""

    @classmethod
    def of(cls, bench: Bench) -> Calendar:
        """The calendar of a workshop's settings."""
        return cls(bench.hours_by_weekday, bench.away, bench.holidays)

    def free(self, day: dt.date) -> bool:
        """Whether a day is free for all that its weekday says: away, or a public holiday."""
        return any(one.first <= day <= one.last for one in self.away) or (
            bool(self.holidays) and day in public_holidays(self.holidays, day.year)
        )

    def hours(self, day: dt.date) -> float:
        """Hours at the bench on a day.

        >>> Calendar((6.0,) * 4 + (5.0, 0.0, 0.0)).hours(dt.date(2026, 10, 2))
        5.0
        """
        usual = self.week[day.weekday()]
        return 0.0 if not usual or self.free(day) else usual

    def works(self, day: dt.date) -> bool:
        """Whether there are hours on a day."""
        return self.hours(day) > 0

    def next_open(self, day: dt.date) -> dt.date | None:
        """The first day after this one on which there are hours; None where a year has none.

        >>> Calendar((6.0,) * 4 + (5.0, 0.0, 0.0)).next_open(dt.date(2026, 10, 2)).isoformat()
        '2026-10-05'
        """
        return next((one for n in range(1, A_YEAR) if self.works(one := day + n * A_DAY)), None)

    def day_to_tell(self, sure: dt.date, today: dt.date, told: dt.date | None = None) -> dt.date:
        """The one day that an owner is told, on which the shop is open.

        sure: by which the board is ready 9 times in 10; told: what the owner was told last, which stands where it is
        as sure; else it is the last open day of what the day is known no better than, its week or third of a month,
        but not before it is sure

        >>> open_ = Calendar((6.0,) * 5 + (0.0, 0.0))
        >>> open_.day_to_tell(dt.date(2027, 1, 25), dt.date(2026, 10, 1)).isoformat()  # the 31st is a Sunday
        '2027-01-29'
        >>> open_.day_to_tell(dt.date(2027, 1, 30), dt.date(2026, 10, 1)).isoformat()
        '2027-02-01'
        """
        sure = max(sure, today)
        if told is not None and told >= sure:
            return told
        last = last_day_named(sure, today)
        days = [sure + n * A_DAY for n in range((last - sure).days + 1)][::-1]
        return next((day for day in days if self.works(day)), self.next_open(last) or last)

    def hours_from(self, first: dt.date, n_days: int) -> Array:
        """Hours on each of so many days, the first one included: shape (n_days,).

        >>> Calendar((6.0,) * 4 + (5.0, 0.0, 0.0)).hours_from(dt.date(2026, 10, 1), 4).tolist()
        [6.0, 5.0, 0.0, 0.0]
        """
        return np.array([self.hours(first + n * A_DAY) for n in range(n_days)], dtype=float)

    def working_days(self, first: dt.date, last: dt.date) -> int:
        """How many days from first to last are worked, both included; none where last comes before first.

        >>> Calendar((8.0,) * 5 + (0.0, 0.0)).working_days(dt.date(2026, 10, 2), dt.date(2026, 10, 6))
        3
        """
        return int(np.count_nonzero(self.hours_from(first, max((last - first).days + 1, 0))))


WEEK = dt.timedelta(days=7)
DAYS = 7
BLOCK = 3  # weeks that come together as they came in the log
SEASON = 30  # days of the year by which the weeks that one may come like lie off
FEW = 8  # weeks from which one is drawn, where a season has fewer
ENOUGH = 26  # past weeks from which on the log is gone by
YEARS_APART = 0.1  # log-sd of a whole year's hours about others, where weeks come as they came
FARTHEST = 17 * BLOCK  # weeks ahead for which it is looked at who goes before others
WORTH_SAYING = 0.005  # of the hours
ALIKE = (0.9, 1.1)  # hours of the week in the settings over those worked: outside it is said
AUTO, FROM_LOG = "auto", "log"


@dataclass(frozen=True)
class PastWeeks:
    """Weeks in which a board stood in line from Monday to Sunday: what was not worked then was not there to work.

    mondays: (n_weeks,), days of the year; hours: (n_weeks, 7), worked on boards
    jumped: (n_starts, FARTHEST), share of the usual hours of a week so many weeks on that went to boards taken on
    since, while one that was in line at the start still stood in line; not a number beyond that
    """

    mondays: NDArray[np.int64]
    hours: Array
    jumped: Array


@dataclass(frozen=True)
class Capacity:
    """Hours at the bench for the boards in hand on the days to come, by draw.

    day: day 0; past: what the log tells; as_they_came: whether weeks come as they came, else as the calendar says
    said: in words where the hours come from; less: what is taken off them, unless all of them are in
    all_of_them: whether the hours of later boards are in, since those boards are worked on by name
    apart: that the week in the settings is not the week as it came, a clause; empty where they are alike
    """

    calendar: Calendar
    day: dt.date
    past: PastWeeks | None = field(default=None, repr=False)
    as_they_came: bool = False
    seed: int = 0
    said: str = ""
    all_of_them: bool = False
    less: str = ""
    apart: str = ""

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """Hours from day `first` on, shape (n_days, n_draws); a day has the same hours however it is asked for."""
        monday = self.day.weekday()
        weeks = range((first + monday) // DAYS, (first + n_days - 1 + monday) // DAYS + 1)
        days = [self._week(week, n_draws) for week in weeks]
        skip = first + monday - DAYS * weeks.start
        return np.concatenate([np.zeros((0, n_draws)), *days])[skip : skip + n_days]

    def _week(self, week: int, n_draws: int) -> Array:
        """Hours from Monday to Sunday of a week, (7, n_draws); week 0 holds day 0."""
        monday = self.day - self.day.weekday() * A_DAY + week * WEEK
        usual = self.calendar.hours_from(monday, DAYS)
        if self.past is None:
            return np.repeat(usual[:, None], n_draws, axis=1)
        hours = self._as_came(self.past, week, monday, n_draws) if self.as_they_came else usual[:, None]
        jumped = np.zeros(n_draws) if self.all_of_them else self._jumped(self.past, week, n_draws)
        return np.asarray(hours * (1 - jumped), dtype=float)

    def _as_came(self, past: PastWeeks, week: int, monday: dt.date, n_draws: int) -> Array:
        """Hours as in past weeks of the season, some that followed on one another; none on days that are free."""
        block, at = divmod(week, BLOCK)
        begun = monday - at * WEEK
        apart = np.abs(past.mondays - begun.timetuple().tm_yday) % 365
        apart = np.minimum(apart, 365 - apart)
        near = np.flatnonzero(apart <= max(SEASON, np.sort(apart)[min(FEW, len(apart)) - 1]))
        rng = np.random.default_rng([self.seed, 11, block])
        here = np.minimum(near[rng.integers(0, len(near), n_draws)] + at, len(past.hours) - 1)
        luck = np.random.default_rng([self.seed, 12, week // 52]).standard_normal(n_draws)
        open_ = [not self.calendar.free(monday + n * A_DAY) for n in range(DAYS)]
        hours: Array = past.hours[here].T * np.exp(YEARS_APART * luck) * np.array(open_)[:, None]
        return hours

    def _jumped(self, past: PastWeeks, week: int, n_draws: int) -> Array:
        """The share of a week that goes to boards taken on after day 0, by draw: as after some past week."""
        block, at = divmod(week, BLOCK)
        told = [
            n for n in range(FARTHEST // BLOCK) if len(_that_last(past.jumped, BLOCK * (n + 1))) >= ENOUGH
        ]
        if not told:
            return np.zeros(n_draws)
        if block > told[-1]:
            block, at = told[-1], BLOCK - 1  # it stays as it is by then
        there = _that_last(past.jumped, BLOCK * (block + 1))
        rng = np.random.default_rng([self.seed, 13, week // BLOCK])
        share: Array = there[rng.integers(0, len(there), n_draws), BLOCK * block + at]
        return share


def _that_last(jumped: Array, weeks: int) -> Array:
    """The rows that are known for so many weeks."""
    known: Array = jumped[~np.isnan(jumped[:, weeks - 1])]
    return known


def capacity_of(log: Log, bench: Bench, day: dt.date, *, seed: int = 0) -> Capacity:
    """The hours to come of a shop, from day 0 on, and in words where they come from.

    Where fewer than half a year's weeks are written down in which a board stood in line all week, the calendar stands,
    and that later boards go before others is left out; where the log was asked for, that is said. From then on weeks
    come as they came, but where the settings ask for the calendar.
    """
    calendar = Calendar.of(bench)
    past = past_weeks(log, calendar, day)
    weeks = len(past.mondays)
    as_they_came = bench.hours_from in {AUTO, FROM_LOG}
    if weeks < ENOUGH:
        said = "the week in your settings"
        if bench.hours_from == FROM_LOG:
            said += (
                f"; a board stood in line all through only {weeks} weeks of the log, and it takes {ENOUGH}"
            )
        return Capacity(calendar, day, seed=seed, said=said)
    said = f"{weeks} weeks as they came" if as_they_came else "the week in your settings"
    share = float(np.nanmean(past.jumped))
    less = f"less {100 * share:.0f} in 100 hours for later boards that go before others"
    return Capacity(
        calendar,
        day,
        past,
        as_they_came,
        seed,
        said,
        less=less if share >= WORTH_SAYING else "",
        apart=_apart(past, calendar, as_they_came=as_they_came),
    )


def settings_apart(log: Log, bench: Bench) -> str:
    """That the week in the settings is not the week as the whole log has it, in words; empty where they are alike."""
    last = log.last_entry
    return "" if last is None else capacity_of(log, bench, last + A_DAY).apart


def _apart(past: PastWeeks, calendar: Calendar, *, as_they_came: bool) -> str:
    """That the week in the settings has more or fewer hours than were worked, and by which of them dates go."""
    usual, came = sum(calendar.week), float(past.hours.sum(axis=1).mean())
    if ALIKE[0] * came <= usual <= ALIKE[1] * came:
        return ""
    by = FROM_LOG if as_they_came else "settings"
    return (
        f"the week in your settings has {say_middle(usual)} hours, but you worked {say_middle(came)} a week on boards "
        f"in the {len(past.mondays)} weeks in which one stood in line; dates go by the {by}"
    )


def past_weeks(log: Log, calendar: Calendar, day: dt.date) -> PastWeeks:
    """What the weeks before a day tell: full weeks without days away in which a board stood in line all through."""
    dates = [entry.date for entry in log.entries if entry.board != SHOP]
    first = min(dates, default=day)
    first += -first.weekday() % DAYS * A_DAY
    mondays = [first + n * WEEK for n in range(max((day - first).days // DAYS, 0))]
    weeks = _Weeks(log, first, len(mondays))
    usual = [calendar.hours_from(m, DAYS) for m in mondays]
    full = [week.tolist() == list(calendar.week) for week in usual]
    kept = np.flatnonzero(np.array(full, dtype=bool) & (weeks.lasts > 0))
    return PastWeeks(
        np.array([mondays[i].timetuple().tm_yday for i in kept], dtype=np.int64),
        weeks.hours[kept],
        weeks.jumped(np.array([week.sum() for week in usual]))[weeks.lasts > 0],
    )


@dataclass(frozen=True)
class _Weeks:
    """A log by weeks, counted from the first Monday on."""

    log: Log
    first: dt.date
    n: int

    @cached_property
    def line(self) -> list[tuple[dt.date, dt.date]]:
        """From when to when each board stood in line."""
        entries: dict[str, list[Entry]] = defaultdict(list)
        for entry in self.log.entries:
            if entry.hours > 0:
                entries[entry.board].append(entry)
        return [
            (board.accepted, begun)
            for board in self.log.boards
            if board.accepted and (begun := _begun(board, entries[board.board]))
        ]

    @cached_property
    def lasts(self) -> NDArray[np.int64]:
        """For each week how many full weeks, itself the first, some board in line on its Monday still stands there."""
        lasts = np.zeros(self.n, dtype=np.int64)
        for accepted, begun in self.line:
            from_, to = (accepted - self.first).days, (begun - self.first).days // DAYS
            weeks = np.arange(max(-(-from_ // DAYS), 0), min(to, self.n))
            lasts[weeks] = np.maximum(lasts[weeks], np.minimum(to, self.n) - weeks)
        return lasts

    @cached_property
    def hours(self) -> Array:
        """Hours worked on boards by week and weekday, (n, 7)."""
        hours = np.zeros((self.n, DAYS))
        for entry in self.log.entries:
            if entry.board != SHOP:
                for day, share in day_shares(entry):
                    week, weekday = divmod((day - self.first).days, DAYS)
                    if 0 <= week < self.n:
                        hours[week, weekday] += share
        return hours

    def jumped(self, usual: Array) -> Array:
        """By week and weeks from it the share of the usual hours that went to boards taken on since."""
        accepted = {b.board: (b.accepted - self.first).days // DAYS for b in self.log.boards if b.accepted}
        worked = [
            (week, min(accepted[entry.board], week), entry.hours / usual[week])
            for entry in self.log.entries
            if entry.board in accepted
            and 0 <= (week := (entry.last - self.first).days // DAYS) < self.n
            and usual[week] > 0
        ]
        weeks, last_start, share = np.array(worked, dtype=float).reshape(-1, 3).T
        jumped = np.zeros((self.n, FARTHEST))
        for on in range(FARTHEST):
            start = weeks - on
            since = (start >= 0) & (start <= last_start)
            jumped[:, on] = np.bincount(start[since].astype(np.int64), share[since], self.n)
        beyond = np.arange(FARTHEST) >= self.lasts[:, None]
        return np.where(beyond, np.nan, np.minimum(jumped, 1.0))


def _begun(board: Board, entries: list[Entry]) -> dt.date | None:
    """The day on which a board's turn came; never for one that waits, and None for one that went without."""
    if board.started:
        return board.started
    assert board.accepted is not None
    worked = [entry.date for entry in entries if entry.date >= board.accepted]
    return min(worked, default=dt.date.max if board.state == WAITING else None)
