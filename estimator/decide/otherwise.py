"""A past year worked under another habit: what order, places and days alone would have changed."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import Job
from estimator.bench.past_jobs import AsTheModelSays, PastYear, opening_of
from estimator.bench.simulation import Finished, simulate
from estimator.bench.waits import Waits
from estimator.log.money import price_kept, with_agreed_prices
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.dates import A_DAY, WEEKDAYS, read_weekday
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.json_form import JsonForm
from estimator.words.records import Log
from estimator.words.settings.schema import Settings

N_LUCK = 100  # draws of what luck might have brought
WEEK = 7
NEAR = 7  # days by which a board may be ready otherwise in the replay than it was
NEAR_ENOUGH = 3 / 4  # of the boards; with fewer, nothing is said of another habit
SURE = 0.9  # of the draws in which a habit that is suggested keeps more days for no less pay
FEW = 5  # boards with a day told; with fewer nothing is suggested
MISPLAYED = (
    0.1  # of the boards: by so many more the replay of a habit that turns all turns round was off [measured]
)
LATE = 7  # days later than as it was from which a board is named as hurt


@dataclass(frozen=True, slots=True)
class Habit(JsonForm):
    """Another way to work. Everything left out stays as it was.

    places: boards on the bench at once; strip_first: each board is opened up as soon as it comes, beside what stands on
        the bench, and goes back to its place in line
    small_on: weekday, Monday 0, on which small repairs are done, first of all where a place is free, and on no other
    days: weekdays of work, each as long as another, so many hours a week as there were
    none: a sort of job that is not taken
    """

    places: int | None = None
    strip_first: bool = False
    small_on: int | None = None
    days: tuple[int, ...] = ()
    none: str = ""

    @property
    def spelt(self) -> str:
        """A habit of one part as an address spells it: a word, and behind a dash what it is about.

        >>> Habit(places=4).spelt, Habit(strip_first=True).spelt, Habit(small_on=4).spelt, Habit(none="minor").spelt
        ('places-4', 'strip', 'small-Fri', 'none-minor')
        """
        if self.places is not None:
            return f"places-{self.places}"
        if self.small_on is not None:
            return f"small-{WEEKDAYS[self.small_on]}"
        return "strip" if self.strip_first else f"none-{self.none}"


@dataclass(frozen=True, slots=True)
class OneBoard(JsonForm):
    """One board of the year: when it was ready, and in the replay and under the habit; None: not, or not taken."""

    board: str
    name: str
    was: dt.date | None
    told: dt.date | None
    replayed: dt.date | None
    otherwise: dt.date | None


@dataclass(frozen=True, slots=True)
class UnderHabit(JsonForm):
    """How the year would have gone under a habit, held against the year replayed as it was.

    kept, of: days told that would have been kept, of those told; kept_before: in the replay
    more_low, more_high: how many more are kept, what luck allows 8 times in 10, wider where a habit changes so much
        that the replay of it is known to be off
    pay, pay_before: of boards ready within the year, the price less materials
    sure: how often the habit keeps more days for no less pay, over luck
    earlier: days by which boards are ready earlier, the middle one; boards: each of them
    hurt: those that would have been ready more than a week later
    """

    habit: Habit
    kept: int
    kept_before: int
    of: int
    more_low: int
    more_high: int
    pay: float
    pay_before: float
    sure: float
    earlier: float
    boards: tuple[OneBoard, ...]
    hurt: tuple[OneBoard, ...]


@dataclass(frozen=True, slots=True)
class Otherwise(JsonForm):
    """A year replayed, and under other habits.

    boards, near: boards ready within the year, and those of them that the replay has ready within a week of when they
        were; asked: the habit that was asked for; suggested: at most one that would have been better, of those tried
    places: boards on the go at once by the settings; at_once: by the log, boards that dry not counted
    """

    first: dt.date
    last: dt.date
    boards: int
    near: int
    asked: UnderHabit | None
    suggested: UnderHabit | None
    tried: int
    places: int
    at_once: int

    @property
    def near_enough(self) -> bool:
        """Whether the replay comes near enough for another habit to be told of."""
        return self.near >= NEAR_ENOUGH * self.boards


def last_year_otherwise(
    log: Log, settings: Settings, fit: SavedFit, habit: Habit | None = None, *, seed: int = 0
) -> Otherwise:
    """The year that ends with the log, worked otherwise; luck is drawn from what the model says of hours and waits.

    Raises NoAnswerError where no board was finished in it; else as `otherwise`.
    """
    if log.last_entry is None:
        raise NoAnswerError(
            "no hours are written down.", "A past year can be worked otherwise once they are."
        )
    waits = Waits.fitted(log, settings, fit, seed=seed)
    luck = AsTheModelSays(fit, waits, settings, N_LUCK, seed)
    return otherwise(
        PastYear.of(with_agreed_prices(log), settings, log.last_entry, luck, N_LUCK), settings, habit
    )


def otherwise(year: PastYear, settings: Settings, habit: Habit | None = None) -> Otherwise:
    """A year replayed as it was, then under a habit; without one, under each of a few, of which one may be suggested.

    The replay has the hours, waits and days at work of the log in draw 0. What luck allows comes from the other draws:
    the same draws under each habit, so that what differs is the habit's.

    Raises UsageError for a habit that cannot be.
    """
    before = _replayed(year, settings, Habit())
    finished = np.isfinite(year.ready)
    near = int((np.abs(before.ready[finished, 0] - year.ready[finished]) <= NEAR).sum())
    counted = (settings.bench.places, year.at_once)
    said = Otherwise(year.first, year.last, int(finished.sum()), near, None, None, 0, *counted)
    if habit is not None:
        _refuse(habit, year, settings)
    if not said.near_enough:
        return said
    if habit is not None:
        return replace(said, asked=_outcome(year, settings, habit, before))
    tried = [_outcome(year, settings, one, before) for one in habits(year, settings)]
    better = [one for one in tried if one.sure >= SURE and one.kept > one.kept_before and one.of >= FEW]
    best = max(better, key=lambda one: (one.kept, one.sure, -len(one.hurt)), default=None)
    return replace(said, suggested=best, tried=len(tried))


def habits(year: PastYear, settings: Settings) -> Iterator[Habit]:
    """The habits that are tried where none is asked for."""
    places = settings.bench.places
    if places > 1:
        yield Habit(places=places - 1)
    yield Habit(places=places + 1)
    if any(opening_of(job, settings).any() for job in year.jobs):
        yield Habit(strip_first=True)
    if small_kind(year):
        for weekday in range(WEEK):
            if settings.bench.hours_by_weekday[weekday] > 0:
                yield Habit(small_on=weekday)


def small_kind(year: PastYear) -> str:
    """The sort of job that takes the fewest hours, of two or more sorts; empty where there is but one."""
    hours: dict[str, list[float]] = {}
    for board, job in zip(year.boards, year.jobs, strict=True):
        if board.kind:
            hours.setdefault(board.kind, []).append(float(job.hours[:, 0].sum()))
    middles = {kind: float(np.median(of)) for kind, of in hours.items()}
    return min(middles, key=lambda kind: middles[kind]) if len(middles) > 1 else ""


def _refuse(habit: Habit, year: PastYear, settings: Settings) -> None:
    """Raises UsageError where a habit cannot be."""
    kinds = sorted({board.kind for board in year.boards if board.kind})
    if habit.none and habit.none not in kinds:
        known = ", ".join(kinds) or "none at all"
        raise UsageError(f"{habit.none!r} was no sort of job in that year. There were: {known}.")
    if habit.small_on is not None and not small_kind(year):
        raise UsageError("there were no small repairs beside other work in that year.")
    if habit.places is not None and habit.places < 1:
        raise UsageError(f"{habit.places} places: there has to be one at least.")
    if habit.strip_first and not any(opening_of(job, settings).any() for job in year.jobs):
        raise UsageError("no board was opened up in that year, so none could be stripped first.")


def _replayed(year: PastYear, settings: Settings, habit: Habit) -> Finished:
    """The year under a habit, day by day; boards that are not taken are never worked on, and are ready at once."""
    jobs = list(year.jobs)
    small = small_kind(year) if habit.small_on is not None else ""
    monday = year.first.weekday()
    order = np.arange(len(jobs))
    for i, board in enumerate(year.boards):
        if habit.none and board.kind == habit.none:
            jobs[i] = replace(jobs[i], hours=np.zeros_like(jobs[i].hours), waits=np.zeros_like(jobs[i].waits))
        if habit.strip_first:
            jobs[i] = _opened_first(jobs[i], opening_of(jobs[i], settings))
        if small and board.kind == small:
            shut = np.array([(monday + n) % WEEK != habit.small_on for n in range(WEEK)])
            first = np.full(len(jobs[i].stages), -1.0)  # of all on their day
            jobs[i] = replace(jobs[i], closed=shut, turns=first)
            order[i] -= len(jobs)
    return simulate(
        jobs,
        _Moved(year, habit.days) if habit.days else year,
        places=habit.places or settings.bench.places,
        most_on_one=max(settings.bench.most_hours_a_day_on_one_board, year.most_on_one),
        order=np.argsort(np.argsort(order, kind="stable"), kind="stable").astype(np.int64),
        until=np.ones(len(jobs), dtype=bool),
        usual=np.roll(settings.bench.hours_by_weekday, -monday),
    )


def _opened_first(job: Job, opens: NDArray[np.bool_]) -> Job:
    """A job that is opened up as soon as it comes, and then goes on from its place in line: where it was begun."""
    assert job.turns is not None
    worked = job.hours[:, 0] > 0
    rest = worked & ~opens
    if not opens.any() or not rest.any():
        return replace(job, opens=opens, rack=job.rack | opens)
    soon = job.turns - np.where(rest, job.turns[rest].min() - job.turns[opens].min(), 0)
    return replace(job, opens=opens, rack=job.rack | opens, turns=soon)


@dataclass(frozen=True)
class _Moved:
    """Weeks with the hours that they had, on other days, each as long as another."""

    year: PastYear
    days: tuple[int, ...]

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """As HasHours."""
        monday = self.year.first.weekday()
        days = np.arange(first, first + n_days)
        weeks = (days + monday) // WEEK
        of_week = {
            week: self._week(int(week) * WEEK - monday) / len(self.days) for week in np.unique(weeks).tolist()
        }
        open_ = np.isin((days + monday) % WEEK, self.days)
        hours = np.array([of_week[int(week)] for week in weeks]) * open_
        return np.broadcast_to(hours[:, None], (n_days, n_draws)).astype(float)

    def _week(self, first: int) -> float:
        """Hours of the week that begins on a day; the days before the year had none."""
        from_ = max(first, 0)
        return float(self.year.hours(from_, first + WEEK - from_, 1).sum())


def _outcome(year: PastYear, settings: Settings, habit: Habit, before: Finished) -> UnderHabit:
    """What a habit would have changed."""
    after = _replayed(year, settings, habit)
    taken = np.array([not habit.none or board.kind != habit.none for board in year.boards])
    within = np.isfinite(year.ready)
    asked = within & np.isfinite(year.told)
    kept_after, kept_before = (
        _kept(days.ready, year.told, who) for days, who in ((after, asked & taken), (before, asked & taken))
    )
    pay = np.array([(price_kept(board) or 0.0) - (board.materials or 0.0) for board in year.boards])
    end = (year.last - year.first).days
    earned_after, earned_before = (
        (pay[:, None] * (days.ready <= end) * who[:, None]).sum(axis=0)
        for days, who in ((after, taken & within), (before, within))
    )
    luck = slice(1, None) if kept_after.size > 1 else slice(None)
    more = (kept_after - kept_before)[luck]
    low, high = np.quantile(more, (0.1, 0.9), method="inverted_cdf")
    off = math.ceil(MISPLAYED * int((asked & taken).sum())) if habit.strip_first or habit.days else 0
    low, high = low - off, high + off
    better = (more > off) & (earned_after >= earned_before - 0.005)[luck]
    boards = tuple(
        OneBoard(
            board.board,
            board.name,
            _day(year.first, float(year.ready[i])),
            _day(year.first, float(year.told[i])),
            _day(year.first, float(before.ready[i, 0])),
            _day(year.first, float(after.ready[i, 0])) if taken[i] else None,
        )
        for i, board in enumerate(year.boards)
        if within[i]
    )
    later = after.ready[:, 0] - before.ready[:, 0]
    hurt = {board.board for i, board in enumerate(year.boards) if within[i] and taken[i] and later[i] > LATE}
    return UnderHabit(
        habit=habit,
        kept=int(kept_after[0]),
        kept_before=int(kept_before[0]),
        of=int((asked & taken).sum()),
        more_low=int(low),
        more_high=int(high),
        pay=float(earned_after[0]),
        pay_before=float(earned_before[0]),
        sure=float(better.mean()),
        earlier=float(-np.median(later[within & taken])) if (within & taken).any() else 0.0,
        boards=boards,
        hurt=tuple(one for one in boards if one.board in hurt),
    )


def _kept(ready: Array, told: Array, who: NDArray[np.bool_]) -> NDArray[np.int64]:
    """By draw how many of these boards are ready by the day told."""
    kept: NDArray[np.int64] = (ready[who] <= told[who][:, None]).sum(axis=0)
    return kept


def _day(first: dt.date, number: float) -> dt.date | None:
    return first + int(np.ceil(number)) * A_DAY if np.isfinite(number) else None


def habit_of(spelt: str) -> Habit | None:
    """A habit by how `Habit.spelt` spells it; None for none. Raises UsageError for what is no habit.

    >>> habit_of("places-4") == Habit(places=4), habit_of("small-Fri").small_on, habit_of("")
    (True, 4, None)
    """
    what, _, about = spelt.partition("-")
    if not spelt:
        return None
    if what == "places" and about.isdecimal() and len(about) < 3:
        return Habit(places=int(about))
    if spelt == "strip":
        return Habit(strip_first=True)
    if what == "small":
        return Habit(small_on=read_weekday(about))
    if what == "none" and about:
        return Habit(none=about)
    raise UsageError(f"{spelt!r} is no habit.", "Choose one of those on the page.")
