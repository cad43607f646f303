"""Boards in the order in which they were ready, each as high as its hours landed, and the mean that runs along them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from matplotlib.axes import Axes

from estimator.decide.quarter.control_chart import Chart, Landed
from estimator.decide.quarter.review import Review
from estimator.said.quarter import money_sentence
from estimator.sheets.drawing.outlines import draw_board
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
from estimator.sheets.layouts.letters import in_parts, letters_px, points, width_px, wrapped
from estimator.sheets.layouts.standing import SLIM
from estimator.sheets.layouts.tape import FIRM, THIN
from estimator.words.dates import say_quarter
from estimator.words.phrases import say_count

MOST = 30  # boards that are drawn; those of the quarter are all drawn
TALL, SMALL = 34.0, 24.0  # pixels of a board's height: wide figures, and narrow ones
HALF = 110.0  # pixels from the middle to the highest score
HIGHEST = 3.0  # score that is drawn at the top, higher ones with it
ROOM = 4.0  # pixels between boards side by side, at least
CLEAR = 6.0
APART = 24.0  # pixels between the money and the boards


def drawn_boards(chart: Chart, wide_px: float) -> tuple[Landed, ...]:
    """The newest boards that find room, the quarter's among them as far as they do, in order."""
    room = int((wide_px - _left_px(wide_px)) // (_tall(wide_px) / SLIM + ROOM))
    last = max(min(MOST, room), min(len(chart.looked_at), room))
    return chart.boards[-last:]


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


def legend(review: Review, wide_px: float) -> tuple[str, ...]:
    """What the drawing shows, in sentences."""
    chart = review.chart
    if chart is None or not chart.boards:
        return ()
    boards = drawn_boards(chart, wide_px)
    of = sum(one in chart.looked_at for one in boards)
    quarter = say_quarter(review.quarter.first)
    count = f"{say_count(len(boards), 'board')}, in the order in which they were ready"
    return (
        f"{count}; {of} of them from {quarter}{', so far' if review.quarter.running else ''}.",
        "Above the middle line boards took longer than the middle of their ranges, below it less.",
        "The line is their running average: the newest board counts a fifth of it.",
        "Luck alone keeps it between the broken lines.",
    )


def quarter_caption(review: Review, wide_px: float = 640) -> str:
    """The whole picture in words, for those who read it and for those who hear it read."""
    return " ".join((f"{quarter_title(review)}.", *legend(review, wide_px)))


def draw_chart(axes: Axes, review: Review, palette: Palette = ON_PAPER, *, with_words: bool = True) -> None:
    """Draws the boards and their running mean; both ways the axes count in pixels.

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
        middle = high - _tall(wide) / 2 - HALF
        _frame(axes, chart, (wide, middle), palette)
        _boards(axes, review, chart, (wide, middle), palette)
        top = middle - HALF - _tall(wide) / 2 - 1.4 * size - 2 * CLEAR
    for words in lines:
        write(axes, (0.0, top - size), words, size, colour=palette.ink, across="left")
        top -= 1.4 * size


def body_px(review: Review, wide_px: float, *, with_words: bool = True) -> float:
    """How high the drawing is, in pixels."""
    size = letters_px(wide_px)
    words = 1.4 * size * len(_lines(review, wide_px)) if with_words else 0.0
    if review.chart is None or not review.chart.boards:
        return words + CLEAR
    return 2 * HALF + _tall(wide_px) + 1.4 * size + 2 * CLEAR + words + CLEAR


def height_of(score: float) -> float:
    """How far above the middle a score stands, in pixels."""
    return max(-HIGHEST, min(score, HIGHEST)) / HIGHEST * HALF


def _tall(wide_px: float) -> float:
    """How high a board is drawn, in pixels."""
    return TALL if wide_px > 500 else SMALL


SIDES = ("longer", "as said", "quicker")


def _left_px(wide_px: float) -> float:
    """Room for the words at the left."""
    return max(width_px(words, letters_px(wide_px)) for words in SIDES) + 2 * CLEAR


def _lines(review: Review, wide_px: float) -> tuple[str, ...]:
    """The sentences in lines that fit."""
    size = letters_px(wide_px)
    return tuple(
        line
        for words in legend(review, wide_px)
        for part in in_parts(words, wide_px - 2, size)
        for line in wrapped(part, wide_px - 2, size)
    )


def _frame(axes: Axes, chart: Chart, place: tuple[float, float], palette: Palette) -> None:
    """The middle, the two ends of luck, and which way is which."""
    wide, middle = place
    left, size = _left_px(wide), letters_px(wide)
    axes.plot([left, wide], [middle, middle], color=palette.ink, linewidth=points(THIN))
    for side in (1, -1):
        at = middle + height_of(side * chart.limit)
        axes.plot([left, wide], [at, at], color=palette.ink, linewidth=points(THIN), linestyle=BROKEN)
    for words, score in zip(SIDES, (HIGHEST, 0.0, -HIGHEST), strict=True):
        at = middle + height_of(score)
        write(axes, (0.0, at), words, size, colour=palette.ink, across="left", down="center")


def _boards(axes: Axes, review: Review, chart: Chart, place: tuple[float, float], palette: Palette) -> None:
    """The boards, the line along them, and a bracket under those of the quarter."""
    wide, middle = place
    boards, tall = drawn_boards(chart, wide), _tall(wide)
    left = _left_px(wide)
    step = (wide - left) / len(boards)
    step = min(step, 3 * (tall / SLIM + ROOM))
    across = [left + (n + 0.5) * step for n in range(len(boards))]
    its = [at for at, one in zip(across, boards, strict=True) if one in chart.looked_at]
    for at, one in zip(across, boards, strict=True):
        foot = middle + height_of(one.score) - tall / 2
        draw_board(axes, at, foot, (tall / SLIM, tall), pencil=False, palette=palette)
    line = [middle + height_of(one.line) for one in boards]
    axes.plot(across, line, color=palette.ink, linewidth=points(2 * FIRM), zorder=4, solid_capstyle="round")
    if its:
        _bracket(axes, its, (step, middle - HALF - tall / 2 - CLEAR), review.quarter.first, palette, wide)


def _bracket(
    axes: Axes,
    its: Sequence[float],
    place: tuple[float, float],
    first: dt.date,
    palette: Palette,
    wide: float,
) -> None:
    """A bracket under the boards of the quarter, with its months."""
    step, at = place
    left, right = its[0] - step / 2 + 1, its[-1] + step / 2 - 1
    size = letters_px(wide)
    axes.plot(
        [left, left, right, right],
        [at + CLEAR, at, at, at + CLEAR],
        color=palette.ink,
        linewidth=points(FIRM),
    )
    words = say_quarter(first)
    half = width_px(words, size) / 2
    middle = min(max((left + right) / 2, half), wide - half)
    write(axes, (middle, at - CLEAR / 2 - size), words, size, colour=palette.ink)


def save_quarter(path: Place, review: Review, *, wide_px: float = 640, palette: Palette = ON_PAPER) -> None:
    """Writes the money, the boards and their running mean as .png or .svg, by the path's ending.

    wide_px: 320 to 1200. The whole picture in words is `money_sentence(review)` and `quarter_caption(review)`, and an
    .svg carries it.
    """
    inner = wide_px - 2 * MARGIN
    heights, says = [body_px(review, inner)], quarter_caption(review, inner)
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
