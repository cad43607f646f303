"""What ten boards on a tape of pay an hour show: where each stands, what is counted, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

from estimator.decide.weigh.terms import CEILING, FIXED
from estimator.decide.weigh.weighing import Weighing
from estimator.forecast.ranges import INK_FROM
from estimator.sheets.layouts.letters import width_px, wrapped
from estimator.sheets.layouts.ranges import RangeDrawing
from estimator.sheets.layouts.tape import CLEAR, RAIL, TAPE, FigureLayout
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_odds
from estimator.words.phrases import capital
from estimator.words.settings.schema import Settings

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


NARROWEST = 80.0  # pixels of a line of words


class PayLayout(FigureLayout):
    """Where everything goes: bands of pixels above and below the tape's upper edge.

    The words of each plumb line have a band of their own, the rightmost line's on top, so that no line runs through
    the words of another: lower words keep to the left of the lines that hang from above them.
    """

    def __init__(self, drawing: PayDrawing, wide_px: float) -> None:
        super().__init__(*ends_of(drawing, wide_px), wide_px)
        self.hung = [self._hung(drawing, i) for i in range(len(drawing.plumbs))]
        self.said = sum(len(lines) for lines, _ in self.hung)
        self.rail, self.rail_at = self._on_rail(drawing)
        on_rail = 0 if self.rail_at is None else len(self.rail)
        self.above = (self.said + on_rail) * self.line + RAIL + 2 * CLEAR
        self.below = TAPE + 2 * CLEAR + self.letters + (self.line if self.rail_at is None else 0.0)

    def _on_rail(self, drawing: PayDrawing) -> tuple[tuple[str, ...], float | None]:
        """The words on the rail and their middle, clear of every plumb line; None: no room there, so below the tape."""
        boards = drawing.boards
        count = f"{boards.inside} of these {len(boards.places)}"
        guessed = f"guessed: {count}"
        ways = ((guessed,), ("guessed:", count)) if boards.pencil else ((count,),)
        lines = sorted(self.px(one.at) for one in drawing.plumbs if self.seen(one.at))
        wanted = self.px((boards.low + boards.high) / 2)
        for words in ways:
            half = max(width_px(one, self.letters, slanted=boards.pencil) for one in words) / 2 + CLEAR
            rooms = [(a + half, b - half) for a, b in pairwise([0.0, *lines, self.wide]) if b - a >= 2 * half]
            middles = [min(max(wanted, a), b) for a, b in rooms]
            if middles:
                return words, self.amount(min(middles, key=lambda at: abs(at - wanted)))
        return ways[0], None

    def _hung(self, drawing: PayDrawing, i: int) -> tuple[tuple[str, ...], float]:
        """The lines of words of a plumb line, and their middle; an empty one for an arrowhead where it lies beyond."""
        one = drawing.plumbs[i]
        higher = drawing.plumbs[i + 1].at if i + 1 < len(drawing.plumbs) else None
        whole = f"{one.says}: {one.counted}"
        left = self.wide if higher is None or not self.seen(higher) else self.px(higher)
        narrow = max(min(left - 3 * CLEAR, self.wide / 3), NARROWEST)
        ways = [
            wrapped(whole, self.wide - 2 * CLEAR, self.letters),
            (f"{one.says}:", one.counted),
            wrapped(whole, narrow, self.letters),
        ]
        at = min(max(one.at, self.left), self.right)
        placed = [way for lines in ways if (way := self._clear(higher, at, lines))]
        lines, middle = next((way for way in placed if self._over(*way, at)), placed[-1])
        return lines if self.seen(one.at) else (*lines, ""), middle

    def _clear(
        self, line: float | None, at: float, lines: Sequence[str]
    ) -> tuple[tuple[str, ...], float] | None:
        """Words clear of a line, and their middle; None where they have no room."""
        try:
            return self.beside(line, at, [lines], slanted=False)
        except ValueError:
            return None

    def _over(self, lines: tuple[str, ...], middle: float, at: float) -> bool:
        """Whether words with that middle stand over their own line."""
        half = max(width_px(words, self.letters) for words in lines) / 2
        return abs(self.px(middle) - self.px(at)) <= half + CLEAR
