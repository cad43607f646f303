"""What ten boards on a tape show: where each stands, what is counted, and the same in words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import NormalDist

import numpy as np

from estimator.forecast.ranges import INK_FROM, Range
from estimator.sheets.layouts.letters import wrapped
from estimator.sheets.layouts.tape import CLEAR, RAIL, TAPE, FigureLayout, in_quarters
from estimator.words.phrases import capital, say_middle, say_ten_boards

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


STROKE, STROKE_GAP = 9.0, 3.0  # pixels: a past board's mark below the tape


class RangeLayout(FigureLayout):
    """Where everything of one drawing goes: bands of pixels above and below the tape's upper edge."""

    def __init__(self, drawing: RangeDrawing, wide_px: float) -> None:
        super().__init__(*limits(drawing, wide_px), wide_px)
        self.plumb: tuple[str, ...] = ()  # lines of words
        if drawing.plumb:
            parts = (drawing.plumb[1], past_words(drawing))
            self.plumb = tuple(line for part in parts for line in wrapped(part, wide_px - 2, self.letters))
        self.bracket, self.bracket_at = self._on_bracket(drawing)
        past = sorted(at for _, at in drawing.alike)
        self.strokes = _levels([self.px(at) for at in past if self.seen(at)])  # (pixel, level)
        self.caption: tuple[str, ...] = ()
        if past:
            words = f"like it: {alike_words(drawing)}"
            self.caption = wrapped(words, wide_px - 2 * CLEAR, self.letters)
        self.above = (len(self.plumb) + len(self.bracket)) * self.line + RAIL + CLEAR
        levels = max((level for _, level in self.strokes), default=0) + 1
        self.marks_end = TAPE + levels * (STROKE + STROKE_GAP) + CLEAR
        self.below = self.marks_end + (1 + len(self.caption)) * self.line

    def _on_bracket(self, drawing: RangeDrawing) -> tuple[tuple[str, ...], float]:
        """The words on the bracket and their middle, on whichever side keeps clear of the plumb line."""
        count = f"{drawing.inside} of these {len(drawing.places)}"
        if drawing.done:
            count = f"all booked: {say_middle(drawing.likely)}"
        ways: tuple[tuple[str, ...], ...] = ((count,),)
        if drawing.pencil and not drawing.done:
            ways = ((f"guessed: {count}",), ("guessed:", count))
        plumb = drawing.plumb[0] if drawing.plumb else None
        return self.beside(plumb, (drawing.low + drawing.high) / 2, ways, slanted=drawing.pencil)


def _levels(at_px: Sequence[float]) -> list[tuple[float, int]]:
    """Strokes that would touch go one below the other."""
    placed: list[tuple[float, int]] = []
    for at in at_px:
        taken = {level for other, level in placed if abs(other - at) < STROKE_GAP + 2}
        placed.append((at, next(n for n in range(len(placed) + 1) if n not in taken)))
    return placed
