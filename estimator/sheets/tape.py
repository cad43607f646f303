"""The tape measure that figures stand on: its ticks, its numbers, and what is said below it."""

from __future__ import annotations

import math
from itertools import pairwise

from matplotlib.axes import Axes

from estimator.sheets.style import FIRM, Palette, lettering, points, size_px, width_px

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


def lay_tape(axes: Axes, unit: str, letters_px: float, palette: Palette, *, whole: bool) -> None:
    """Draws the tape with its upper edge at 0, over the axes' whole width; the axes' limits are set already.

    unit: what the numbers count; it is the label of the axis, whose place the caller chooses
    whole: the tape has no numbers below 0 and ends there
    """
    left, right = axes.get_xlim()
    wide, _ = size_px(axes)
    start = max(left, -BLANK * (right - left) / wide) if whole else left
    numbered, finer = ticks(left, right, wide, letters_px, 0.0 if whole else left)
    axes.set_facecolor("none")
    for edge in ("left", "right", "top"):
        axes.spines[edge].set_visible(False)
    axes.set_yticks([])
    upper = axes.spines["bottom"]
    upper.set_position(("data", 0.0))
    upper.set_bounds(start, right)
    upper.set_linewidth(points(FIRM))
    upper.set_color(palette.ink)
    axes.plot([start, right], [-TAPE, -TAPE], color=palette.ink, linewidth=points(0.8))
    if start > left:
        axes.plot([start, start], [0.0, -TAPE], color=palette.ink, linewidth=points(FIRM))
    axes.set_xticks(numbered, [in_quarters(at) for at in numbered], parse_math=False)
    axes.set_xticks(finer, minor=True)
    axes.tick_params(
        "x", which="major", direction="out", length=points(LONG), width=points(1.2), color=palette.ink,
        labelcolor=palette.ink, pad=points(2),
    )  # fmt: skip
    axes.tick_params("x", which="minor", direction="out", length=points(SHORT), width=points(0.8))
    for label in axes.get_xticklabels():
        label.set_fontproperties(lettering(letters_px))
    axes.set_xlabel(unit, fontproperties=lettering(letters_px), color=palette.ink, parse_math=False)
