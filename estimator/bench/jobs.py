"""One board as the simulation needs it: where it is, its stages still to come, their waits, its messages."""

from __future__ import annotations

import datetime as dt
import zlib
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from estimator.bench.drying import Scales, Weighed
from estimator.bench.waits import WaitLaw, Waits, season_on
from estimator.forecast.draws import Drawn, Work
from estimator.forecast.views import revealing_stage
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import Array
from estimator.words.actions import Action
from estimator.words.errors import NeverReadyError
from estimator.words.records import Wait
from estimator.words.settings.schema import Settings

BENCH, RACK, QUEUE = "bench", "rack", "queue"
PLACES = {BENCH: "state on bench", RACK: "on rack", QUEUE: "state waiting"}  # the name of its label


@dataclass(frozen=True)
class Job:
    """The work left on one board, by draw. Days are numbers: 0 is the first day to come.

    stages: in order of work, (n_stages) of them
    hours: (n_stages, n_draws), >= 0, still to work
    waits: (n_stages, n_draws), days >= 0 that the board stands after a stage before what comes after may begin; a
        stage without hours that has a wait is a message: its days begin once what it comes after is over
    after: (n_stages, n_stages): [i, j], stage i begins only when stage j and its wait are over
    sessions: (n_stages, n_draws), >= 1, into which the hours are split, with a night between
    rack: (n_stages,), stages that take no place on the bench
    free: (n_stages, n_draws), day before which a stage cannot begin
    seasonal: (n_stages,), whether the wait is as many times as long as the season of its first day says
    place: bench, rack or queue on day 0
    first: (n_draws,), day before which nothing can begin
    opens: (n_stages,), stages that are done before any other work as soon as they may begin, after which the board goes
        back to its place in line; None: none
    turns: (n_stages,), the hours of a day go to the stage with the lowest number first; None: as the order has it
    closed: (7,), days modulo 7 on which nobody works on it; None: none
    """

    board: str
    stages: tuple[str, ...]
    hours: Array
    waits: Array
    after: NDArray[np.bool_]
    sessions: NDArray[np.int64]
    rack: NDArray[np.bool_]
    free: Array
    seasonal: NDArray[np.bool_]
    place: str
    first: Array
    opens: NDArray[np.bool_] | None = None
    turns: Array | None = None
    closed: NDArray[np.bool_] | None = None

    @property
    def n_draws(self) -> int:
        """How many draws there are."""
        return len(self.first)


def in_order(job: Job) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """The stages so that each comes after all that must be over before it, and all that must, near or far.

    Returns the numbers of the stages in that order, and (n_stages, n_stages) of the whole closure, in the job's own
    numbers. Raises NoAnswerError where stages wait for one another in a ring, or a number is not one of days or hours.
    """
    for numbers in (job.hours, job.waits, job.free, job.first):
        if not np.isfinite(numbers).all() or (numbers < 0).any():
            raise NeverReadyError(
                job.board,
                "can never be finished: hours or days of it have no end.",
                "Look at its quantities and its waits.",
                action=Action("range", job.board),
            )
    closure = job.after.copy()
    for j in range(len(job.stages)):
        closure |= closure[:, [j]] & closure[[j], :]
    ring = np.flatnonzero(np.diag(closure))
    if ring.size:
        names = ", ".join(job.stages[i] for i in ring)
        raise NeverReadyError(
            job.board,
            f"can never be finished: {names} wait for one another.",
            "Correct `after` of these stages in workshop.toml.",
        )
    return np.argsort(closure.sum(axis=1), kind="stable"), closure


def with_more_first(job: Job, stage: str, hours: Array, days: Array | None = None) -> Job:
    """The same job with so many hours to work, (n_draws,), before any that were still to do.

    days: that it then stands where there are such hours; None is none
    """
    n, k = job.n_draws, len(job.stages)
    after = np.zeros((k + 1, k + 1), dtype=bool)
    after[1:, 1:] = job.after
    after[1:, 0] = job.hours.any(axis=1)
    nothing = np.zeros((1, n))
    return replace(
        job,
        stages=(stage, *job.stages),
        hours=np.vstack([hours[None, :], job.hours.reshape(k, n)]),
        waits=np.vstack(
            [nothing if days is None else np.where(hours > 0, days, 0.0)[None, :], job.waits.reshape(k, n)]
        ),
        after=after,
        sessions=np.vstack([np.ones((1, n), dtype=np.int64), job.sessions.reshape(k, n)]),
        rack=np.concatenate([[False], job.rack]),
        free=np.vstack([nothing, job.free.reshape(k, n)]),
        seasonal=np.concatenate([[False], job.seasonal]),
    )


OWNER, DRYING = "owner", "drying"


@dataclass(frozen=True)
class BoardSeen:
    """What the log says of a board on day 0; it tells up to the day before.

    day: day 0; begun, ended: the first and the last day of each stage with hours; standing: what it waits for now
    again: stages that were done again after all that comes after them: their wait runs again
    met: causes of waits that are over, with the day on which the last of each began
    stopped: it waits for an answer of which no row tells
    judged: quantities as they looked
    weighed: days since it was hung up to dry, and kilograms; scales: what past boards on them tell
    """

    day: dt.date
    begun: Mapping[str, dt.date] = field(default_factory=dict)
    ended: Mapping[str, dt.date] = field(default_factory=dict)
    again: frozenset[str] = frozenset()
    standing: tuple[Wait, ...] = ()
    met: Mapping[str, dt.date] = field(default_factory=dict)
    stopped: bool = False
    judged: Mapping[str, float] = field(default_factory=dict)
    weighed: Weighed = ()
    scales: Scales | None = None


def held_up(cause: str, settings: Settings) -> frozenset[str]:
    """The stages that cannot begin before a wait is over: those that need what it is for, else all on the bench.

    >>> from estimator.words.settings.schema import Stage
    >>> stages = {"dry": Stage("dry", on="rack"), "logos": Stage("logos", needs=("artwork",)), "gloss": Stage("gloss")}
    >>> sorted(held_up("artwork", Settings(stages=stages))), sorted(held_up("owner", Settings(stages=stages)))
    (['logos'], ['gloss', 'logos'])
    """
    needing = {name for name, stage in settings.stages.items() if cause in stage.needs}
    return frozenset(needing or {name for name, stage in settings.stages.items() if stage.on != "rack"})


MORE = 1e-6  # units: hidden work is more than this


@dataclass
class PlannedStage:
    """A stage still to come, or a message: hours and days (n_draws,), and what must be over before it."""

    hours: Array
    days: Array
    sessions: NDArray[np.int64]
    rack: bool
    free: Array
    after: set[str] = field(default_factory=set)


def job_of(
    board: str,
    work: Work,
    drawn: Drawn,
    seen: BoardSeen,
    waits: Waits,
    settings: Settings,
    *,
    seed: int,
    first: int = 0,
) -> Job:
    """The job of a board.

    drawn: hours of its stages, from the same draws as `work`; seed: makes its waits
    first: the day before which it cannot start
    """
    plan = _Plan(board, work, drawn, seen, waits, settings, seed)
    plan.stages()
    plan.standing()
    plan.artwork_and_parts()
    plan.answer()
    return plan.job(first)


def days_after(
    stage: str,
    board: str,
    work: Work,
    drawn: Drawn,
    seen: BoardSeen,
    waits: Waits,
    settings: Settings,
    seed: int,
) -> Array:
    """By draw the days that a board stands after a stage that is done once more."""
    return _Plan(board, work, drawn, seen, waits, settings, seed).days(stage)


class _Plan:
    """A job in the making."""

    def __init__(
        self,
        board: str,
        work: Work,
        drawn: Drawn,
        seen: BoardSeen,
        waits: Waits,
        settings: Settings,
        seed: int,
    ) -> None:
        self.board, self.work, self.drawn, self.seen = board, work, drawn, seen
        self.waits, self.settings, self.seed = waits, settings, seed
        self.n = drawn.hours.shape[1]
        self.rows: dict[str, PlannedStage] = {}
        self.later = followers(settings.stages)

    def rng(self, what: str) -> np.random.Generator:
        """Luck of one thing of this board, the same whatever else there is."""
        return np.random.default_rng([self.seed, zlib.crc32(self.board.encode()), zlib.crc32(what.encode())])

    def stages(self) -> None:
        """The stages still to come, and those over whose wait may still run."""
        took = dict(zip(self.drawn.stages, self.drawn.hours, strict=True))
        booked = self.work.booked.keys()
        for name in self.settings.stages:
            if name in self.seen.again:
                self._running(name)
                continue
            if self.later[name] & booked and (name not in booked or name in self.work.done):
                continue  # what comes after it was worked: it is over, or was passed by; not where it is denied
            wait = next((one for one in self.seen.standing if self._stage_of(one) == name), None)
            if name in self.work.done:
                self._running(name)
            elif name in took or wait is not None:
                hours = took.get(name, np.zeros(self.n))
                left = np.maximum(hours - self.work.booked.get(name, 0.0), 0.0)
                share = np.divide(left, hours, out=np.zeros(self.n), where=hours > 0)
                self.rows[name] = self._row(
                    left,
                    np.where(hours > 0, self.days(name), 0.0) if wait is None else self._left(name, wait),
                    self._sessions(name, share),
                    rack=self.settings.stages[name].on == "rack",
                )
        for name, row in self.rows.items():
            row.after = {other for other in self.rows if name in self.later[other]}

    def standing(self) -> None:
        """Messages that the board waits for now: what needs one, or all on the bench, begins once it has come."""
        waits = self._awaited()
        if self.seen.stopped and not any(wait.cause == OWNER for wait in waits):
            last = max(self.seen.ended.values(), default=self.seen.day)
            waits.append(Wait(self.board, last, None, OWNER))
        for wait in waits:
            free = self._until(wait, self.waits.cause(wait.cause), self.rng(wait.cause))
            for name in self.rows.keys() & held_up(wait.cause, self.settings):
                self.rows[name].free = np.maximum(self.rows[name].free, free)

    def _awaited(self) -> list[Wait]:
        """What the board waits for that is no drying: with a day on which it ends, or for a message."""
        return [
            wait
            for wait in self.seen.standing
            if not self._stage_of(wait) and (wait.until is not None or wait.cause in self.waits.causes)
        ]

    def _stage_of(self, wait: Wait) -> str:
        """The stage after which a board stands for this cause; empty where it is a message."""
        if wait.cause in self.settings.stages:
            return wait.cause
        return self.waits.drying if wait.cause == DRYING else ""

    def artwork_and_parts(self) -> None:
        """Messages that stages need, one for all that need the same: sent for once the board's first stage is done."""
        if self.work.booked:
            return  # what a board that is begun still waits for has a row of its own
        first = next((name for name, row in self.rows.items() if not row.after), "")
        needing: dict[str, list[str]] = defaultdict(list)
        for name in self.rows:
            for cause in self.settings.stages[name].needs:
                needing[cause].append(name)
        known = self.seen.met.keys() | {wait.cause for wait in self.seen.standing}
        for cause, names in needing.items():
            if cause not in known:
                row = self._message(cause, np.any([self.rows[name].hours > 0 for name in names], axis=0))
                row.after = {first} - {*names}
                self.rows[cause] = row
                for name in names:
                    self.rows[name].after.add(cause)

    def answer(self) -> None:
        """The owner's answer to what turned out, which all work after the revealing stage waits for."""
        shown = revealing_stage(self.settings)
        if shown not in self.rows or self._asked(shown) or not (self.rows[shown].hours > 0).any():
            return
        there, hidden = np.asarray(self.rows[shown].hours > 0), self._hidden()
        row = self._message(OWNER, there & hidden, hidden=True)
        without = self._message(OWNER, there & ~hidden, hidden=False)
        row.days = np.where(hidden, row.days, without.days)
        row.after = {shown}
        after = [name for name in self.rows if name in self.later[shown] and not self.rows[name].rack]
        self.rows[OWNER] = row
        for name in after:
            self.rows[name].after.add(OWNER)

    def _asked(self, shown: str) -> bool:
        """Whether the owner was asked already since what was hidden began to show."""
        begun = self.seen.begun.get(shown)
        asked = [wait.first for wait in self.seen.standing if wait.cause == OWNER]
        asked += [self.seen.met[OWNER]] if OWNER in self.seen.met else []
        return begun is not None and (self.seen.stopped or any(day >= begun for day in asked))

    def job(self, first: int) -> Job:
        """The rows as arrays, in order of work."""
        names = tuple(self.rows)
        rows = [self.rows[name] for name in names]
        none = np.zeros((0, self.n))
        return Job(
            board=self.board,
            stages=names,
            hours=np.array([row.hours for row in rows]) if rows else none,
            waits=np.array([row.days for row in rows]) if rows else none,
            after=np.array([[other in row.after for other in names] for row in rows], dtype=bool).reshape(
                len(rows), len(rows)
            ),
            sessions=np.array([row.sessions for row in rows], dtype=np.int64).reshape(len(rows), self.n),
            rack=np.array([row.rack for row in rows], dtype=bool),
            free=np.array([row.free for row in rows]) if rows else none,
            seasonal=np.array([name == self.waits.drying for name in names], dtype=bool),
            place=self._place(),
            first=np.full(self.n, float(first)),
        )

    def _place(self) -> str:
        """Where the board is on day 0."""
        likely = {n for n, row in self.rows.items() if np.median(row.hours) > 0 or np.median(row.days) > 0}
        able = {n for n in likely if not self.rows[n].rack and not self.rows[n].after & likely}
        stands = any(self._stage_of(wait) in self.rows for wait in self.seen.standing)
        stands |= any(able <= held_up(wait.cause, self.settings) for wait in self._awaited())
        if not (self.work.booked or stands or self.seen.stopped):
            return QUEUE
        hung = any(row.rack for name, row in self.rows.items() if name in self.work.booked)
        return RACK if stands or self.seen.stopped or hung else BENCH

    def _row(
        self, hours: Array, days: Array, sessions: NDArray[np.int64], *, rack: bool = False
    ) -> PlannedStage:
        """A row that nothing holds up yet."""
        return PlannedStage(np.asarray(hours), np.asarray(days), sessions, rack, np.zeros(self.n))

    def _hidden(self) -> NDArray[np.bool_]:
        """By draw whether more turns out than could be seen."""
        hidden = np.zeros(self.n, dtype=bool)
        for name, much in self.seen.judged.items():
            if name in self.settings.drivers:
                hidden |= np.broadcast_to(self.work.values.get(name, much), self.n) > much + MORE
        return hidden

    def _message(self, cause: str, there: NDArray[np.bool_], *, hidden: bool | None = None) -> PlannedStage:
        """A wait for a message that may not be needed: no hours, and days in the draws in which it is."""
        rng = self.rng(cause)
        yes, no = self.waits.chance(cause, hidden)
        comes = there & (rng.random(self.n) < rng.beta(yes, no, self.n))
        days = np.where(comes, self.waits.cause(cause).draw(rng, self.n), 0.0)
        return self._row(np.zeros(self.n), days, np.ones(self.n, dtype=np.int64), rack=True)

    def _running(self, name: str) -> None:
        """A stage that is done: what is left of the wait after it; foam of which that is said is dry."""
        if name not in self.seen.ended or name == self.waits.drying:
            return
        days = np.maximum(self.days(name) - float((self.seen.day - self.seen.ended[name]).days), 0.0)
        if (days > 0).any():
            self.rows[name] = self._row(np.zeros(self.n), days, np.ones(self.n, dtype=np.int64), rack=True)

    def days(self, name: str) -> Array:
        """By draw the days that a board stands after a stage, of drying as in summer."""
        return self._by_grade(name, lambda law, _, rng: law.draw(rng, self.n))

    def _left(self, name: str, wait: Wait) -> Array:
        """By draw the days left of a wait after a stage, so that the season of day 0 makes the true ones of them."""
        now = season_on(self.seen.day, self.settings.bench) if name == self.waits.drying else 1.0
        return self._by_grade(name, lambda law, grade, rng: self._until(wait, law, rng, name, grade) / now)

    def _by_grade(
        self, name: str, draw: Callable[[WaitLaw, int | None, np.random.Generator], Array]
    ) -> Array:
        """Days by draw, each by the law of the grade that the board has in it."""
        stage, rng = self.settings.stages[name], self.rng(f"after {name}")
        modifier, grades = next(((m, len(days)) for m, days in stage.wait_by.items()), ("", 0))
        grade = np.broadcast_to(np.asarray(self.work.values.get(modifier, 0.0), dtype=float), self.n)
        at = np.minimum(np.rint(grade).astype(np.int64), max(grades - 1, 0))
        days = np.zeros(self.n)
        for i in range(max(grades, 1)):
            one = i if grades else None
            days = np.where(at == i, draw(self.waits.after(name, one), one, rng), days)
        return days

    def _until(
        self, wait: Wait, law: WaitLaw, rng: np.random.Generator, name: str = "", grade: int | None = None
    ) -> Array:
        """Days from day 0 until a wait under way is over; it was not by the day before, up to which the log tells.

        Foam dries as long as the season says in which it was hung up; name: the stage after which the board stands
        """
        stood = float((self.seen.day - wait.first).days)
        if wait.until is not None:
            return np.full(self.n, max(float((wait.until - self.seen.day).days), 0.0))
        known, dries = max(stood - 1, 0.0), bool(name) and name == self.waits.drying
        season = season_on(wait.first, self.settings.bench) if dries else 1.0
        if dries and self.seen.scales is not None and self.seen.weighed:
            days = self.seen.scales.dry_after(
                law, self.seen.weighed, rng, self.n, grade=grade, wet_for=known, season=season
            )
        else:
            days = known + season * law.draw_given(known / season, rng, self.n)
        return np.asarray(np.maximum(days - stood, 0.0))

    def _sessions(self, name: str, share: Array) -> NDArray[np.int64]:
        """Sessions still to come, by draw; share: of the stage's hours still to work."""
        told = self.settings.stages[name].sessions
        many: float | Array = self.work.values.get(told, 1.0) if isinstance(told, str) else float(told)
        return np.maximum(np.ceil(np.rint(many) * share - 1e-9), 1).astype(np.int64)
