"""A board under terms: what is charged, what that pays an hour, how often it pays too little; by draw."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from estimator.forecast.answers import cut, quantiles_of
from estimator.log.names import NOTHING_TO_DECIDE, refuse_over
from estimator.model.saved_fit import Array
from estimator.words.actions import Action
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.json_form import JsonForm, json_fields, named
from estimator.words.money import read_terms, terms_and_ceiling
from estimator.words.records import FINISHED, TERMS, WITHDRAWN, Board, Told, price_told

FIXED, CEILING, OPEN_FIRST = TERMS
MOST_ABOVE = 1.25  # times the price that a ceiling is which nobody named
SURE = 0.9  # chance with which a ceiling that nobody named is not passed, over the middle


@dataclass(frozen=True, slots=True)
class Wanted:
    """Money an hour: what is wanted, the least that is taken, overheads, and what an hour is worth elsewhere."""

    target: float
    floor: float
    overhead: float
    worth: float


@dataclass(frozen=True)
class Outcome:
    """What becomes of a board under terms, by draw: (n_draws,) each; hours that are really worked, > 0."""

    charge: Array
    materials: Array
    hours: Array

    def of(self, draws: NDArray[np.bool_]) -> Outcome:
        """The same of some draws alone."""
        return Outcome(self.charge[draws], self.materials[draws], self.hours[draws])

    @property
    def left(self) -> Array:
        """What is left of the charge for the hours: charge less materials."""
        return self.charge - self.materials

    @property
    def pay(self) -> Array:
        """Pay an hour, before overheads."""
        return np.asarray(self.left / self.hours)


@dataclass(frozen=True, slots=True)
class TermsSaid(JsonForm):
    """What one sort of terms comes to.

    low, likely, high, quantiles: pay an hour before overheads, at the odds; "0.05" ... "0.95" to pay an hour; under
        all terms of boards that are done, so that opened up first those count whose work goes on
    chance_below_target, chance_below_floor, chance_of_loss: of less than is wanted, than the least that is taken, and
        of less than nothing after materials and overheads
    price_for_target: the price at which it pays what is wanted, at the odds asked for
    break_even_hours: hours beyond which it loses money after overheads; None where there are no overheads
    hours_for_target, hours_for_floor: hours up to which it pays so much; None where nothing is wanted
    unpaid: what the work comes to, at the pay that is wanted, beyond the charge, on average
    income, worth, error: charge less materials, on average; that less what the hours are worth elsewhere and less
        promises newly broken; and the error of the latter from drawing
    price, ceiling, fee: as they were taken; None where these terms have none
    """

    terms: str
    low: float
    likely: float
    high: float
    quantiles: Mapping[str, float]
    chance_below_target: float
    chance_below_floor: float
    chance_of_loss: float
    price_for_target: float
    break_even_hours: float | None
    hours_for_target: float | None
    hours_for_floor: float | None
    unpaid: float
    income: float
    worth: float
    error: float = field(metadata=named("worth_error"))
    price: float
    ceiling: float | None = None
    fee: float | None = field(default=None, metadata=named("strip_fee"))

    def _json(self) -> dict[str, Any]:
        # by hand: price, ceiling and fee come first, and the range of pay is an object of its own
        said = json_fields(self)
        pay = {name: said.pop(name) for name in ("low", "likely", "high")}
        asked = {name: said.pop(name) for name in ("terms", "price", "ceiling", "strip_fee")}
        return {**asked, "pay_per_hour": pay, **said}


def said_of(
    terms: str,
    outcome: Outcome,
    wanted: Wanted,
    *,
    price: float,
    most: float,
    price_for_target: float,
    odds: float,
    penalty: Array | float = 0.0,
    ceiling: float | None = None,
    fee: float | None = None,
) -> TermsSaid:
    """What an outcome comes to.

    most: the most that can be charged; odds: of the range of pay; penalty: of promises newly broken, by draw
    """
    pay, left = outcome.pay, outcome.left
    low, likely, high = cut(pay, odds)
    worth = left - wanted.worth * outcome.hours - penalty
    room = most - float(outcome.materials.mean())
    full = wanted.target * outcome.hours + outcome.materials
    return TermsSaid(
        terms=terms,
        low=low,
        likely=likely,
        high=high,
        quantiles=quantiles_of(pay),
        chance_below_target=chance_below(pay, wanted.target),
        chance_below_floor=chance_below(pay, wanted.floor),
        chance_of_loss=float(np.mean(left < wanted.overhead * outcome.hours)),
        price_for_target=price_for_target,
        break_even_hours=hours_at(wanted.overhead, room),
        hours_for_target=hours_at(wanted.target, room),
        hours_for_floor=hours_at(wanted.floor, room),
        unpaid=beyond(full, outcome.charge),
        income=float(left.mean()),
        worth=float(worth.mean()),
        error=float(worth.std() / np.sqrt(len(worth))),
        price=price,
        ceiling=ceiling,
        fee=fee,
    )


def chance_below(pay: Array, least: float) -> float:
    """How often a pay an hour is less than so much; a hair, as sums leave it, is not less.

    >>> chance_below(np.array([39.0, 42.0, 42.0 - 1e-13, 45.0]), 42.0)
    0.25
    """
    return float(np.mean(pay < least - 1e-9 * max(abs(least), 1e-300)))


def hours_at(pay: float, room: float) -> float | None:
    """Hours that so much money pays for at so much an hour; None where an hour costs nothing.

    >>> hours_at(50.0, 1200.0), hours_at(0.0, 1200.0)
    (24.0, None)
    """
    return max(room, 0.0) / pay if pay > 0 else None


def beyond(cost: Array, charge: Array | float) -> float:
    """What a cost comes to beyond the charge, on average: E max(cost - charge, 0).

    >>> beyond(np.array([90.0, 110.0, 130.0, 70.0]), 100.0)
    10.0
    """
    return float(np.mean(np.maximum(cost - charge, 0.0)))


def usual_ceiling(price: float, cost: Array) -> float:
    """A ceiling where none was named: as far above the price as the cost passes its middle 1 time in 10.

    It is never more than a quarter above: beyond that a price with a range is none, and it is better opened up first.

    cost: by draw, hours at the pay that is wanted, and materials

    >>> round(usual_ceiling(3000.0, np.linspace(80.0, 120.0, 5)))
    3480
    """
    middle, high = np.quantile(cost, [0.5, SURE])
    return price * min(max(float(high / middle), 1.0), MOST_ABOVE) if middle > 0 else price


def under_ceiling(ceiling: float, target: float, hours: Array, materials: Array) -> Outcome:
    """Charged by the hour at the pay that is wanted, materials on top, and never more than the ceiling."""
    return Outcome(np.minimum(ceiling, target * hours + materials), materials, hours)


def at_price(price: float, hours: Array, materials: Array) -> Outcome:
    """Charged as named, whatever it takes."""
    return Outcome(np.full_like(hours, price), materials, hours)


@dataclass(frozen=True, slots=True)
class Question:
    """A price, and terms, ceiling and fee for opening up where they were named; odds: of ranges, and of prices.

    from_log: whether the price is the one quoted in the log
    """

    price: float
    terms: str | None = None
    ceiling: float | None = None
    strip_fee: float | None = None
    odds: float = 0.8
    from_log: bool = False


def question_of(
    board: Board,
    price: float | None,
    terms: str | None = None,
    ceiling: float | None = None,
    strip_fee: float | None = None,
    odds: float = 0.8,
    told: Iterable[Told] = (),
) -> Question:
    """The question, its price where none is named the one told last, else the one quoted in the log.

    Raises UsageError for a board that is over, for no price, money that is less than nothing or without end, and
    terms that there are not.

    >>> question_of(Board("26-014", price_quoted=1800.0), None).price
    1800.0
    """
    took = Action("range", board.board)
    refuse_over(board, NOTHING_TO_DECIDE, "See what it took.", states={FINISHED}, action=took)
    if board.started:
        refuse_over(board, NOTHING_TO_DECIDE, states={WITHDRAWN})
    if terms is not None:
        try:
            terms = read_terms(terms)
        except UnreadableError as error:
            raise UsageError(error.wrong, error.cure, field="terms") from error
    told = tuple(told)
    asked = price_told(board, told) if price is None else price
    if asked is None:
        raise UsageError(
            f"No price is named for {board.name}, and none is in the log.",
            "Write one, as 3400.",
            field="price",
        )
    for name, amount in (("price", asked), ("ceiling", ceiling), ("fee for opening up", strip_fee)):
        if amount is not None and not 0 <= amount < math.inf:
            raise UsageError(f"A {name} of {amount:,g} is no money to ask.", "Write it as 3400.")
    if not asked:
        raise UsageError("A price of nothing pays nothing.", "Write one, as 3400.", field="price")
    if ceiling is None and price is None:  # the one that its owner was told stands with the price
        own = sorted((t for t in told if t.board == board.board and t.terms), key=lambda t: t.date)
        ceiling = terms_and_ceiling(own[-1].terms)[1] if own else None
    return Question(asked, terms, ceiling, strip_fee, odds, from_log=price is None)
