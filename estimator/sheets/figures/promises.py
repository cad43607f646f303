"""Promises on one calendar tape: for each board a bracket for what is guessed and a plumb line for the day told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from matplotlib.axes import Axes

from estimator.bench.promises import BenchDay, Promise
from estimator.sheets.drawing.calendar_tape import Away, CalendarTape, from_today, hatch_days, lay_calendar
from estimator.sheets.drawing.mixed_words import Line, Run, set_lines, write_line
from estimator.sheets.drawing.style import (
    FIRM,
    MARGIN,
    ON_PAPER,
    Palette,
    points,
    save_titled,
    size_px,
    stringer,
)
from estimator.sheets.drawing.tape import CLEAR, LONG, draw_bracket, hang_plumb, point_beyond
from estimator.sheets.layouts.promises import (
    RING,
    SAY,
    chance_words,
    in_order,
    is_over,
    left_out_words,
    place_words,
    promises_caption,
    promises_title,
    ready_words,
    to_ring,
    today_words,
    told_words,
)

MARKS = 26.0  # pixels: how high the marks of a row are
AIR = 3.0  # pixels between words and a plumb line below them
GAP = 12.0  # pixels between one row's marks and the next row's words
TOLD_HIGH = 8.0  # pixels: a stroke on the tape's upper edge for each day told
MANY = 8  # rows from which the tape is laid at the head, too
SAMPLE = 34.0  # pixels: how wide a mark in the key is


class _PromiseLayout(CalendarTape):
    """What is written and how high everything is, in pixels above and below the tape's upper edge."""

    def __init__(self, day: BenchDay, wide_px: float, away: Away) -> None:
        self.promises = in_order(day)
        told = {p.told.last for p in self.promises if p.told and p.told.last >= day.today}
        last = max([p.ready.high for p in self.promises] + list(told), default=day.today)
        super().__init__(day.today, *from_today((last - day.today).days, wide_px), wide_px, away)
        self.told = sorted(map(self.at, told))
        self.rows = [self._row(promise) for promise in self.promises]
        self.head = self.deep + GAP if len(self.rows) >= MANY else 0.0
        self.above = self.head + sum(map(self.row_px, self.rows)) + (TOLD_HIGH if self.told else 0.0)
        self.days = self._set([(Run(words),) for words in today_words(day)])
        self.left_out = self._set([(Run(left_out_words(day)),)]) if day.left_out else ()
        self.key = self._key() if self.rows else []
        lines = len(self.days) + len(self.left_out) + sum(len(lines) for _, lines in self.key)
        tape = self.deep + CLEAR / 2 if self.rows else 0.0
        self.below = tape + lines * self.line + CLEAR

    def row_px(self, lines: tuple[Line, ...]) -> float:
        """How high a row is: its words, its marks, and the air below them."""
        return len(lines) * self.line + MARKS + GAP

    def _set(self, parts: list[Line], indent: float = 0.0) -> tuple[Line, ...]:
        """Parts in lines that fit."""
        return set_lines(parts, self.wide - indent - 2, self.letters)

    def _row(self, promise: Promise) -> tuple[Line, ...]:
        """Name and place, then what was told and how it stands: on one line where there is room."""
        name = self._set([(Run(f"{promise.name},", bold=True),), (Run(place_words(promise)),)])
        ready = ready_words(promise, self.today)
        first = (
            Run(RING if to_ring(promise) else "", bold=True, accent=True),
            Run(told_words(promise, self.today)),
            Run(chance_words(promise, self.today), slanted=True),
        )
        parts = [tuple(run for run in first if run.words)]
        if ready:
            say = (Run(SAY),) if to_ring(promise) else ()
            parts = [_ended(parts[0]), (*say, Run(ready, slanted=True))]
        said = self._set(parts)
        if len(name) == len(said) == 1 and not to_ring(promise):
            both = self._set([_ended(name[0]), *said])
            return both if len(both) == 1 else (*name, *said)
        return (*name, *said)

    def _key(self) -> list[tuple[str, tuple[Line, ...]]]:
        """What the marks are: the mark's name, and words in lines."""
        guessed = (Run("guessed:", slanted=True), Run("ready in here 8 times in 10,"))
        marks: list[tuple[str, list[Line]]] = [("bracket", [guessed, (Run("half later than the tick"),)])]
        if self.told:
            marks.append(("plumb", [(Run("the day you told; on the tape a stroke"),)]))
        if any(is_over(promise, self.today) for promise in self.promises):
            marks.append(("beyond", [(Run("the day you told is over"),)]))
        if self.hatched:
            marks.append(("hatch", [(Run("days away"),)]))
        return [(mark, self._set(parts, SAMPLE + CLEAR)) for mark, parts in marks]


def _ended(line: Line) -> Line:
    """A line with a semicolon at its end."""
    return (*line[:-1], replace(line[-1], words=f"{line[-1].words};"))


def draw_promises(axes: Axes, day: BenchDay, palette: Palette = ON_PAPER, *, away: Away = ()) -> None:
    """Draws a row for each board in hand, in order of the day told, on one calendar tape that begins today.

    Along the tape the axes count in days from today, upwards in pixels from the tape's upper edge.
    away: days on which nobody works, as pairs of the first and the last; they are hatched

    Raises ValueError where the axes are too low or too narrow.
    """
    wide, high = size_px(axes)
    layout = _PromiseLayout(day, wide, away)
    if high < layout.above + layout.below - 1e-6:
        raise ValueError(f"The figure is too low for {len(layout.rows)} boards: make it higher.")
    axes.set_xlim(layout.left, layout.right)
    axes.set_ylim(-layout.below, high - layout.below)
    axes.set_axis_off()
    top = high - layout.below
    if layout.head:
        lay_calendar(axes, layout, palette, top=top)
        top -= layout.head
    for promise, lines in zip(layout.promises, layout.rows, strict=True):
        level = _words(axes, layout, lines, top, palette) - MARKS
        _marks(axes, layout, promise, level, palette)
        top -= layout.row_px(lines)
    foot = 0.0
    if layout.rows:
        for at in layout.told:
            axes.plot([at, at], [0.0, TOLD_HIGH], color=palette.ink, linewidth=points(FIRM), label="_told")
        lay_calendar(axes, layout, palette)
        foot = -layout.deep - CLEAR / 2
    foot = _words(axes, layout, layout.days, foot, palette)
    foot = _words(axes, layout, layout.left_out, foot, palette) - CLEAR / 2
    for mark, lines in layout.key:
        _sample(axes, layout, mark, foot - layout.line, palette)
        foot = _words(axes, layout, lines, foot, palette, SAMPLE + CLEAR)


def _words(
    axes: Axes,
    layout: _PromiseLayout,
    lines: Sequence[Line],
    top: float,
    palette: Palette,
    indent: float = 0.0,
) -> float:
    """Lines from the top down; returns where they end."""
    for line in lines:
        place = (layout.amount(indent), top - layout.letters)
        write_line(axes, place, line, layout.letters, layout.each, palette)
        top -= layout.line
    return top


def _marks(axes: Axes, layout: _PromiseLayout, promise: Promise, foot: float, palette: Palette) -> None:
    """A row's bracket, which is guessed, and its plumb line, which was said; red where its owner is rung."""
    ready = promise.ready
    low, likely, high = (max(layout.at(day), 0.0) for day in (ready.low, ready.likely, ready.high))
    draw_bracket(axes, (low, likely, high), foot + MARKS / 2, pencil=True, palette=palette)
    if promise.told is None:
        return
    colour = palette.oxide if to_ring(promise) else palette.ink
    if is_over(promise, layout.today):
        point_beyond(axes, layout, -math.inf, foot + MARKS / 2, colour)
    else:
        hang_plumb(axes, layout, layout.at(promise.told.last), (foot + MARKS - AIR, foot), colour)


def _sample(axes: Axes, layout: _PromiseLayout, mark: str, foot: float, palette: Palette) -> None:
    """One mark of the key, on a line whose foot is given."""
    start, third, half, end = map(layout.amount, (1.0, SAMPLE / 3, SAMPLE / 2, SAMPLE))
    if mark == "bracket":
        draw_bracket(axes, (start, third, end), foot + layout.line / 2, pencil=True, palette=palette)
    elif mark == "plumb":
        hang_plumb(axes, layout, half, (foot + layout.line, foot + 2), palette.ink)
    elif mark == "beyond":
        point_beyond(axes, layout, -math.inf, foot + layout.line / 2, palette.ink)
    else:
        hatch_days(axes, layout, (start, end), (foot + 4, foot + 4 + LONG), palette)


def save_promises(
    path: Path, day: BenchDay, *, away: Away = (), wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes every board's promise as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    away: days on which nobody works, as pairs of the first and the last
    The whole picture in words is `promises_caption(day, away)`, and an .svg carries it.
    """
    layout = _PromiseLayout(day, wide_px - 2 * MARGIN, away)

    def draw(axes: Axes) -> None:
        stringer(axes, palette)
        draw_promises(axes, day, palette, away=away)

    save_titled(
        path,
        draw,
        title=promises_title(day),
        says=promises_caption(day, away),
        wide_px=wide_px,
        body_px=layout.above + layout.below,
        palette=palette,
    )
