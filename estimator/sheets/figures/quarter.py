"""Boards in the order in which they were ready, each leaning as its hours landed, and a plumb line beside two pegs."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from estimator.decide.quarter.control_chart import Chart
from estimator.decide.quarter.review import Review
from estimator.said.quarter import money_sentence
from estimator.sheets.drawing.outlines import draw_leaning
from estimator.sheets.drawing.style import (
    BROKEN,
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    stacked,
    stringer,
    write,
)
from estimator.sheets.figures.money import draw_money
from estimator.sheets.layouts.letters import letters_px, points
from estimator.sheets.layouts.money import money_px
from estimator.sheets.layouts.quarter import (
    CLEAR,
    HANGS,
    PEG,
    ROOM,
    SIDES,
    SWING,
    chart_px,
    drawn_boards,
    hangs_at,
    in_a_row,
    legend_lines,
    quarter_caption,
    quarter_title,
    tall_px,
    turn_of,
)
from estimator.sheets.layouts.tape import FIRM, THIN

APART = 24.0  # pixels between the money and the boards


def draw_chart(axes: Axes, review: Review, palette: Palette = ON_PAPER, *, with_words: bool = True) -> None:
    """Draws the boards and the plumb line; both ways the axes count in pixels.

    with_words: False leaves out the sentences below

    Raises ValueError where the axes are too low.
    """
    wide, high = size_px(axes)
    lines = legend_lines(review, wide) if with_words else ()
    if high < chart_px(review, wide, with_words=with_words) - 1e-6:
        raise ValueError("The figure is too low for its boards: make it higher.")
    axes.set_xlim(0, wide)
    axes.set_ylim(0, high)
    axes.set_axis_off()
    size = letters_px(wide)
    chart = review.chart
    top = high
    if chart is not None and chart.boards:
        top = _boards(axes, chart, (wide, high), palette)
        if chart.enough:
            top = _plumb(axes, chart, (wide, top), palette)
    for words in lines:
        write(axes, (0.0, top - size), words, size, colour=palette.ink, across="left")
        top -= 1.4 * size


def _boards(axes: Axes, chart: Chart, place: tuple[float, float], palette: Palette) -> float:
    """The boards in rows from the top down, each leaning as its hours landed, on a line; returns where they end."""
    wide, top = place
    tall, step = tall_px(wide), tall_px(wide) + ROOM
    boards = drawn_boards(chart)
    for first in range(0, len(boards), in_a_row(wide)):
        row = boards[first : first + in_a_row(wide)]
        floor = top - tall - CLEAR
        across = [(n + 0.5) * step for n in range(len(row))]
        for at, one in zip(across, row, strict=True):
            turn = turn_of(one.score)
            foot = at - np.sin(np.radians(turn)) * tall / 2  # so that what leans keeps to its own place
            draw_leaning(
                axes, foot, floor + FIRM, tall, turn, hatched=turn > 0, pencil=False, palette=palette
            )
            heavy = 3.0 if one in chart.looked_at else 1.0
            ends = (at - step / 2, at + step / 2)
            axes.plot(
                ends,
                (floor, floor),
                color=palette.ink,
                linewidth=points(heavy * THIN),
                solid_capstyle="butt",
                label="_its floor" if heavy > 1 else "_floor",
            )
        top = floor - CLEAR
    return top


def _plumb(axes: Axes, chart: Chart, place: tuple[float, float], palette: Palette) -> float:
    """A plumb line that hangs as the boards lean, all told, between two pegs; returns where it ends."""
    wide, top = place
    size, middle, nail = letters_px(wide), wide / 2, top - CLEAR
    floor = nail - HANGS - CLEAR
    newest = chart.boards[-1].line
    worst = max((one.line for one in chart.looked_at), key=abs, default=newest)
    for line, pencil in ((worst, True), (newest, False)):
        if pencil and not chart.back:
            continue
        across = hangs_at(line, chart.limit)
        tip = (middle + across, nail - np.sqrt(max(HANGS**2 - across**2, 0.0)))
        axes.plot(
            (middle, tip[0]),
            (nail, tip[1]),
            color=palette.pencil if pencil else palette.ink,
            linewidth=points(FIRM),
            linestyle=BROKEN if pencil else "solid",
            label="_then" if pencil else "_plumb",
        )
        if not pencil:
            axes.plot(*tip, marker="o", markersize=points(9.0), color=palette.ink, label="_bob")
    axes.plot(middle, nail, marker="o", markersize=points(4.0), color=palette.ink, label="_nail")
    axes.plot(
        (middle - 2 * SWING, middle + 2 * SWING), (floor, floor), color=palette.ink, linewidth=points(THIN)
    )
    for way, words in zip((-1, 1), SIDES, strict=True):
        at = middle + way * SWING
        axes.plot((at, at), (floor, floor + PEG), color=palette.ink, linewidth=points(3 * THIN), label="_peg")
        place_of = (middle + way * (2 * SWING + CLEAR), floor)
        write(
            axes,
            place_of,
            words,
            size,
            colour=palette.ink,
            across="right" if way < 0 else "left",
            down="bottom",
        )
    return floor - 2 * CLEAR


def save_quarter(path: Place, review: Review, *, wide_px: float = 640, palette: Palette = ON_PAPER) -> None:
    """Writes the money, the boards and the plumb line as .png or .svg, by the path's ending.

    wide_px: 320 to 1200. The whole picture in words is `money_sentence(review)` and `quarter_caption(review)`, and an
    .svg carries it.
    """
    inner = wide_px - 2 * MARGIN
    heights, says = [chart_px(review, inner)], quarter_caption(review)
    if review.money is not None:
        heights.insert(0, money_px(inner))
        says = f"{says} {money_sentence(review)}"

    def draw(whole: Axes) -> None:
        stringer(whole, palette)
        parts = list(stacked(whole, heights, APART))
        if review.money is not None:
            draw_money(parts[0], review.money, review.currency, palette)
        draw_chart(parts[-1], review, palette)

    save_titled(
        path,
        draw,
        title=quarter_title(review),
        says=says,
        wide_px=wide_px,
        body_px=sum(heights) + APART * (len(heights) - 1),
        palette=palette,
    )
