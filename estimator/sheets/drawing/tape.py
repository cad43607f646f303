"""The tape measure that figures stand on, and what is marked along it: boards, brackets, plumb lines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.sheets.drawing.outlines import Standing, draw_board, stand
from estimator.sheets.drawing.style import (
    BROKEN,
    FIRM,
    NARROW,
    THIN,
    Palette,
    lettering,
    letters_px,
    points,
    size_px,
    width_px,
    write,
)

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


ZONE, LEAST_ZONE = 108.0, 30.0  # pixels of height for the boards: usual, least
END = 5.0  # pixels: half the height of a bracket's ends
RAIL = 10.0  # pixels from the boards' zone up to the rack's rail
CLEAR = 8.0  # pixels between words and what is not theirs
BOB = 4.0  # pixels: half the width of a plumb line's bob
BOB_TOP = 12.5  # pixels from its tip to its shoulders


class Scale:
    """Where amounts stand along a tape: `left` and `right` end in the tape's unit, `wide` in pixels."""

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


def zone_for(scale: Scale, places: Sequence[float], wide_px: float, zone_px: float | None) -> float:
    """Pixels of height that boards take; zone_px: what there is for them, None: by the width of the figure."""
    room = zone_px or (ZONE if wide_px < NARROW else 1.25 * ZONE)
    return max(stand([scale.px(at) for at in places], room).top, LEAST_ZONE)


def make_room(axes: Axes, scale: Scale, above: float, below: float) -> float:
    """Sets the axes' limits, upwards in pixels from the tape's upper edge; the pixels of height left for boards.

    above, below: pixels for what is not boards, over them and under the tape's upper edge

    Raises ValueError where the axes are too low.
    """
    _, high = size_px(axes)
    zone = high - above - below
    if zone < LEAST_ZONE - 1e-6:
        raise ValueError(f"The figure is too low by {LEAST_ZONE - zone:.0f} pixels: make it higher.")
    axes.set_xlim(scale.left, scale.right)
    axes.set_ylim(-below, high - below)
    return zone


def draw_boards(
    axes: Axes,
    scale: Scale,
    places: Sequence[float],
    standing: Standing,
    outside: float,
    *,
    pencil: bool,
    palette: Palette,
) -> None:
    """Equally likely boards, each at its place, rising; outside: the chance at each end that is hatched, by halves."""
    size = (standing.wide / scale.wide * (scale.right - scale.left), standing.high)
    for i, at in enumerate(places):
        middles = {
            -1: (i + 0.25) / len(places),
            1: (i + 0.75) / len(places),
        }  # of each half's share of the chance
        hatched = tuple(side for side, p in middles.items() if not outside < p < 1 - outside)
        draw_board(
            axes,
            at,
            standing.foot(i),
            size,
            pencil=pencil,
            palette=palette,
            hatched=hatched if outside > 0 else (),
        )


def draw_rack(
    axes: Axes, ends: tuple[float, float, float], rail: float, *, pencil: bool, palette: Palette
) -> None:
    """Two posts at the first and the last place, a rail on them, and a peg below it at the middle one."""
    low, likely, high = ends
    colour = palette.pencil if pencil else palette.ink
    (line,) = axes.plot(
        [low, low, high, high], [0.0, rail, rail, 0.0], color=colour, linewidth=points(THIN), zorder=2
    )
    axes.plot([likely] * 2, [rail, rail - RAIL + 2], color=colour, linewidth=points(THIN))
    if pencil:
        line.set_linestyle(BROKEN)


def say_on_rail(
    axes: Axes, scale: Scale, at: float, rail: float, lines: Sequence[str], *, pencil: bool, palette: Palette
) -> None:
    """Words that stand on the rail, the last line lowest."""
    for n, words in enumerate(reversed(lines)):
        place = (at, rail + 7 + n * scale.line)
        write(axes, place, words, scale.letters, colour=palette.ink, slanted=pencil)


def draw_bracket(
    axes: Axes, ends: tuple[float, float, float], level: float, *, pencil: bool, palette: Palette
) -> None:
    """A line from the first to the last place with its ends turned up, and a tick below it at the middle one."""
    low, likely, high = ends
    colour = palette.pencil if pencil else palette.ink
    width = points(THIN if pencil else FIRM)
    (line,) = axes.plot([low, high], [level, level], color=colour, linewidth=width)
    if pencil:
        line.set_linestyle(BROKEN)
    for at, way in ((low, END), (high, END), (likely, -END)):
        axes.plot([at, at], [level, level + way], color=colour, linewidth=width)


def hang_plumb(axes: Axes, scale: Scale, at: float, ends: tuple[float, float], colour: str) -> None:
    """A line with a bob at its foot; ends: heights where it hangs from and where the bob's tip is, in pixels."""
    top, tip = ends
    axes.plot([at, at], [top, tip + 9.5], color=colour, linewidth=points(1.2), zorder=4)
    half = scale.amount(BOB) - scale.left
    shoulder, neck = tip + 8.5, tip + BOB_TOP
    bob = [
        (at, tip),
        (at - half, shoulder),
        (at - half * 0.6, neck),
        (at + half * 0.6, neck),
        (at + half, shoulder),
    ]
    axes.add_patch(Polygon(bob, facecolor=colour, edgecolor="none", zorder=4))


def hang_words(
    axes: Axes, scale: Scale, at: float, lines: Sequence[str], top: float, *, palette: Palette
) -> None:
    """Words at the top and a plumb line from them down to the tape; an arrowhead where it lies beyond the end."""
    middle = scale.centred(at, lines)
    for n, words in enumerate(lines, start=1):
        write(axes, (middle, top - n * scale.line + 4), words, scale.letters, colour=palette.ink)
    foot = top - len(lines) * scale.line - 2
    if scale.seen(at):
        hang_plumb(axes, scale, at, (foot, 0.5), palette.ink)
    else:
        point_beyond(axes, scale, at, foot - CLEAR, palette.ink)


def point_beyond(axes: Axes, scale: Scale, at: float, height: float, colour: str) -> None:
    """An arrowhead at the end of the tape: what is named lies further that way."""
    end, way = (scale.wide - 1, -7.0) if at > scale.right else (1.0, 7.0)
    tip, back = scale.amount(end), scale.amount(end + way)
    head = [(tip, height), (back, height + 5), (back, height - 5)]
    axes.add_patch(Polygon(head, facecolor=colour, edgecolor="none"))
