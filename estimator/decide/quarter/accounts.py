"""The quarter's accounts: hours worked and money in, never mixed with boards made ready; what is owed and missing."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from estimator.bench.calendar import Calendar
from estimator.bench.outlook import log_up_to
from estimator.decide.quarter.pay import Made
from estimator.log.checks import day_shares
from estimator.log.money import payments, price_of, rest_to_pay
from estimator.words.dates import A_DAY, Quarter, Span, within
from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import DEPOSIT, PAYMENT, REFUND, SHOP, Board, Entry, Log, WithName
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class Clock(JsonForm):
    """Hours, once as they were worked in a quarter, once as they belong to the boards made ready in it.

    both: worked in the quarter on boards made ready in it, so part of either count
    on_others: worked in it on other boards; on_no_board: sweeping and the like
    earlier: worked on the boards made ready, on other days; undated: of those, in a total without days
    """

    both: float
    on_others: float
    on_no_board: float
    earlier: float
    undated: float

    @property
    def worked(self) -> float:
        """All hours worked in the quarter."""
        return math.fsum((self.both, self.on_others, self.on_no_board))

    @property
    def of_boards(self) -> float:
        """All hours of the boards made ready in it, whenever they were worked."""
        return math.fsum((self.both, self.earlier, self.undated))

    def _json(self) -> dict[str, Any]:
        # by hand: the sums come first
        return {"worked": self.worked, "of_boards_made_ready": self.of_boards, **json_fields(self)}


def clock_of(entries: Iterable[Entry], made: Sequence[Made], span: Span) -> Clock:
    """The hours of a span of days, and of the boards made ready in it."""
    whole = {one.board: one.hours for one in made}
    in_it: dict[str, float] = {}
    booked = dict.fromkeys(whole, 0.0)
    for entry in entries:
        if entry.board in booked:
            booked[entry.board] += entry.hours
        now = math.fsum(hours for day, hours in day_shares(entry) if within(day, span))
        in_it[entry.board] = in_it.get(entry.board, 0.0) + now
    both = math.fsum(in_it.get(board, 0.0) for board in whole)
    return Clock(
        both=both,
        on_others=math.fsum(h for board, h in in_it.items() if board not in whole and board != SHOP),
        on_no_board=in_it.get(SHOP, 0.0),
        earlier=math.fsum(booked.values()) - both,
        undated=math.fsum(whole[board] - booked[board] for board in whole),
    )


@dataclass(frozen=True, slots=True)
class Till(JsonForm):
    """Money in during a quarter, in the shop's currency.

    deposits: of boards taken on in it; balances: all else that owners paid in it
    undated: paid for boards made ready in it, on no day that is written; other: what came in on no board
    returned: given back in it
    """

    deposits: float
    balances: float
    undated: float
    returned: float = 0.0
    other: float = 0.0

    @property
    def all(self) -> float:
        """All money in, less what was given back, as far as days are written."""
        return math.fsum((self.deposits, self.balances, self.other, -self.returned))

    def _json(self) -> dict[str, Any]:
        # by hand: the sum comes first
        return {"all": self.all, **json_fields(self)}


def till_of(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> Till:
    """The money that came in during a span of days, row by row; else by the columns of boards, see `payments`."""
    ready = {one.board for one in made}
    sums: dict[str, list[float]] = {"deposits": [], "balances": [], "undated": [], "returned": []}
    for one in payments(log, settings):
        if within(one.day, span):
            kind = "returned" if one.what == REFUND else "deposits" if one.what == DEPOSIT else "balances"
            sums[kind].append(abs(one.amount))
        elif one.day is None and one.board in ready and one.what == PAYMENT:
            sums["undated"].append(one.amount)
    other = math.fsum(line.came_in for line in log.money if not line.boards and within(line.date, span))
    return Till(**{kind: math.fsum(amounts) for kind, amounts in sums.items()}, other=other)


@dataclass(frozen=True, slots=True)
class Owing(WithName, JsonForm):
    """A board that is ready and not paid, or not fetched, as it is known today.

    owed: its price less what was paid, never below nought; None where nobody writes down what is paid
    """

    board: str
    called: str
    ready: dt.date
    collected: bool
    owed: float | None
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name


def owing(by_id: Mapping[str, Board], made: Sequence[Made]) -> tuple[Owing, ...]:
    """The boards that are ready and not paid in full, or not fetched, the longest ready first.

    made: the boards made ready up to the day that is looked at. In a log in which no payment stands nothing can be
    said of what is owed; where no board was ever fetched, nothing of what stands about.
    """
    written = payments_written(by_id.values())
    fetched = any(board.collected for board in by_id.values())
    found = []
    for one in made:
        board = by_id[one.board]
        owed = max(rest_to_pay(board, price_of(board) or 0.0), 0.0) if written else None
        if owed or (fetched and board.collected is None):
            away = board.collected is not None or not fetched
            found.append(Owing(one.board, one.called, one.ended, away, owed, one.known))
    return tuple(found)


def payments_written(boards: Iterable[Board]) -> bool:
    """Whether the log says of any board that it was paid."""
    return any(board.paid is not None or board.paid_on is not None for board in boards)


AWAY = "away"


@dataclass(frozen=True, slots=True)
class Gaps(JsonForm):
    """What is not written.

    days: working days on which nothing is booked on any board or on the shop, and nobody was away
    begins: the first day of which an hour is written, None where none is by day
    no_price ...: names of boards made ready
    not_paid: boards made ready that are not paid in full; others: owed on boards made ready before
    """

    days: tuple[dt.date, ...]
    begins: dt.date | None
    no_price: tuple[str, ...]
    no_materials: tuple[str, ...]
    no_hours: tuple[str, ...]
    no_ready_date: tuple[str, ...]
    not_paid: tuple[str, ...]

    @property
    def left_out(self) -> tuple[str, ...]:
        """The boards whose pay cannot be told."""
        return tuple(dict.fromkeys((*self.no_price, *self.no_materials, *self.no_hours)))

    @property
    def any(self) -> bool:
        """Whether there is anything to ask."""
        return bool(self.days or self.left_out or self.no_ready_date or self.not_paid)

    def _json(self) -> dict[str, Any]:
        # by hand: the boards whose pay cannot be told follow from the others
        return {**json_fields(self), "left_out": self.left_out}


def gaps_of(log: Log, made: Sequence[Made], owing: Sequence[Owing], quarter: Quarter, week: Calendar) -> Gaps:
    """What is missing of a quarter; made: its boards; owing: of those and of earlier ones."""
    return Gaps(
        days=empty_days(log, quarter, week),
        begins=min((entry.date for entry in log.entries), default=None),
        no_price=tuple(one.name for one in made if one.price is None),
        no_materials=tuple(one.name for one in made if one.materials is None),
        no_hours=tuple(one.name for one in made if not one.whole or not one.hours),
        no_ready_date=tuple(one.name for one in made if not one.dated),
        not_paid=tuple(one.name for one in owing if one.owed and one.board in {m.board for m in made}),
    )


def empty_days(log: Log, quarter: Quarter, week: Calendar) -> tuple[dt.date, ...]:
    """Working days of a quarter of which the log says nothing: no hours, none on the shop, no day away.

    From the first entry of the log on, up to the last day of which it tells: hours come in at the end of a week.
    """
    if not log.entries:
        return ()
    first = min(entry.date for entry in log.entries)
    last = min(quarter.end, log_up_to(log, quarter.today))
    spoken = set()
    spans = [(entry.date, entry.last) for entry in log.entries]
    spans += [(wait.first, wait.until or wait.first) for wait in log.waits if wait.cause == AWAY]
    for begin, end in spans:
        day = max(begin, quarter.first)
        while day <= min(end, last):
            spoken.add(day)
            day += A_DAY
    return tuple(
        day for day in quarter.days() if first <= day <= last and day not in spoken and week.works(day)
    )
