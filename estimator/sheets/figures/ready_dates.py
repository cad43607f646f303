"""One board's promise as ten boards on a calendar tape: each stands where one of ten would be ready."""

from __future__ import annotations

import datetime as dt

from matplotlib.axes import Axes

from estimator.bench.promises import Promise
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, Place, save_titled, size_px, write
from estimator.sheets.drawing.tape import (
    draw_boards,
    draw_rack,
    hang_words,
    hatch_days,
    lay_calendar,
    make_room,
    say_on_rail,
)
from estimator.sheets.layouts.calendar import Away
from estimator.sheets.layouts.promises import ReadyLayout, ten_caption, ten_title
from estimator.sheets.layouts.standing import stand
from estimator.sheets.layouts.tape import CLEAR, LONG, RAIL, zone_for

SAMPLE = 34.0  # pixels: how wide the sample of hatched days is
OUTSIDE = 0.1  # chance of being ready before the bracket, and after it


def draw_ten_on_calendar(
    axes: Axes, promise: Promise, today: dt.date, palette: Palette = ON_PAPER, *, away: Away = ()
) -> None:
    """Draws ten boards on a calendar tape into the axes, as large as they allow: the day told is a plumb line.

    Along the tape the axes count in days from today, upwards in pixels from the tape's upper edge. What lies before
    today by what the log tells stands at today.
    away: days on which nobody works, as pairs of the first and the last; they are hatched

    Raises ValueError where the axes are too small: narrower than about 300 pixels, or too low for the words.
    """
    wide, high = size_px(axes)
    layout = ReadyLayout(promise, today, wide, away)
    zone = make_room(axes, layout)
    axes.set_axis_off()
    lay_calendar(axes, layout, palette)
    standing = stand([layout.px(at) for at in layout.places], zone)
    draw_boards(axes, layout, layout.places, standing, OUTSIDE, pencil=True, palette=palette)
    rail = standing.top + RAIL
    draw_rack(axes, (layout.low, layout.likely, layout.high), rail, pencil=True, palette=palette)
    say_on_rail(axes, layout, layout.bracket_at, rail, layout.bracket, pencil=True, palette=palette)
    if layout.plumb is not None:
        hang_words(axes, layout, layout.plumb, layout.said, high - layout.below, palette=palette)
    foot = -layout.deep - CLEAR / 2
    for words in layout.today_words:
        place = (layout.left, foot - layout.letters)
        write(axes, place, words, layout.letters, colour=palette.ink, across="left")
        foot -= layout.line
    if layout.hatched:
        ends = (layout.amount(1.0), layout.amount(SAMPLE))
        bottom = foot - layout.line + 4
        hatch_days(axes, layout, ends, (bottom, bottom + LONG), palette)
        place = (layout.amount(SAMPLE + CLEAR), foot - layout.letters)
        write(axes, place, "days away", layout.letters, colour=palette.ink, across="left")


def save_ten_on_calendar(
    path: Place,
    promise: Promise,
    today: dt.date,
    *,
    away: Away = (),
    wide_px: float = 640,
    zone_px: float | None = None,
    titled: bool = True,
    palette: Palette = ON_PAPER,
) -> None:
    """Writes one board's promise under its title as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    away: days on which nobody works, as pairs of the first and the last
    zone_px: the height there is for the boards; left out, by the width; titled: whether the title stands above it
    The whole picture in words is `ten_caption(promise, today, away)`, and an .svg carries it.
    """
    layout = ReadyLayout(promise, today, wide_px - 2 * MARGIN, away)
    zone = zone_for(layout, layout.places, wide_px, zone_px)
    save_titled(
        path,
        lambda axes: draw_ten_on_calendar(axes, promise, today, palette, away=away),
        title=ten_title(promise, today) if titled else "",
        says=ten_caption(promise, today, away),
        wide_px=wide_px,
        body_px=layout.above + zone + layout.below,
        palette=palette,
    )
