"""The boards of a past year as jobs: with the hours, the waits and the days at work that the log has."""

from __future__ import annotations

import datetime as dt
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from estimator.bench.calendar import Calendar
from estimator.bench.jobs import BENCH, QUEUE, Job
from estimator.bench.outlook import told_dates
from estimator.bench.simulation import STANDS
from estimator.bench.wait_cases import DRYING
from estimator.bench.waits import Waits, season_on
from estimator.forecast.draws import draw_hours
from estimator.forecast.views import revealing_stage, work_of_board
from estimator.log.checks import day_shares
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.dates import A_DAY, say_day
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, SHOP, Board, Entry, Log, Wait
from estimator.words.settings.schema import Settings

YEAR = 365  # days
MOST_TURNS = 40  # of one board: with more its stages are taken as wholes
NOT_OF_WORK = ("away", "queue")  # causes of rows that say nothing about the board's own course
WEEK, OFTEN = 7, 10  # days that a board may lie untouched on the bench; evenings that make a habit
LONGEST_GAP = 14  # days between two turns that setting can account for


class Luck(Protocol):
    """What hours and waits might have been: draws, each (n,)."""

    def hours(self, board: Board) -> Mapping[str, Array]:
        """Hours of whole stages; a stage without any keeps those that it took."""

    def stood(self, board: Board, stage: str) -> Array:
        """Days that it stands after a stage."""

    def waited(self, board: Board, cause: str) -> Array:
        """Days of a wait with a cause; of drying as in summer."""


@dataclass(frozen=True)
class AsTheModelSays:
    """Hours and waits of boards drawn anew, from what the model says of such boards once all of them is known."""

    fit: SavedFit
    waits: Waits
    settings: Settings
    n: int
    seed: int = 0

    def hours(self, board: Board) -> Mapping[str, Array]:
        """As Luck; nothing where the model can tell nothing of the board."""
        known = next((one for one in self.fit.boards if one.board == board.board), None)
        if known is None:
            return {}
        rng = self._rng(board, "hours")
        try:
            work, _ = work_of_board(self.fit, known, "finished", self.settings, rng, self.n)
            drawn = draw_hours(self.fit, work, rng, self.n)
        except NoAnswerError:
            return {}
        return dict(zip(drawn.stages, drawn.hours, strict=True))

    def stood(self, board: Board, stage: str) -> Array:
        """As Luck."""
        return self.waits.after(stage).draw(self._rng(board, f"after {stage}"), self.n)

    def waited(self, board: Board, cause: str) -> Array:
        """As Luck."""
        rng = self._rng(board, cause)
        if cause != DRYING or self.waits.drying not in self.settings.stages:
            return self.waits.cause(cause).draw(rng, self.n)
        modifier = next(iter(self.settings.stages[self.waits.drying].wait_by), "")
        grade = {**board.wanted, **board.found}.get(modifier)
        return self.waits.after(self.waits.drying, None if grade is None else round(grade)).draw(rng, self.n)

    def _rng(self, board: Board, what: str) -> np.random.Generator:
        return np.random.default_rng([self.seed, zlib.crc32(board.board.encode()), zlib.crc32(what.encode())])


@dataclass(frozen=True)
class PastYear:
    """A year that is over, as jobs.

    first, last: its days, both included; day 0 is the first
    jobs: of the boards that were worked on, in the order in which they were begun. Draw 0 has the hours and waits that
        they took, the others those that luck might have brought
    worked: (n_days,), hours on these boards by day
    ready: (n_boards,), days on which boards were ready, not a number where that is not within the year
    told: (n_boards,), the last day first told to the owner, not a number where none was
    most_on_one: the most hours that one board had on one day
    at_once: the most boards that the log has on the go at once, on OFTEN evenings or more
    """

    first: dt.date
    last: dt.date
    boards: tuple[Board, ...]
    jobs: tuple[Job, ...]
    worked: Array
    ready: Array
    told: Array
    most_on_one: float
    at_once: int
    calendar: Calendar

    @classmethod
    def of(cls, log: Log, settings: Settings, last: dt.date, luck: Luck, n: int) -> PastYear:
        """The year that ends with a day; n: draws of luck.

        Raises NoAnswerError where no board was worked on and finished within the year.
        """
        first = last - (YEAR - 1) * A_DAY
        rows: dict[str, list[Entry]] = defaultdict(list)
        for entry in log.entries:
            if entry.hours > 0 and entry.board != SHOP and entry.date <= last and entry.board in log.by_id:
                rows[entry.board].append(entry)
        waits: dict[str, list[Wait]] = defaultdict(list)
        for wait in log.waits:
            if wait.until is not None and wait.cause not in NOT_OF_WORK:
                waits[wait.board].append(wait)
        worked = {board: sorted(of, key=lambda e: (e.date, e.last)) for board, of in rows.items()}
        here = [log.by_id[board] for board, of in worked.items() if of[-1].last >= first]
        here.sort(key=lambda board: (worked[board.board][0].date, board.board))
        courses = [_Course(one, worked[one.board], waits[one.board], settings, first, last) for one in here]
        each = np.zeros((len(courses), YEAR))
        for i, course in enumerate(courses):
            for turn in course.turns:
                for day, share in turn.by_day.items():
                    each[i, (day - first).days] += share
        told = told_dates(log.told, here)
        at = np.array([(told[b.board].first_last - first).days if b.board in told else np.nan for b in here])
        ready = np.array([course.ready for course in courses], dtype=float)
        if not np.isfinite(ready).any():
            raise NoAnswerError(
                f"no board was finished from {say_day(first)} to {say_day(last)} whose hours are written down.",
                "A past year can be worked otherwise once the log has one.",
            )
        jobs = tuple(course.job(luck, n) for course in courses)
        return cls(
            first,
            last,
            tuple(here),
            jobs,
            each.sum(axis=0),
            ready,
            at,
            float(each.max(initial=0.0)),
            _at_once(course.evenings(luck) for course in courses),
            Calendar.of(settings.bench),
        )

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """As HasHours: hours as they were worked, and after the year as the settings say."""
        days = np.arange(first, first + n_days)
        usual = self.calendar.hours_from(self.first + first * A_DAY, n_days)
        hours = np.where(days < YEAR, self.worked[np.minimum(days, YEAR - 1)], usual)
        return np.broadcast_to(hours[:, None], (n_days, n_draws)).astype(float)


@dataclass(frozen=True)
class _Turn:
    """Work on one stage without another in between."""

    stage: str
    first: dt.date
    last: dt.date
    by_day: Mapping[dt.date, float]

    @property
    def hours(self) -> float:
        return sum(self.by_day.values())


class _Course:
    """How one board went through the year: its turns, and what it waited for."""

    def __init__(
        self,
        board: Board,
        rows: Sequence[Entry],
        waits: Sequence[Wait],
        settings: Settings,
        first: dt.date,
        last: dt.date,
    ) -> None:
        self.board, self.settings, self.first = board, settings, first
        self.begun_before = rows[0].date < first
        self.whole: dict[str, float] = defaultdict(
            float
        )  # hours of whole stages, those before the year included
        for entry in rows:
            self.whole[entry.of or entry.stage] += entry.hours
        within = [
            (entry.of or entry.stage, day, share)
            for entry in rows
            for day, share in day_shares(entry)
            if first <= day <= last
        ]
        self.turns = list(_turns(within, as_wholes=False))
        if len(self.turns) > MOST_TURNS:
            self.turns = list(_turns(within, as_wholes=True))
        self.waits = waits
        over = board.ready or (rows[-1].last if board.state == FINISHED else None)
        self.ready = (over - first).days if over is not None and over <= last and self.turns else np.nan
        self.over = over

    def job(self, luck: Luck, n: int) -> Job:
        """As a job of n + 1 draws, the first as it went."""
        turns, redrawn = self.turns, luck.hours(self.board)
        hours = [_first_then(turn.hours, self._ratio(turn.stage, redrawn, n) * turn.hours) for turn in turns]
        days = [np.zeros(n + 1) for _ in turns]
        for i, (this, next_) in enumerate(pairwise(turns)):
            gap = min((next_.first - this.last).days, LONGEST_GAP)
            usual = luck.stood(self.board, this.stage)
            days[i] = _first_then(min(float(gap), float(np.ceil(np.median(usual)))), usual)
        free = [np.zeros(n + 1) for _ in turns]
        after = [{i - 1} if i else set() for i in range(len(turns))]
        names = [f"{i} {turn.stage}" for i, turn in enumerate(turns)]
        rack = [self._on_rack(turn.stage) for turn in turns]
        for wait in self.waits:
            assert wait.until is not None
            comes = next((i for i, turn in enumerate(turns) if turn.first >= wait.until), None)
            before = [i for i, turn in enumerate(turns) if turn.last <= wait.first]
            if comes is None and (self.over is None or wait.until > self.over):
                continue
            if not before:
                if comes is not None and wait.until > self.first:
                    free[comes] = np.maximum(free[comes], float((wait.until - self.first).days))
                continue
            drawn = luck.waited(self.board, wait.cause)
            if wait.cause == DRYING:
                drawn = drawn * season_on(wait.first, self.settings.bench)
            names.append(f"{len(names)} {wait.cause}")
            hours.append(np.zeros(n + 1))
            days.append(_first_then(float((wait.until - wait.first).days), drawn))
            free.append(np.zeros(n + 1))
            after.append({before[-1]})
            rack.append(True)
            if comes is not None and comes > before[-1]:
                after[comes].add(len(names) - 1)
        if self.over is not None and turns and not any(wait.until == self.over for wait in self.waits):
            left = float(min(max((self.over - turns[-1].last).days, 0), LONGEST_GAP))
            days[len(turns) - 1] = np.full(n + 1, left)
        k = len(names)
        came = (self.board.accepted or self.first) if turns else self.first
        return Job(
            self.board.board,
            tuple(names),
            np.array(hours).reshape(k, n + 1),
            np.array(days).reshape(k, n + 1),
            np.array([[j in after[i] for j in range(k)] for i in range(k)], dtype=bool).reshape(k, k),
            np.ones((k, n + 1), dtype=np.int64),
            np.array(rack, dtype=bool),
            np.array(free).reshape(k, n + 1),
            np.zeros(k, dtype=bool),
            BENCH if self.begun_before else QUEUE,
            np.full(n + 1, float(max((came - self.first).days, 0))),
            turns=np.array(
                [*((turn.first - self.first).days for turn in turns), *[0] * (k - len(turns))], dtype=float
            ),
        )

    def evenings(self, luck: Luck) -> Iterator[dt.date]:
        """The evenings on which it was on the go: begun, with work to come that nothing but other boards kept from it.

        Not while it is on the rack, sets for days, or has a wait written down; nor where it lay for more than a week.
        """
        days = [(day, turn.stage) for turn in self.turns for day in sorted(turn.by_day)]
        for (day, stage), (next_day, next_stage) in pairwise(sorted(days)):
            sets = stage != next_stage and float(np.median(luck.stood(self.board, stage))) >= STANDS
            waits = any(wait.first < next_day and day < wait.until for wait in self.waits if wait.until)
            if (next_day - day).days <= WEEK and not (sets or waits or self._on_rack(stage)):
                yield from (day + n * A_DAY for n in range((next_day - day).days))

    def _ratio(self, stage: str, redrawn: Mapping[str, Array], n: int) -> Array:
        """How many times as long as it did a stage might have taken, by draw."""
        drawn = redrawn.get(stage)
        if drawn is None or self.whole[stage] <= 0:
            return np.ones(n)
        return np.asarray(drawn / self.whole[stage])

    def _on_rack(self, stage: str) -> bool:
        found = self.settings.stages.get(stage)
        return found is not None and found.on == "rack"


def _at_once(evenings: Iterable[Iterable[dt.date]]) -> int:
    """How many boards were on the go at once, at the most, on so many evenings that it was no accident."""
    boards = sorted(Counter(day for of_one in evenings for day in of_one).values(), reverse=True)
    return boards[OFTEN - 1] if len(boards) >= OFTEN else 0


def opening_of(job: Job, settings: Settings) -> NDArray[np.bool_]:
    """Which turns of a past job open the board up: those on the revealing stage and on what comes before it."""
    shown = revealing_stage(settings)
    later = followers(settings.stages)
    opens = {shown, *(name for name in settings.stages if shown in later[name])} - {""}
    turns = [name.split(" ", 1)[1] for name in job.stages]
    last = max((i for i, name in enumerate(turns) if name == shown), default=-1)
    return np.array([i <= last and name in opens for i, name in enumerate(turns)], dtype=bool)


def _turns(within: Sequence[tuple[str, dt.date, float]], *, as_wholes: bool) -> Iterator[_Turn]:
    """Work of one stage after the other; as wholes, a stage's hours all in its first turn."""
    runs: list[tuple[str, dict[dt.date, float]]] = []
    places: dict[str, int] = {}
    for stage, day, hours in sorted(within, key=lambda one: one[1]):
        at = places.get(stage) if as_wholes else len(runs) - 1
        if at is None or at < 0 or runs[at][0] != stage:
            places[stage] = at = len(runs)
            runs.append((stage, defaultdict(float)))
        runs[at][1][day] += hours
    for stage, by_day in runs:
        yield _Turn(stage, min(by_day), max(by_day), by_day)


def _first_then(as_was: float, drawn: Array) -> Array:
    """As it went in draw 0, then the draws."""
    return np.concatenate([[as_was], np.asarray(drawn, dtype=float)])
