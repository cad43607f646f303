"""What the likely hours are made of: one upright batten, sawn into pieces with their lengths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from pathlib import Path

from matplotlib.axes import Axes

from estimator.forecast.ranges import Range
from estimator.model.saved_fit import UNPLANNED
from estimator.sheets.drawing.style import BROKEN, MARGIN, ON_PAPER, Palette, save_titled, size_px, write
from estimator.sheets.layouts.letters import lettering, letters_px, points, wrapped
from estimator.sheets.layouts.tape import FIRM, LONG, THIN, in_quarters, ticks
from estimator.words.phrases import inside, round_middle, say_middle, shown_to_add_up
from estimator.words.settings.schema import ONCE, Settings

BATTEN = (44.0, 78.0)  # pixels: left and right edge of the batten
GRAIN = (53.0, 64.0, 70.0)  # pixels: where lines of its grain run
NAMES = 104.0  # pixels: where the names of its pieces begin
MOST_NAMED = 6  # pieces of a batten that have a name; what is left is the rest
REST = "the rest"
OTHER_NAMES = {
    ONCE: "setting up, all stages together",
    UNPLANNED: "work that nobody had planned",
    "booked": "finished stages, as booked",
    "guess": "your own guess",
}


def reason_rows(answer: Range, settings: Settings) -> tuple[tuple[str, float], ...]:
    """Each reason's name and its hours over all stages, the largest first; together they are the likely hours."""
    hours: dict[str, float] = {}
    for reason in answer.reasons:
        hours[reason.driver] = hours.get(reason.driver, 0.0) + reason.hours
    by_size = sorted(hours.items(), key=lambda item: -item[1])
    return tuple(
        (OTHER_NAMES.get(driver) or inside(settings.quantity_label(driver)), at) for driver, at in by_size
    )


def pieces(rows: Sequence[tuple[str, float]], most: int = MOST_NAMED) -> tuple[tuple[str, float], ...]:
    """The largest reasons in their order, then the rest; none below nought, and the sum is the sum of all.

    Raises ValueError where the hours do not sum to more than nought.

    >>> pieces([("strip", 9.0), ("logo", 2.0), ("colour", 19.0), ("less", -1.0)], most=2)
    (('strip', 9.0), ('colour', 19.0), ('the rest', 1.0))
    """
    if not sum(hours for _, hours in rows) > 0:
        raise ValueError("The reasons do not add up to any hours.")
    by_size = sorted(range(len(rows)), key=lambda i: -rows[i][1])
    named = [i for i in by_size[:most] if rows[i][1] > 0]
    while named and sum(rows[i][1] for i in by_size if i not in named) < 0:
        named.pop()
    others = [i for i in by_size if i not in named]
    rest = sum(rows[i][1] for i in others)
    return tuple(rows[i] for i in sorted(named)) + (((REST, rest),) if rest > 0 else ())


def _named(cut: Sequence[tuple[str, float]]) -> list[str]:
    """Each piece's name and its length; the lengths as shown add up to the whole as shown.

    >>> _named([("glass", 13.4), ("foam", 9.3), ("fins", 3.1), ("wax", 0.2)])
    ['glass: 13', 'foam: 9½', 'fins: 3', 'wax: ½']
    """
    hours = [at for _, at in cut]
    shown = shown_to_add_up(hours, round_middle(math.fsum(hours)))
    return [
        f"{name}: {say_middle(at) if at else 'under ½'}" for (name, _), at in zip(cut, shown, strict=True)
    ]


def draw_reasons(
    axes: Axes, rows: Sequence[tuple[str, float]], palette: Palette = ON_PAPER, *, pencil: bool = False
) -> None:
    """Draws what the likely hours are made of as one upright batten, sawn into pieces with their lengths.

    Downwards the axes count in hours, across in pixels. In pencil the batten is broken, and said to be guessed.

    Raises ValueError where the hours do not sum to more than nought, or the axes are too small.
    """
    wide, high = size_px(axes)
    letters = letters_px(wide)
    line = 1.4 * letters
    batten = high - 2 * line
    for most in range(MOST_NAMED, -1, -1):
        cut = pieces(rows, most)
        blocks = [wrapped(words, wide - NAMES - 2, letters) for words in _named(cut)]
        if sum(map(len, blocks)) * line <= batten:
            break
    else:
        raise ValueError("The figure is too small for the names of the pieces: make it higher.")
    total = sum(hours for _, hours in cut)
    each = total / batten  # hours for one pixel
    axes.set_xlim(0, wide)
    axes.set_ylim(total + line * each, -line * each)
    _upright_tape(axes, total, batten, letters, palette)
    ends = [0.0, *accumulate(hours for _, hours in cut)]
    left, right = BATTEN
    colour = palette.pencil if pencil else palette.ink
    sides = axes.plot([left, right, right, left], [0, 0, total, total], color=colour)[0]
    sides.set(linewidth=points(THIN if pencil else FIRM), linestyle=BROKEN if pencil else "solid")
    for at in GRAIN:
        axes.plot([at, at], [0, total], color=palette.pencil, linewidth=points(0.5))
    for end in ends[1:-1]:
        slope = 2.5 * each  # a saw is never held quite square
        axes.plot([left, right + 4], [end + slope, end - slope], color=palette.ink, linewidth=points(1.2))
    middles = [(a + b) / 2 / each for a, b in pairwise(ends)]
    tops = _apart(middles, [len(block) * line for block in blocks], batten)
    for middle, top, block in zip(middles, tops, blocks, strict=True):
        turn = top + line / 2
        path = [(right + 4, middle), (right + 8, middle), (NAMES - 8, turn), (NAMES - 4, turn)]
        axes.plot(
            [x for x, _ in path], [y * each for _, y in path], color=palette.pencil, linewidth=points(0.8)
        )
        for n, words in enumerate(block):
            foot = (top + n * line + 0.5 * line + 0.36 * letters) * each
            write(axes, (NAMES, foot), words, letters, colour=palette.ink, slanted=pencil, across="left")
    whole = f"{'guessed: ' if pencil else ''}{say_middle(total)} in all"
    place = (left, total + 0.85 * line * each)
    write(axes, place, whole, letters, colour=palette.ink, slanted=pencil, across="left")


def _apart(middles: Sequence[float], heights: Sequence[float], room: float) -> list[float]:
    """Tops of blocks of words, each as near its middle as can be with none over another, all in the room."""
    tops = [middle - height / 2 for middle, height in zip(middles, heights, strict=True)]
    floor = 0.0
    for i, height in enumerate(heights):
        tops[i] = floor = max(tops[i], floor)
        floor += height
    ceiling = room
    for i in reversed(range(len(tops))):
        tops[i] = ceiling = min(tops[i], ceiling - heights[i])
    return tops


def _upright_tape(axes: Axes, total: float, room_px: float, letters: float, palette: Palette) -> None:
    """Ticks and hours down the batten's left edge."""
    for edge in ("right", "top", "bottom"):
        axes.spines[edge].set_visible(False)
    axes.set_facecolor("none")
    axes.set_xticks([])
    edge_line = axes.spines["left"]
    edge_line.set_position(("data", BATTEN[0]))
    edge_line.set_bounds(0, total)
    edge_line.set_color(palette.ink)
    edge_line.set_linewidth(points(FIRM))
    numbered, _ = ticks(0.0, total, room_px, letters)
    axes.set_yticks(numbered, [in_quarters(at) for at in numbered], parse_math=False)
    axes.tick_params(
        "y", direction="out", length=points(LONG * 0.6), width=points(1.0), color=palette.ink, pad=points(2),
        labelcolor=palette.ink,
    )  # fmt: skip
    for label in axes.get_yticklabels():
        label.set_fontproperties(lettering(letters))
    axes.set_ylabel(
        "hours", fontproperties=lettering(letters), color=palette.ink, rotation=0, parse_math=False
    )
    axes.yaxis.set_label_coords(0.0, 1.0, transform=axes.transAxes)
    axes.yaxis.label.set(ha="left", va="top")


def save_reasons(
    path: Path,
    rows: Sequence[tuple[str, float]],
    *,
    title: str,
    wide_px: float = 420,
    palette: Palette = ON_PAPER,
    pencil: bool = False,
) -> None:
    """Writes the batten under a title as .png or .svg, by the path's ending."""
    named = "; ".join(_named(pieces(rows)))
    save_titled(
        path,
        lambda axes: draw_reasons(axes, rows, palette, pencil=pencil),
        title=title,
        says=f"What the likely hours are made of: {named}.{' These are guessed.' if pencil else ''}",
        wide_px=wide_px,
        body_px=22 * letters_px(wide_px - 2 * MARGIN),
        palette=palette,
    )
