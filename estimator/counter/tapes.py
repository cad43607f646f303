"""Ten boards on a tape, as shapes: of hours, of days on a calendar, of pay; from the layouts that figures use."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from estimator.bench.promises import Promise
from estimator.counter.shapes import INK, PENCIL, Curve, DrawingPart, Line, Point, Shape, Words
from estimator.forecast.ranges import Range
from estimator.sheets.layouts.calendar import FINEST, Away, CalendarTape
from estimator.sheets.layouts.promises import ReadyLayout, ten_caption
from estimator.sheets.layouts.ranges import (
    STROKE,
    STROKE_GAP,
    RangeDrawing,
    RangeLayout,
    alt_text,
    drawing_of,
)
from estimator.sheets.layouts.standing import HATCH, RAIL_SHAPE, SLIM, stand
from estimator.sheets.layouts.tape import (
    BLANK,
    CLEAR,
    FIRM,
    LONG,
    RAIL,
    SHORT,
    TAPE,
    THIN,
    FigureLayout,
    in_quarters,
    ticks,
    zone_for,
)
from estimator.words.settings.schema import Settings

if TYPE_CHECKING:
    from estimator.decide.weigh.weighing import Weighing

WIDTHS = (316.0, 640.0)  # pixels: of a drawing in the column of a phone, and of a wider page
STEPS = 8  # straight pieces of a curve, where lines are clipped by it


class TapeDrawing:
    """Shapes as they are laid: along the tape in its own unit, upwards in pixels from the tape's upper edge."""

    def __init__(self, layout: FigureLayout, places: Sequence[float]) -> None:
        self.layout, self.shapes = layout, list[Shape]()
        zone = zone_for(layout, places, layout.wide, None)
        self.standing = stand([layout.px(at) for at in places], zone)
        self.top = layout.above + zone

    def done(self, says: str) -> DrawingPart:
        """The drawing."""
        return DrawingPart(says, self.layout.wide, self.top + self.layout.below, tuple(self.shapes))

    def at(self, px: float, up: float) -> Point:
        """A place, in pixels from the top left."""
        return px, self.top - up

    def line(
        self,
        points: Sequence[Point],
        wide: float,
        *,
        colour: str = INK,
        broken: bool = False,
        fill: str = "none",
    ) -> None:
        """A line through points: pixels along, pixels up."""
        self.shapes.append(Line(tuple(self.at(*one) for one in points), wide, colour, broken, fill))

    def words(
        self, px: float, up: float, said: str, *, across: str = "middle", slanted: bool = False
    ) -> None:
        """One line of words."""
        self.shapes.append(Words(self.at(px, up), said, self.layout.letters, across, slanted))

    def boards(self, places: Sequence[float], outside: float, *, pencil: bool) -> None:
        """Equally likely boards, each at its place; outside: the chance at each end that is hatched, by halves."""
        count = len(places)
        for i, place in enumerate(places):  # outlines first: none lies over another
            self._outline(self._rail(place, i), pencil=pencil)
        for i, place in enumerate(places):
            shares = {-1: (i + 0.25) / count, 1: (i + 0.75) / count}
            hatched = [side for side, p in shares.items() if outside > 0 and not outside < p < 1 - outside]
            self._within(self._rail(place, i), hatched, PENCIL if pencil else INK)

    def _rail(self, place: float, i: int) -> list[Point]:
        """The rail of a board from its foot to its tip."""
        px, foot = self.layout.px(place), self.standing.foot(i)
        return [(px + x * self.standing.wide, foot + y * self.standing.high) for x, y in RAIL_SHAPE]

    def _outline(self, rail: Sequence[Point], *, pencil: bool) -> None:
        """The outline of one board."""
        px = rail[0][0]
        colour, firm = (PENCIL, THIN) if pencil else (INK, FIRM)
        back = [(2 * px - x, y) for x, y in reversed(rail[1:-1])]
        round_ = [self.at(*one) for one in (*rail[1:], *back)]
        three = tuple((round_[i], round_[i + 1], round_[i + 2]) for i in range(1, len(round_), 3))
        self.shapes.append(Curve(round_[0], three, firm, colour, pencil))

    def _within(self, rail: Sequence[Point], hatched: Sequence[int], colour: str) -> None:
        """The stringer of one board, and its hatched halves."""
        (px, foot), high = rail[0], self.standing.high
        self.line([(px, foot), (px, foot + high)], 0.6, colour=colour)
        for side in hatched:
            half = [(px, foot), *along_rail(rail), (px, foot + high)]
            self.hatch([(px + side * (x - px), y) for x, y in half], foot - high / SLIM, colour)

    def hatch(self, corners: Sequence[Point], lowest: float, colour: str = INK) -> None:
        """Lines at 45 degrees within a convex outline of pixels along and up."""
        left = min(x for x, _ in corners)
        rise, highest = lowest, max(y for _, y in corners)
        while rise < highest:
            if ends := crossing(corners, rise - left):
                self.line(ends, 0.9, colour=colour)
            rise += HATCH

    def rack(self, ends: tuple[float, float, float], *, pencil: bool) -> None:
        """Two posts at the first and the last place, a rail on them, and a peg below it at the middle one."""
        low, likely, high = map(self.layout.px, ends)
        rail, colour = self.standing.top + RAIL, PENCIL if pencil else INK
        posts = [(low, 0.0), (low, rail), (high, rail), (high, 0.0)]
        self.shapes.insert(0, Line(tuple(self.at(*one) for one in posts), THIN, colour, pencil))
        self.line([(likely, rail), (likely, rail - RAIL + 2)], THIN, colour=colour)

    def on_rail(self, at: float, lines: Sequence[str], *, pencil: bool) -> None:
        """Words that stand on the rail, the last line lowest."""
        for n, said in enumerate(reversed(lines)):
            up = self.standing.top + RAIL + 7 + n * self.layout.line
            self.words(self.layout.px(at), up, said, slanted=pencil)

    def plumb(self, at: float, lines: Sequence[str], *, middle: float | None = None, under: int = 0) -> None:
        """Words near the top, and a line with a bob from them to the tape; an arrowhead where it lies beyond the end.

        under: how many lines of words stand above these
        """
        layout = self.layout
        middle = layout.centred(at, lines) if middle is None else middle
        for n, said in enumerate(lines, start=under + 1):
            if said:
                self.words(layout.px(middle), self.top - n * layout.line + 4, said)
        foot = self.top - (under + len(lines)) * layout.line - 2
        if not layout.seen(at):
            self.beyond(at, foot - CLEAR if not under and lines[-1] else foot + layout.line / 2)
            return
        px = layout.px(at)
        self.line([(px, foot), (px, 10.0)], 1.2)
        bob = [(px, 0.5), (px - 4, 9.0), (px - 2.4, 13.0), (px + 2.4, 13.0), (px + 4, 9.0)]
        self.line(bob, 0.0, fill=INK)

    def beyond(self, at: float, up: float) -> None:
        """An arrowhead at the end of the tape: what is named lies further that way."""
        end, way = (self.layout.wide - 1, -7.0) if at > self.layout.right else (1.0, 7.0)
        self.line([(end, up), (end + way, up + 5), (end + way, up - 5)], 0.0, fill=INK)

    def tape(self, unit: str, unit_at: tuple[float, float], *, whole: bool, across: str = "end") -> None:
        """A tape with numbers; unit: what they count; whole: it begins at 0 where that is in sight."""
        layout = self.layout
        start = max(layout.px(0.0) - BLANK, 0.0) if whole else 0.0
        numbered, finer = ticks(
            layout.left, layout.right, layout.wide, layout.letters, 0.0 if whole else layout.left
        )
        self.line([(start, 0.0), (layout.wide, 0.0)], FIRM)
        self.line([(start, -TAPE), (layout.wide, -TAPE)], 0.8)
        if start > 0:
            self.line([(start, 0.0), (start, -TAPE)], FIRM)
        for at in numbered:
            px = layout.px(at)
            self.line([(px, 0.0), (px, -LONG)], 1.2)
            self.words(px, -LONG - 2 - 0.8 * layout.letters, in_quarters(at))
        for at in finer:
            self.line([(layout.px(at), 0.0), (layout.px(at), -SHORT)], 0.8)
        self.words(*unit_at, unit, across=across)


def along_rail(rail: Sequence[Point]) -> list[Point]:
    """A rail as straight pieces."""
    points = list(rail[:2])
    for i in range(1, len(rail) - 3, 3):
        (a, b), (c, d), (e, f), (g, h) = rail[i : i + 4]
        for n in range(1, STEPS + 1):
            t = n / STEPS
            w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            points.append(
                (w[0] * a + w[1] * c + w[2] * e + w[3] * g, w[0] * b + w[1] * d + w[2] * f + w[3] * h)
            )
    return points


def crossing(corners: Sequence[Point], rise: float) -> list[Point]:
    """Where the line y = x + rise goes into a convex outline and out of it; nothing where it does not.

    >>> crossing([(0, 0), (2, 0), (2, 2), (0, 2)], 1.0)
    [(0.0, 1.0), (1.0, 2.0)]
    """
    found = []
    for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
        off, end = ay - ax - rise, by - bx - rise
        if (off < 0) != (end < 0):
            share = off / (off - end)
            found.append((ax + share * (bx - ax), ay + share * (by - ay)))
    return [min(found), max(found)] if len(found) > 1 and min(found) != max(found) else []


def hours_drawings(answer: Range) -> tuple[DrawingPart, ...]:
    """The hours of a board as ten boards on a tape, once for each width."""
    drawing = drawing_of(answer)
    return tuple(_hours(drawing, wide) for wide in WIDTHS)


def _hours(drawing: RangeDrawing, wide_px: float) -> DrawingPart:
    layout = RangeLayout(drawing, wide_px)
    on = TapeDrawing(layout, drawing.places)
    baseline, unit_px, across = -layout.marks_end - layout.letters, layout.wide, "end"
    if drawing.guess is not None and layout.centred(drawing.guess, [""]) > (layout.left + layout.right) / 2:
        unit_px, across = 0.0, "start"
    on.tape("hours", (unit_px, baseline), whole=drawing.places[0] >= 0, across=across)
    outside = (1 - drawing.odds) / 2 if drawing.hatch and not drawing.done else 0.0
    on.boards(drawing.places, outside, pencil=drawing.pencil)
    if not drawing.done:
        on.rack((drawing.low, drawing.likely, drawing.high), pencil=drawing.pencil)
    on.on_rail(layout.bracket_at, layout.bracket, pencil=drawing.pencil)
    if drawing.plumb:
        on.plumb(drawing.plumb[0], layout.plumb)
    for px, level in layout.strokes:
        start = -TAPE - 2 - level * (STROKE + STROKE_GAP)
        on.line([(px, start), (px, start - STROKE)], 2.5)
    for at in (at for _, at in drawing.alike if not layout.seen(at)):
        on.beyond(at, -TAPE - 8)
    if drawing.guess is not None:
        said = f"you said {in_quarters(drawing.guess)}"
        on.words(layout.px(layout.centred(drawing.guess, [said])), baseline, said)
        if layout.seen(drawing.guess):
            px = layout.px(drawing.guess)
            on.line([(px, -TAPE + 7), (px - 4, -TAPE), (px + 4, -TAPE)], 0.0, fill=INK)
            on.line([(px, -TAPE), (px, -layout.marks_end)], 1.2)
        else:
            on.beyond(drawing.guess, -TAPE - 8)
    for n, said in enumerate(layout.caption, start=1):
        on.words(2 * CLEAR, baseline - n * layout.line, said, across="start")
    if layout.caption:
        start = baseline - layout.line + STROKE
        on.line([(4.0, start), (4.0, start - STROKE)], 2.5)
    return on.done(alt_text(drawing))


def dates_drawings(promise: Promise, today: dt.date, away: Away) -> tuple[DrawingPart, ...]:
    """The days of a board as ten boards on a calendar, once for each width."""
    return tuple(_dates(promise, today, away, wide) for wide in WIDTHS)


def _dates(promise: Promise, today: dt.date, away: Away, wide_px: float) -> DrawingPart:
    layout = ReadyLayout(promise, today, wide_px, away)
    on = TapeDrawing(layout, layout.places)
    _lay_calendar(on, layout)
    on.boards(layout.places, 0.1, pencil=True)
    on.rack((layout.low, layout.likely, layout.high), pencil=True)
    on.on_rail(layout.bracket_at, layout.bracket, pencil=True)
    if layout.plumb is not None:
        on.plumb(layout.plumb, layout.said)
    foot = -layout.deep - CLEAR / 2
    for said in layout.today_words:
        on.words(0.0, foot - layout.letters, said, across="start")
        foot -= layout.line
    if layout.hatched:
        bottom = foot - layout.line + 4
        on.hatch([(1, bottom), (34, bottom), (34, bottom + LONG), (1, bottom + LONG)], bottom - 33)
        on.words(34 + CLEAR, foot - layout.letters, "days away", across="start")
    return on.done(ten_caption(promise, today, away))


def _lay_calendar(on: TapeDrawing, tape: CalendarTape) -> None:
    """The tape as a calendar: weeks as ticks, months by name, days away hatched."""
    foot = -tape.deep
    named = foot + 1.3 * tape.letters if tape.numbers else 0.0

    def down(at: float, heights: tuple[float, float], wide: float) -> None:
        px = tape.px(at)
        on.line([(px, heights[0]), (px, heights[1])], wide)

    on.line([(0.0, 0.0), (tape.wide, 0.0)], FIRM)
    on.line([(0.0, foot), (tape.wide, foot)], 0.8)
    if tape.left < 0:
        down(tape.left, (0.0, foot), FIRM)
        down(0.0, (0.0, -LONG), FIRM)
    places, numbered = tape.ticks(), {at for at, _ in tape.numbers}
    for at in places:
        down(at, (0.0, -(LONG if at in numbered else SHORT)), 1.0)
    if tape.each >= FINEST:
        for day in range(int(-(-tape.first // 1)), int(tape.right) + 1):
            if day not in places:
                down(day, (0.0, -SHORT / 2), 0.8)
    for at in tape.months:
        down(at, (named, foot), 0.8)
    for at, said in tape.names:
        on.words(tape.px(at), foot + 0.45 * tape.letters, said, across="start")
    for at, said in tape.numbers:
        on.words(tape.px(at), -LONG - 2 - 0.8 * tape.letters, said)
    bottom = named + 2 if tape.numbers else -LONG
    for begin, end in tape.hatched:
        left, right = tape.px(begin), tape.px(end)
        on.hatch([(left, bottom), (right, bottom), (right, 0.0), (left, 0.0)], bottom - (right - left))


def pay_drawings(said: Weighing, settings: Settings) -> tuple[DrawingPart, ...]:
    """What a board pays as ten boards on a tape of pay an hour, once for each width."""
    from estimator.sheets.layouts.pay import (  # it loads what weighs boards up
        PayLayout,
        pay_alt_text,
        pay_drawing,
    )

    drawing = pay_drawing(said, settings)
    boards, found = drawing.boards, []
    for wide in WIDTHS:
        layout = PayLayout(drawing, wide)
        on = TapeDrawing(layout, boards.places)
        unit = (layout.wide, -TAPE - 2 * CLEAR - layout.letters + 4)
        on.tape(drawing.unit, unit, whole=boards.places[0] >= 0)
        on.boards(boards.places, 0.0 if boards.done else (1 - boards.odds) / 2, pencil=boards.pencil)
        if not boards.done:
            on.rack((boards.low, boards.likely, boards.high), pencil=boards.pencil)
            if layout.rail_at is not None:
                on.on_rail(layout.rail_at, layout.rail, pencil=boards.pencil)
            else:
                on.words(layout.wide, -layout.below + 4, layout.rail[0], across="end", slanted=boards.pencil)
        above = 0
        for one, (lines, middle) in reversed(list(zip(drawing.plumbs, layout.hung, strict=True))):
            on.plumb(one.at, lines, middle=middle, under=above)
            above += len(lines)
        found.append(on.done(pay_alt_text(drawing)))
    return tuple(found)
