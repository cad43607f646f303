"""Where a board stands: its dates in their order, its state, and an id where none was written."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations, pairwise

from estimator.words.records import ASKED, DECLINED, FINISHED, ON_BENCH, STOPPED, WAITING, WITHDRAWN

IN_ORDER = ("asked", "quoted", "accepted", "started", "ready", "collected")
# which dates say that a written state cannot be
AGAINST: Mapping[str, tuple[str, ...]] = {
    ASKED: ("accepted", "started", "ready", "collected"),
    WAITING: ("started", "ready", "collected"),
    ON_BENCH: ("ready", "collected"),
    STOPPED: ("ready", "collected"),
    FINISHED: (),
    DECLINED: ("accepted", "started", "ready"),
    WITHDRAWN: ("ready",),
}
NUMBERED = re.compile(r"([0-9]{2})-([0-9]{3,})")


def out_of_order(days: Mapping[str, dt.date]) -> list[tuple[str, str]]:
    """The fewest dates that stand in the way of the order, each with the name of one that it contradicts.

    days: the dates of one board by column; those not in IN_ORDER are passed over

    >>> day = dt.date.fromisoformat
    >>> out_of_order({"asked": day("2026-05-01"), "quoted": day("2026-03-03"), "ready": day("2026-04-01")})
    [('asked', 'quoted')]
    """
    names = [name for name in IN_ORDER if name in days]
    for many in range(len(names), 0, -1):
        # of equally many the later ones stay: what was done last says most of where the board stands
        for kept in reversed(list(combinations(names, many))):
            if all(days[a] <= days[b] for a, b in pairwise(kept)):
                return [(name, _against(name, kept, days)) for name in names if name not in kept]
    return []


def _against(name: str, kept: Sequence[str], days: Mapping[str, dt.date]) -> str:
    """The nearest kept date with which a date is out of order."""
    at = IN_ORDER.index(name)
    wrong = [
        other
        for other in kept
        if (IN_ORDER.index(other) < at) == (days[other] > days[name]) and days[other] != days[name]
    ]
    return min(wrong, key=lambda other: abs(IN_ORDER.index(other) - at))


def state_from(happened: Iterable[str], *, hours: bool) -> str:
    """The state that the dates and the hours tell.

    happened: the date columns that are filled; hours: whether any are booked on the board

    >>> state_from(["quoted", "accepted"], hours=False), state_from([], hours=True)
    ('waiting', 'on bench')
    """
    dates = set(happened)
    if dates & {"ready", "collected"}:
        return FINISHED
    if hours or "started" in dates:
        return ON_BENCH
    return WAITING if "accepted" in dates else ASKED


def contradicted(state: str, happened: Iterable[str]) -> str:
    """The date column that says that a written state cannot be, or an empty text.

    >>> contradicted("waiting", ["accepted", "started"]), contradicted("stopped", ["started"])
    ('started', '')
    """
    dates = set(happened)
    return next((name for name in reversed(IN_ORDER) if name in AGAINST[state] and name in dates), "")


def numbered(ids: Sequence[str], years: Sequence[int | None]) -> list[str]:
    """The same ids, with a running number within the year, as 26-014, where one is empty.

    years: the year of each board, or None where no date tells it: then that of the board above

    >>> numbered(["26-013", "", "", ""], [2026, 2026, None, 2025])
    ['26-013', '26-014', '26-015', '25-001']
    """
    last: dict[str, int] = {}
    for known in filter(None, map(NUMBERED.fullmatch, ids)):
        last[known[1]] = max(last.get(known[1], 0), int(known[2]))
    result = []
    head = "00"
    for name, year in zip(ids, years, strict=True):
        head = head if year is None else f"{year % 100:02d}"
        if not name:
            last[head] = last.get(head, 0) + 1
        result.append(name or f"{head}-{last[head]:03d}")
    return result
