"""What ten boards on a tape show, of hours or of pay: where each stands, what is counted, and the same in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import chain
from statistics import NormalDist

import numpy as np

from estimator.decide.weigh.terms import CEILING, FIXED
from estimator.decide.weigh.weighing import Weighing
from estimator.forecast.ranges import INK_FROM, Range
from estimator.sheets.drawing.tape import in_quarters
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, say_middle, say_ten_boards
from estimator.words.settings.schema import Settings

FILL = 0.5  # the boards take at least this share of the tape, however far off the other marks are


@dataclass(frozen=True, slots=True)
class RangeDrawing:
    """What the ten boards show. All amounts are in `unit`: hours, unless it says otherwise.

    quantiles: "0.05" ... "0.95" to an amount; low, likely, high: the range at `odds`, a chance
    guess: what the restorer said; alike: name and amount of past boards
    plumb: an amount from which boards are counted, and the words on it
    pencil: the range is guessed: it rests on rules of thumb, or on fewer than 12 past boards
    hatch: whether the chance outside the range is hatched
    """

    quantiles: Mapping[str, float]
    low: float
    likely: float
    high: float
    odds: float
    unit: str = "h"
    guess: float | None = None
    alike: tuple[tuple[str, float], ...] = ()
    plumb: tuple[float, str] | None = None
    pencil: bool = False
    hatch: bool = True
    places: tuple[float, ...] = field(init=False, compare=False)  # where each board stands, rising

    def __post_init__(self) -> None:
        if not 0 < self.odds < 1 or not self.low <= self.likely <= self.high:
            raise ValueError("A range needs odds between 0 and 1, and low <= likely <= high.")
        object.__setattr__(self, "places", _places(self))

    @property
    def inside(self) -> int:
        """How many of the boards land in the range, as the words say it; never none and never all."""
        return min(max(round(self.odds * len(self.places)), 1), len(self.places) - 1)

    @property
    def done(self) -> bool:
        """Whether nothing is open: the board has taken what it has taken, and stands alone on the tape."""
        return self.low == self.high


def drawing_of(answer: Range) -> RangeDrawing:
    """The drawing of an answer in hours: in pencil until a dozen past boards stand behind it."""
    return RangeDrawing(
        quantiles=answer.quantiles,
        low=answer.low,
        likely=answer.likely,
        high=answer.high,
        odds=answer.odds,
        guess=answer.guess,
        alike=tuple((past.called or past.board, past.hours) for past in answer.alike),
        pencil=answer.boards < INK_FROM and answer.low < answer.high,
    )


def _places(drawing: RangeDrawing) -> tuple[float, ...]:
    """The middles of ten (or of twenty, where ten can't be split evenly) equally likely slices."""
    if drawing.done:
        return (drawing.likely,)
    fives = round(drawing.odds * 5, 6)
    count = 10 if fives.is_integer() and 0 < fives < 5 else 20
    miss = round((1 - drawing.odds) / 2, 9)
    known = {float(p): amount for p, amount in drawing.quantiles.items()}
    known |= {miss: drawing.low, 0.5: drawing.likely, round(1 - miss, 9): drawing.high}
    normal = NormalDist()
    z, amounts = (
        np.array(v) for v in zip(*((normal.inv_cdf(p), known[p]) for p in sorted(known)), strict=True)
    )
    wanted = np.array([normal.inv_cdf((i + 0.5) / count) for i in range(count)])
    inner = np.interp(wanted, z, amounts)
    for end, near, beyond in ((0, 1, wanted < z[0]), (-1, -2, wanted > z[-1])):
        slope = (amounts[end] - amounts[near]) / (z[end] - z[near])
        inner[beyond] = amounts[end] + slope * (wanted[beyond] - z[end])
    least = 0.0 if amounts[0] >= 0 else -math.inf
    return tuple(float(at) for at in np.maximum(np.maximum.accumulate(inner), least))


def past_words(drawing: RangeDrawing) -> str:
    """How many of the boards land beyond the plumb line, counted; never none, never all.

    >>> points = {"0.05": 40, "0.95": 90}
    >>> past_words(RangeDrawing(points, 50, 66, 82, 0.8, plumb=(75.0, "not over 75 without asking")))
    '2 of 10 would be past it'
    """
    assert drawing.plumb is not None
    if drawing.done:
        return "it went past it" if drawing.likely > drawing.plumb[0] else "it stayed within it"
    past, count = sum(at > drawing.plumb[0] for at in drawing.places), len(drawing.places)
    if past in {0, count}:
        return f"fewer than 1 in 20 would be {'within' if past else 'past'} it"
    return f"{past} of {count} would be past it"


def alt_text(drawing: RangeDrawing) -> str:
    """The drawing in words, for those who hear it read."""
    said = [say_ten_boards(drawing.low, drawing.likely, drawing.high, drawing.odds)]
    if drawing.done:
        said = [f"All booked: {say_middle(drawing.likely)}."]
    elif drawing.pencil:
        said.append("This is guessed: it rests mostly on rules of thumb.")
    if drawing.guess is not None:
        said.append(f"You said {in_quarters(drawing.guess)}.")
    if drawing.plumb is not None:
        label = drawing.plumb[1]
        said.append(f"{capital(label)}: {past_words(drawing)}.")
    if drawing.alike:
        said.append(f"Boards like it: {alike_words(drawing)}.")
    return " ".join(said)


def alike_words(drawing: RangeDrawing) -> str:
    """Past boards with what they took, in the order of their strokes."""
    by_amount = sorted(drawing.alike, key=lambda past: past[1])
    return ", ".join(f"{name} {say_middle(amount)}" for name, amount in by_amount)


def limits(drawing: RangeDrawing, wide_px: float) -> tuple[float, float]:
    """The ends of the tape: all boards with room beside them, and other marks where the boards keep room."""
    low, high = min(drawing.places[0], drawing.low), max(drawing.places[-1], drawing.high)
    least = max(1.0 if drawing.unit == "h" else 0.0, abs(high) * 1e-3, 1e-6)
    if high - low < least:
        middle = (low + high) / 2
        low, high = middle - least / 2, middle + least / 2
    widest = (high - low) / FILL
    pad = 0.12 + 16 / wide_px
    left, right = low - (high - low) * pad, high + (high - low) * pad
    others = [drawing.guess, drawing.plumb[0] if drawing.plumb else None, *(at for _, at in drawing.alike)]
    for at in (at for at in others if at is not None):
        further_left, further_right = min(left, at - widest * 0.03), max(right, at + widest * 0.03)
        if further_right - further_left <= widest:
            left, right = further_left, further_right
    return left, right


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
