"""Whether boards were ready in the ranges of dates that would have been said, and by the dates that were told."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from estimator.bench.outlook import told_dates
from estimator.bench.promises import SURE
from estimator.record.replay import Forecast
from estimator.record.replay_dates import STEPS
from estimator.record.then import count_of
from estimator.record.track import NINE_TENTHS
from estimator.record.track_record import ODDS, Count
from estimator.words.records import TAKEN_ON, Board, Log


def date_counts(log: Log, forecasts: Mapping[str, Forecast], today: dt.date) -> tuple[Count, ...]:
    """How many boards were ready in the range of dates that would have been said on the day they were taken on.

    forecasts: by board. Boards count as in the record of hours: of quarters of which nine tenths are ready, and those
    that are late already. Empty where no board counts.
    """
    quarters = defaultdict(list)
    for board in log.boards:
        if board.accepted is not None and board.board in forecasts and forecasts[board.board].hours:
            quarters[board.accepted.year, (board.accepted.month - 1) // 3].append(board)
    sides: dict[float, list[int | None]] = {odds: [] for odds in ODDS}
    for boards in quarters.values():
        whole = sum(_ready(b) is not None for b in boards) >= NINE_TENTHS * len(boards)
        for board in boards:
            for odds, seen in sides.items():
                side = _side(board, forecasts[board.board], odds, today)
                if whole or (side == 1 and _ready(board) is None):
                    seen.append(side)
    return tuple(count_of(seen, odds) for odds, seen in sides.items()) if sides[ODDS[0]] else ()


def _ready(board: Board) -> dt.date | None:
    """The day on which a board was ready."""
    return board.ready or board.collected


def _side(board: Board, forecast: Forecast, odds: float, today: dt.date) -> int | None:
    """-1 sooner than the range, 0 in it, 1 later, None where it may still be either."""
    assert board.accepted is not None
    low, high = (
        np.ceil(np.interp(p, STEPS, forecast.hours) - 1e-9) for p in ((1 - odds) / 2, (1 + odds) / 2)
    )
    ready = _ready(board)
    if ready is None:
        return 1 if (today - board.accepted).days > high else None
    days = (ready - board.accepted).days
    return -1 if days < low else int(days > high)


def promises_kept(log: Log, today: dt.date) -> Count | None:
    """How many boards were ready by the last date of the first telling, which is to hold 9 times in 10.

    None where no date was told. A board not ready whose date has passed is late already.
    """
    told = told_dates(log.told, [b for b in log.boards if b.state in TAKEN_ON])
    sides: list[int | None] = []
    for name, dates in told.items():
        ready = _ready(log.by_id[name])
        if ready is None:
            sides.append(1 if today > dates.first_last else None)
        else:
            sides.append(int(ready > dates.first_last))
    return count_of(sides, SURE) if sides else None
