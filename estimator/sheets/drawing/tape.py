"""The tape measure that figures stand on, of hours or of days, and what is marked along it: boards, brackets, plumb
lines, days away hatched out.
"""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.path import Path

from estimator.sheets.drawing.outlines import draw_board, hatch
from estimator.sheets.drawing.style import BROKEN, Palette, size_px, write
from estimator.sheets.layouts.calendar import (
    FINEST,
    CalendarTape,
)
from estimator.sheets.layouts.letters import lettering, points
from estimator.sheets.layouts.standing import HATCH, Standing
from estimator.sheets.layouts.tape import (
    BLANK,
    CLEAR,
    FIRM,
    LEAST_ZONE,
    LONG,
    RAIL,
    SHORT,
    TAPE,
    THIN,
    FigureLayout,
    in_quarters,
    ticks,
)


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


END = 5.0  # pixels: half the height of a bracket's ends
BOB = 4.0  # pixels: half the width of a plumb line's bob
BOB_TOP = 12.5  # pixels from its tip to its shoulders


def make_room(axes: Axes, layout: FigureLayout) -> float:
    """Sets the axes' limits, upwards in pixels from the tape's upper edge; the pixels of height left for boards.

    Raises ValueError where the axes are too low.
    """
    _, high = size_px(axes)
    zone = high - layout.above - layout.below
    if zone < LEAST_ZONE - 1e-6:
        raise ValueError(f"The figure is too low by {LEAST_ZONE - zone:.0f} pixels: make it higher.")
    axes.set_xlim(layout.left, layout.right)
    axes.set_ylim(-layout.below, high - layout.below)
    return zone


def draw_boards(
    axes: Axes,
    scale: FigureLayout,
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
    axes: Axes,
    scale: FigureLayout,
    at: float,
    rail: float,
    lines: Sequence[str],
    *,
    pencil: bool,
    palette: Palette,
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


def hang_plumb(axes: Axes, scale: FigureLayout, at: float, ends: tuple[float, float], colour: str) -> None:
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
    axes: Axes, scale: FigureLayout, at: float, lines: Sequence[str], top: float, *, palette: Palette
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


def point_beyond(axes: Axes, scale: FigureLayout, at: float, height: float, colour: str) -> None:
    """An arrowhead at the end of the tape: what is named lies further that way."""
    end, way = (scale.wide - 1, -7.0) if at > scale.right else (1.0, 7.0)
    tip, back = scale.amount(end), scale.amount(end + way)
    head = [(tip, height), (back, height + 5), (back, height - 5)]
    axes.add_patch(Polygon(head, facecolor=colour, edgecolor="none"))


def lay_calendar(axes: Axes, tape: CalendarTape, palette: Palette, *, top: float = 0.0) -> None:
    """Draws the tape with its upper edge at a height in pixels; the axes' limits are set already.

    Today has a firm tick, where it is on the tape.
    """
    foot = top - tape.deep
    named = (
        foot + 1.3 * tape.letters if tape.numbers else top
    )  # how high up the names have the tape for themselves

    def line(at: tuple[float, float], heights: tuple[float, float], wide: float, label: str) -> None:
        axes.plot(at, heights, color=palette.ink, linewidth=points(wide), label=f"_{label}")

    line((tape.left, tape.right), (top, top), FIRM, "edge")
    line((tape.left, tape.right), (foot, foot), 0.8, "edge")
    if tape.left < 0:
        line((tape.left, tape.left), (top, foot), FIRM, "end")
        line((0.0, 0.0), (top, top - LONG), FIRM, "today")
    places = tape.ticks()
    numbered = {at for at, _ in tape.numbers}
    for at in places:
        line((at, at), (top, top - (LONG if at in numbered else SHORT)), 1.0, "tick")
    if tape.each >= FINEST:
        for at in range(int(-(-tape.first // 1)), int(tape.right) + 1):
            if at not in places:
                line((at, at), (top, top - SHORT / 2), 0.8, "day")
    for at in tape.months:
        line((at, at), (named, foot), 0.8, "month")
    for at, words in tape.names:
        place = (at, foot + 0.45 * tape.letters)
        write(axes, place, words, tape.letters, colour=palette.ink, across="left")
    for at, words in tape.numbers:
        write(axes, (at, top - LONG - 2 - 0.8 * tape.letters), words, tape.letters, colour=palette.ink)
    bottom = named + 2 if tape.numbers else top - LONG
    for days in tape.hatched:
        hatch_days(axes, tape, days, (bottom, top), palette)


def hatch_days(
    axes: Axes, tape: CalendarTape, days: tuple[float, float], heights: tuple[float, float], palette: Palette
) -> None:
    """Hatches a span of days, from one height to another in pixels."""
    (begin, end), (bottom, top) = days, heights
    rise = (top - bottom) / tape.each  # days: hatch lines slope at 45 degrees
    count = int((end - begin + rise) * tape.each / HATCH) + 1
    feet = [begin - rise + n * HATCH / tape.each for n in range(count)]
    corners = [(begin, bottom), (end, bottom), (end, top), (begin, top), (begin, bottom)]
    hatch(axes, [((at, bottom), (at + rise, top)) for at in feet], Path(corners, closed=True), palette.ink)
