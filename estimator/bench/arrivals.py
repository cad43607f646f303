"""Boards that nobody has asked for yet: they take places and hours from those in hand, as past ones did."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import QUEUE, Job
from estimator.bench.orders import RARELY
from estimator.model.saved_fit import Array
from estimator.words.records import Board, Entry, Log

LOOKED_BACK = 730  # days of which the comings count
ENOUGH = 8  # past boards from which on others are expected
MOST = 16  # boards that are expected at most


@dataclass(frozen=True)
class Comings:
    """How boards came: days between one and the next, on average, and the past ones that others will be like.

    hours, days: of each past board, its hours and the days on which it was worked; kinds: its sort of job
    """

    gap: float
    hours: Array
    days: NDArray[np.int64]
    kinds: tuple[str, ...]

    def jobs(
        self, until: float, chances: Mapping[str, tuple[float, float]], n_draws: int, seed: int
    ) -> tuple[list[Job], NDArray[np.bool_]]:
        """Boards that come within so many days, and by job and draw whether they are taken out of turn.

        Each comes after the one before by an exponential gap, and is like a past board: its hours in as many
        sessions as days it was worked on. The first of them are the same for more days.
        """
        n = min(int(np.ceil(until / self.gap)), MOST)
        gaps, sorts, turns = np.random.default_rng([seed, 17]).spawn(3)
        comes = np.cumsum(gaps.exponential(self.gap, (n, n_draws)), axis=0)
        like = sorts.integers(0, len(self.hours), (n, n_draws))
        yes, no = np.array([chances.get(kind, RARELY) for kind in self.kinds]).T
        ahead = turns.random((n, n_draws)) < (yes / (yes + no))[like]
        one = np.zeros((1, 1), dtype=bool)
        jobs = [
            Job(
                board=f"to come {i + 1}",
                stages=("work",),
                hours=self.hours[like[i]][None, :],
                waits=np.zeros((1, n_draws)),
                after=one,
                sessions=self.days[like[i]][None, :],
                rack=np.zeros(1, dtype=bool),
                free=np.zeros((1, n_draws)),
                seasonal=np.zeros(1, dtype=bool),
                place=QUEUE,
                first=comes[i],
            )
            for i in range(n)
        ]
        return jobs, ahead


def comings(log: Log, day: dt.date) -> Comings | None:
    """How boards came in the two years before a day; None where fewer than eight were taken on and finished."""
    rows: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        if entry.hours > 0:
            rows[entry.board].append(entry)
    taken = [b for b in log.boards if b.accepted and 0 < (day - b.accepted).days <= LOOKED_BACK]
    taken.sort(key=lambda b: (b.accepted or day, b.board))
    past = [(b, rows[b.board]) for b in taken if b.finished and rows[b.board]]
    if len(past) < ENOUGH:
        return None
    return Comings(
        gap=_gap(taken, day),
        hours=np.array([sum(e.hours for e in entries) for _, entries in past]),
        days=np.array([len({e.last for e in entries}) for _, entries in past], dtype=np.int64),
        kinds=tuple(board.kind for board, _ in past),
    )


def _gap(taken: Sequence[Board], day: dt.date) -> float:
    """Days between one board and the next."""
    first = min(board.accepted for board in taken if board.accepted)
    return max((day - first).days, 1) / len(taken)
