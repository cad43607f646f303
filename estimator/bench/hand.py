"""The boards in hand on a day, as jobs for the simulation."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from estimator.bench.arrivals import Comings, comings
from estimator.bench.drying import Scales, weighed_since
from estimator.bench.jobs import Job
from estimator.bench.plans import DRYING, Seen, job_of
from estimator.bench.waits import Waits
from estimator.forecast.draws import draw_hours
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.forecast.views import default_view, work_of_board
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
    stretch: of boards that are not begun
    """

    log: Log
    settings: Settings
    fit: SavedFit
    waits: Waits
    day: dt.date
    seed: int = 0
    n_draws: int = N_DRAWS
    stretch: Stretch = UNSTRETCHED

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
        view = default_view(board)
        work, _ = work_of_board(
            self.fit, board, view, self.settings, np.random.default_rng([self.seed, 2]), self.n_draws
        )
        drawn = draw_hours(self.fit, work, np.random.default_rng([self.seed, 3]), self.n_draws)
        if view == "before":
            drawn = drawn.stretched(self.stretch)
        return job_of(board.board, work, drawn, seen, self.waits, self.settings, seed=self.seed, first=first)

    def seen(self, board: Board) -> Seen:
        """What the log says of a board on day 0."""
        standing = self._standing.get(board.board, ())
        hung = next((wait.first for wait in standing if wait.cause == DRYING), None)
        return Seen(
            day=self.day,
            ended=self._ended.get(board.board, {}),
            standing=standing,
            met=frozenset(
                wait.cause
                for wait in self.log.waits
                if wait.board == board.board and wait.until is not None and wait.until < self.day
            ),
            stopped=board.state == STOPPED,
            judged=board.assessed,
            weighed=() if hung is None else weighed_since(self.log, board.board, hung, self.day),
            scales=None if hung is None else self._scales,
        )

    @cached_property
    def comings(self) -> Comings | None:
        """How boards came, where enough did for others to be expected."""
        return comings(self.log, self.day)

    @cached_property
    def _scales(self) -> Scales:
        """What past boards on the scales tell."""
        return Scales.of(self.log, self.settings, seed=self.seed)

    @cached_property
    def _ended(self) -> Mapping[str, Mapping[str, dt.date]]:
        """By board the last day of each stage with hours."""
        last: dict[str, dict[str, dt.date]] = defaultdict(dict)
        for entry in self.log.entries:
            if entry.hours > 0:
                of = last[entry.board]
                of[entry.stage] = max(entry.last, of.get(entry.stage, entry.last))
        return last

    @cached_property
    def _standing(self) -> Mapping[str, tuple[Wait, ...]]:
        """By board what it waits for on day 0."""
        open_ = defaultdict(list)
        for wait in self.log.waits:
            if wait.first < self.day and (wait.until is None or wait.until >= self.day):
                open_[wait.board].append(wait)
        return {board: tuple(waits) for board, waits in open_.items()}
