"""What a quarter was lost on: boards given back half done, enquiries that came to nothing, days that boards stood."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from estimator.decide.quarter.pay import Made
from estimator.log.history import History
from estimator.log.money import paid_for, price_of
from estimator.words.dates import Quarter, Span, within
from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import DECLINED, IN_HAND, WITHDRAWN, Board, Entry, Log, Wait, WithName
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class GivenBack(WithName, JsonForm):
    """A board that was taken on and given back undone; money as it is known today.

    ended: the last day of which anything is written; hours: all that are written
    charged: what was paid for it; returned: what of that was given back
    """

    board: str
    called: str
    ended: dt.date
    hours: float
    charged: float
    returned: float
    materials: float | None
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name

    @property
    def kept(self) -> float:
        """What was charged less what was given back."""
        return self.charged - self.returned

    @property
    def brought(self) -> float:
        """What was kept less its materials, as far as they are written."""
        return self.kept - (self.materials or 0.0)

    @property
    def pay(self) -> float | None:
        """What it brought an hour; None without hours."""
        return self.brought / self.hours if self.hours > 0 else None

    def _json(self) -> dict[str, Any]:
        # by hand: what was kept and what it brought an hour follow from the rest
        return {**json_fields(self), "kept": self.kept, "pay_per_hour": self.pay}


@dataclass(frozen=True, slots=True)
class AllGivenBack(JsonForm):
    """The boards given back in a span of days, and the money given back on boards that were made ready in it."""

    boards: tuple[GivenBack, ...]
    on_ready: float = field(metadata=HIDDEN)

    @property
    def hours(self) -> float:
        """Hours of the boards given back."""
        return math.fsum(one.hours for one in self.boards)

    @property
    def charged(self) -> float:
        """What was paid for them."""
        return math.fsum(one.charged for one in self.boards)

    @property
    def returned(self) -> float:
        """What of that was given back."""
        return math.fsum(one.returned for one in self.boards)

    @property
    def kept(self) -> float:
        """What was charged less what was given back."""
        return math.fsum((self.charged, -self.returned))

    @property
    def brought(self) -> float:
        """What was kept less the materials."""
        return math.fsum(one.brought for one in self.boards)

    def _json(self) -> dict[str, Any]:
        # by hand: the sums follow from the boards
        return {
            **json_fields(self),
            "hours": self.hours,
            "charged": self.charged,
            "kept": self.kept,
            "returned": self.returned,
            "returned_on_ready": self.on_ready,
        }


def taken_and_dropped(board: Board, entries: Iterable[Entry]) -> bool:
    """Whether a board's owner dropped it after it was taken on, worked on or paid for; else it was an enquiry.

    entries: its own
    """
    if board.state != WITHDRAWN:
        return False
    begun = board.accepted or board.started or paid_for(board) or board.returned
    return bool(begun) or any(entry.hours > 0 for entry in entries)


def given_back(log: Log, settings: Settings) -> tuple[GivenBack, ...]:
    """Every board that was given back half done, in the order in which they were; log: as it is known today.

    >>> five = Entry("a", dt.date(2026, 8, 4), "strip", 5.0)
    >>> board = Board("a", state="withdrawn", accepted=dt.date(2026, 8, 3), paid=300.0, returned=40.0)
    >>> (one,) = given_back(Log((board,), (five,)), Settings())
    >>> one.hours, one.charged, one.kept, one.returned, one.pay
    (5.0, 300.0, 260.0, 40.0, 52.0)
    """
    history = History(log, settings)
    booked: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        booked[entry.board].append(entry)
    found = [
        GivenBack(
            board=board.board,
            called=board.called,
            known=board.known,
            ended=ended,
            hours=max(math.fsum(e.hours for e in booked[board.board]), board.total_hours or 0.0),
            charged=paid_for(board),
            returned=board.returned or 0.0,
            materials=board.materials,
        )
        for board in log.boards
        if taken_and_dropped(board, booked[board.board]) and (ended := history.ended(board)) is not None
    ]
    return tuple(sorted(found, key=lambda one: (one.ended, one.board)))


def given_back_in(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> AllGivenBack:
    """What was given back in a span of days; made: the boards that were made ready in it."""
    boards = tuple(one for one in given_back(log, settings) if within(one.ended, span))
    prices = ((one.price, price_of(log.by_id[one.board])) for one in made)
    return AllGivenBack(boards, math.fsum((full or 0.0) - (kept or 0.0) for kept, full in prices))


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
