"""Where the boards of a quarter stand, leaning as their hours landed, how a plumb line hangs, and the same in words."""

from __future__ import annotations

from estimator.decide.quarter.control_chart import Chart, Landed
from estimator.decide.quarter.review import Review
from estimator.sheets.layouts.letters import in_parts, letters_px, wrapped
from estimator.words.dates import say_quarter
from estimator.words.phrases import say_count

MOST = 30  # boards that are drawn
TALL, SMALL = 34.0, 26.0  # pixels of a board's length: wide figures, and narrow ones
HIGHEST = 3.0  # score from which on a board lies flat
ROOM = 6.0  # pixels between boards side by side that lie flat, at least
CLEAR = 6.0
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


def chart_px(review: Review, wide_px: float, *, with_words: bool = True) -> float:
    """How high the drawing is, in pixels."""
    size = letters_px(wide_px)
    words = 1.4 * size * len(legend_lines(review, wide_px)) if with_words else 0.0
    chart = review.chart
    if chart is None or not chart.boards:
        return words + CLEAR
    rows = -(-len(drawn_boards(chart)) // in_a_row(wide_px))
    plumb = HANGS + PEG + 3 * CLEAR if chart.enough else 0.0
    return rows * (tall_px(wide_px) + 2 * CLEAR) + plumb + words + CLEAR


def turn_of(score: float) -> float:
    """How far a board of a score leans, in degrees: upright at nought, flat from the highest on."""
    return 90.0 * max(-1.0, min(score / HIGHEST, 1.0))


def tall_px(wide_px: float) -> float:
    """How long a board is drawn, in pixels."""
    return TALL if wide_px > 500 else SMALL


def in_a_row(wide_px: float) -> int:
    """How many boards stand side by side, with room for each to lie flat to either side of its foot."""
    return max(int(wide_px // (tall_px(wide_px) + ROOM)), 1)


def legend_lines(review: Review, wide_px: float) -> tuple[str, ...]:
    """The sentences in lines that fit."""
    size = letters_px(wide_px)
    return tuple(
        line
        for words in legend(review)
        for part in in_parts(words, wide_px - 2, size)
        for line in wrapped(part, wide_px - 2, size)
    )


def hangs_at(line: float, limit: float) -> float:
    """How far to the side the plumb line's tip is, in pixels: each peg stands where luck ends."""
    return max(min(line / limit * SWING, 2 * SWING), -2 * SWING)
