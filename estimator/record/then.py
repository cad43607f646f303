"""A past board, what would have been said of it, and what came."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from estimator.model.saved_fit import Array
from estimator.record.replay import GRID
from estimator.record.scores import luck_band
from estimator.record.track_record import Count
from estimator.words.records import Board


@dataclass(frozen=True)
class Then:
    """A board, what would have been said of it, what it took and by when.

    raw, shown: hours at the chances of GRID, before and after the stretch that was known on its quote date
    hours: all its hours; None where it is in hand or hours are missing; so_far: booked by today
    """

    board: Board
    raw: Array
    shown: Array
    hours: float | None
    so_far: float
    ended: dt.date | None
    rivals: Mapping[str, Array]

    def range(self, odds: float, points: Array | None = None) -> tuple[float, float]:
        """Low and high as they would have been shown; of other points where these are given."""
        side = (1 - odds) / 2
        low, high = np.interp([side, 1 - side], GRID, self.shown if points is None else points)
        return float(low), float(high)

    def side(self, odds: float, points: Array | None = None) -> int | None:
        """-1 quicker than the range, 0 inside, 1 slower, None where it may still be either."""
        low, high = self.range(odds, points)
        if self.hours is None:
            return 1 if self.so_far > high else None
        return -1 if self.hours < low else int(self.hours > high)


def count_of(sides: Iterable[int | None], odds: float) -> Count:
    """How many boards landed where."""
    seen = list(sides)
    known = [side for side in seen if side is not None]
    return Count(
        odds=odds,
        held=known.count(0),
        below=known.count(-1),
        above=known.count(1),
        of=len(known),
        band=luck_band(len(known), odds),
        pending=len(seen) - len(known),
    )
