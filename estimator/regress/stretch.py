"""How much wider ranges should have been, learned from where past rows landed in theirs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

WEIGHT = 30.0  # rows that "no stretch" counts for
FARTHEST = 3.0  # standard deviations; a row further out counts as one that far out
LEAST, MOST = 0.8, 1.6


def learn_stretch(z: ArrayLike, weight: float = WEIGHT) -> tuple[float, float]:
    """The factors of the low and the high side.

    z: where past boards, or rows, landed in their ranges, as standard normal points, (n,); below 0 is quicker than
        half
    weight: rows that "no stretch" counts for

    Each side's factor squared is (weight + 2 x the sum of z squared on that side) / (weight + n), kept within .8 and
    1.6.
    Where ranges are honest the sums come to n / 2 each, and no side moves.

    >>> learn_stretch([]), learn_stretch([0.0] * 30)
    ((1.0, 1.0), (0.8, 0.8))
    """
    at: NDArray[np.float64] = np.clip(np.asarray(z, dtype=float), -FARTHEST, FARTHEST)
    low, high = (
        float(np.clip(np.sqrt((weight + 2 * float(side @ side)) / (weight + len(at))), LEAST, MOST))
        for side in (at[at < 0], at[at > 0])
    )
    return low, high
