"""The money of a quarter as one batten, true to length: sawn into materials, rent, and what is left."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

from estimator.decide.quarter.review import QuarterMoney, Review
from estimator.said.quarter import money_sentence
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, Place, save_titled, size_px, write
from estimator.sheets.layouts.letters import letters_px, points
from estimator.sheets.layouts.tape import FIRM
from estimator.words.money import say_money

HIGH = 26.0  # pixels: how high the batten is
CLEAR = 6.0
SLANT = 4.0  # pixels by which a saw cut leans


def body_px(wide_px: float) -> float:
    """How high the drawing is, in pixels: the whole above the batten, numbers below, then a line for each piece."""
    return 1.4 * letters_px(wide_px) * 5 + HIGH + 4 * CLEAR


def draw_money(axes: Axes, money: QuarterMoney, currency: str, palette: Palette = ON_PAPER) -> None:
    """Draws the batten as long as what came in, or as what went out where that is more; the axes count in pixels."""
    wide, high = size_px(axes)
    axes.set_xlim(0, wide)
    axes.set_ylim(0, high)
    axes.set_axis_off()
    size = letters_px(wide)
    line, long = 1.4 * size, max(money.came_in, money.materials + money.rent, 1.0)
    each = (wide - 2) / long
    top = high - line - CLEAR
    foot = top - HIGH
    end = money.came_in * each
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
    pieces = [("materials", 0.0, money.materials), ("rent and power", money.materials, money.rent)]
    spent = money.materials + money.rent
    pieces.append(("left", spent, money.left) if money.left >= 0 else ("short", end / each, -money.left))
    for name, begin, amount in pieces:
        left, right = begin * each, (begin + amount) * each
        if name == "short":
            axes.plot(
                [left, right, right, left],
                [foot, foot, top, top],
                color=palette.ink,
                linewidth=points(FIRM),
                linestyle=(0, (4, 3)),
            )
        elif name != "left" and 0 < right <= wide:
            axes.plot(
                [right - SLANT, right + SLANT],
                [foot - CLEAR / 2, top + CLEAR / 2],
                color=palette.ink,
                linewidth=points(FIRM),
            )
    under = foot - CLEAR
    for n, at in enumerate(
        _apart([(begin + amount / 2) * each for _, begin, amount in pieces], wide, size), 1
    ):
        write(axes, (at, under - size), str(n), size, colour=palette.ink)
    for n, (name, _, amount) in enumerate(pieces, 1):
        under -= line
        words = f"{n} {name} {say_money(amount, currency)}"
        write(axes, (0.0, under - size), words, size, colour=palette.ink, across="left")


def _apart(middles: Sequence[float], wide: float, size: float) -> list[float]:
    """Places for the pieces' numbers, rising: each under the middle of its piece, or as near to it as there is room.

    >>> _apart([5.0, 6.0, 99.0], 100.0, 10.0)
    [5.0, 15.0, 95.0]
    """
    places: list[float] = []
    for at in middles:
        places.append(max(at, places[-1] + size if places else size / 2))
    most = wide - size / 2
    for n in reversed(range(len(places))):
        places[n] = min(places[n], most)
        most = places[n] - size
    return places


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
        body_px=body_px(inner),
        palette=palette,
    )
