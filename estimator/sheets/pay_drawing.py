"""What ten boards on a tape of pay show: where each stands, how many pay too little, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

from estimator.decide.terms import CEILING, FIXED
from estimator.decide.weighing import Weighing
from estimator.forecast.ranges import INK_FROM
from estimator.sheets.range_drawing import RangeDrawing
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_odds
from estimator.words.plain import capital
from estimator.words.settings import Settings

REACH = 0.6  # of the boards' own room on the tape by which a plumb line may lie beside it


@dataclass(frozen=True, slots=True)
class Plumb:
    """A line across the tape: an amount an hour, what it is, and how many boards pay less, counted."""

    at: float
    says: str
    counted: str


@dataclass(frozen=True, slots=True)
class PayDrawing:
    """Ten equally likely boards along a tape of pay an hour, and the amounts from which they are counted.

    boards: their places and the bracket; unit: what the tape counts, in words
    plumbs: the least that is taken and what is wanted, rising; those that are set
    """

    boards: RangeDrawing
    unit: str
    plumbs: tuple[Plumb, ...]


def pay_drawing(said: Weighing, settings: Settings) -> PayDrawing:
    """The drawing of what a board pays at a fixed price; under the terms asked for, where that is not among them."""
    shown = next((one for one in said.terms if one.terms == FIXED), said.best)
    boards = RangeDrawing(
        quantiles=shown.quantiles,
        low=shown.low,
        likely=shown.likely,
        high=shown.high,
        odds=said.odds,
        unit="pay",
        pencil=said.boards < INK_FROM and shown.terms != CEILING,
    )
    currency = settings.workshop.currency
    lines = ((said.wanted.floor, "the least you'd take"), (said.wanted.target, "what you want"))
    plumbs = tuple(
        Plumb(at, f"{what}, {say_pay(at)}", less_words(boards, at)) for at, what in lines if at > 0
    )
    return PayDrawing(boards, f"{currency} an hour, before rent".strip(), plumbs)


def less_words(boards: RangeDrawing, least: float) -> str:
    """How many of the boards pay less than so much; never none, never all.

    >>> points = {"0.05": 28, "0.95": 58}
    >>> less_words(RangeDrawing(points, 32, 42, 52, 0.8, unit="pay"), 35.0)
    '2 of 10 pay less'
    """
    less, count = sum(at < least for at in boards.places), len(boards.places)
    if less in {0, count}:
        return "fewer than 1 in 20 pay less" if not less else "fewer than 1 in 20 pay more"
    return f"{less} of {count} pay{'s' if less == 1 else ''} less"


def pay_title(said: Weighing, settings: Settings) -> str:
    """What there is to see."""
    price = say_money(said.price, settings.workshop.currency)
    shown = next((one for one in said.terms if one.terms == FIXED), said.best)
    low, high = say_pay(shown.low), say_pay(shown.high, settings.workshop.currency)
    return f"{said.name} at {price}: {low} to {high} an hour, {say_odds(said.odds)}"


def pay_alt_text(drawing: PayDrawing) -> str:
    """The drawing in words, for those who hear it read."""
    boards = drawing.boards
    count = len(boards.places)
    low, likely, high = (say_pay(at) for at in (boards.low, boards.likely, boards.high))
    of = "ten" if count == 10 else f"{count}"
    said = [
        f"Of {of} boards like this, {boards.inside} pay {low} to {high} {drawing.unit}; half pay more than {likely}."
    ]
    said += [f"{capital(one.says)}: {one.counted}." for one in drawing.plumbs]
    if boards.pencil:
        said.append("This is guessed: it rests mostly on rules of thumb.")
    return " ".join(said)


def ends_of(drawing: PayDrawing, wide_px: float) -> tuple[float, float]:
    """The ends of the tape: all boards with room beside them, and the plumb lines where the boards keep room."""
    boards = drawing.boards
    low, high = boards.places[0], boards.places[-1]
    least = max(abs(high) * 0.1, 1e-6)
    if high - low < least:
        low, high = (low + high - least) / 2, (low + high + least) / 2
    pad, reach = (high - low) * (0.12 + 16 / wide_px), (high - low) * REACH
    left, right = low - pad, high + pad
    for at in chain([low], (one.at for one in drawing.plumbs)):
        if low - reach <= at <= high + reach:
            left, right = min(left, at - pad), max(right, at + pad)
    return left, right
