"""The days to come, for all boards in hand and all draws at once: one pair of hands, a few places.

A day begins with the places: a board that was to stand for two days or more has given up its own in the evening; boards
that are begun and can be worked on take free ones, and one of them is squeezed in where none is free; then boards in
the queue do, each in their order. Then the hours of the day go, turn by turn, to the first board in order that can be
worked on: to the first of its stages that may begin, no longer than a session lasts, a board takes in a day, and the
day has. A session that is begun is ended before another stage's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from estimator.bench.floor import THIRTY_YEARS, Finished, Floor
from estimator.bench.jobs import Job
from estimator.model.saved_fit import Array
from estimator.words.errors import NoAnswerError

LONGEST = 3660  # days without any work after which a board that is not finished never will be
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
) -> Finished:
    """The days to come.

    capacity: hours of each day; an array (n_days, n_draws) goes on with its last days over and over
    places: boards on the bench at once; most_on_one: hours a day on one board
    order: (n_jobs,), the rank of each job, 0 first; season: how many times as long foam dries, by day of its beginning
    ahead: (n_jobs, n_draws), boards in line that are taken before the others there; None: none
    shuffled: None: the hours of a day go by the order; a seed: to boards with a place as they come to hand, in another
        order each day. Who gets a free place goes by the order in either case
    until: (n_jobs,), the days end when these jobs are finished, and nobody waits for a free start; None: all of them

    Raises NoAnswerError where a board can never be finished.
    """
    shop = Floor(jobs, places, most_on_one, order, season, ahead, shuffled, until)
    hours = _Repeated(capacity) if isinstance(capacity, np.ndarray) else capacity
    day, gone, idle, known, chunk = 0, 0, 0, -1, np.empty((0, 0))
    while shop.at_work:
        if day // CHUNK != known:
            known = day // CHUNK
            chunk = np.asarray(hours.hours(known * CHUNK, CHUNK, shop.n_draws), dtype=float)
        worked = shop.one_day(day, chunk[day % CHUNK])
        idle = 0 if worked else idle + 1
        gone += 1
        if idle > LONGEST or gone > THIRTY_YEARS:
            never = "for ten years nothing" if idle > LONGEST else "in thirty years too little"
            raise NoAnswerError(
                f"board {shop.unfinished()} is never finished: {never} can be worked.",
                "Look at hours_by_weekday, places and away in workshop.toml, and at the board's quantities.",
            )
        # where every board stands, nothing happens until the first of them can be worked on
        wakes = day if worked or np.isinf(shop.first_free).any() else shop.next_free.min(initial=np.inf)
        day = int(wakes) if day < wakes < np.inf else day + 1
        if gone % TIDY == 0:
            shop.tidy()
    return shop.finished()


@dataclass(frozen=True)
class _Repeated:
    """Days as given, then again from the first."""

    days: Array

    def hours(self, first: int, n_days: int, n_draws: int) -> Array:
        """As HasHours."""
        at = np.arange(first, first + n_days) % len(self.days)
        return np.broadcast_to(self.days[at], (n_days, n_draws))
