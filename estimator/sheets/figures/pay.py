"""Pay as ten boards on a tape of money an hour, with the least that is taken and what is wanted as plumb lines."""

from __future__ import annotations

from matplotlib.axes import Axes

from estimator.decide.weigh.weighing import Weighing
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, Place, save_titled, size_px, write
from estimator.sheets.drawing.tape import (
    draw_boards,
    draw_rack,
    hang_plumb,
    lay_tape,
    make_room,
    point_beyond,
    say_on_rail,
)
from estimator.sheets.layouts.pay import (
    PayDrawing,
    PayLayout,
    Plumb,
    pay_alt_text,
    pay_drawing,
    pay_title,
)
from estimator.sheets.layouts.standing import stand
from estimator.sheets.layouts.tape import CLEAR, RAIL, TAPE, zone_for
from estimator.words.settings.schema import Settings


def draw_pay(axes: Axes, drawing: PayDrawing, palette: Palette = ON_PAPER) -> None:
    """Draws ten boards on a tape of pay into the axes, as large as they allow.

    Along the tape the axes count in money an hour, upwards in pixels from the tape's upper edge.

    Raises ValueError where the axes are too small: narrower than about 300 pixels, or too low for the words.
    """
    wide, high = size_px(axes)
    layout, boards = PayLayout(drawing, wide), drawing.boards
    zone = make_room(axes, layout)
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


def _count(axes: Axes, layout: PayLayout, rail: float, *, pencil: bool, palette: Palette) -> None:
    """How many boards stand under the rail, on it or, where lines leave no room, below the tape."""
    if layout.rail_at is not None:
        say_on_rail(axes, layout, layout.rail_at, rail, layout.rail, pencil=pencil, palette=palette)
        return
    place = (layout.right, -layout.below + 4)
    write(axes, place, layout.rail[0], layout.letters, colour=palette.ink, slanted=pencil, across="right")


def _plumbs(axes: Axes, drawing: PayDrawing, layout: PayLayout, top: float, palette: Palette) -> None:
    """Lines hung from their words down to the tape, the rightmost's words on top."""
    above = 0
    for one, (lines, middle) in reversed(list(zip(drawing.plumbs, layout.hung, strict=True))):
        for n, words in enumerate(lines, start=above + 1):
            if words:
                write(axes, (middle, top - n * layout.line + 4), words, layout.letters, colour=palette.ink)
        above += len(lines)
        _hang(axes, one, layout, top - above * layout.line - 2, palette)


def _hang(axes: Axes, one: Plumb, layout: PayLayout, foot: float, palette: Palette) -> None:
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
    layout = PayLayout(drawing, wide_px - 2 * MARGIN)
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
