"""A range as ten boards on a tape measure: each stands where one of ten equally likely boards would land."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, Place, save_titled, size_px, write
from estimator.sheets.drawing.tape import (
    draw_boards,
    draw_rack,
    hang_words,
    lay_tape,
    make_room,
    point_beyond,
    say_on_rail,
)
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.ranges import (
    STROKE,
    STROKE_GAP,
    RangeDrawing,
    RangeLayout,
    alt_text,
)
from estimator.sheets.layouts.standing import stand
from estimator.sheets.layouts.tape import CLEAR, RAIL, TAPE, in_quarters, zone_for

UNITS = {"h": "hours"}


def draw_range(axes: Axes, drawing: RangeDrawing, palette: Palette = ON_PAPER) -> None:
    """Draws ten boards on a tape into the axes, as large as they allow.

    Along the tape the axes count in the drawing's unit, upwards in pixels from the tape's upper edge.

    Raises ValueError where the axes are too small: narrower than about 300 pixels, or too low for the words.
    """
    wide, high = size_px(axes)
    layout = RangeLayout(drawing, wide)
    zone = make_room(axes, layout)
    lay_tape(
        axes, UNITS.get(drawing.unit, drawing.unit), layout.letters, palette, whole=drawing.places[0] >= 0
    )
    standing = stand([layout.px(at) for at in drawing.places], zone)
    pencil, rail = drawing.pencil, standing.top + RAIL
    outside = (1 - drawing.odds) / 2 if drawing.hatch and not drawing.done else 0.0
    draw_boards(axes, layout, drawing.places, standing, outside, pencil=pencil, palette=palette)
    if not drawing.done:
        ends = (drawing.low, drawing.likely, drawing.high)
        draw_rack(axes, ends, rail, pencil=pencil, palette=palette)
    say_on_rail(axes, layout, layout.bracket_at, rail, layout.bracket, pencil=pencil, palette=palette)
    if drawing.plumb:
        hang_words(axes, layout, drawing.plumb[0], layout.plumb, high - layout.below, palette=palette)
    _marks_below(axes, drawing, layout, palette)


def _marks_below(axes: Axes, drawing: RangeDrawing, layout: RangeLayout, palette: Palette) -> None:
    """Below the tape: past boards as strokes and by name, the restorer's own guess as a notch, the unit."""
    for px, level in layout.strokes:
        start = -TAPE - 2 - level * (STROKE + STROKE_GAP)
        _stroke(axes, layout.amount(px), start, palette)
    for at in (at for _, at in drawing.alike if not layout.seen(at)):
        point_beyond(axes, layout, at, -TAPE - 8, palette.ink)
    baseline = -layout.marks_end - layout.letters
    unit_at = layout.right
    if drawing.guess is not None:
        words = f"you said {in_quarters(drawing.guess)}"
        middle = layout.centred(drawing.guess, [words])
        write(axes, (middle, baseline), words, layout.letters, colour=palette.ink)
        if middle > (layout.left + layout.right) / 2:
            unit_at = layout.left
        if layout.seen(drawing.guess):
            _notch(axes, drawing.guess, layout, palette)
        else:
            point_beyond(axes, layout, drawing.guess, -TAPE - 8, palette.ink)
    axes.xaxis.set_label_coords(unit_at, baseline, transform=axes.transData)
    axes.xaxis.label.set(ha="right" if unit_at == layout.right else "left", va="baseline")
    for n, words in enumerate(layout.caption, start=1):
        write(
            axes,
            (layout.amount(2 * CLEAR), baseline - n * layout.line),
            words,
            layout.letters,
            colour=palette.ink,
            across="left",
        )
    if layout.caption:
        _stroke(axes, layout.amount(4.0), baseline - layout.line + STROKE, palette, "key")


def _stroke(axes: Axes, at: float, start: float, palette: Palette, name: str = "alike") -> None:
    """A short stroke downwards: one past board, or the key to them."""
    ends = [start, start - STROKE]
    axes.plot(
        [at, at], ends, color=palette.ink, linewidth=points(2.5), solid_capstyle="butt", label=f"_{name}"
    )


def _notch(axes: Axes, at: float, layout: RangeLayout, palette: Palette) -> None:
    """A notch in the tape's lower edge and a line down to its words."""
    half = layout.amount(4.0) - layout.left
    notch = Polygon([(at, -TAPE + 7), (at - half, -TAPE), (at + half, -TAPE)], facecolor=palette.ink)
    axes.add_patch(notch)
    axes.plot([at, at], [-TAPE, -layout.marks_end], color=palette.ink, linewidth=points(1.2))


def save_range(
    path: Place,
    drawing: RangeDrawing,
    *,
    title: str,
    wide_px: float = 640,
    zone_px: float | None = None,
    palette: Palette = ON_PAPER,
) -> None:
    """Writes the drawing under its title as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    title: says what to see; the whole picture in words is `alt_text(drawing)`, and an .svg carries it
    zone_px: the height there is for the boards; left out, by the width
    """
    layout = RangeLayout(drawing, wide_px - 2 * MARGIN)
    zone = zone_for(layout, drawing.places, wide_px, zone_px)
    save_titled(
        path,
        lambda axes: draw_range(axes, drawing, palette),
        title=title,
        says=alt_text(drawing),
        wide_px=wide_px,
        body_px=layout.above + zone + layout.below,
        palette=palette,
    )
