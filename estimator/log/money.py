"""Money of boards: what was deposited, paid, given back and spent on each, from rows of money, else its own columns."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from estimator.log.history import History
from estimator.words.dates import A_DAY
from estimator.words.json_form import JsonForm, json_fields, named
from estimator.words.labels import MONEY_FOR
from estimator.words.problems import Place
from estimator.words.records import (
    DECLINED,
    DEPOSIT,
    FINISHED,
    MATERIALS,
    PAYMENT,
    REFUND,
    RENT,
    WITHDRAWN,
    Board,
    Log,
    MoneyLine,
    price_agreed,
    price_told,
)
from estimator.words.settings.schema import Settings

Uses = Mapping[str, float]  # by board what it is expected to use of materials, in money or any other unit
NO_USES: Uses = MappingProxyType({})
OVER = frozenset({FINISHED, WITHDRAWN, DECLINED})
PENNIES = 100  # of a unit of money
FEW_MONTHS = 3  # of rent, fewer of which tell nothing


@dataclass(slots=True)
class BoardMoney:
    """What rows of money tell of a board; None where none tells. paid has the deposit in it.

    spent: on it alone; shared: whether some was spent on it and others
    rows: where they stand
    """

    deposit: float | None = None
    paid: float | None = None
    returned: float | None = None
    spent: float | None = None
    shared: bool = False
    rows: tuple[Place, ...] = ()


def of_owners(line: MoneyLine) -> bool:
    """Whether it is money that an owner paid, or was given back."""
    return len(line.boards) == 1 and (line.what == REFUND or (line.came_in > 0 and line.what != MATERIALS))


def told_by_lines(lines: Iterable[MoneyLine]) -> dict[str, BoardMoney]:
    """What rows of money tell of each board that one of them names.

    >>> day = dt.date(2026, 5, 4)
    >>> lines = [MoneyLine(day, 200.0, 0.0, "deposit", ("a",)), MoneyLine(day, 700.5, 0.0, "payment", ("a",))]
    >>> told_by_lines(lines)["a"].paid
    900.5
    """
    of: defaultdict[str, list[MoneyLine]] = defaultdict(list)
    for line in lines:
        for board in line.boards:
            of[board].append(line)
    told = {}
    for board, its in of.items():
        owner = [line for line in its if of_owners(line)]
        paid = [line for line in owner if line.came_in]
        back = [line.went_out for line in owner if line.what == REFUND]
        own = [line.went_out - line.came_in for line in its if not of_owners(line) and len(line.boards) == 1]
        told[board] = BoardMoney(
            deposit=_sum([line.came_in for line in paid if line.what == DEPOSIT]),
            paid=_sum([line.came_in for line in paid]),
            returned=_sum(back),
            spent=_sum(own),
            shared=any(len(line.boards) > 1 for line in its),
            rows=tuple(line.where for line in its),
        )
    return told


def spent_on(lines: Iterable[MoneyLine], uses: Uses = NO_USES) -> dict[str, float]:
    """What was spent on each board, less what suppliers gave back, to the last coin.

    What was bought for several is split by what each is expected to use, evenly where that is not known of all of them.
    All that was bought for the same boards is split at once, so that it does not matter on how many rows it stands.

    >>> drum = MoneyLine(dt.date(2026, 5, 4), 0.0, 100.0, "materials", ("a", "b", "c"))
    >>> spent_on([drum]), spent_on([drum], {"a": 2.0, "b": 1.0, "c": 1.0})["a"]
    ({'a': 33.34, 'b': 33.33, 'c': 33.33}, 50.0)
    """
    together: defaultdict[tuple[str, ...], int] = defaultdict(int)
    for line in lines:
        if line.boards and not of_owners(line):
            together[tuple(sorted(line.boards))] += round((line.went_out - line.came_in) * PENNIES)
    spent: defaultdict[str, int] = defaultdict(int)
    for boards, pennies in together.items():
        for board, share in zip(boards, split(pennies, [uses.get(board) for board in boards]), strict=True):
            spent[board] += share
    return {board: pennies / PENNIES for board, pennies in spent.items()}


def split(pennies: int, weights: Iterable[float | None]) -> list[int]:
    """So many coins in parts, by weights; evenly where one of them is not known or none is above nought.

    The parts add up: coins that are left go to those whose parts were cut by most, of equal ones to the first.

    >>> split(1000, [1.0, 1.0, 1.0]), split(-5, [3.0, None]), split(7, [0.0, 2.0])
    ([334, 333, 333], [-3, -2], [0, 7])
    """
    given = list(weights)
    known = [weight for weight in given if weight is not None and math.isfinite(weight) and weight >= 0]
    even = len(known) < len(given) or not any(known)
    shares = [Fraction(1)] * len(given) if even else [Fraction(weight) for weight in known]
    whole, sign = sum(shares), -1 if pennies < 0 else 1
    exact = [abs(pennies) * share / whole for share in shares]
    parts = [math.floor(part) for part in exact]
    most_cut = sorted(range(len(parts)), key=lambda at: (parts[at] - exact[at], at))
    for at in most_cut[: abs(pennies) - sum(parts)]:
        parts[at] += 1
    return [sign * part for part in parts]


def shared(log: Log) -> bool:
    """Whether anything was bought for several boards."""
    return any(len(line.boards) > 1 for line in log.money)


def with_money(log: Log, uses: Uses | None = NO_USES) -> Log:
    """The log with what rows of money tell in the boards' own columns; rows are heard before columns.

    Materials of a board count once it is over: until then it may take more. A board that is fetched, whose price is
    nowhere written, cost what was paid.

    uses: see `spent_on`; None: not known are the materials of boards that shared any
    """
    if not log.money:
        return log
    told, spent = told_by_lines(log.money), spent_on(log.money, uses or NO_USES)
    return replace(
        log,
        boards=tuple(
            replace(board, **_columns(board, told[board.board], spent, log, known=uses is not None))
            if board.board in told
            else board
            for board in log.boards
        ),
    )


def _columns(
    board: Board, told: BoardMoney, spent: Mapping[str, float], log: Log, *, known: bool
) -> dict[str, Any]:
    """The columns of a board that rows of money tell; known: whether what was shared can be split."""
    columns: dict[str, Any] = {}
    if told.paid is not None:
        columns |= {"deposit": told.deposit, "paid": told.paid}
        if board.collected and board.price_charged is None and price_told(board, log.told) is None:
            columns["price_charged"] = told.paid
    if told.returned is not None:
        columns["returned"] = told.returned
    if board.state in OVER and (told.shared or told.spent is not None):
        columns["materials"] = max(spent[board.board], 0.0) if known or not told.shared else None
    return columns


def against_lines(board: Board, told: BoardMoney) -> Iterator[tuple[str, str]]:
    """Each money column of a board that says otherwise than rows of money do, and what is wrong."""
    some = f"{told.rows[0]}" + (" and others" if len(told.rows) > 1 else "")
    paid = told.paid is not None
    by_column = {
        "deposit": ((told.deposit or 0.0) if paid else None, board.deposit),
        "paid": (told.paid, board.paid),
        "returned": (told.returned, board.returned),
        "materials": (told.spent if board.state in OVER and not told.shared else None, board.materials),
    }
    for column, (rows, own) in by_column.items():
        if rows is not None and own is not None and abs(rows - own) >= 0.5 / PENNIES:
            yield column, f"rows of money come to {rows:.10g} ({some})"
    if told.shared and board.materials is not None:
        yield "materials", f"rows of money tell it too, and share it with other boards ({some})"


@dataclass(frozen=True, slots=True)
class Payment:
    """What an owner paid, or was given back: then below nought. day: None where none is written."""

    board: str
    day: dt.date | None
    amount: float
    what: str


def payments(log: Log, settings: Settings) -> list[Payment]:
    """All money of owners, row by row; of a board of which no row tells, by its columns.

    Then its deposit came on the day it was taken on, else quoted, the rest when it was paid, and what was given back
    went on the day on which it was given back undone, else fetched, ready or paid.
    """
    rows = [line for line in log.money if of_owners(line)]
    found = [Payment(line.boards[0], line.date, line.came_in - line.went_out, line.what) for line in rows]
    came, went = ({line.boards[0] for line in rows if of(line)} for of in (_came, _went))
    history = History(log, settings)
    for board in log.boards:
        deposit = board.deposit or 0.0
        if board.board not in came:
            found.append(Payment(board.board, board.accepted or board.quoted, deposit, DEPOSIT))
            found.append(Payment(board.board, board.paid_on, paid_for(board) - deposit, PAYMENT))
        if board.board not in went and board.returned:
            undone = history.ended(board) if board.state == WITHDRAWN else None
            day = undone or board.collected or board.ready or board.paid_on
            found.append(Payment(board.board, day, -board.returned, REFUND))
    return [one for one in found if one.amount]


def told_by_columns(log: Log, board: Board, settings: Settings, *, went: bool = False) -> list[Payment]:
    """Money of a board's owner that its columns alone tell; the first row would hide it, as rows are heard before them.

    went: what went back, else what came in
    """
    rows = tuple(line for line in log.money if board.board in line.boards)
    if any(of_owners(line) and (_went(line) if went else _came(line)) for line in rows):
        return []
    alone = replace(log, boards=(board,), money=rows)
    return [one for one in payments(alone, settings) if (one.amount < 0) == went]


def price_of(board: Board) -> float | None:
    """What was charged for a board, else what was quoted."""
    return board.price_quoted if board.price_charged is None else board.price_charged


def with_agreed_prices(log: Log) -> Log:
    """The log with the price that an owner agreed to, with what he asked for since, where none is written as charged.

    It is the price that his copy names.
    """
    boards = []
    for board in log.boards:
        agreed = None if board.price_charged is not None else price_agreed(board, log.told)
        boards.append(board if agreed is None else replace(board, price_charged=agreed.now))
    return replace(log, boards=tuple(boards))


def price_kept(board: Board) -> float | None:
    """The price of a board less what of it was given back; None without a price.

    What was paid above the price and given back is none of it.

    >>> price_kept(Board("a", price_charged=900.0, paid=900.0, returned=120.5))
    779.5
    >>> price_kept(Board("a", price_charged=900.0, paid=1000.0, returned=100.0))
    900.0
    """
    price = price_of(board)
    if price is None or not board.returned:
        return price
    return price - max(board.returned - max((board.paid or 0.0) - price, 0.0), 0.0)


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


def rest_to_pay(board: Board, price: float) -> float:
    """What is still to be paid of a price, to the last coin; below nought is what is to be given back.

    Money that was given back beyond what was paid too much is a lower price, not a debt.

    >>> rest_to_pay(Board("a", paid=300.3), 900.1), rest_to_pay(Board("a", paid=1000.0, returned=60.0), 900.0)
    (599.8, -40.0)
    >>> rest_to_pay(Board("a", paid=900.0, returned=120.0), 900.0)
    0.0
    """
    if board.paid is None and board.paid_on is not None:
        return 0.0
    rest = round(price - paid_for(board), 2)
    return rest if rest >= 0 else min(round(rest + (board.returned or 0.0), 2), 0.0)


def rent_a_month(log: Log, day: dt.date) -> float | None:
    """Rent and the like a month by rows of money, of the last twelve whole months up to a day; None of under three.

    Months count from the one of the first such row on.
    """
    paid: defaultdict[int, float] = defaultdict(float)
    for line in log.money:
        if line.what == RENT and line.date <= day:
            paid[_month(line.date)] += line.went_out - line.came_in
    last = _month(day + A_DAY) - 1
    months = range(max(min(paid, default=last + 1), last - 11), last + 1)
    return math.fsum(paid[month] for month in months) / len(months) if len(months) >= FEW_MONTHS else None


def _month(day: dt.date) -> int:
    """The number of a month, counted from the year nought."""
    return day.year * 12 + day.month - 1


@dataclass(frozen=True, slots=True)
class InAndOut(JsonForm):
    """Money in and out under one heading: a board's id, or what for."""

    name: str
    came_in: float = field(metadata=named("in"))
    out: float

    @property
    def left(self) -> float:
        """What came in less what went out."""
        return round(self.came_in - self.out, 2)

    def _json(self) -> dict[str, Any]:
        # by hand: what is left follows from the others
        return {**json_fields(self), "left": self.left}


@dataclass(frozen=True, slots=True)
class MoneySums(JsonForm):
    """Money from one day to another, both included, to the last coin.

    first, last: None where there is no such end; no_board: what was for none
    undated: boards of which a payment has no day, or whose materials stand in their own column
    """

    first: dt.date | None = field(metadata=named("from"))
    last: dt.date | None = field(metadata=named("to"))
    in_all: InAndOut
    by_what: tuple[InAndOut, ...]
    by_board: tuple[InAndOut, ...]
    no_board: InAndOut
    undated: tuple[str, ...]

    def _json(self) -> dict[str, Any]:
        # by hand: the sums of all stand on top, and each names what it is of
        of_all = {"in": self.in_all.came_in, "out": self.in_all.out, "left": self.in_all.left}
        whats, boards = (
            [{key: one.name, "in": one.came_in, "out": one.out, "left": one.left} for one in some]
            for key, some in (("what", self.by_what), ("board", self.by_board))
        )
        no_board = {"in": self.no_board.came_in, "out": self.no_board.out, "left": self.no_board.left}
        ends = {"from": self.first, "to": self.last}
        return {
            **ends,
            **of_all,
            "by_what": whats,
            "by_board": boards,
            "no_board": no_board,
            "undated": self.undated,
        }


def lines_between(
    log: Log, settings: Settings, first: dt.date | None = None, last: dt.date | None = None
) -> list[MoneyLine]:
    """All money from one day to another, line by line, by day; of a board without rows as its columns tell it.

    Their sums are those of `money_between`.
    """
    start, end = first or dt.date.min, last or dt.date.max
    rowed = [line for line in log.money if of_owners(line)]
    came, went = ({line.boards[0] for line in rowed if of(line)} for of in (_came, _went))
    by_columns = [
        MoneyLine(one.day, max(one.amount, 0.0), max(-one.amount, 0.0), one.what, (one.board,))
        for one in payments(log, settings)
        if one.day is not None and one.board not in (came if one.amount > 0 else went)
    ]
    within = [line for line in (*log.money, *by_columns) if start <= line.date <= end]
    return sorted(within, key=lambda line: line.date)


def money_between(
    log: Log,
    settings: Settings,
    first: dt.date | None = None,
    last: dt.date | None = None,
    uses: Uses = NO_USES,
) -> MoneySums:
    """All money from one day to another, by what it was for and by board; of a board without rows by its columns.

    A board's part of what was bought for several is what all that was bought up to the last day gives it, less what
    all before the first day did: parts of neighbouring spans add up.
    """
    start, end = first or dt.date.min, last or dt.date.max
    whats: defaultdict[str, list[int]] = defaultdict(lambda: [0, 0])
    boards: defaultdict[str, list[int]] = defaultdict(lambda: [0, 0])
    undated = set()
    for one in payments(log, settings):
        if one.day is None:
            undated.add(one.board)
        elif start <= one.day <= end:
            for sums in (whats[one.what], boards[one.board]):
                sums[one.amount < 0] += round(abs(one.amount) * PENNIES)
    rows = [line for line in log.money if not of_owners(line)]
    for line in rows:
        if start <= line.date <= end:
            for sums in (whats[line.what], *([boards[""]] if not line.boards else [])):
                sums[0] += round(line.came_in * PENNIES)
                sums[1] += round(line.went_out * PENNIES)
    before = spent_on([line for line in rows if line.date < start], uses)
    spent = spent_on([line for line in rows if line.date <= end], uses)
    for board, much in spent.items():
        if more := round((much - before.get(board, 0.0)) * PENNIES):
            boards[board][more > 0] += abs(more)
    told = told_by_lines(rows)
    undated |= {b.board for b in log.boards if b.materials and b.board not in told}
    on_none = boards.pop("", [0, 0])
    return MoneySums(
        first,
        last,
        _added("", *(math.fsum(sums[at] for sums in whats.values()) for at in (0, 1))),
        tuple(_added(what, *whats[what]) for what in _known_first(whats)),
        tuple(_added(b.board, *boards[b.board]) for b in log.boards if b.board in boards),
        _added("", *on_none),
        tuple(b.board for b in log.boards if b.board in undated),
    )


def _added(name: str, came_in: float, out: float) -> InAndOut:
    """A sum of so many coins."""
    return InAndOut(name, came_in / PENNIES, out / PENNIES)


def _known_first(whats: Iterable[str]) -> list[str]:
    """Headings in order: those known to us, then others by letter."""
    return sorted(
        whats, key=lambda what: (list(MONEY_FOR).index(what) if what in MONEY_FOR else len(MONEY_FOR), what)
    )


def _came(line: MoneyLine) -> bool:
    """Whether it came in."""
    return line.came_in > 0


def _went(line: MoneyLine) -> bool:
    """Whether it went out."""
    return line.went_out > 0


def _sum(amounts: list[float]) -> float | None:
    """Their sum, to the last coin; None of none."""
    return round(math.fsum(amounts), 2) if amounts else None
