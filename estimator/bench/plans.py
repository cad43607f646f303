"""One board as the simulation needs it: its stages still to come, their waits, and the messages it waits for."""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from estimator.bench.drying import Scales, Weighed
from estimator.bench.jobs import BENCH, QUEUE, RACK, Job
from estimator.bench.wait_law import WaitLaw
from estimator.bench.waits import Waits, season_on
from estimator.forecast.draws import Drawn, Work
from estimator.forecast.views import revealing_stage
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import Array
from estimator.words.records import Wait
from estimator.words.settings import Settings

OWNER, DRYING = "owner", "drying"
MORE = 1e-6  # units: hidden work is more than this


@dataclass
class Row:
    """A stage still to come, or a message: hours and days (n_draws,), and what must be over before it."""

    hours: Array
    days: Array
    sessions: NDArray[np.int64]
    rack: bool
    free: Array
    after: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class Seen:
    """What the log says of a board on day 0.

    day: day 0; ended: the last day of each stage with hours; standing: what it waits for now
    met: causes of waits that are over; stopped: it waits for an answer of which no row tells
    judged: quantities as they looked
    weighed: days since it was hung up to dry, and kilograms; scales: what past boards on them tell
    """

    day: dt.date
    ended: Mapping[str, dt.date] = field(default_factory=dict)
    standing: tuple[Wait, ...] = ()
    met: frozenset[str] = frozenset()
    stopped: bool = False
    judged: Mapping[str, float] = field(default_factory=dict)
    weighed: Weighed = ()
    scales: Scales | None = None


def job_of(
    board: str,
    work: Work,
    drawn: Drawn,
    seen: Seen,
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


class _Plan:
    """A job in the making."""

    def __init__(
        self, board: str, work: Work, drawn: Drawn, seen: Seen, waits: Waits, settings: Settings, seed: int
    ) -> None:
        self.board, self.work, self.drawn, self.seen = board, work, drawn, seen
        self.waits, self.settings, self.seed = waits, settings, seed
        self.n = drawn.hours.shape[1]
        self.rows: dict[str, Row] = {}
        self.later = followers(settings.stages)

    def rng(self, what: str) -> np.random.Generator:
        """Luck of one thing of this board, the same whatever else there is."""
        return np.random.default_rng([self.seed, zlib.crc32(self.board.encode()), zlib.crc32(what.encode())])

    def stages(self) -> None:
        """The stages still to come, and those over whose wait may still run."""
        took = dict(zip(self.drawn.stages, self.drawn.hours, strict=True))
        booked = self.work.booked.keys()
        for name in self.settings.stages:
            if self.later[name] & booked:
                continue  # what comes after it was worked: it is over, or was passed by
            if name in self.work.done:
                self._running(name)
            elif name in took:
                so_far = self.work.booked.get(name, 0.0)
                left = np.maximum(took[name] - so_far, 0.0)
                wait = next((one for one in self.seen.standing if one.cause == name), None)
                dries = wait is not None
                days = self._days(name) if wait is None else self._days(name, self._so_far(name, wait), wait)
                self.rows[name] = self._row(
                    left,
                    days if dries else np.where(took[name] > 0, days, 0.0),
                    self._sessions(
                        name, np.divide(left, took[name], out=np.zeros(self.n), where=took[name] > 0)
                    ),
                    rack=self.settings.stages[name].on == "rack",
                )
        for name, row in self.rows.items():
            row.after = {other for other in self.rows if name in self.later[other]}

    def standing(self) -> None:
        """What the whole board waits for: nothing on the bench begins before it is over."""
        waits = [wait for wait in self.seen.standing if wait.cause not in self.settings.stages]
        if self.seen.stopped and not waits:
            last = max(self.seen.ended.values(), default=self.seen.day)
            waits = [Wait(self.board, last, None, OWNER)]
        for wait in waits:
            if wait.until is not None:
                free = np.full(self.n, float(max((wait.until - self.seen.day).days, 0)))
            else:
                so_far = float((self.seen.day - wait.first).days)
                free = self.waits.cause(wait.cause).draw_given(so_far, self.rng(wait.cause), self.n)
            for row in self.rows.values():
                if not row.rack:
                    row.free = np.maximum(row.free, free)

    def artwork_and_parts(self) -> None:
        """Messages that a stage needs: sent for once the board's first stage is done."""
        if self.work.booked:
            return  # what a board that is begun still waits for has a row of its own
        first = next(iter(self.rows), "")
        for name in [*self.rows]:
            for cause in self.settings.stages[name].needs:
                if cause not in self.seen.met and cause not in self.rows:
                    row = self._message(cause, np.asarray(self.rows[name].hours > 0))
                    row.after = {first} - {name}
                    self.rows[cause] = row
                self.rows[name].after |= {cause} & self.rows.keys()

    def answer(self) -> None:
        """The owner's answer to what turned out, which all work after the revealing stage waits for."""
        shown = revealing_stage(self.settings)
        if shown not in self.rows or OWNER in self.rows or not (self.rows[shown].hours > 0).any():
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
            seasonal=np.array([name == DRYING for name in names], dtype=bool),
            place=self._place(),
            first=np.full(self.n, float(first)),
        )

    def _place(self) -> str:
        """Where the board is on day 0."""
        stands = any(w.cause in self.rows or w.cause not in self.settings.stages for w in self.seen.standing)
        if not (self.work.booked or stands or self.seen.stopped):
            return QUEUE
        hung = any(row.rack for name, row in self.rows.items() if name in self.work.booked)
        return RACK if stands or self.seen.stopped or hung else BENCH

    def _row(self, hours: Array, days: Array, sessions: NDArray[np.int64], *, rack: bool = False) -> Row:
        """A row that nothing holds up yet."""
        return Row(np.asarray(hours), np.asarray(days), sessions, rack, np.zeros(self.n))

    def _hidden(self) -> NDArray[np.bool_]:
        """By draw whether more turns out than could be seen."""
        hidden = np.zeros(self.n, dtype=bool)
        for name, much in self.seen.judged.items():
            if name in self.settings.drivers:
                hidden |= np.broadcast_to(self.work.values.get(name, much), self.n) > much + MORE
        return hidden

    def _message(self, cause: str, there: NDArray[np.bool_], *, hidden: bool | None = None) -> Row:
        """A wait for a message that may not be needed: no hours, and days in the draws in which it is."""
        rng = self.rng(cause)
        yes, no = self.waits.chance(cause, hidden)
        comes = there & (rng.random(self.n) < rng.beta(yes, no, self.n))
        days = np.where(comes, self.waits.cause(cause).draw(rng, self.n), 0.0)
        return self._row(np.zeros(self.n), days, np.ones(self.n, dtype=np.int64), rack=True)

    def _running(self, name: str) -> None:
        """A stage that is done: what is left of the wait after it."""
        if name not in self.seen.ended:
            return
        days = np.maximum(self._days(name) - float((self.seen.day - self.seen.ended[name]).days), 0.0)
        if (days > 0).any():
            self.rows[name] = self._row(np.zeros(self.n), days, np.ones(self.n, dtype=np.int64), rack=True)

    def _so_far(self, name: str, wait: Wait) -> float:
        """Days for which a board has stood; of drying as they would be in summer."""
        days = float((self.seen.day - wait.first).days)
        return days / season_on(wait.first, self.settings.bench) if name == DRYING else days

    def _days(self, name: str, so_far: float = 0.0, wait: Wait | None = None) -> Array:
        """By draw the days that a board stands after a stage; so_far: those that it has stood.

        wait: the drying that is under way, of which weighings tell
        """
        stage, rng = self.settings.stages[name], self.rng(f"after {name}")
        modifier, grades = next(((m, len(days)) for m, days in stage.wait_by.items()), ("", 0))
        grade = np.broadcast_to(np.asarray(self.work.values.get(modifier, 0.0), dtype=float), self.n)
        at = np.minimum(np.rint(grade).astype(np.int64), max(grades - 1, 0))
        days = np.zeros(self.n)
        for i in range(max(grades, 1)):
            law = self.waits.after(name, i if grades else None)
            if law is not None:
                if wait is not None and name == DRYING and self.seen.scales is not None and self.seen.weighed:
                    drawn = self._by_scales(self.seen.scales, law, wait, i if grades else None, rng)
                else:
                    drawn = law.draw_given(so_far, rng, self.n) if so_far > 0 else law.draw(rng, self.n)
                days = np.where(at == i, drawn, days)
        return days

    def _by_scales(
        self, scales: Scales, law: WaitLaw, wait: Wait, grade: int | None, rng: np.random.Generator
    ) -> Array:
        """Days still to dry, as they would be in summer, of a board that has been weighed."""
        day = self.seen.day
        season = season_on(day, self.settings.bench)
        wet_for = float((day - wait.first).days)
        dry = scales.dry_after(
            law, self.seen.weighed, rng, self.n, grade=grade, wet_for=wet_for, season=season
        )
        return np.asarray(np.maximum(dry - wet_for, 0.0) / season)

    def _sessions(self, name: str, share: Array) -> NDArray[np.int64]:
        """Sessions still to come, by draw; share: of the stage's hours still to work."""
        told = self.settings.stages[name].sessions
        many: float | Array = self.work.values.get(told, 1.0) if isinstance(told, str) else float(told)
        return np.maximum(np.ceil(np.rint(many) * share - 1e-9), 1).astype(np.int64)
