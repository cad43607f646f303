"""Hours of the weeks to come: as the calendar has them, or as weeks came; less what boards that jump the queue take."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from estimator.bench.calendar import A_DAY, Calendar
from estimator.model.saved_fit import Array
from estimator.words.records import Board, Log
from estimator.words.settings import Bench

WEEK = dt.timedelta(days=7)
BLOCK = 3  # weeks that come together as they came in the log
SAME_SEASON = 4  # weeks of the year by which a past week may lie off
ENOUGH = 26  # past weeks from which on the log is gone by
YEARS_APART = 0.1  # log-sd of a whole year's hours about others, where weeks come as they came


@dataclass(frozen=True, slots=True)
class Week:
    """A past week. share: hours worked over those of the calendar; jumped: the part of them on boards out of turn."""

    monday: dt.date
    share: float
    jumped: float


@dataclass(frozen=True)
class Capacity:
    """Hours at the bench on the days to come, by draw.

    day: day 0; weeks: past ones to draw from, in order, none: every week is the calendar's
    as_they_came: whether the hours of past weeks count, or only what boards out of turn took of them
    """

    calendar: Calendar
    day: dt.date
    weeks: tuple[Week, ...] = ()
    as_they_came: bool = False
    seed: int = 0
    said: str = ""

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """Hours for boards in hand from day `first` on, shape (n_days, n_draws)."""
        days = self.calendar.hours_from(self.day + first * A_DAY, n_days)
        hours = np.repeat(days[:, None], n_draws, axis=1)
        if not self.weeks:
            return hours
        of = np.array([self._week(first + n) for n in range(n_days)])
        for week in np.unique(of).tolist():
            hours[of == week] *= self._share(week, n_draws)
        return hours

    def _week(self, day: int) -> int:
        """The number of the week that a day lies in; that of day 0 is 0."""
        return (day + self.day.weekday()) // 7

    def _share(self, week: int, n_draws: int) -> Array:
        """The share of a week's calendar hours that boards in hand get, by draw."""
        block, at = divmod(week, BLOCK)
        monday = self.day - self.day.weekday() * A_DAY + block * BLOCK * WEEK
        alike = [i for i in range(len(self.weeks)) if self._alike(i, monday)] or [*range(len(self.weeks))]
        rng = np.random.default_rng([self.seed, 11, block])
        begun = np.array(alike)[rng.integers(0, len(alike), n_draws)]
        here = np.minimum(begun + at, len(self.weeks) - 1)
        share, jumped = self._columns
        if not self.as_they_came:
            return np.asarray(np.maximum(1 - jumped[here], 0.0))
        year = np.exp(YEARS_APART * np.random.default_rng([self.seed, 12]).standard_normal(n_draws))
        return np.asarray(np.maximum(year * (share - jumped)[here], 0.0))

    @cached_property
    def _columns(self) -> tuple[Array, Array]:
        """Shares worked and shares jumped of all past weeks."""
        return np.array([w.share for w in self.weeks]), np.array([w.jumped for w in self.weeks])

    def _alike(self, i: int, monday: dt.date) -> bool:
        """Whether a past week lies in the season of a week to come."""
        apart = abs(self.weeks[i].monday.isocalendar().week - monday.isocalendar().week)
        return min(apart, 52 - apart) <= SAME_SEASON


def capacity_of(log: Log, bench: Bench, day: dt.date, *, seed: int = 0) -> Capacity:
    """The hours to come of a shop, from day 0 on, and in words where they come from."""
    calendar = Calendar.of(bench)
    weeks = past_weeks(log, calendar, day)
    if len(weeks) < ENOUGH:
        said = "the week in your settings"
        if bench.hours_from == "log":
            said += f"; only {len(weeks)} full weeks are written down, and it takes {ENOUGH}"
        return Capacity(calendar, day, seed=seed, said=said)
    jumped = float(np.mean([week.jumped for week in weeks]))
    if bench.hours_from == "log":
        said = f"{len(weeks)} weeks as they came"
    elif jumped < 0.005:
        return Capacity(calendar, day, seed=seed, said="the week in your settings")
    else:
        said = "the week in your settings"
    said += f", less {100 * jumped:.0f} in 100 hours for boards out of turn" if jumped >= 0.005 else ""
    return Capacity(calendar, day, weeks, bench.hours_from == "log", seed, said)


def past_weeks(log: Log, calendar: Calendar, day: dt.date) -> tuple[Week, ...]:
    """The full weeks before a day in which boards waited in line or on the bench all week, in order."""
    if not log.entries:
        return ()
    hours: dict[dt.date, float] = defaultdict(float)
    jumped: dict[dt.date, float] = defaultdict(float)
    turn = _Turns(log.boards)
    for entry in log.entries:
        monday = entry.last - entry.last.weekday() * A_DAY
        hours[monday] += entry.hours
        if turn.jumped(entry.board, entry.date):
            jumped[monday] += entry.hours
    first = min(entry.date for entry in log.entries)
    monday = first + (7 - first.weekday()) * A_DAY
    weeks = []
    while monday + WEEK <= day:
        usual = float(calendar.hours_from(monday, 7).sum())
        if usual > 0 and turn.waiting(monday):
            weeks.append(Week(monday, hours[monday] / usual, min(jumped[monday] / usual, 1.0)))
        monday += WEEK
    return tuple(weeks)


class _Turns:
    """Who was in line when."""

    def __init__(self, boards: Sequence[Board]) -> None:
        self.accepted: Mapping[str, dt.date] = {b.board: b.accepted for b in boards if b.accepted}
        begun = [(b.accepted, b.started or dt.date.max) for b in boards if b.accepted]
        self.line = sorted((a, s) for a, s in begun if s > a)
        self.here = [(b.accepted, b.ready or b.collected or dt.date.max) for b in boards if b.accepted]

    def jumped(self, board: str, day: dt.date) -> bool:
        """Whether a board was worked on a day while one taken on before it still stood in line."""
        accepted = self.accepted.get(board)
        return accepted is not None and any(a < accepted and s > day for a, s in self.line)

    def waiting(self, monday: dt.date) -> bool:
        """Whether any board was in hand all week."""
        return any(a is not None and a <= monday and r >= monday + WEEK for a, r in self.here)
