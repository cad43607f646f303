"""How outlines of boards stand on a tape: how high, and in which rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

SLIM = 5.6  # a board is so many times as high as it is wide
TALLEST, GOOD, GAP = 140.0, 44.0, 4.0  # pixels: never higher; high enough to stay in fewer rows; between rows
SIDE_GAP = 1.5  # pixels between outlines that stand side by side
HATCH = 5.0  # pixels from one hatch line up to the next
RAIL_SHAPE = (  # right rail from foot to nose: a straight tail, then cubic curves; width 1, height 1
    (0.0, 0.0), (0.17, 0.0), (0.36, 0.1), (0.5, 0.27), (0.5, 0.5), (0.5, 0.74), (0.24, 1.0), (0.0, 1.0),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Standing:
    """How the outlines of one drawing stand: their size in pixels, and the row of each, 0 on the tape."""

    high: float
    wide: float
    rows: tuple[int, ...]

    @property
    def top(self) -> float:
        """How high above the tape the highest nose is, in pixels."""
        return max(self.rows) * (self.high + GAP) + self.high

    def foot(self, i: int) -> float:
        """How far above the tape the foot of board `i` is, in pixels."""
        return self.rows[i] * (self.high + GAP)


def stand(at_px: Sequence[float], zone_px: float) -> Standing:
    """The largest outlines that fit the height without one lying on another, in as few rows as look well.

    at_px: places along the tape, rising; zone_px: the height there is, > 0

    >>> stand([0, 40, 80], 100).rows, stand([0, 4, 80], 100).rows
    ((0, 0, 0), (0, 1, 0))
    """
    for count in range(1, len(at_px) + 1):
        most = min(TALLEST, (zone_px - (count - 1) * GAP) / count)
        least = min(GOOD, most) if count < len(at_px) else 0.0
        for high in np.arange(most, least - 1e-9, -2.0):
            rows = _rows(at_px, high / SLIM)
            if max(rows) < count:
                return Standing(float(high), float(high / SLIM), rows)
    high = max(zone_px / len(at_px) - GAP, 1.0)
    return Standing(high, high / SLIM, tuple(range(len(at_px))))


def stand_low(at_px: Sequence[float], high: float, zone_px: float) -> Standing:
    """Outlines of one height in as few rows as they need; lower ones where these would pass a height.

    at_px: places along the tape, rising; high: pixels; zone_px: the height that is not passed

    >>> stand_low([0, 40, 80], 17, 60).rows, stand_low([0, 1, 40], 17, 60).rows
    ((0, 0, 0), (0, 1, 0))
    >>> stand_low([0] * 10, 17, 60).top <= 60
    True
    """
    rows = _rows(at_px, high / SLIM)
    small = Standing(high, high / SLIM, rows)
    return small if small.top <= zone_px else stand(at_px, zone_px)


def _rows(at_px: Sequence[float], wide: float) -> tuple[int, ...]:
    """For each outline the lowest row in which it stands clear of those before it."""
    ends: list[float] = []  # the last place taken in each row
    rows = []
    for at in at_px:
        row = next((r for r, end in enumerate(ends) if at - end >= wide + SIDE_GAP), len(ends))
        ends[row : row + 1] = [at]
        rows.append(row)
    return tuple(rows)
