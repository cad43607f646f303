"""In which order boards are worked: plain functions that rank them, and who is taken out of turn."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from estimator.log.tellings import ASKED_LATER
from estimator.words.records import Board, Told

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


def first_days(tellings: Iterable[Told], boards: Iterable[Board]) -> list[dt.date | None]:
    """The last date of all that each board's owner was told first, None where none was.

    What an owner asks for later starts a promise of its own, but the board keeps its place in line: given anew, the
    place would be the last, and the day just worked out from the old place could not be kept.

    >>> may, june = dt.date(2026, 5, 4), dt.date(2026, 6, 1)
    >>> said = [Told("a", may, last=june), Told("a", june, last=dt.date(2026, 9, 1), because="asked later")]
    >>> first_days(said, [Board("a"), Board("b")])
    [datetime.date(2026, 6, 1), None]
    """
    first: dict[str, Told] = {}
    for telling in sorted((t for t in tellings if t.last is not None), key=lambda t: t.date):
        first.setdefault(telling.board, telling)
    days = []
    for board in boards:
        one = first.get(board.board)
        on_row = board.promised_last if one is None or one.because == ASKED_LATER else None
        days.append(on_row or (one.last if one else None))
    return days


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
