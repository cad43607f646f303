"""What boards stood for during a quarter, by cause; and what was turned down."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from estimator.decide.quarter.given_back import taken_and_dropped
from estimator.decide.quarter.periods import Quarter, Span, within
from estimator.words.json_form import JsonForm, json_fields
from estimator.words.records import DECLINED, IN_HAND, WITHDRAWN, Entry, Log, Wait

AN_HOUR = 1.0  # that an enquiry costs which comes to nothing: common practice, no source


@dataclass(frozen=True, slots=True)
class WaitingTime:
    """The waits of one cause.

    waits: how many there were in the quarter; days: board-days that they took of it
    longest: days of the longest of them so far, whenever it began; board: whose it was; over: whether it has ended
    """

    cause: str
    waits: int
    days: int
    longest: int
    board: str
    over: bool


def stood_of(log: Log, quarter: Quarter) -> tuple[WaitingTime, ...]:
    """The waits in a quarter by cause, that which took most days first; log: as it stood at its end."""
    by_cause: dict[str, list[tuple[int, int, Wait, bool]]] = defaultdict(list)
    worked: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        if entry.hours > 0:
            worked[entry.board].append(entry)
    for wait in log.waits:
        ended = wait.until or _last_day(wait, log, worked[wait.board])
        last = min(ended or quarter.end, quarter.end)
        in_it = (last - max(wait.first, quarter.first)).days
        whole = (last - wait.first).days
        if wait.first <= quarter.end and last >= quarter.first:
            by_cause[wait.cause].append(
                (max(in_it, 0), whole, wait, ended is not None and ended <= quarter.end)
            )
    found = []
    for cause, waits in by_cause.items():
        _, whole, longest, over = max(waits, key=lambda seen: (seen[1], seen[2].board))
        board = log.by_id.get(longest.board)
        name = longest.board if board is None else board.name
        days = sum(in_it for in_it, *_ in waits)
        found.append(WaitingTime(cause, len(waits), days, whole, name, over))
    return tuple(sorted(found, key=lambda stood: (-stood.days, stood.cause)))


def _last_day(wait: Wait, log: Log, worked: Iterable[Entry]) -> dt.date | None:
    """When a wait was over whose end is not written: when the board was worked on again, or ready; None while it isn't.

    Hours on a stage of the wait's own name are checks of it, and so may be those of its first day.
    """
    board = log.by_id.get(wait.board)
    days = [entry.date for entry in worked if entry.date > wait.first and entry.stage != wait.cause]
    if board is not None and board.state not in IN_HAND:
        days += [day for day in (board.ready, board.collected) if day is not None and day >= wait.first]
        return min(days, default=wait.first)
    return min(days, default=None)


@dataclass(frozen=True, slots=True)
class TurnedDown(JsonForm):
    """Enquiries that came to nothing, by the day on which they were asked, else quoted; none that was taken on.

    boards: those that the restorer turned down, by name; why: his reasons, each with how often
    dropped: those that their owners dropped; hours: what all of them took, an hour each and what is booked on them
    """

    boards: tuple[str, ...]
    why: tuple[tuple[str, int], ...]
    dropped: tuple[str, ...]
    hours: float

    def _json(self) -> dict[str, Any]:
        # by hand: reasons are pairs here, most given first, and an object in JSON
        return {**json_fields(self), "why": dict(self.why)}


def turned_down(log: Log, span: Span) -> TurnedDown:
    """What was turned down or dropped in a span of days; log: as it stood at its end."""
    rows: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        rows[entry.board].append(entry)
    boards = [
        b
        for b in log.boards
        if b.state in {DECLINED, WITHDRAWN}
        and within(b.asked or b.quoted, span)
        and not taken_and_dropped(b, rows[b.board])
    ]
    ids = {board.board for board in boards}
    booked = sum(entry.hours for board in ids for entry in rows[board])
    mine = [board for board in boards if board.state == DECLINED]
    return TurnedDown(
        boards=tuple(board.name for board in mine),
        why=tuple(Counter(board.decided_why for board in mine if board.decided_why).most_common()),
        dropped=tuple(board.name for board in boards if board.state == WITHDRAWN),
        hours=AN_HOUR * len(boards) + booked,
    )
