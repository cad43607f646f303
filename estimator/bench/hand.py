"""The boards in hand on a day, as jobs for the simulation."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from estimator.bench.arrivals import Comings, comings
from estimator.bench.drying import Scales, weighed_since
from estimator.bench.jobs import Job
from estimator.bench.plans import job_of
from estimator.bench.seen import DRYING, Seen, held_up
from estimator.bench.waits import Waits, season_on
from estimator.forecast.views import default_view, drawn_board
from estimator.log.stage_hours import followers
from estimator.model.quantities import as_it_turned_out
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.dates import A_DAY
from estimator.words.records import IN_HAND, STOPPED, Board, Log, Wait
from estimator.words.settings import Settings

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

    def job(self, board: KnownBoard, seen: Seen, first: int = 0) -> Job:
        """One board's job; first: the day before which it cannot start."""
        work, drawn, _ = drawn_board(
            self.fit, board, default_view(board), self.settings, seed=self.seed, n_draws=self.n_draws
        )
        return job_of(board.board, work, drawn, seen, self.waits, self.settings, seed=self.seed, first=first)

    def seen(self, board: Board) -> Seen:
        """What the log says of a board on day 0."""
        standing = self._standing.get(board.board, ())
        hung = next((wait.first for wait in standing if wait.cause == DRYING), None)
        worked = self._worked.get(board.board, {})
        return Seen(
            day=self.day,
            begun={stage: min(days) for stage, days in worked.items()},
            ended={stage: max(days) for stage, days in worked.items()},
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
    def comings(self) -> Comings | None:
        """How boards came, where enough did for others to be expected."""
        return comings(self.log, self.day)

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
                of[entry.stage] = (*of.get(entry.stage, ()), entry.date, entry.last)
        return days

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
