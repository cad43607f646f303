"""A line of money as it is typed: in or out, for none, one or several boards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.columns import plain
from estimator.log.edits import Cells, OwnRow
from estimator.log.money import BoardMoney, paid_for, told_by_lines
from estimator.log.steps.leaving import agreed, amount_of, money_rows
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.writing import on_day
from estimator.words.errors import UsageError
from estimator.words.labels import MONEY_FOR
from estimator.words.measures import number
from estimator.words.phrases import say_count
from estimator.words.records import DEPOSIT, MATERIALS, PAYMENT, REFUND, Board

IN, OUT = WAYS = ("in", "out")
OWNERS: Mapping[str, tuple[str, ...]] = {
    IN: (DEPOSIT, PAYMENT, ""),
    OUT: (REFUND,),
}  # what is an owner's money
MATERIAL: Mapping[str, tuple[str, ...]] = {
    IN: (MATERIALS,),
    OUT: (MATERIALS, ""),
}  # what boards are made with
HALF_A_COIN = 0.005
WORDS: Mapping[str, str] = {plain(word): name for name, words in MONEY_FOR.items() for word in (name, *words)}


def coins(amount: float) -> str:
    """An amount to the last coin: two decimals, or none.

    >>> coins(412.5), coins(1200.0)
    ('412.50', '1,200')
    """
    return f"{amount:,.0f}" if amount == round(amount) else f"{amount:,.2f}"


@dataclass(frozen=True, slots=True)
class MoneyWritten:
    """Money that came in or went out.

    way: in or out; what: deposit, payment, refund, materials or rent, else own words; left out, as the log takes it
    boards: by id or short name; none: for the shop, or kept on the shelf
    """

    verb: ClassVar[str] = "money"
    way: str
    amount: str
    what: str = ""
    boards: Sequence[str] = ()
    note: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of money, and what it makes of the board's own columns."""
        if self.way not in WAYS:
            raise UsageError("Did it come in, or go out?", "Choose one of the two.", field="way")
        on, much = on_day(self.on, day, now.settings), amount_of(self.amount, now, "amount")
        if not much:
            raise UsageError(
                "Nothing came in and nothing went out.", "Write how much it was.", field="amount"
            )
        boards = self._boards(now)
        what = WORDS.get(plain(self.what), self.what.strip())
        names = (
            ", ".join(board.name for board in boards) if len(boards) < 3 else say_count(len(boards), "board")
        )
        label = ", ".join(filter(None, (f"{coins(much)} {self.way}", what, names)))
        row = {
            "date": on.isoformat(),
            self.way: number(much),
            "what": what,
            "boards": "; ".join(board.board for board in boards),
            "note": self.note.strip(),
        }
        line = ("money", {column: cell for column, cell in row.items() if cell})
        if len(boards) != 1 or what not in OWNERS[self.way]:
            rows, fills = _materials_so_far(now, boards, on) if what in MATERIAL[self.way] else ((), ())
            return ActPlan(label, "", (*rows, line), fills)
        came, went = (much, 0.0) if self.way == IN else (0.0, much)
        earlier = money_rows(now, boards[0], on, what or PAYMENT, came, went)[:-1]
        return ActPlan(label, boards[0].board, (*earlier, line), _own_cells(now, boards[0], what, much, on))

    def _boards(self, now: AsWritten) -> list[Board]:
        """The boards that it was for, each once."""
        try:
            return [now.board(name) for name in dict.fromkeys(filter(None, map(str.strip, self.boards)))]
        except UsageError as error:
            error.field = "boards"
            raise


def _materials_so_far(
    now: AsWritten, boards: Sequence[Board], on: dt.date
) -> tuple[tuple[tuple[str, Cells], ...], tuple[tuple[OwnRow, Cells], ...]]:
    """What boards' own columns tell of materials, as lines of their own: once a line tells of any, all do."""
    rows, fills = [], []
    for board in boards:
        if board.materials is not None:
            fills.append((now.row(board), {"materials": ""}))
            if board.materials:
                day = min(board.ready or board.started or on, on)
                cells = {"date": day.isoformat(), "out": number(board.materials), "what": MATERIALS}
                rows.append(("money", {**cells, "boards": board.board}))
    return tuple(rows), tuple(fills)


def _own_cells(
    now: AsWritten, board: Board, what: str, much: float, on: dt.date
) -> tuple[tuple[OwnRow, Cells], ...]:
    """The columns of a board that its owner's money fills, so that both say the same."""
    told = told_by_lines(line for line in now.log.money if board.board in line.boards)
    rows = told.get(board.board, BoardMoney())
    deposit, returned = rows.deposit or board.deposit or 0.0, rows.returned or board.returned or 0.0
    paid = round((paid_for(board) if rows.paid is None else rows.paid) + much, 2)
    if what == REFUND:
        return ((now.row(board), {"returned": number(round(returned + much, 2))}),)
    if what == DEPOSIT:
        cells = {"deposit": number(round(deposit + much, 2))}
        if board.paid is not None:
            cells["paid"] = number(paid)
        return ((now.row(board), cells),)
    cells, price = {"paid": number(paid)}, agreed(now, board)
    if price is not None and paid >= price - HALF_A_COIN and board.paid_on is None:
        cells["paid_on"] = on.isoformat()
    return ((now.row(board), cells),)
