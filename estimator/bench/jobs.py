"""One board as the simulation needs it: what is still to do, what it waits for, and where it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from estimator.model.saved_fit import Array
from estimator.words.errors import NoAnswerError

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
            raise NoAnswerError(
                f"board {job.board} can never be finished: hours or days of it have no end.",
                "Look at its quantities and its waits with estimator range and estimator check.",
            )
    closure = job.after.copy()
    for j in range(len(job.stages)):
        closure |= closure[:, [j]] & closure[[j], :]
    ring = np.flatnonzero(np.diag(closure))
    if ring.size:
        names = ", ".join(job.stages[i] for i in ring)
        raise NoAnswerError(
            f"board {job.board} can never be finished: {names} wait for one another.",
            "Correct `after` of these stages in workshop.toml.",
        )
    return np.argsort(closure.sum(axis=1), kind="stable"), closure


def with_more_first(job: Job, stage: str, hours: Array) -> Job:
    """The same job with so many hours to work, (n_draws,), before any that were still to do."""
    n, k = job.n_draws, len(job.stages)
    after = np.zeros((k + 1, k + 1), dtype=bool)
    after[1:, 1:] = job.after
    after[1:, 0] = job.hours.any(axis=1)
    nothing = np.zeros((1, n))
    return replace(
        job,
        stages=(stage, *job.stages),
        hours=np.vstack([hours[None, :], job.hours.reshape(k, n)]),
        waits=np.vstack([nothing, job.waits.reshape(k, n)]),
        after=after,
        sessions=np.vstack([np.ones((1, n), dtype=np.int64), job.sessions.reshape(k, n)]),
        rack=np.concatenate([[False], job.rack]),
        free=np.vstack([nothing, job.free.reshape(k, n)]),
        seasonal=np.concatenate([[False], job.seasonal]),
    )
