"""Where amounts stand along a tape measure, which of them have ticks, and how high a figure is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from estimator.sheets.layouts.letters import NARROW, letters_px, width_px
from estimator.sheets.layouts.standing import (
    stand,
)

THIN, FIRM = 1.0, 1.6  # pixels: lines
TAPE = 36.0  # pixels from its upper edge to its lower
LONG, SHORT = 10.0, 6.0  # pixels: ticks with a number, ticks without
BETWEEN = 14.0  # pixels at least between two numbers
BLANK = 10.0  # pixels of tape before its nought
CLOSEST = 5.0  # pixels at least between two ticks
STEPS = (0.25, 0.5, *(lead * 10.0**power for power in range(6) for lead in (1, 2, 5)))
QUARTERS = ("", "¼", "½", "¾")


def in_quarters(amount: float) -> str:
    """An amount to the nearest quarter, as it stands on a tape.

    >>> in_quarters(4.5), in_quarters(0.25), in_quarters(1066.04), in_quarters(0)
    ('4½', '¼', '1,066', '0')
    """
    quarters = round(abs(amount) * 4)
    whole, part = divmod(quarters, 4)
    sign = "−" if amount < 0 and quarters else ""
    return sign + (f"{whole:,}" if whole or not part else "") + QUARTERS[part]


def ticks(
    left: float, right: float, room_px: float, letters_px: float, start: float = -math.inf
) -> tuple[list[float], list[float]]:
    """Places of the ticks with numbers, and of those without, as close as can be read.

    left, right: the ends of the figure, in the tape's unit; room_px: from one to the other
    letters_px: the size of the numbers; start: where the tape begins, if that can be seen

    >>> ticks(40, 100, 300, 14)[0]
    [50.0, 60.0, 70.0, 80.0, 90.0]
    """
    each = room_px / (right - left)
    numbered: list[float] = []
    step = STEPS[-1]
    for step in (s for s in STEPS if s * each >= BETWEEN):
        numbered = _multiples(step, max(left, start), right)
        wide = [width_px(in_quarters(at), letters_px) for at in numbered]
        if all((a + b) / 2 + BETWEEN <= step * each for a, b in pairwise(wide)):
            inside = [
                min(at - left, right - at) * each >= half / 2 + 1
                for at, half in zip(numbered, wide, strict=True)
            ]
            numbered = [at for at, fits in zip(numbered, inside, strict=True) if fits]
            break
    parts = next((n for n in (5, 4, 2) if _divides(step, n) and step / n * each >= CLOSEST), 1)
    finer = _multiples(step / parts, max(left, start), right)
    return numbered, [at for at in finer if not any(math.isclose(at, n, abs_tol=1e-9) for n in numbered)]


def _divides(step: float, parts: int) -> bool:
    """Whether a step cut in so many parts gives steps that a tape has."""
    return any(math.isclose(step / parts, known) for known in STEPS)


def _multiples(step: float, left: float, right: float) -> list[float]:
    """All multiples of the step on the tape."""
    return [step * n for n in range(math.ceil(left / step - 1e-9), math.floor(right / step + 1e-9) + 1)]


ZONE, LEAST_ZONE = 108.0, 30.0  # pixels of height for the boards: usual, least
RAIL = 10.0  # pixels from the boards' zone up to the rack's rail
CLEAR = 8.0  # pixels between words and what is not theirs


class FigureLayout:
    """Where everything of a figure goes, as plain numbers, for whoever draws it.

    left, right: ends of its tape, in the tape's unit; wide: from one to the other, in pixels
    letters, line: the size of its words, and how high a line of them is, in pixels
    above, below: what lies above the tape's upper edge (but for boards, which are as large as there is room), and below
    """

    above = below = 0.0

    def __init__(self, left: float, right: float, wide_px: float) -> None:
        self.left, self.right, self.wide = left, right, wide_px
        self.letters = letters_px(wide_px)
        self.line = 1.4 * self.letters

    def px(self, at: float) -> float:
        """Pixels from the left end to an amount."""
        return (at - self.left) / (self.right - self.left) * self.wide

    def amount(self, px: float) -> float:
        """The amount at so many pixels from the left end."""
        return self.left + px / self.wide * (self.right - self.left)

    def seen(self, at: float) -> bool:
        """Whether an amount lies on the tape."""
        return self.left <= at <= self.right

    def centred(self, at: float, words: Sequence[str]) -> float:
        """The amount nearest to `at` where words centred on it stay on the figure."""
        half = max(width_px(line, self.letters) for line in words) / 2 + 1
        return self.amount(min(max(self.px(at), half), max(self.wide - half, self.wide / 2)))

    def beside(
        self, plumb: float | None, at: float, ways: Sequence[Sequence[str]], *, slanted: bool
    ) -> tuple[tuple[str, ...], float]:
        """The first way of breaking words into lines that keeps clear of a plumb line, and the middle nearest to `at`.

        Raises ValueError where none has room.
        """
        line = -self.wide if plumb is None or not self.seen(plumb) else self.px(plumb)
        for lines in ways:
            half = max(width_px(words, self.letters, slanted=slanted) for words in lines) / 2 + CLEAR
            middle = min(max(self.px(at), half), self.wide - half)
            aside = [line - half, line + half]
            clear = [px for px in aside if half - CLEAR <= px <= self.wide - half + CLEAR]
            if abs(middle - line) >= half:
                return tuple(lines), self.amount(middle)
            if clear:
                return tuple(lines), self.amount(min(clear, key=lambda px: abs(px - middle)))
        raise ValueError("The figure is too narrow for its words: give it at least 320 pixels.")


def zone_for(scale: FigureLayout, places: Sequence[float], wide_px: float, zone_px: float | None) -> float:
    """Pixels of height that boards take; zone_px: what there is for them, None: by the width of the figure."""
    room = zone_px or (ZONE if wide_px < NARROW else 1.25 * ZONE)
    return max(stand([scale.px(at) for at in places], room).top, LEAST_ZONE)
