"""In which order boards are worked: plain functions that rank them, and who is taken out of turn."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from estimator.words.records import Board

RARELY = (0.5, 4.5)  # out of turn and in turn: one board in ten, worth five [invented]


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


def out_of_turn(boards: Iterable[Board]) -> Mapping[str, tuple[float, float]]:
    """By sort of job how many boards were begun before one that had been taken on earlier, and how many were not.

    Both are the weights of a beta law, with what is held beforehand. Boards that found nobody in line say nothing.

    >>> day = lambda n: dt.date(2026, 5, n)
    >>> first = Board("a", kind="major", accepted=day(1), started=day(20))
    >>> quick = Board("b", kind="minor", accepted=day(3), started=day(5))
    >>> out_of_turn([first, quick])["minor"]
    (1.5, 4.5)
    """
    known = [(b.kind, b.accepted, b.started or dt.date.max) for b in boards if b.accepted]
    weights: dict[str, list[float]] = defaultdict(lambda: [*RARELY])
    for kind, accepted, started in known:
        line = [begun for _, earlier, begun in known if earlier < accepted < begun]
        if line and started != dt.date.max:
            weights[kind][0 if max(line) > started else 1] += 1
    return {kind: (yes, no) for kind, (yes, no) in weights.items()}
