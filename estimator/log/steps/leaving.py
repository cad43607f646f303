"""A deposit, a board ready, fetched and paid, and one given back half done."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.edits import Cells, OwnRow
from estimator.log.money import told_by_columns
from estimator.log.steps.enquiry import yes_cells
from estimator.log.steps.hours import not_found_yet, worked_on
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.standing import ended, standing
from estimator.log.steps.writing import in_the_shop, on_day
from estimator.words.dates import say_day
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.measures import number
from estimator.words.money import money_in, say_price
from estimator.words.phrases import capital
from estimator.words.records import ASKED, COST_TIME, IN_HAND, TAKEN_ON, WITHDRAWN, Board, price_told
from estimator.words.settings.values import nearest


def amount_of(written: str, now: AsWritten, field: str) -> float:
    """Money as it was typed; raises UsageError for none, UnreadableError for what is none."""
    if not written.strip():
        raise UsageError("No money is written.", "Write how much, as 350 or 350.50.", field=field)
    try:
        return round(money_in(now.settings.workshop.currency)(written), 2)
    except UnreadableError as error:
        error.field = field
        raise


def money_rows(
    now: AsWritten, board: Board, on: dt.date, what: str, came: float = 0.0, went: float = 0.0
) -> tuple[tuple[str, Cells], ...]:
    """A line of money, where the log has a sheet for it; before it what the board's columns alone told so far."""
    if not now.has("money") or not (came or went):
        return ()
    earlier = [
        ("money", _money_row(board, one.day or on, one.what, max(one.amount, 0.0), max(-one.amount, 0.0)))
        for one in told_by_columns(now.log, board, now.settings, went=bool(went))
    ]
    return (*earlier, ("money", _money_row(board, on, what, came, went)))


def _money_row(board: Board, on: dt.date, what: str, came: float, went: float) -> Cells:
    """The cells of a line of money."""
    row = {"date": on.isoformat(), "what": what, "boards": board.board}
    return {**row, "in": number(came) if came else "", "out": number(went) if went else ""}


@dataclass(frozen=True, slots=True)
class DepositCame:
    """A deposit; with it the owner has said yes."""

    verb: ClassVar[str] = "deposit"
    board: str
    amount: str
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """What was paid beforehand, on top of what had been."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        came = amount_of(self.amount, now, "amount")
        if board.finished:
            raise UsageError(
                f"{capital(board.name)} is ready: that's no deposit any more.", "Say that it was paid."
            )
        cells = {"deposit": number(round((board.deposit or 0.0) + came, 2))}
        if board.state == ASKED:
            cells |= yes_cells(on)
        label = f"deposit of {say_price(came)} for {board.name}"
        return ActPlan(
            label, board.board, money_rows(now, board, on, "deposit", came), ((now.row(board), cells),)
        )


@dataclass(frozen=True, slots=True)
class BoardReady:
    """A board that is ready; cost_time: what cost the time; found_as_thought: what isn't said yet is as it looked."""

    verb: ClassVar[str] = "ready"
    board: str
    cost_time: str = ""
    found_as_thought: bool = False
    materials: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The day, and what is asked once when a board is done."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        if board.ready:
            raise UsageError(
                f"{capital(board.name)} has been ready since {say_day(board.ready)}.",
                "Nothing needs to be written.",
            )
        if board.state not in TAKEN_ON:
            raise UsageError(
                f"{capital(board.name)} was never begun.", "Say that its owner said yes, and write hours."
            )
        if self.cost_time and self.cost_time not in COST_TIME:
            raise UsageError(
                f'"{self.cost_time}" is no reason known here.',
                nearest(self.cost_time, COST_TIME),
                field="cost_time",
            )
        if not worked_on(now, board) and board.total_hours is None:
            raise UsageError(f"No hours are written on {board.name}.", "Write its hours first.")
        if open_waits := standing(now, board):
            raise UsageError(
                f"{capital(board.name)} has stood since {say_day(open_waits[0].first)}.",
                "Say first that it is going again.",
            )
        cells = {"ready": on.isoformat(), "state": "", "cost_time": self.cost_time}
        if self.materials.strip():
            cells["materials"] = number(amount_of(self.materials, now, "materials"))
        if self.found_as_thought:
            for name in not_found_yet(now, board):
                if name in board.assessed:
                    more = board.later.get(name, 0.0)
                    cells[f"found_{name}"] = number(round(board.assessed[name] + more, 6)) if more else "same"
        cells = {column: cell for column, cell in cells.items() if cell or column == "state"}
        return ActPlan(f"{board.name} is ready", board.board, fills=((now.row(board), cells),))


def agreed(now: AsWritten, board: Board) -> float | None:
    """The price that a board's owner goes by."""
    return board.price_charged if board.price_charged is not None else price_told(board, now.log.told)


def owed(now: AsWritten, board: Board) -> float | None:
    """What is still to be paid for a board; None where no price is known."""
    price = agreed(now, board)
    return None if price is None else round(price - max(board.paid or 0.0, board.deposit or 0.0), 2)


@dataclass(frozen=True, slots=True)
class CollectedAndPaid:
    """A board that is fetched, paid, or both at once.

    amount: what was paid now; left out, all that was owed; collected, paid: which of the two
    """

    verb: ClassVar[str] = "collected"
    board: str
    amount: str = ""
    collected: bool = True
    paid: bool = True
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The days, and what was paid in all."""
        on, board = on_day(self.on, day, now.settings), now.board(self.board)
        if not self.collected and not self.paid:
            raise UsageError("Neither fetched nor paid is ticked.", "Tick one of them.", field="collected")
        if self.collected:
            board = in_the_shop(board)
            if board.state not in TAKEN_ON:
                raise UsageError(
                    f"{capital(board.name)} was never begun.", "Say that its owner dropped it instead."
                )
        cells: dict[str, str] = {}
        rows: tuple[tuple[str, Cells], ...] = ()
        if self.collected:
            cells |= {"collected": on.isoformat(), "state": ""}
            if not board.ready:
                cells["ready"] = on.isoformat()
        if self.paid:
            more, rows = self._paid(now, board, on)
            cells |= more
        said = " and ".join(
            word for word, is_so in (("collected", self.collected), ("paid", self.paid)) if is_so
        )
        return ActPlan(f"{board.name} {said}", board.board, rows, ((now.row(board), cells),))

    def _paid(
        self, now: AsWritten, board: Board, on: dt.date
    ) -> tuple[dict[str, str], tuple[tuple[str, Cells], ...]]:
        """The cells and the line of money."""
        rest, before = owed(now, board), max(board.paid or 0.0, board.deposit or 0.0)
        if board.paid_on and not rest:
            raise UsageError(
                f"{capital(board.name)} was paid on {say_day(board.paid_on)}.", "Nothing needs to be written."
            )
        if not self.amount.strip() and rest is None:
            raise UsageError(
                f"No price is written for {board.name}.", "Write how much was paid.", field="amount"
            )
        came = rest if not self.amount.strip() else amount_of(self.amount, now, "amount")
        in_all = round(before + (came or 0.0), 2)
        cells = {"paid": number(in_all), "paid_on": on.isoformat()}
        price = agreed(now, board)
        if board.price_charged is None:
            cells["price_charged"] = number(in_all if price is None else price)
        if price is not None and in_all < price - 0.005:
            del cells["paid_on"]  # until the rest has come
        return cells, money_rows(now, board, on, "payment", came or 0.0)


@dataclass(frozen=True, slots=True)
class GaveItBack:
    """A board given back half done: what was kept of the money, and what was returned now."""

    verb: ClassVar[str] = "gave back"
    board: str
    kept: str
    returned: str = ""
    why: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """Its owner dropped it; what was charged is what was kept."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        if board.finished:
            raise UsageError(
                f"{capital(board.name)} is ready; it isn't half done.", "Say that it was collected."
            )
        if board.state not in IN_HAND:
            raise UsageError(f"{capital(board.name)} was never taken on.", "Say that its owner dropped it.")
        kept = amount_of(self.kept, now, "kept")
        returned = amount_of(self.returned, now, "returned") if self.returned.strip() else 0.0
        before = max(board.paid or 0.0, board.deposit or 0.0)
        if returned > before + 0.005:
            raise UsageError(
                f"{number(returned)} given back is more than the {number(before)} that was paid.",
                "Write what of that you gave back.",
                field="returned",
            )
        if kept + returned < before - 0.005:
            raise UsageError(
                f"{number(before)} was paid; {number(kept)} kept and {number(returned)} given back don't add up to it.",
                "Write both so that they do.",
                field="kept",
            )
        came = round(kept + returned - before, 2)  # paid on the spot
        paid = round(before + came, 2)
        cells = {"state": WITHDRAWN, "collected": on.isoformat(), "paid": number(paid)}
        cells |= {"returned": number(returned), "decided_why": self.why.strip(), "paid_on": on.isoformat()}
        fills: list[tuple[OwnRow, Cells]] = [
            (now.row(board), {column: cell for column, cell in cells.items() if cell})
        ]
        fills.extend(ended(now, standing(now, board), on))
        rows = (
            *money_rows(now, board, on, "payment", came),
            *money_rows(now, board, on, "refund", went=returned),
        )
        return ActPlan(f"{board.name} given back, {say_price(kept)} kept", board.board, rows, tuple(fills))
