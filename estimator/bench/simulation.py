"""The days to come, for all boards in hand and all draws at once: one pair of hands, a few places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import BENCH, QUEUE, Job, in_order
from estimator.model.saved_fit import Array
from estimator.words.errors import NeverReadyError, NoAnswerError

STANDS = 2  # days to stand from which a board gives up its place in the evening
SQUEEZED_IN = 1  # boards more than there are places, where they come back from the rack
NEVER = np.inf
SPECK = 1e-9  # hours
THIRTY_YEARS = 10_958  # days: no wait is taken as longer
MOST_STAGES = 62  # of one board: they are kept as the bits of a number


@dataclass(frozen=True)
class Finished:
    """How the days went. Days are numbers, shape (n_jobs, n_draws), in the order in which the jobs were given.

    ready: the day on which the last wait after the last stage is over
    worked_out: the last day of work; started: the first, 0 for a board that is begun
    worked: hours
    first_free: (n_draws,), the first day on which a place and hours would be free for one more board
    """

    ready: Array
    worked_out: Array
    started: Array
    worked: Array
    first_free: Array


class Floor:
    """Every board in every draw, as it stands on a day.

    Boards are rows: row = draw * n_jobs + job. Stages of a row are cells: cell = row * n_stages + stage, in an order in
    which each comes after all that must be over before it. So the lowest open stage of a board always may begin, but
    for the day before which it cannot.
    """

    def __init__(
        self,
        jobs: Sequence[Job],
        places: int,
        most: float,
        order: NDArray[np.int64],
        season: Array | None,
        ahead: NDArray[np.bool_] | None,
        shuffled: int | None,
        until: NDArray[np.bool_] | None = None,
        *,
        usual: Array | None = None,
        first: int = 0,
        free_alone: bool = False,
    ) -> None:
        self.usual = usual
        self.places, self.most, self.season, self.shuffled = places, most, season, shuffled
        self.first = first
        self.by_rank = np.argsort(order, kind="stable")
        self.jobs = [jobs[i] for i in self.by_rank]
        self.until = until is not None and not free_alone
        asked = np.zeros(len(jobs), dtype=bool) if free_alone else np.ones(len(jobs), dtype=bool)
        self.asked = (asked if until is None else until)[self.by_rank]
        n, d = len(jobs), jobs[0].n_draws if jobs else 1
        s = max([1, *(len(job.stages) for job in jobs)])
        if s > MOST_STAGES:
            raise NoAnswerError(f"a board with {s} stages.", f"Dates can be given for up to {MOST_STAGES}.")
        self.n_draws, self.n_jobs, self.n_stages, self.day = d, n, s, 0
        # hours still to do, hours of a session, days of the wait after, first day on which it may begin; by
        # cell
        cells = [
            np.zeros((d, n, s)) for _ in range(4)
        ]  # each of its own: all four of one block live on together
        self.open, self.message = np.zeros((2, d, n), dtype=np.int64)
        self.follows = np.zeros((n * s, s), dtype=bool)  # [job and stage]: what comes after
        # bits of the stages that come before, and after
        self.waits_for, self.later = np.zeros((2, n, s), dtype=np.int64)
        self.rack, self.seasonal, self.opens = np.zeros((3, n, s), dtype=bool)
        self.turn, self.closed = np.zeros((n, s)), np.zeros((7, n), dtype=bool)
        for j, job in enumerate(self.jobs):
            self._take_in(j, job, cells)
        self.by_turn = bool(self.turn.any())
        self.todo, self.session, self.waits, self.free = (cell.reshape(-1) for cell in cells)
        self.piece = np.minimum(self.session, self.todo)
        self.open, self.message = self.open.reshape(-1), self.message.reshape(-1)
        self.job = np.tile(np.arange(n), d)
        self.on_bench = np.tile(np.array([job.place == BENCH for job in self.jobs], dtype=bool), (d, 1))
        self.begun = np.tile(np.array([job.place != QUEUE for job in self.jobs], dtype=bool), (d, 1))
        self.ahead = np.zeros((d, n), dtype=bool) if ahead is None else ahead[self.by_rank].T.copy()
        self.ready, self.worked_out, self.worked = np.zeros((3, d * n))
        self.started = np.where(self.begun, 0.0, NEVER).reshape(-1)
        self.first_free, self.carried = np.full(d, NEVER), np.zeros(d)
        self.draw = np.arange(d)
        self.kept: list[tuple[NDArray[np.int64] | Array, ...]] = []
        self.next_free, self.next_stage = np.full((d, n), NEVER), np.zeros((d, n), dtype=np.int64)
        self.next_rack = np.zeros((d, n), dtype=bool)
        self.undone = ((self.open.reshape(d, n) > 0) & self.asked).sum(axis=1)  # boards asked for
        self.stage_bits = np.int64(1) << np.arange(s, dtype=np.int64)
        rows = np.arange(d * n)
        self._messages(rows)
        self._look(rows)

    def _take_in(self, j: int, job: Job, cells: Sequence[Array]) -> None:
        """Lays out one job; stages that have neither hours nor a wait in a draw are over from the start there."""
        todo, session, waits, free = cells
        at, closure = in_order(job)
        k = len(at)
        bits = np.int64(1) << np.arange(k, dtype=np.int64)
        hours = job.hours[at].T
        days, early = (np.minimum(one[at].T, THIRTY_YEARS) for one in (job.waits, job.free))
        before = closure[np.ix_(at, at)]
        todo[:, j, :k], waits[:, j, :k] = hours, days
        session[:, j, :k] = hours / job.sessions[at].T
        free[:, j, :k] = np.maximum(np.ceil(early), np.ceil(job.first)[:, None])
        # a stage with hours is work; one without hours but with days is a message, which nobody works on: its
        # wait begins by itself when all that comes before it is over (METHODS M11: owners' answers and
        # artwork are waits)
        self.open[:, j] = (hours > 0) @ bits
        self.message[:, j] = ((hours <= 0) & (days > 0)) @ bits
        self.follows.reshape(-1, self.n_stages, self.n_stages)[j, :k, :k] = before.T
        self.waits_for[j, :k] = before @ bits
        self.later[j, :k] = before.T @ bits
        self.rack[j, :k], self.seasonal[j, :k] = job.rack[at], job.seasonal[at]
        if job.opens is not None:
            self.opens[j, :k] = job.opens[at]
        if job.turns is not None:
            self.turn[j, :k] = job.turns[at]
        if job.closed is not None:
            self.closed[:, j] = job.closed

    @property
    def at_work(self) -> bool:
        """Whether anything that is asked for is still to come in any draw."""
        return bool(len(self.draw) and not self._over().all())

    def _over(self) -> NDArray[np.bool_]:
        """In which draws all that is asked for is over."""
        return np.asarray((self.undone == 0) & (self.until or np.isfinite(self.first_free)))

    def unfinished(self) -> str:
        """A board that is not finished."""
        left = (self.open > 0).reshape(-1, self.n_jobs).any(axis=0) if self.n_jobs else np.zeros(0)
        return self.jobs[int(np.argmax(left))].board if left.any() else ""

    def _look(self, row: NDArray[np.int64]) -> None:
        """Finds what comes next on these boards: the first stage that may begin, or the one that may begin soonest."""
        # stages stand in an order in which each comes after its own precedents, so the lowest open bit always
        # may begin; frexp gives the place of a single bit without a loop
        left = self.open[row]
        low = left & -left
        stage = np.where(left > 0, np.frexp(low.astype(float))[1] - 1, 0).astype(np.int64)
        day = np.where(left > 0, self.free[row * self.n_stages + stage], NEVER)
        # where that one still has to set or dry, another open stage that does not hang on it may come first
        stands = np.flatnonzero((day > self.day) & (left & ~self.later[self.job[row], stage] != low))
        if stands.size:
            stage[stands], day[stands] = self._soonest(row[stands])
        self.next_stage.reshape(-1)[row] = stage
        self.next_free.reshape(-1)[row] = day
        self.next_rack.reshape(-1)[row] = self.rack[self.job[row], stage]

    def _soonest(self, row: NDArray[np.int64]) -> tuple[NDArray[np.int64], Array]:
        """Of boards whose first stage cannot begin yet: the first that can, else the soonest."""
        left, pending = self.open[row][:, None], (self.open | self.message)[row][:, None]
        may = ((left & self.stage_bits) > 0) & ((pending & self.waits_for[self.job[row]]) == 0)
        free = np.where(may, self.free.reshape(-1, self.n_stages)[row], NEVER)
        day = free.min(axis=1)
        stage = np.argmax(free <= np.maximum(day, self.day)[:, None], axis=1)
        return stage, free[np.arange(len(row)), stage]

    def _messages(self, row: NDArray[np.int64]) -> None:
        """Starts the waits that need no work, as soon as what they come after is over."""
        row = row[self.message[row] > 0]
        some = int(np.bitwise_or.reduce(self.message[row]))
        for stage in (n for n in range(self.n_stages) if some >> n & 1):
            pending = self.message[row] | self.open[row]
            here = (self.message[row] & self.stage_bits[stage]) > 0
            here &= (pending & self.waits_for[self.job[row], stage]) == 0
            if here.any():
                over = row[here]
                self.message[over] ^= self.stage_bits[stage]
                day = np.maximum(self.free[over * self.n_stages + stage], self.day)
                self._stand(over, np.full(len(over), stage), day)

    def _stand(self, row: NDArray[np.int64], stage: NDArray[np.int64], day: Array) -> None:
        """Lets boards stand after a stage that ended on a day: what comes after may begin once that is over."""
        wait = self.waits[row * self.n_stages + stage]
        if self.season is not None:
            at = np.minimum(day.astype(np.int64), len(self.season) - 1)
            wait = np.where(self.seasonal[self.job[row], stage], wait * self.season[at], wait)
        # work begins on whole days, so a wait of 7.3 days lets it begin on the eighth (decision 29)
        over = day + np.ceil(wait - SPECK)
        self.ready[row] = np.maximum(self.ready[row], over)
        # only cells that come after it, and only later days, have anything to learn from it
        later = np.flatnonzero(over > self.day)
        row, over = row[later], over[later]
        after = self.follows[self.job[row] * self.n_stages + stage[later]]
        rows, columns = np.nonzero(after)
        at = row[rows] * self.n_stages + columns
        self.free[at] = np.maximum(self.free[at], over[rows])

    def one_day(self, day: int, hours: Array) -> bool:
        """One day: the places, then the hours; whether anything was worked, or could have been."""
        self.day = day
        left = hours[self.draw].copy()
        working = left > SPECK
        if self.usual is not None:
            room = np.maximum(self.usual[day % len(self.usual)] - left, 0.0) * working
            more = np.minimum(self.carried[self.draw], room)
            left += more
            self.carried[self.draw] -= more
        if not self.n_jobs:
            self.first_free[working & np.isinf(self.first_free)] = day
            return bool(working.any())
        # evening before: a board that would only stand there for days goes to the rack and gives up its place
        # (decision 32)
        self.on_bench &= self.next_free < day - 1 + STANDS
        if not working.any():
            return False
        able = (self.next_free <= day) & working[:, None] & ~self.closed[day % len(self.closed)]
        # who takes the places that are free, then in which turn the boards on the bench get the day's hours
        self._places(able)
        here, job = np.nonzero(able & (self.on_bench | self.next_rack))
        rows = (here * self.n_jobs + job)[self._turns(day, here, job)]
        # of each draw: its place in the rows, and where those of the next one begin
        at = np.searchsorted(here, np.arange(len(left) + 1))
        at, end = at[:-1].copy(), at[1:]
        used = np.zeros(len(left))
        draw = np.flatnonzero(at < end)
        # turn by turn, all draws at once: each draw works on its next board until that board has to set, has
        # had the most hours that one board can take in a day, or the day is used up
        while draw.size:
            row = rows[at[draw]]
            self._turn(day, draw, row, left, used)
            ends = (self.next_free.reshape(-1)[row] > day) | (used[draw] >= self.most - SPECK)
            ends |= ~(self.on_bench.reshape(-1)[row] | self.next_rack.reshape(-1)[row])
            used[draw[ends]] = 0
            at[draw] += ends
            draw = draw[(left[draw] > SPECK) & (at[draw] < end[draw])]
        if self.usual is not None:
            self.carried[self.draw] += left
        # hours left over and a place free: on this day a board that nobody has asked for yet could have begun
        room = np.flatnonzero(np.isinf(self.first_free) & (left > SPECK))
        self.first_free[room[self.on_bench[room].sum(axis=1) < self.places]] = day
        return bool(here.size)

    def _turns(self, day: int, draw: NDArray[np.int64], job: NDArray[np.int64]) -> NDArray[np.int64]:
        """Of these boards, by draw and in order, those first whose turn comes first: a board's luck is its own."""
        if self.shuffled is None:
            stage = self.next_stage[draw, job]
            return np.lexsort((np.arange(len(draw)), self.turn[job, stage], ~self.opens[job, stage], draw))
        luck = np.random.default_rng([self.shuffled, day]).random((self.n_jobs, self.n_draws))
        turn = luck[self.by_rank[job], self.draw[draw]]
        if self.first:  # each day begins with those, in their order, whoever's luck it is
            turn = np.where(job < self.first, job / self.first, 1 + turn) / 2
        return np.argsort(draw + turn, kind="stable")

    def _places(self, able: NDArray[np.bool_]) -> None:
        """Who of the boards that can be worked on this day takes the places that are free."""
        room = self.places - self.on_bench.sum(axis=1)
        can = able & ~self.on_bench & ~self.next_rack
        back = (room + SQUEEZED_IN > 0) & (can & self.begun).any(axis=1)
        some = np.flatnonzero(back | (room > 0) & can.any(axis=1))
        can = can[some]
        begun, ahead, left = self.begun[some], self.ahead[some], room[some]
        # boards begun come back first and may be squeezed in beside the full bench; then those taken out of
        # turn; then the line
        for who, more in ((begun, SQUEEZED_IN), (~begun & ahead, 0), (~begun & ~ahead, 0)):
            takes = can & who
            if self.by_turn:
                turn = np.where(takes, self.turn[np.arange(self.n_jobs), self.next_stage[some]], np.inf)
                takes &= np.argsort(np.argsort(turn, axis=1, kind="stable"), axis=1) < (left + more)[:, None]
            else:
                takes &= np.cumsum(takes, axis=1) <= (left + more)[:, None]
            self.on_bench[some] |= takes
            left = left - takes.sum(axis=1)

    def _turn(
        self, day: int, draw: NDArray[np.int64], row: NDArray[np.int64], left: Array, used: Array
    ) -> None:
        """Works on one board in each of these draws."""
        stage = self.next_stage.reshape(-1)[row]
        cell = row * self.n_stages + stage
        piece = self.piece[cell]
        # a turn ends with the day's hours, with the most that one board can take in a day, or with the
        # session
        took = np.minimum(np.minimum(left[draw], self.most - used[draw]), piece)
        left[draw] -= took
        used[draw] += took
        self.worked[row] += took
        self.begun.reshape(-1)[row] = True
        self.started[row] = np.minimum(self.started[row], day)
        self.worked_out[row] = day
        piece -= took
        self.piece[cell] = piece
        todo = self.todo[cell] - took
        self.todo[cell] = todo
        ended = np.flatnonzero(piece <= SPECK)
        if not ended.size:
            return
        row, stage, cell, todo = row[ended], stage[ended], cell[ended], todo[ended]
        # a session that is over while hours are left goes on the next day, a night between; a stage that is
        # over lets what comes after it wait, sends the messages that hung on it, and the board is looked at
        # anew
        over = todo <= SPECK * 10
        again = cell[~over]
        self.piece[again] = np.minimum(self.session[again], todo[~over])
        self.free[again] = day + 1
        done, stages = row[over], stage[over]
        self.open[done] ^= self.stage_bits[stages]
        self.undone[done // self.n_jobs] -= (self.open[done] == 0) & self.asked[self.job[done]]
        opened = done[self.opens[self.job[done], stages]]
        self.begun.reshape(-1)[opened] = False
        self._stand(done, stages, np.full(len(done), float(day)))
        self._messages(done)
        self._look(row)

    def tidy(self) -> None:
        """Puts draws aside in which all is over."""
        over = self._over()
        if over.mean() < 0.1:
            return
        self._put_aside(over)
        go_on = np.flatnonzero(~over)
        of_rows = ["todo", "piece", "session", "waits", "free", "open", "message", "ready", "worked_out"]
        for name in [*of_rows, "started", "worked", "job"]:
            setattr(self, name, getattr(self, name).reshape(len(over), -1).take(go_on, axis=0).reshape(-1))
        of_draws = ["on_bench", "begun", "ahead", "first_free", "draw", "next_free", "next_stage"]
        for name in [*of_draws, "next_rack", "undone"]:
            setattr(self, name, getattr(self, name).take(go_on, axis=0))

    def _put_aside(self, over: NDArray[np.bool_]) -> None:
        """Keeps how some draws went."""
        results = (self.ready, self.worked_out, self.started, self.worked)
        rows = [result.reshape(len(over), self.n_jobs)[over] for result in results]
        self.kept.append((self.draw[over], *rows, self.first_free[over]))

    @property
    def left(self) -> float:
        """In what share of the draws anything is still to come."""
        return float((~self._over()).sum()) / max(self.n_draws, 1)

    def give_up(self, day: float) -> None:
        """Lets boards that are not finished be ready on a day that is too far to matter."""
        self.ready[self.open > 0] = day

    def finished(self) -> Finished:
        """How all draws went, jobs in the order in which they were given."""
        self._put_aside(np.ones(len(self.draw), dtype=bool))
        draw = np.argsort(np.concatenate([one[0] for one in self.kept]))
        ready, worked_out, started, worked, first_free = (
            np.concatenate([one[i] for one in self.kept])[draw] for i in range(1, 6)
        )
        at = np.argsort(self.by_rank)
        started = np.where(np.isinf(started), ready, started)
        return Finished(ready.T[at], worked_out.T[at], started.T[at], worked.T[at], first_free)


LONGEST = 3660  # days without any work after which a board that is not finished never will be
ABSURD = 0.01  # share of draws, at most, that may take longer than that, and are ready then
CHUNK = 64  # days whose hours are asked for at once
TIDY = 16  # days after which draws that are over are put aside


class HasHours(Protocol):
    """The hours of the days to come."""

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """Hours at the bench from day `first` on, shape (n_days, n_draws)."""


def simulate(
    jobs: Sequence[Job],
    capacity: HasHours | Array,
    *,
    places: int,
    most_on_one: float,
    order: NDArray[np.int64],
    season: Array | None = None,
    ahead: NDArray[np.bool_] | None = None,
    shuffled: int | None = None,
    until: NDArray[np.bool_] | None = None,
    usual: Array | None = None,
    first: int = 0,
    last: int | None = None,
    free_alone: bool = False,
) -> Finished:
    """The days to come.

    capacity: hours of each day; an array (n_days, n_draws) goes on with its last days over and over
    places: boards on the bench at once; most_on_one: hours a day on one board
    order: (n_jobs,), the rank of each job, 0 first; season: how many times as long foam dries, by day of its beginning
    ahead: (n_jobs, n_draws), boards in line that are taken before the others there; None: none
    shuffled: None: the hours of a day go by the order; a seed: to boards with a place as they come to hand, in another
        order each day. Who gets a free place goes by the order in either case
    first: how many, from the head of the order, get the hours of each day before all others that have a place
    until: (n_jobs,), the days end when these jobs are finished, and nobody waits for a free start; None: all of them
    usual: hours of a usual day, by day modulo their number: hours that find nothing to do on their day are made up for
        on later days of work that are shorter; None: they are lost
    last: the days end with this one, and boards that are not finished on it are ready on no day; None: they go on
    free_alone: they end as soon as one more board could begin, and of boards that are not finished then nothing is told

    Raises NoAnswerError where a board can never be finished, in more than one draw of a hundred.
    """
    shop = Floor(
        jobs, places, most_on_one, order, season, ahead, shuffled, until,
        usual=usual, first=first, free_alone=free_alone,
    )  # fmt: skip
    hours = _Repeated(capacity) if isinstance(capacity, np.ndarray) else capacity
    day, gone, idle, known, chunk = 0, 0, 0, -1, np.empty((0, 0))
    while shop.at_work and (last is None or day <= last):
        if day // CHUNK != known:
            known = day // CHUNK
            chunk = np.asarray(hours.hours(known * CHUNK, CHUNK, shop.n_draws), dtype=float)
        worked = shop.one_day(day, chunk[day % CHUNK])
        idle = 0 if worked else idle + 1
        gone += 1
        # of thousands of draws one may be a board of a hundred lives
        if gone > LONGEST and shop.left <= ABSURD:
            shop.give_up(float(day))
            break
        if idle > LONGEST or gone > THIRTY_YEARS:
            never = "for ten years nothing" if idle > LONGEST else "in thirty years too little"
            raise NeverReadyError(
                shop.unfinished(),
                f"is never finished: {never} can be worked.",
                "Look at hours_by_weekday, places and away in workshop.toml, and at the board's quantities.",
            )
        # where every board stands, nothing happens until the first of them can be worked on
        wakes = day if worked or np.isinf(shop.first_free).any() else shop.next_free.min(initial=np.inf)
        day = int(wakes) if day < wakes < np.inf else day + 1
        if gone % TIDY == 0:
            shop.tidy()
    if last is not None:
        shop.give_up(NEVER)
    return shop.finished()


@dataclass(frozen=True)
class _Repeated:
    """Days as given, then again from the first."""

    days: Array

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """As HasHours."""
        at = np.arange(first, first + n_days) % len(self.days)
        return np.broadcast_to(self.days[at], (n_days, n_draws))
