"""What an owner was told, what he asks for since, and a telling struck out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar

from estimator.log.edits import (
    Cells,
    cells_of,
    checked,
    decision_of,
    later_cells,
    refuse_what_is_no_telling,
    row_at,
)
from estimator.log.steps.enquiry import yes_cells
from estimator.log.steps.read_back import ActPlan, Agreement, AsWritten, WorkedOut
from estimator.log.steps.writing import in_field, in_the_shop, on_day
from estimator.log.tellings import first_tellings, of_dates
from estimator.words.dates import read_date, say_day
from estimator.words.errors import UsageError
from estimator.words.measures import number
from estimator.words.money import money_in, say_price
from estimator.words.odds import read_odds
from estimator.words.records import ASKED, FOR_ASKED_LATER, IN_HAND, Board, Told, price_told
from estimator.words.step_labels import choice
from estimator.words.worked_time import read_range_hours

NOT_SPOKEN = "?"
ODDS = 0.8
GROWN = "grown."  # before the name of a quantity
NUMBERS = ("hours_low", "hours_high", "adds_hours", "adds_days")


def as_told(
    answers: WorkedOut | None,
    said: Told,
    board: Board,
    earlier: Sequence[Told],
    *,
    hours: bool = True,
    first: bool = True,
    last: bool = True,
) -> Told:
    """A telling as it is kept, whoever writes it: checked, and with what is answered where it leaves something out.

    answers: None where nothing can be worked out; earlier: all that was told of the board before
    hours, first, last: False where they were not spoken of

    Raises UsageError where it cannot be told, NoAnswerError where there is no range.
    """
    told = checked(said, board, earlier)
    if answers is not None:
        told = answers.filled_in(told, hours=hours, first=first, last=last, earlier=bool(earlier))
    refuse_what_is_no_telling(told)
    return told


def earlier_of(now: AsWritten, board: Board) -> list[Told]:
    """What a board's owner was told before."""
    return [telling for telling in now.log.told if telling.board == board.board]


@dataclass(frozen=True, slots=True)
class ToldOwner:
    """What an owner was told; hours and last day that are left out are what is answered that day, ? were not spoken of.

    said_yes: he took it at once
    """

    verb: ClassVar[str] = "told"
    board: str
    hours: str = ""
    price: str = ""
    terms: str = ""
    first: str = ""
    last: str = ""
    odds: str = ""
    because: str = ""
    paid_by: str = ""
    said_yes: bool = False
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of what was told; a first telling names the quote's day, price and dates in the board's own row."""
        board = in_the_shop(now.board(self.board))
        earlier = earlier_of(now, board)
        trade = now.settings.workshop
        asks = self.hours.strip() == NOT_SPOKEN
        with in_field("hours"):
            low, high = (
                read_range_hours(self.hours, trade.hours_in_a_day)
                if self.hours.strip() and not asks
                else (None, None)
            )
        with in_field("price"):
            price = money_in(trade.currency)(self.price) if self.price.strip() else None
        with in_field("first"):
            first = read_date(self.first, trade.dates) if self.first.strip() else None
        with in_field("last"):
            last = read_date(self.last, trade.dates) if self.last.strip() not in {"", NOT_SPOKEN} else None
        said = Told(
            board=board.board,
            date=on_day(self.on, day, now.settings),
            hours_low=low,
            hours_high=high,
            price=price,
            terms=self.terms,
            first=first,
            last=last,
            odds=read_odds(self.odds) if self.odds.strip() else None if asks else ODDS,
            because=self.because,
            paid_by=self.paid_by,
        )
        dates = self.last.strip() != NOT_SPOKEN
        said = as_told(now.answers, said, board, earlier, hours=not asks, first=dates, last=dates)
        fills = quote_cells(now, board, said, earlier)
        if self.said_yes and board.state == ASKED:
            fills = {**fills, **yes_cells(said.date)}
        filled = ((now.row(board), fills),) if fills else ()
        return ActPlan(told_label(board, said), board.board, (("told", cells_of(said)),), filled)


def told_label(board: Board, said: Told) -> str:
    """A telling in one line."""
    by = f": ready by {say_day(said.last)}" if said.last else ""
    return f"told the owner of {board.name}{by}" + (
        f", for {say_price(said.price)}" if said.price is not None else ""
    )


def quote_cells(now: AsWritten, board: Board, said: Told, earlier: list[Told]) -> dict[str, str]:
    """The cells of a board's own row that a first telling fills, where they are empty."""
    if earlier:
        return {}
    row = now.row(board).cells
    cells = {}
    if not {"promised_first", "promised_last"} & row.keys():
        cells = {"promised_first": said.first, "promised_last": said.last}
    written = {column: day.isoformat() for column, day in cells.items() if day}
    if board.state == ASKED and "quoted" not in row:
        written["quoted"] = said.date.isoformat()
    if said.price is not None and "price_quoted" not in row:
        written["price_quoted"] = number(said.price)
    return written


@dataclass(frozen=True, slots=True)
class AskedSince:
    """What an owner asks for since and agrees to; more: by name, as it stands in a later_ cell, less with a minus.

    instead: by name what is wanted in place of what is done, which is doing it again
    price: what it adds, or takes off where it is less; empty: what is answered; ?: nothing was told yet
    worked_out: cells of the telling, and how much of each quantity it makes, as they were shown; left out, they are
        worked out now
    """

    verb: ClassVar[str] = "asked since"
    board: str
    more: Mapping[str, str] = field(default_factory=dict)
    instead: Mapping[str, str] = field(default_factory=dict)
    price: str = ""
    on: str = ""
    worked_out: Mapping[str, str] = field(default_factory=dict)

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """What was asked for in the board's own row, and what its owner was told of it as a row more."""
        board = in_the_shop(now.board(self.board))
        on_day(self.on, day, now.settings)
        both = set(self.more) & set(self.instead)
        more = {name: said for name, said in {**self.more, **self.instead}.items() if said.strip()}
        if not more:
            raise UsageError("Nothing is asked for.", "Say what, and how much of it.", field="more")
        if both:
            raise UsageError(
                f"{both.pop()} is asked for twice.", "Say it once: more, or instead.", field="more"
            )
        quiet = self.price.strip() == NOT_SPOKEN
        with in_field("price"):
            given = (
                None
                if quiet or not self.price.strip()
                else money_in(now.settings.workshop.currency)(self.price)
            )
        agreement: Agreement
        if self.worked_out:
            agreement = self._shown(now, board, given, day)
        elif now.answers is None:
            raise UsageError("Nothing can be worked out here.", "Ask for it where the workshop is open.")
        else:
            agreement = now.answers.agreement(board.board, more, price=given, on=day)
        row = now.row(board)
        cells = later_cells(row, board, agreement.what, agreement.grown)
        rows: tuple[tuple[str, Cells], ...] = ()
        notes = agreement.notes
        if agreement.telling is not None and not quiet:
            earlier = earlier_of(now, board)
            telling = as_told(None, agreement.telling, board, earlier)
            rows = (("told", cells_of(telling)),)
            cells = {**cells, **quote_cells(now, board, telling, earlier)}
        names = ", ".join(now.settings.quantity_label(name).lower() for name in agreement.what)
        label = f"{board.name}: asked for since: {names}"
        return ActPlan(label, board.board, rows, ((row, cells),), notes=notes)

    def _shown(self, now: AsWritten, board: Board, price: float | None, day: dt.date) -> ShownAgreement:
        """What was shown when the owner agreed, with the price that was agreed."""
        shown = self.worked_out
        grown = {
            name.removeprefix(GROWN): float(much) for name, much in shown.items() if name.startswith(GROWN)
        }
        what = {name: grown[name] for name in (*self.more, *self.instead) if name in grown}
        extra = float(shown["extra"]) if price is None and shown.get("extra") else price
        if price is not None and shown.get("less"):
            extra = -price
        old = price_told(board, now.log.told)
        numbers = {name: float(shown[name]) for name in NUMBERS if shown.get(name)}
        days = {name: dt.date.fromisoformat(shown[name]) for name in ("first", "last") if shown.get(name)}
        telling = Told(
            board.board,
            day,
            price=None if old is None or extra is None else round(old + extra, 2),
            odds=ODDS,
            because=FOR_ASKED_LATER,
            paid_by="owner",
        )
        return ShownAgreement(what, grown, replace(telling, **numbers, **days))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class ShownAgreement:
    """What an owner asks for since, as it was shown when he agreed; see Agreement."""

    what: Mapping[str, float]
    grown: Mapping[str, float]
    telling: Told | None
    notes: tuple[str, ...] = ()


def figures_of(agreement: Agreement, *, less: bool, extra: float | None) -> dict[str, str]:
    """What is shown of an agreement, as texts that a form carries; see AskedSince.worked_out."""
    told = agreement.telling
    figures = {f"{GROWN}{name}": number(much) for name, much in agreement.grown.items()}
    if told is not None:
        cells = cells_of(told)
        figures |= {name: cells[name] for name in (*NUMBERS, "first", "last") if cells[name]}
    return (
        figures | ({"less": "yes"} if less else {}) | ({"extra": number(extra)} if extra is not None else {})
    )


@dataclass(frozen=True, slots=True)
class StruckOut:
    """A telling that was said by mistake; on: its day; of several on a day the last; empty: the last of all."""

    verb: ClassVar[str] = "struck"
    board: str
    why: str
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:  # noqa: ARG002  it may be struck out on any day
        """Why, beside the telling; the dates that only it gave the board's own row go too."""
        board = now.board(self.board)
        earlier = earlier_of(now, board)
        on = read_date(self.on, now.settings.workshop.dates) if self.on.strip() else None
        said = [telling for telling in earlier if on in {None, telling.date}]
        why = " ".join(self.why.split())
        if not said:
            when = f" on {say_day(on)}" if on else ""
            raise UsageError(
                f"The owner of {board.name} was told nothing{when}.", "Nothing needs to be struck out."
            )
        if not why or why == NOT_SPOKEN:
            raise UsageError(
                "A telling is struck out with its reason.", "Say why, as “wrong board”.", field="why"
            )
        gone = max(said, key=lambda telling: (telling.date, telling.where.row))
        fills = [(row_at(now.raw, now.settings, "told", gone.where), {"struck_out": why})]
        left = [telling for telling in earlier if telling is not gone]
        cells = self._own_cells(board, gone, left)
        if cells:
            fills.append((now.row(board), cells))
        label = f"struck out what the owner of {board.name} was told on {say_day(gone.date)}: {why}"
        return ActPlan(label, board.board, fills=tuple(fills))

    @staticmethod
    def _own_cells(board: Board, gone: Told, left: list[Told]) -> dict[str, str]:
        """The cells of a board's own row that only the telling filled that is struck out, as the next has them."""
        first = min(left, key=lambda telling: (telling.date, telling.where.row), default=None)
        dated = first_tellings([replace(t, adds_hours=None, adds_days=None) for t in left], of_dates).get(
            board.board
        )
        cells: dict[str, str] = {}
        if gone.last is not None and (board.promised_first, board.promised_last) == (gone.first, gone.last):
            days = {"promised_first": dated and dated.first, "promised_last": dated and dated.last}
            cells |= {column: one.isoformat() if one else "" for column, one in days.items()}
        if gone.price is not None and board.price_quoted == gone.price:
            cells["price_quoted"] = number(first.price) if first else ""
        if board.quoted == gone.date and not board.accepted:
            cells["quoted"] = first.date.isoformat() if first else ""
        return cells


@dataclass(frozen=True, slots=True)
class DecisionMade:
    """Whether a board is taken on: yes, no or open-first, and why; for_love: whatever it pays."""

    verb: ClassVar[str] = "weigh up"
    board: str
    answer: str
    why: str
    for_love: bool = False

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:  # noqa: ARG002  a decision is of the board as it stands
        """The cells of the decision; a no to a board that is asked for is the end of it."""
        board = now.board(self.board)
        decision = decision_of(board, self.answer, self.why, for_love=self.for_love)
        cells = dict(decision.cells)
        if decision.answer == "no" and board.state not in IN_HAND:
            cells["state"] = "declined"
        return ActPlan(
            f"{board.name}: decided: {choice('answer', decision.answer)}",
            board.board,
            fills=((now.row(board), cells),),
        )
