"""One board's promise as ten boards on a calendar tape: each stands where one of ten would be ready."""

from __future__ import annotations

import datetime as dt
import math

from matplotlib.axes import Axes

from estimator.bench.promises import Promise
from estimator.sheets.drawing.calendar_tape import WEEK, Away, CalendarTape, hatch_days, lay_calendar
from estimator.sheets.drawing.outlines import stand
from estimator.sheets.drawing.style import (
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    wrapped,
    write,
)
from estimator.sheets.drawing.tape import (
    CLEAR,
    LONG,
    RAIL,
    draw_boards,
    draw_rack,
    hang_words,
    make_room,
    say_on_rail,
    zone_for,
)
from estimator.sheets.layouts.promises import late_words, ten_caption, ten_title
from estimator.sheets.layouts.ranges import FILL
from estimator.words.dates import say_day, say_exactly

BEFORE = 14.0  # pixels of tape before today: half a board, and air
SAMPLE = 34.0  # pixels: how wide the sample of hatched days is
OUTSIDE = 0.1  # chance of being ready before the bracket, and after it


class _ReadyLayout(CalendarTape):
    """Where everything of one drawing goes: bands of pixels above and below the tape's upper edge."""

    def __init__(self, promise: Promise, today: dt.date, wide_px: float, away: Away) -> None:
        ready = promise.ready
        places, (self.low, self.likely, self.high) = (
            tuple(max(float((day - today).days), 0.0) for day in days)
            for days in (promise.points, (ready.low, ready.likely, ready.high))
        )
        told = None if promise.told is None else float((promise.told.last - today).days)
        ends = _ends(min(places[0], self.low), max(places[-1], self.high), told, wide_px)
        super().__init__(today, *ends, wide_px, away)
        self.places = places
        self.plumb = -math.inf if told is not None and told < 0 else told
        self.said: tuple[str, ...] = ()  # lines of words over the plumb line
        if promise.told is not None:
            parts = (f"told by {say_exactly(promise.told.last, today)}", late_words(promise, today))
            self.said = tuple(line for part in parts for line in wrapped(part, wide_px - 2, self.letters))
        count = f"8 of these {len(places)}"
        ways = ((f"guessed: {count}",), ("guessed:", count))
        self.bracket, self.bracket_at = self.beside(
            self.plumb, (self.low + self.high) / 2, ways, slanted=True
        )
        self.above = (len(self.said) + len(self.bracket)) * self.line + RAIL + CLEAR
        now = f"today, {say_day(today)}" + ("" if self.left < 0 else ", lies further left")
        self.today_words = wrapped(now, wide_px - 2, self.letters)
        self.below = self.deep + CLEAR + self.line * (len(self.today_words) + bool(self.hatched))


def _ends(low: float, high: float, told: float | None, wide_px: float) -> tuple[float, float]:
    """The ends of the tape: all boards with room beside them; the day told and today where the boards keep room."""
    grown = max(WEEK - (high - low), 0) / 2
    low, high = low - grown, high + grown
    widest, pad = (high - low) / FILL, 0.12 + 16 / wide_px
    left, right = low - (high - low) * pad, high + (high - low) * pad
    for at in (told, 0.0):
        if at is not None and at >= 0:
            further_left, further_right = min(left, at - widest * 0.03), max(right, at + widest * 0.03)
            if further_right - further_left <= widest:
                left, right = further_left, further_right
    if left < 0:
        left = -BEFORE * right / (wide_px - BEFORE)  # so that today stands where the tape begins
    return left, right


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
    layout = _ReadyLayout(promise, today, wide, away)
    zone = make_room(axes, layout, layout.above, layout.below)
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
    layout = _ReadyLayout(promise, today, wide_px - 2 * MARGIN, away)
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
