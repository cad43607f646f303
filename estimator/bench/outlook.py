"""The boards in hand on a day, run through the days to come."""

from __future__ import annotations

import datetime as dt
import zlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from estimator.bench.calendar import Capacity
from estimator.bench.drying import Scales, weighed_since
from estimator.bench.jobs import DRYING, QUEUE, BoardSeen, Job, held_up, in_order, job_of
from estimator.bench.orders import (
    RARELY,
    Comings,
    comings,
    first_days,
    first_promised_first,
    out_of_turn,
    with_first,
)
from estimator.bench.promises import SURE, Dates, ToldDates
from estimator.bench.simulation import Finished, simulate
from estimator.bench.waits import Waits, season_on
from estimator.forecast.calibration import UNSTRETCHED, Stretch, stretched_days
from estimator.forecast.views import default_view, drawn_board
from estimator.log.stage_hours import followers
from estimator.log.steps.ringing import answered_rings, put_first
from estimator.log.tellings import first_tellings, of_dates, with_rows
from estimator.model.quantities import as_it_turned_out
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.records import IN_HAND, STOPPED, Board, Log, Wait
from estimator.words.records import Told as Telling
from estimator.words.settings.schema import Bench, Settings

N_DRAWS = 4000
LONG_AGO = 10  # days without a word after which nothing more is known


def log_up_to(log: Log, today: dt.date) -> dt.date:
    """The last day of which the log tells what was worked, never after today.

    Where that is more than ten days ago, nothing has been written since, and it is yesterday.
    """
    last = min(log.last_entry or dt.date.min, today)
    return today - A_DAY if (today - last).days > LONG_AGO else last


@dataclass(frozen=True)
class Hand:
    """The boards in hand on a day, and what their jobs are made from.

    day: the first day that is still to come, day 0 of the simulation
    """

    log: Log
    settings: Settings
    fit: SavedFit
    waits: Waits
    day: dt.date
    seed: int = 0
    n_draws: int = N_DRAWS

    @cached_property
    def boards(self) -> tuple[Board, ...]:
        """The boards in hand, in the order of the log."""
        return tuple(board for board in self.log.boards if board.state in IN_HAND)

    @cached_property
    def known(self) -> Mapping[str, KnownBoard]:
        """Boards as the fit knows them."""
        return {board.board: board for board in self.fit.boards}

    def jobs(self, boards: Iterable[Board]) -> tuple[Job, ...]:
        """The job of each board."""
        return tuple(self.job(self.known[board.board], self.seen(board)) for board in boards)

    def job(self, board: KnownBoard, seen: BoardSeen, first: int = 0) -> Job:
        """One board's job; first: the day before which it cannot start."""
        work, drawn, _ = drawn_board(
            self.fit, board, default_view(board), self.settings, seed=self.seed, n_draws=self.n_draws
        )
        return job_of(board.board, work, drawn, seen, self.waits, self.settings, seed=self.seed, first=first)

    def job_judged(self, row: Board, board: KnownBoard) -> Job:
        """The job of a board in hand with other quantities than it has; row: what the log says of it."""
        return self.job(board, replace(self.seen(row), judged=board.wanted))

    def seen(self, board: Board) -> BoardSeen:
        """What the log says of a board on day 0."""
        standing = self._standing.get(board.board, ())
        hung = next((wait.first for wait in standing if wait.cause == DRYING), None)
        worked = self._worked.get(board.board, {})
        return BoardSeen(
            day=self.day,
            begun={stage: min(days) for stage, days in worked.items()},
            ended={stage: max(days) for stage, days in worked.items()},
            again=self._again.get(board.board, frozenset()),
            standing=standing,
            met={
                wait.cause: wait.first
                for wait in sorted(self.log.waits, key=lambda wait: wait.first)
                if wait.board == board.board and wait.until is not None and wait.until < self.day
            },
            stopped=board.state == STOPPED,
            judged=board.wanted,
            weighed=() if hung is None else weighed_since(self.log, board.board, hung),
            scales=None if hung is None else self._scales,
        )

    def weigh_on(self, board: Board, job: Job, today: dt.date) -> dt.date | None:
        """The day on which to put a drying board on the scales next; None where they can tell nothing.

        Where nobody weighs boards, nobody is asked to.
        """
        stage, bench = self.waits.drying, self.settings.bench
        hung = next(
            (wait.first for wait in self._standing.get(board.board, ()) if wait.cause == DRYING), None
        )
        if hung is None or stage not in job.stages or not self.log.weighings:
            return None
        grade = as_it_turned_out(board).get(next(iter(self.settings.stages[stage].wait_by), ""))
        weighed, whole = weighed_since(self.log, board.board, hung), None if grade is None else round(grade)
        if not self._scales.tell(weighed, whole):
            return None
        left = job.waits[job.stages.index(stage)] * season_on(self.day, bench)
        dry = float((self.day - hung).days) + left
        return today + A_DAY * self._scales.weigh_again(dry, weighed, grade=whole, today=(today - hung).days)

    @cached_property
    def _scales(self) -> Scales:
        """What past boards on the scales tell."""
        return Scales.of(self.log, self.settings, seed=self.seed)

    @cached_property
    def _worked(self) -> Mapping[str, Mapping[str, tuple[dt.date, ...]]]:
        """By board and stage the first and the last day of each row with hours."""
        days: dict[str, dict[str, tuple[dt.date, ...]]] = defaultdict(dict)
        for entry in self.log.entries:
            if entry.hours > 0:
                of = days[entry.board]
                for stage in filter(None, (entry.stage, entry.of)):
                    of[stage] = (*of.get(stage, ()), entry.date, entry.last)
        return days

    @cached_property
    def _again(self) -> Mapping[str, frozenset[str]]:
        """By board the stages that were done again, since when nothing that comes after them was worked."""
        later = followers(self.settings.stages)
        redone: dict[str, set[str]] = defaultdict(set)
        for entry in self.log.entries:
            worked = self._worked.get(entry.board, {})
            if entry.of and entry.hours > 0:
                ended = max(worked[entry.of])
                if all(max(worked[name]) < ended for name in later[entry.of] & worked.keys()):
                    redone[entry.board].add(entry.of)
        return {board: frozenset(stages) for board, stages in redone.items()}

    @cached_property
    def _standing(self) -> Mapping[str, tuple[Wait, ...]]:
        """By board what it waits for on day 0, in order of the first day."""
        open_ = defaultdict(list)
        for wait in sorted(self.log.waits, key=lambda wait: (wait.first, wait.cause)):
            runs = wait.first < self.day and (wait.until is None or wait.until >= self.day)
            if runs and not self._went_on(wait):
                open_[wait.board].append(wait)
        return {board: tuple(waits) for board, waits in open_.items()}

    def _went_on(self, wait: Wait) -> bool:
        """Whether a stage was worked since that would have had to wait: then a row without its end is over."""
        held = held_up(wait.cause, self.settings)
        if wait.cause == DRYING and self.waits.drying:
            held = followers(self.settings.stages)[self.waits.drying]
        worked = self._worked.get(wait.board, {})
        return wait.until is None and any(max(worked[name]) > wait.first for name in held & worked.keys())


SEASONS = 366 * 3  # days for which the season is laid out
LONGER = 60.0  # days added to what the hours in hand take, for waits
YES_WITHIN = 7  # days that an answer to "if you say yes" is waited for


@dataclass(frozen=True)
class Outlook:
    """The boards in hand of which a date can be given, and how the days to come go with them.

    left_out: by board why no date of it can be given, in a sentence that names it
    stretch: of the days to come, for boards in line: as the record of dates taught it
    comings: how boards came, where any did: others will, and the same with one of those in hand or without it
    """

    hand: Hand
    capacity: Capacity
    boards: tuple[Board, ...]
    jobs: tuple[Job, ...]
    left_out: Mapping[str, str]
    stretch: Stretch = UNSTRETCHED
    comings: Comings | None = None

    @classmethod
    def of(cls, hand: Hand, capacity: Capacity, stretch: Stretch = UNSTRETCHED) -> Outlook:
        """Boards of which neither rules nor log can tell, or that never end, are left out, with the reason."""
        boards: list[Board] = []
        jobs: list[Job] = []
        left_out: dict[str, str] = {}
        for board in sorted(hand.boards, key=lambda b: (b.accepted or dt.date.max, b.board)):
            try:
                (job,) = hand.jobs([board])
                in_order(job)
            except NoAnswerError as error:
                left_out[board.board] = error.of(board.name)
                continue
            boards.append(board)
            jobs.append(job)
        return cls(
            hand, capacity, tuple(boards), tuple(jobs), left_out, stretch, expected(hand, boards, jobs)
        )

    @property
    def settings(self) -> Settings:
        """The workshop's settings."""
        return self.hand.settings

    @cached_property
    def told(self) -> Mapping[str, ToldDates]:
        """By board the dates that its owner goes by."""
        return told_dates(self.hand.log.told, self.boards)

    @cached_property
    def usual_order(self) -> NDArray[np.int64]:
        """The order of work as it comes: what was promised first comes first."""
        first = first_days(self.hand.log.told, self.boards)
        return first_promised_first(first, [b.accepted for b in self.boards])

    @cached_property
    def put_first(self) -> tuple[str, ...]:
        """The boards of which was said that they go before all others, by their ids."""
        there = {board.board for board in self.boards}
        return tuple(
            one.board for one in put_first(answered_rings(self.hand.log.notes)) if one.board in there
        )

    @cached_property
    def order(self) -> NDArray[np.int64]:
        """The order of work: what is put first, then what was promised first."""
        return with_first(self.usual_order, self.boards, self.put_first)

    @cached_property
    def days(self) -> Finished:
        """How the days to come go with the boards in hand, in their order."""
        return self.finished()

    def finished(
        self,
        more: Sequence[Job] = (),
        order: NDArray[np.int64] | None = None,
        *,
        others: bool = True,
        alone: int | None = None,
        last: dt.date | None = None,
        free_alone: bool = False,
    ) -> Finished:
        """How the days to come go with the boards in hand, then `more`, in this order.

        The days on which boards in line are ready are moved out from their middle by the stretch, draw by draw, so
        that ranges and chances of dates all rest on the same days.

        order: ranks of the boards in hand, None: as they stand, and those that are put first have the hours first;
        others: whether boards come that nobody has asked for yet; without them the
        hours that such boards have taken out of turn are left out instead
        alone: the number of the one board that is asked about: the days end when it is ready, so that of the rest not
        all is told; None: all of them
        """
        known = self.order if order is None else order
        jobs = [*self.jobs, *more]
        n = jobs[0].n_draws if jobs else self.hand.n_draws
        coming = self.comings if others else None
        to_come: list[Job] = []
        ahead = self._ahead(len(more), n)
        if coming is not None:
            to_come, out = coming.jobs(self._long(jobs), self.chances, n, self.hand.seed)
            ahead = np.concatenate([ahead, out])
        bench, later = self.settings.bench, len(more) + len(to_come)
        at = np.arange(len(jobs) + len(to_come))
        until = at == alone if alone is not None else None if coming is None else at < len(jobs)
        days = simulate(
            [*jobs, *to_come],
            replace(self.capacity, all_of_them=coming is not None),
            places=bench.places,
            most_on_one=bench.most_hours_a_day_on_one_board,
            order=np.concatenate([known, np.arange(later) + len(known)]).astype(np.int64),
            season=seasons(self.hand.day, bench),
            ahead=ahead,
            shuffled=self.hand.seed,
            until=until,
            first=len(self.put_first) if order is None else 0,
            last=None if last is None or self.stretch else (last - self.hand.day).days,
            free_alone=free_alone,
        )
        return replace(days, ready=self._moved(days.ready, jobs)) if self.stretch and not free_alone else days

    def _moved(self, ready: Array, jobs: Sequence[Job]) -> Array:
        """Days on which boards are ready, shape (n_jobs, n_draws), those of boards in line after the stretch."""
        ready = ready.copy()
        for i, job in enumerate(jobs):
            if job.place == QUEUE:
                days = ready[i] + 1  # that of the log's last day is none
                middle = np.quantile(days, 0.5, method="inverted_cdf")
                ready[i] = stretched_days(days, middle, self.stretch.low, self.stretch.high) - 1
        return ready

    def _long(self, jobs: Sequence[Job]) -> float:
        """Days within which the boards in hand are surely finished, as hours of the week go."""
        hours = sum(float(np.quantile(job.hours.sum(axis=0), 0.9)) for job in jobs)
        week = sum(self.settings.bench.hours_by_weekday)
        return 7 * hours / week + LONGER if week else LONGER

    @cached_property
    def chances(self) -> Mapping[str, tuple[float, float]]:
        """How often a sort of job was taken out of turn."""
        return out_of_turn(self.hand.log.boards)

    def _ahead(self, more: int, n: int) -> NDArray[np.bool_]:
        """By job and draw whether a board in line is taken out of turn, as often as its sort has been.

        One since whose coming another was begun has had its turn passed by.
        """
        begun = max((b.started for b in self.hand.log.boards if b.started), default=dt.date.min)
        ahead = np.zeros((len(self.jobs) + more, n), dtype=bool)
        for i, (board, job) in enumerate(zip(self.boards, self.jobs, strict=True)):
            if job.place == QUEUE and board.accepted is not None and board.accepted >= begun:
                rng = np.random.default_rng([self.hand.seed, 13, zlib.crc32(board.board.encode())])
                yes, no = self.chances.get(board.kind, RARELY)
                ahead[i] = rng.random(n) < rng.beta(yes, no, n)
        return ahead

    def thinned(self, n: int = 1000) -> Outlook:
        """The same with the first draws alone, for what is tried and not told."""
        jobs = tuple(
            replace(
                job,
                hours=job.hours[:, :n],
                waits=job.waits[:, :n],
                sessions=job.sessions[:, :n],
                free=job.free[:, :n],
                first=job.first[:n],
            )
            for job in self.jobs
        )
        return replace(self, jobs=jobs)

    def dates(self, ready: Array) -> Dates:
        """The range of days that draws of a day's number make."""
        low, likely, high = days_at(self.hand.day, ready, (0.1, 0.5, SURE))
        return Dates(low, likely, high)

    def to_tell(self, board: str, ready: Array, today: dt.date) -> Dates:
        """The range of days that draws of a board make, with the day to tell its owner: the one of every answer."""
        dates, row = self.dates(ready), self.hand.log.by_id.get(board)
        told = None if row is None else told_dates(self.hand.log.told, [row]).get(board)
        calendar = self.capacity.calendar
        return replace(
            dates, tell=calendar.day_to_tell(dates.high, today, None if told is None else told.last)
        )

    def of_one_more(self, board: KnownBoard, today: dt.date) -> tuple[Dates, dt.date]:
        """When a board not yet taken on would be ready, and by when its owner must say yes for that."""
        _, ready, by = self.days_of_one_more(board, today)
        return self.to_tell(board.board, ready[-1], today), by

    def days_of_one_more(self, board: KnownBoard, today: dt.date) -> tuple[Job, Array, dt.date]:
        """A board not yet taken on as a job behind all others, the days with it, and by when its owner must say yes.

        The days are those on which the boards in hand, then this one, are ready, shape (n_jobs + 1, n_draws).
        """
        by, first = self.if_yes(today)
        job = self.hand.job(board, self.hand.seen(Board(board.board)), first=first)
        return job, self.finished([job]).ready[: len(self.jobs) + 1], by

    def if_yes(self, today: dt.date) -> tuple[dt.date, int]:
        """By when an owner must say yes, and the number of the day before which the board cannot be begun."""
        by = today + YES_WITHIN * A_DAY
        return by, max((by - self.hand.day).days, 0)

    def place_of(self, board: str) -> int | None:
        """The place of a board among the boards, by its id; None where it is not in hand, or has no date."""
        return next((i for i, one in enumerate(self.boards) if one.board == board), None)


def expected(hand: Hand, boards: Sequence[Board], jobs: Sequence[Job]) -> Comings | None:
    """How boards came, by the log and by what is left on those in hand; None where none did.

    What owners asked for since is left out, so that days stay as they were said where a wish is kept.
    """
    left = {
        board.board: float(np.median(_as_first_asked(hand, board, job).hours.sum(axis=0)))
        for board, job in zip(boards, jobs, strict=True)
    }
    return comings(hand.log, hand.day, left, sum(hand.settings.bench.hours_by_weekday))


def _as_first_asked(hand: Hand, board: Board, job: Job) -> Job:
    """A board's job without what its owner asked for since; job: with it."""
    if not any(board.later.values()):
        return job
    return hand.job_judged(board, hand.known[board.board].as_first_asked)


def seasons(first: dt.date, bench: Bench) -> Array:
    """How many times as long foam dries that begins to on each day, from the first on, shape (n_days,)."""
    return np.array([season_on(first + n * A_DAY, bench) for n in range(SEASONS)])


def told_dates(tellings: Iterable[Telling], boards: Iterable[Board]) -> dict[str, ToldDates]:
    """By board the dates told last and those of the first telling, a day in the board's own row among them."""
    boards = tuple(boards)
    told = with_rows(tellings, boards)
    first, latest = first_tellings(told, of_dates), {one.board: one for one in told if of_dates(one)}
    dates = {}
    for board in boards:
        last, one = latest.get(board.board), first.get(board.board)
        if last is not None and one is not None and last.last is not None and one.last is not None:
            dates[board.board] = ToldDates(last.first, last.last, one.last, one.first)
    return dates


def days_at(first: dt.date, numbers: Array, probs: Sequence[float]) -> tuple[dt.date, ...]:
    """Days at the given chances; a day counts as soon as so many draws are ready on it."""
    at = np.quantile(np.asarray(numbers, dtype=float), probs, method="inverted_cdf")
    return tuple(first + int(np.ceil(one)) * A_DAY for one in at)
