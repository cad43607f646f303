"""In which order boards are worked: plain functions that rank them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def first_come(accepted: Sequence[dt.date | None]) -> NDArray[np.int64]:
    """The rank of each board, 0 first, by the day on which it was taken on; one without a day comes last.

    >>> first_come([dt.date(2026, 5, 2), None, dt.date(2026, 4, 1)]).tolist()
    [1, 2, 0]
    """
    return first_promised_first(accepted, accepted)


def first_promised_first(
    promised: Sequence[dt.date | None], accepted: Sequence[dt.date | None]
) -> NDArray[np.int64]:
    """The rank of each board, 0 first, by the last date told; then by the day on which it was taken on.

    A board whose owner was told no date comes after those whose owners were.

    >>> told, taken = [None, dt.date(2026, 6, 1), dt.date(2026, 5, 1)], [dt.date(2026, 1, 1), None, None]
    >>> first_promised_first(told, taken).tolist()
    [2, 1, 0]
    """
    late = dt.date.max
    keys = [(p or late, a or late) for p, a in zip(promised, accepted, strict=True)]
    at = sorted(range(len(keys)), key=lambda i: keys[i])
    ranks = np.empty(len(keys), dtype=np.int64)
    ranks[at] = np.arange(len(keys))
    return ranks
