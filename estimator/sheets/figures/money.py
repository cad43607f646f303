"""The money of a quarter as one batten, true to length: sawn into materials, rent, and what is left."""

from __future__ import annotations

from matplotlib.axes import Axes

from estimator.decide.quarter.review import QuarterMoney, Review
from estimator.said.quarter import money_sentence
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, Place, save_titled, size_px, write
from estimator.sheets.layouts.letters import letters_px, points
from estimator.sheets.layouts.money import CLEAR, HIGH, SLANT, money_pieces, money_px
from estimator.sheets.layouts.tape import FIRM
from estimator.words.money import say_money


def draw_money(axes: Axes, money: QuarterMoney, currency: str, palette: Palette = ON_PAPER) -> None:
    """Draws the batten as long as what came in, or as what went out where that is more; the axes count in pixels."""
    wide, high = size_px(axes)
    axes.set_xlim(0, wide)
    axes.set_ylim(0, high)
    axes.set_axis_off()
    size = letters_px(wide)
    line = 1.4 * size
    end, pieces = money_pieces(money, currency, wide)
    top = high - line - CLEAR
    foot = top - HIGH
    write(
        axes,
        (0.0, high - size),
        f"in {say_money(money.came_in, currency)}",
        size,
        colour=palette.ink,
        across="left",
    )
    axes.plot(
        [0, end, end, 0, 0], [foot, foot, top, top, foot], color=palette.ink, linewidth=points(2 * FIRM)
    )
    for one in pieces:
        if one.short:
            axes.plot(
                [one.left, one.right, one.right, one.left],
                [foot, foot, top, top],
                color=palette.ink,
                linewidth=points(FIRM),
                linestyle=(0, (4, 3)),
            )
        elif one is not pieces[-1] and 0 < one.right <= wide:
            axes.plot(
                [one.right - SLANT, one.right + SLANT],
                [foot - CLEAR / 2, top + CLEAR / 2],
                color=palette.ink,
                linewidth=points(FIRM),
            )
    under = foot - CLEAR
    for n, one in enumerate(pieces, 1):
        write(axes, (one.number_at, under - size), str(n), size, colour=palette.ink)
    for n, one in enumerate(pieces, 1):
        under -= line
        write(axes, (0.0, under - size), f"{n} {one.words}", size, colour=palette.ink, across="left")


def save_money(
    path: Place, review: Review, *, titled: bool = True, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the money of a quarter as .png or .svg, by the path's ending; the words are `money_sentence(review)`.

    Raises ValueError where no board of the quarter has price, materials and hours.
    """
    money = review.money
    if money is None:
        raise ValueError("No board of the quarter tells what it brought.")
    inner = wide_px - 2 * MARGIN
    save_titled(
        path,
        lambda axes: draw_money(axes, money, review.currency, palette),
        title="What came in, and what is left" if titled else "",
        says=money_sentence(review),
        wide_px=wide_px,
        body_px=money_px(inner),
        palette=palette,
    )
