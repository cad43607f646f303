"""The tape measure as a calendar: weeks as ticks, months by name, days away hatched out."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.path import Path

from estimator.sheets.drawing.outlines import hatch
from estimator.sheets.drawing.style import Palette, write
from estimator.sheets.layouts.calendar import (
    FINEST,
    CalendarTape,
)
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.standing import HATCH
from estimator.sheets.layouts.tape import FIRM, LONG, SHORT


def lay_calendar(axes: Axes, tape: CalendarTape, palette: Palette, *, top: float = 0.0) -> None:
    """Draws the tape with its upper edge at a height in pixels; the axes' limits are set already.

    Today has a firm tick, where it is on the tape.
    """
    foot = top - tape.deep
    named = (
        foot + 1.3 * tape.letters if tape.numbers else top
    )  # how high up the names have the tape for themselves

    def line(at: tuple[float, float], heights: tuple[float, float], wide: float, label: str) -> None:
        axes.plot(at, heights, color=palette.ink, linewidth=points(wide), label=f"_{label}")

    line((tape.left, tape.right), (top, top), FIRM, "edge")
    line((tape.left, tape.right), (foot, foot), 0.8, "edge")
    if tape.left < 0:
        line((tape.left, tape.left), (top, foot), FIRM, "end")
        line((0.0, 0.0), (top, top - LONG), FIRM, "today")
    places = tape.ticks()
    numbered = {at for at, _ in tape.numbers}
    for at in places:
        line((at, at), (top, top - (LONG if at in numbered else SHORT)), 1.0, "tick")
    if tape.each >= FINEST:
        for at in range(int(-(-tape.first // 1)), int(tape.right) + 1):
            if at not in places:
                line((at, at), (top, top - SHORT / 2), 0.8, "day")
    for at in tape.months:
        line((at, at), (named, foot), 0.8, "month")
    for at, words in tape.names:
        place = (at, foot + 0.45 * tape.letters)
        write(axes, place, words, tape.letters, colour=palette.ink, across="left")
    for at, words in tape.numbers:
        write(axes, (at, top - LONG - 2 - 0.8 * tape.letters), words, tape.letters, colour=palette.ink)
    bottom = named + 2 if tape.numbers else top - LONG
    for days in tape.hatched:
        hatch_days(axes, tape, days, (bottom, top), palette)


def hatch_days(
    axes: Axes, tape: CalendarTape, days: tuple[float, float], heights: tuple[float, float], palette: Palette
) -> None:
    """Hatches a span of days, from one height to another in pixels."""
    (begin, end), (bottom, top) = days, heights
    rise = (top - bottom) / tape.each  # days: hatch lines slope at 45 degrees
    count = int((end - begin + rise) * tape.each / HATCH) + 1
    feet = [begin - rise + n * HATCH / tape.each for n in range(count)]
    corners = [(begin, bottom), (end, bottom), (end, top), (begin, top), (begin, bottom)]
    hatch(axes, [((at, bottom), (at + rise, top)) for at in feet], Path(corners, closed=True), palette.ink)
