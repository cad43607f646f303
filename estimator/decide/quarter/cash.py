"""The quarter's clock and till, and what is owed. Hours worked and money in: never mixed with boards made ready."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from estimator.decide.quarter.pay import Made, price_of
from estimator.decide.quarter.periods import Span, within
from estimator.log.checks import day_shares
from estimator.words.json_form import JsonForm, json_fields
from estimator.words.records import SHOP, WITHDRAWN, Board, Entry

NO_DAYS: Mapping[str, dt.date] = MappingProxyType({})


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

    deposits: of boards taken on in it; balances: of boards paid in it, less their deposits
    undated: paid for boards made ready in it, on no day that is written
    returned: given back in it, on the day on which a board was over, else paid
    """

    deposits: float
    balances: float
    undated: float
    returned: float = 0.0

    @property
    def all(self) -> float:
        """All money in, less what was given back, as far as days are written."""
        return math.fsum((self.deposits, self.balances, -self.returned))

    def _json(self) -> dict[str, Any]:
        # by hand: the sum comes first
        return {"all": self.all, **json_fields(self)}


def till_of(
    boards: Iterable[Board], made: Sequence[Made], span: Span, given_up: Mapping[str, dt.date] = NO_DAYS
) -> Till:
    """The money that came in during a span of days: deposits on the day a board was taken on, balances when paid.

    given_up: by board the day on which it was given back
    """
    ready = {one.board for one in made}
    deposits, balances, undated, returned = [0.0], [0.0], [0.0], [0.0]
    for board in boards:
        deposit = board.deposit or 0.0
        if within(board.accepted or board.quoted, span):
            deposits.append(deposit)
        balance = paid_for(board) - deposit
        if board.paid_on is None:
            undated.append(balance if board.board in ready else 0.0)
        elif within(board.paid_on, span):
            balances.append(balance)
        over = given_up.get(board.board) or board.collected or board.ready or board.paid_on
        if within(over, span):
            returned.append(board.returned or 0.0)
    return Till(math.fsum(deposits), math.fsum(balances), math.fsum(undated), math.fsum(returned))


def paid_for(board: Board) -> float:
    """What has been paid for a board, its deposit included; with a day of payment and no amount, its price.

    What was given back is not taken off. Nobody pays the price quoted for a board whose owner dropped it.
    """
    if board.paid is not None:
        return max(board.paid, board.deposit or 0.0)
    price = board.price_charged if board.state == WITHDRAWN else price_of(board)
    if board.paid_on is not None and price is not None:
        return price
    return board.deposit or 0.0


@dataclass(frozen=True, slots=True)
class Owing(JsonForm):
    """A board that is ready and not paid, or not fetched, as it is known today.

    owed: its price less what was paid, never below nought; None where nobody writes down what is paid
    """

    board: str
    called: str
    ready: dt.date
    collected: bool
    owed: float | None

    @property
    def name(self) -> str:
        """What the restorer calls it."""
        return self.called or self.board


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
        owed = max((one.price or 0.0) - paid_for(board) + (board.returned or 0.0), 0.0) if written else None
        if owed or (fetched and board.collected is None):
            away = board.collected is not None or not fetched
            found.append(Owing(one.board, one.called, one.ended, away, owed))
    return tuple(found)


def payments_written(boards: Iterable[Board]) -> bool:
    """Whether the log says of any board that it was paid."""
    return any(board.paid is not None or board.paid_on is not None for board in boards)
