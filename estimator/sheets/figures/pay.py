"""Pay as ten boards on a tape of money an hour, with the least that is taken and what is wanted as plumb lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from matplotlib.axes import Axes

from estimator.decide.weigh.weighing import Weighing
from estimator.sheets.drawing.outlines import stand
from estimator.sheets.drawing.style import (
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    width_px,
    wrapped,
    write,
)
from estimator.sheets.drawing.tape import (
    CLEAR,
    RAIL,
    TAPE,
    Scale,
    draw_boards,
    draw_rack,
    hang_plumb,
    lay_tape,
    make_room,
    point_beyond,
    say_on_rail,
    zone_for,
)
from estimator.sheets.layouts.ranges import PayDrawing, Plumb, ends_of, pay_alt_text, pay_drawing, pay_title
from estimator.words.settings.schema import Settings

NARROWEST = 80.0  # pixels of a line of words


class _PayLayout(Scale):
    """Where everything goes: bands of pixels above and below the tape's upper edge.

    The words of each plumb line have a band of their own, the rightmost line's on top, so that no line runs through
    the words of another: lower words keep to the left of the lines that hang from above them.
    """

    def __init__(self, drawing: PayDrawing, wide_px: float) -> None:
        super().__init__(*ends_of(drawing, wide_px), wide_px)
        self.hung = [self._hung(drawing, i) for i in range(len(drawing.plumbs))]
        self.said = sum(len(lines) for lines, _ in self.hung)
        self.rail, self.rail_at = self._on_rail(drawing)
        on_rail = 0 if self.rail_at is None else len(self.rail)
        self.above = (self.said + on_rail) * self.line + RAIL + 2 * CLEAR
        self.below = TAPE + 2 * CLEAR + self.letters + (self.line if self.rail_at is None else 0.0)

    def _on_rail(self, drawing: PayDrawing) -> tuple[tuple[str, ...], float | None]:
        """The words on the rail and their middle, clear of every plumb line; None: no room there, so below the tape."""
        boards = drawing.boards
        count = f"{boards.inside} of these {len(boards.places)}"
        guessed = f"guessed: {count}"
        ways = ((guessed,), ("guessed:", count)) if boards.pencil else ((count,),)
        lines = sorted(self.px(one.at) for one in drawing.plumbs if self.seen(one.at))
        wanted = self.px((boards.low + boards.high) / 2)
        for words in ways:
            half = max(width_px(one, self.letters, slanted=boards.pencil) for one in words) / 2 + CLEAR
            rooms = [(a + half, b - half) for a, b in pairwise([0.0, *lines, self.wide]) if b - a >= 2 * half]
            middles = [min(max(wanted, a), b) for a, b in rooms]
            if middles:
                return words, self.amount(min(middles, key=lambda at: abs(at - wanted)))
        return ways[0], None

    def _hung(self, drawing: PayDrawing, i: int) -> tuple[tuple[str, ...], float]:
        """The lines of words of a plumb line, and their middle; an empty one for an arrowhead where it lies beyond."""
        one = drawing.plumbs[i]
        higher = drawing.plumbs[i + 1].at if i + 1 < len(drawing.plumbs) else None
        whole = f"{one.says}: {one.counted}"
        left = self.wide if higher is None or not self.seen(higher) else self.px(higher)
        narrow = max(min(left - 3 * CLEAR, self.wide / 3), NARROWEST)
        ways = [
            wrapped(whole, self.wide - 2 * CLEAR, self.letters),
            (f"{one.says}:", one.counted),
            wrapped(whole, narrow, self.letters),
        ]
        at = min(max(one.at, self.left), self.right)
        placed = [way for lines in ways if (way := self._clear(higher, at, lines))]
        lines, middle = next((way for way in placed if self._over(*way, at)), placed[-1])
        return lines if self.seen(one.at) else (*lines, ""), middle

    def _clear(
        self, line: float | None, at: float, lines: Sequence[str]
    ) -> tuple[tuple[str, ...], float] | None:
        """Words clear of a line, and their middle; None where they have no room."""
        try:
            return self.beside(line, at, [lines], slanted=False)
        except ValueError:
            return None

    def _over(self, lines: tuple[str, ...], middle: float, at: float) -> bool:
        """Whether words with that middle stand over their own line."""
        half = max(width_px(words, self.letters) for words in lines) / 2
        return abs(self.px(middle) - self.px(at)) <= half + CLEAR


def draw_pay(axes: Axes, drawing: PayDrawing, palette: Palette = ON_PAPER) -> None:
    """Draws ten boards on a tape of pay into the axes, as large as they allow.

    Along the tape the axes count in money an hour, upwards in pixels from the tape's upper edge.

    Raises ValueError where the axes are too small: narrower than about 300 pixels, or too low for the words.
    """
    wide, high = size_px(axes)
    layout, boards = _PayLayout(drawing, wide), drawing.boards
    zone = make_room(axes, layout, layout.above, layout.below)
    lay_tape(axes, drawing.unit, layout.letters, palette, whole=boards.places[0] >= 0)
    standing = stand([layout.px(at) for at in boards.places], zone)
    outside = 0.0 if boards.done else (1 - boards.odds) / 2
    draw_boards(axes, layout, boards.places, standing, outside, pencil=boards.pencil, palette=palette)
    rail = standing.top + RAIL
    if not boards.done:
        ends = (boards.low, boards.likely, boards.high)
        draw_rack(axes, ends, rail, pencil=boards.pencil, palette=palette)
        _count(axes, layout, rail, pencil=boards.pencil, palette=palette)
    _plumbs(axes, drawing, layout, high - layout.below, palette)
    unit = -TAPE - 2 * CLEAR - layout.letters + 4
    axes.xaxis.set_label_coords(layout.right, unit, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")


def _count(axes: Axes, layout: _PayLayout, rail: float, *, pencil: bool, palette: Palette) -> None:
    """How many boards stand under the rail, on it or, where lines leave no room, below the tape."""
    if layout.rail_at is not None:
        say_on_rail(axes, layout, layout.rail_at, rail, layout.rail, pencil=pencil, palette=palette)
        return
    place = (layout.right, -layout.below + 4)
    write(axes, place, layout.rail[0], layout.letters, colour=palette.ink, slanted=pencil, across="right")


def _plumbs(axes: Axes, drawing: PayDrawing, layout: _PayLayout, top: float, palette: Palette) -> None:
    """Lines hung from their words down to the tape, the rightmost's words on top."""
    above = 0
    for one, (lines, middle) in reversed(list(zip(drawing.plumbs, layout.hung, strict=True))):
        for n, words in enumerate(lines, start=above + 1):
            if words:
                write(axes, (middle, top - n * layout.line + 4), words, layout.letters, colour=palette.ink)
        above += len(lines)
        _hang(axes, one, layout, top - above * layout.line - 2, palette)


def _hang(axes: Axes, one: Plumb, layout: _PayLayout, foot: float, palette: Palette) -> None:
    """One line from its words down to the tape; an arrowhead where it lies beyond the end."""
    if layout.seen(one.at):
        hang_plumb(axes, layout, one.at, (foot, 0.5), palette.ink)
    else:
        point_beyond(axes, layout, one.at, foot + layout.line / 2, palette.ink)


def save_pay(
    path: Place,
    said: Weighing,
    settings: Settings,
    *,
    wide_px: float = 640,
    zone_px: float | None = None,
    titled: bool = True,
    palette: Palette = ON_PAPER,
) -> None:
    """Writes what a board pays under its title as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    zone_px: the height there is for the boards; left out, by the width; titled: whether the title stands above it
    """
    drawing = pay_drawing(said, settings)
    layout = _PayLayout(drawing, wide_px - 2 * MARGIN)
    zone = zone_for(layout, drawing.boards.places, wide_px, zone_px)
    save_titled(
        path,
        lambda axes: draw_pay(axes, drawing, palette),
        title=pay_title(said, settings) if titled else "",
        says=pay_alt_text(drawing),
        wide_px=wide_px,
        body_px=layout.above + zone + layout.below,
        palette=palette,
    )
