"""Promises, one tape after another: ten boards stand where one may be ready, and a plumb line hangs at the day told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from matplotlib.axes import Axes

from estimator.bench.promises import BenchDay, Promise
from estimator.sheets.drawing.outlines import draw_board
from estimator.sheets.drawing.style import (
    MARGIN,
    ON_PAPER,
    Palette,
    save_titled,
    size_px,
    stringer,
    write_line,
)
from estimator.sheets.drawing.tape import hang_plumb, hatch_days, lay_calendar, point_beyond
from estimator.sheets.layouts.calendar import Away
from estimator.sheets.layouts.letters import Line, points
from estimator.sheets.layouts.promises import (
    AIR,
    BOARD,
    MARKS,
    SAMPLE,
    TOLD_HIGH,
    PromiseLayout,
    is_over,
    promises_caption,
    promises_title,
    to_ring,
)
from estimator.sheets.layouts.standing import SLIM, Standing
from estimator.sheets.layouts.tape import CLEAR, FIRM, LONG, THIN

MONTH = 4.0  # pixels: the ticks of months on a row's tape


def draw_promises(axes: Axes, day: BenchDay, palette: Palette = ON_PAPER, *, away: Away = ()) -> None:
    """Draws a row for each board in hand, in order of the day told, on one calendar tape that begins today.

    Along the tape the axes count in days from today, upwards in pixels from the tape's upper edge.
    away: days on which nobody works, as pairs of the first and the last; they are hatched

    Raises ValueError where the axes are too low or too narrow.
    """
    wide, high = size_px(axes)
    layout = PromiseLayout(day, wide, away)
    if high < layout.above + layout.below - 1e-6:
        raise ValueError(f"The figure is too low for {len(layout.rows)} boards: make it higher.")
    axes.set_xlim(layout.left, layout.right)
    axes.set_ylim(-layout.below, high - layout.below)
    axes.set_axis_off()
    top = high - layout.below
    if layout.head:
        lay_calendar(axes, layout, palette, top=top)
        top -= layout.head
    for promise, lines, standing in zip(layout.promises, layout.rows, layout.standing, strict=True):
        words_end = _words(axes, layout, lines, top, palette)
        _marks(axes, layout, promise, standing, words_end, palette)
        top -= layout.row_px(lines, standing)
    foot = 0.0
    if layout.rows:
        for at in layout.told:
            axes.plot([at, at], [0.0, TOLD_HIGH], color=palette.ink, linewidth=points(FIRM), label="_told")
        lay_calendar(axes, layout, palette)
        foot = -layout.deep - CLEAR / 2
    foot = _words(axes, layout, layout.days, foot, palette)
    foot = _words(axes, layout, layout.left_out, foot, palette) - CLEAR / 2
    for mark, lines in layout.key:
        _sample(axes, layout, mark, foot - layout.line, palette)
        foot = _words(axes, layout, lines, foot, palette, SAMPLE + CLEAR)


def _words(
    axes: Axes,
    layout: PromiseLayout,
    lines: Sequence[Line],
    top: float,
    palette: Palette,
    indent: float = 0.0,
) -> float:
    """Lines from the top down; returns where they end."""
    for line in lines:
        place = (layout.amount(indent), top - layout.letters)
        write_line(axes, place, line, layout.letters, layout.each, palette)
        top -= layout.line
    return top


def _marks(
    axes: Axes, layout: PromiseLayout, promise: Promise, standing: Standing, top: float, palette: Palette
) -> None:
    """A row's tape with ten boards, which are guessed, and its plumb line, which was said; red where one rings."""
    high = layout.marks_px(standing)
    foot = top - high
    line = (layout.first, layout.right)
    axes.plot(line, (foot, foot), color=palette.ink, linewidth=points(THIN), label="_row")
    for at in layout.months:
        axes.plot(
            (at, at), (foot, foot - MONTH), color=palette.ink, linewidth=points(THIN), label="_row month"
        )
    size = (standing.wide / layout.each, standing.high)
    for n, at in enumerate(layout.places(promise)):
        draw_board(axes, at, foot + standing.foot(n), size, pencil=True, palette=palette)
    if promise.told is None:
        return
    colour = palette.oxide if to_ring(promise) else palette.ink
    if is_over(promise, layout.today):
        point_beyond(axes, layout, -math.inf, foot + MARKS / 2, colour)
    else:
        hang_plumb(axes, layout, layout.at(promise.told.last), (top - AIR, foot), colour)


def _sample(axes: Axes, layout: PromiseLayout, mark: str, foot: float, palette: Palette) -> None:
    """One mark of the key, on a line whose foot is given."""
    half, end = map(layout.amount, (SAMPLE / 2, SAMPLE))
    if mark == "board":
        size = (BOARD / SLIM / layout.each, BOARD)
        draw_board(axes, half, foot + 2, size, pencil=True, palette=palette)
    elif mark == "plumb":
        hang_plumb(axes, layout, half, (foot + layout.line, foot + 2), palette.ink)
    elif mark == "beyond":
        point_beyond(axes, layout, -math.inf, foot + layout.line / 2, palette.ink)
    else:
        start = layout.amount(1.0)
        hatch_days(axes, layout, (start, end), (foot + 4, foot + 4 + LONG), palette)


def save_promises(
    path: Path, day: BenchDay, *, away: Away = (), wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes every board's promise as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    away: days on which nobody works, as pairs of the first and the last
    The whole picture in words is `promises_caption(day, away)`, and an .svg carries it.
    """
    layout = PromiseLayout(day, wide_px - 2 * MARGIN, away)

    def draw(axes: Axes) -> None:
        stringer(axes, palette)
        draw_promises(axes, day, palette, away=away)

    save_titled(
        path,
        draw,
        title=promises_title(day),
        says=promises_caption(day, away),
        wide_px=wide_px,
        body_px=layout.above + layout.below,
        palette=palette,
    )
