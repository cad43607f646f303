"""Boards in the order in which they were ready, each leaning as its hours landed, and a plumb line beside two pegs."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from estimator.decide.quarter.control_chart import Chart, Landed
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
from estimator.sheets.figures.money import body_px as money_px
from estimator.sheets.figures.money import draw_money
from estimator.sheets.layouts.letters import in_parts, letters_px, points, wrapped
from estimator.sheets.layouts.tape import FIRM, THIN
from estimator.words.dates import say_quarter
from estimator.words.phrases import say_count

MOST = 30  # boards that are drawn
TALL, SMALL = 34.0, 26.0  # pixels of a board's length: wide figures, and narrow ones
HIGHEST = 3.0  # score from which on a board lies flat
ROOM = 6.0  # pixels between boards side by side that lie flat, at least
CLEAR = 6.0
APART = 24.0  # pixels between the money and the boards
HANGS, SWING = 84.0, 40.0  # pixels: how long the plumb line is, and how far from its middle each peg stands
PEG = 12.0  # pixels: how high the pegs are
SIDES = ("quicker", "longer")


def drawn_boards(chart: Chart) -> tuple[Landed, ...]:
    """The newest boards, in order."""
    return chart.boards[-MOST:]


def quarter_title(review: Review) -> str:
    """What there is to see: whether hours have changed against what was said."""
    chart = review.chart
    if chart is None or not chart.boards:
        return "No finished board yet to hold a range against"
    if not chart.enough:
        return "Too few boards yet to tell whether hours have changed"
    if not chart.signal:
        return "Hours have stayed as near to what ranges said as luck lets them"
    way = "longer" if chart.signal > 0 else "less"
    when = "For a while boards took" if chart.back else "Lately boards have taken"
    return f"{when} {way} than ranges said, by more than luck"


def legend(review: Review) -> tuple[str, ...]:
    """What the drawing shows, in sentences."""
    chart = review.chart
    if chart is None or not chart.boards:
        return ()
    boards = drawn_boards(chart)
    of = sum(one in chart.looked_at for one in boards)
    quarter = f"{say_quarter(review.quarter.first)}{', so far' if review.quarter.running else ''}"
    its = f"those on the thick line are from {quarter}" if of else f"none of them from {quarter}"
    line = [
        "The plumb line hangs as all of them lean, and the newest count most.",
        "Luck alone keeps it between the pegs.",
    ]
    return (
        f"{say_count(len(boards), 'board')}, in the order in which they were ready; {its}.",
        "A board is upright where it took as long as half of such boards do.",
        "It leans right, hatched, where it took longer, and left where it was quicker.",
        *(line if chart.enough else ()),
    )


def quarter_caption(review: Review) -> str:
    """The whole picture in words, for those who read it and for those who hear it read."""
    return " ".join((f"{quarter_title(review)}.", *legend(review)))


def draw_chart(axes: Axes, review: Review, palette: Palette = ON_PAPER, *, with_words: bool = True) -> None:
    """Draws the boards and the plumb line; both ways the axes count in pixels.

    with_words: False leaves out the sentences below

    Raises ValueError where the axes are too low.
    """
    wide, high = size_px(axes)
    lines = _lines(review, wide) if with_words else ()
    if high < body_px(review, wide, with_words=with_words) - 1e-6:
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


def body_px(review: Review, wide_px: float, *, with_words: bool = True) -> float:
    """How high the drawing is, in pixels."""
    size = letters_px(wide_px)
    words = 1.4 * size * len(_lines(review, wide_px)) if with_words else 0.0
    chart = review.chart
    if chart is None or not chart.boards:
        return words + CLEAR
    rows = -(-len(drawn_boards(chart)) // _in_a_row(wide_px))
    plumb = HANGS + PEG + 3 * CLEAR if chart.enough else 0.0
    return rows * (_tall(wide_px) + 2 * CLEAR) + plumb + words + CLEAR


def turn_of(score: float) -> float:
    """How far a board of a score leans, in degrees: upright at nought, flat from the highest on."""
    return 90.0 * max(-1.0, min(score / HIGHEST, 1.0))


def _tall(wide_px: float) -> float:
    """How long a board is drawn, in pixels."""
    return TALL if wide_px > 500 else SMALL


def _in_a_row(wide_px: float) -> int:
    """How many boards stand side by side, with room for each to lie flat to either side of its foot."""
    return max(int(wide_px // (_tall(wide_px) + ROOM)), 1)


def _lines(review: Review, wide_px: float) -> tuple[str, ...]:
    """The sentences in lines that fit."""
    size = letters_px(wide_px)
    return tuple(
        line
        for words in legend(review)
        for part in in_parts(words, wide_px - 2, size)
        for line in wrapped(part, wide_px - 2, size)
    )


def _boards(axes: Axes, chart: Chart, place: tuple[float, float], palette: Palette) -> float:
    """The boards in rows from the top down, each leaning as its hours landed, on a line; returns where they end."""
    wide, top = place
    tall, step = _tall(wide), _tall(wide) + ROOM
    boards = drawn_boards(chart)
    for first in range(0, len(boards), _in_a_row(wide)):
        row = boards[first : first + _in_a_row(wide)]
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
        across = max(min(line / chart.limit * SWING, 2 * SWING), -2 * SWING)
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
    heights, says = [body_px(review, inner)], quarter_caption(review)
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
