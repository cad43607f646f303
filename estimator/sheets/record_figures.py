"""Past boards in a row: standing where the board landed inside its range, lying to the side that it missed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from estimator.record.track_record import Judged, TrackRecord
from estimator.sheets.board_outlines import GOOD, SLIM, draw_board, draw_lying
from estimator.sheets.nearer_figures import draw_nearer, nearer_px
from estimator.sheets.record_drawing import (
    LAST,
    count_lines,
    heading,
    last_boards,
    missed_words,
    open_words,
    record_caption,
    record_title,
)
from estimator.sheets.style import (
    FIRM,
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    in_parts,
    letters_px,
    points,
    save_titled,
    size_px,
    stacked,
    stringer,
    width_px,
    wrapped,
    write,
)

TALLEST = 96.0  # pixels: no board is drawn higher
GAP, WIDEST_GAP = 4.0, 16.0  # pixels between boards side by side: least, most
POST = 5.0  # pixels kept for the post that shows where a lying board stood
POST_HIGH = 1.6  # times as high as the board that lies beside it
CLEAR = 6.0  # pixels between a row's floor and what is written below it
APART = 30.0  # pixels between the row and who has been nearer


def draw_record(
    axes: Axes,
    record: TrackRecord,
    palette: Palette = ON_PAPER,
    *,
    most: int = LAST,
    with_words: bool = True,
) -> None:
    """Draws the last `most` boards in order of quote date, the count under them, and the misses by name.

    A board that may still land inside stands in pencil. Both ways the axes count in pixels.
    with_words: False leaves out all but the row, the numbers of the misses, and which way is which

    Raises ValueError where the axes are too low.
    """
    wide, high = size_px(axes)
    layout = _Layout(record, wide, most, with_words=with_words)
    if high < layout.high - 1e-6:
        raise ValueError(f"The figure is too low by {layout.high - high:.0f} pixels: make it higher.")
    axes.set_xlim(0, wide)
    axes.set_ylim(0, high)
    axes.set_axis_off()
    floor = _words(axes, layout, layout.heading, high, palette, bold=True) - 2
    number = 0
    for row in layout.rows:
        floor -= layout.row_px(row)
        number = _row(axes, layout, row, (floor, number), palette)
        if any(board.side for board in row):
            floor -= CLEAR + layout.line
        floor -= CLEAR
    top = floor
    if layout.sides:
        for words, at, across in zip(layout.sides, (0.0, wide), ("left", "right"), strict=True):
            place = (at, top - layout.letters)
            write(axes, place, words, layout.letters, colour=palette.ink, across=across)
        top -= layout.line + CLEAR
    for block in layout.counts:
        top = _words(axes, layout, block, top, palette)
    top -= CLEAR
    for n, block in enumerate(layout.missed, start=1):
        place = (layout.indent - CLEAR, top - layout.letters)
        write(axes, place, str(n), layout.letters, colour=palette.ink, across="right")
        top = _words(axes, layout, block, top, palette, left=layout.indent)
    _words(axes, layout, layout.still_open, top, palette, slanted=True)


class _Layout:
    """What is written and how high everything is, in pixels, from the top down."""

    def __init__(self, record: TrackRecord, wide_px: float, most: int, *, with_words: bool = True) -> None:
        self.wide = wide_px
        self.letters = letters_px(wide_px)
        self.line = 1.4 * self.letters
        boards = last_boards(record, most)
        self.heading = self._lines(heading(record, most), bold=True)
        self.tall, self.rows = in_rows(boards, wide_px)
        missed = [board for board in boards if board.side]
        self.sides = self._sides() if missed else ()
        self.counts = [in_parts(words, wide_px - 2, self.letters) for words in count_lines(record, most)]
        self.indent = width_px("20", self.letters) + CLEAR
        self.missed = [self._lines(missed_words(board), self.indent) for board in missed]
        self.still_open = self._lines(open_words(boards))
        if not with_words:
            self.heading, self.counts, self.missed, self.still_open = (), [], [], ()
        lines = sum(map(len, (self.heading, *self.counts, *self.missed, self.still_open)))
        numbered = sum(any(board.side for board in row) for row in self.rows)
        self.high = (
            self.line * (lines + numbered + bool(self.sides))
            + sum(map(self.row_px, self.rows))
            + CLEAR * (len(self.rows) + numbered + bool(self.sides) + 1)
            + 4
        )

    def row_px(self, row: Sequence[Judged]) -> float:
        """How high the boards of a row are, with some air above."""
        return (self.tall if any(not board.side for board in row) else POST_HIGH * self.tall / SLIM) + CLEAR

    def _lines(self, words: str, left: float = 0.0, *, bold: bool = False) -> tuple[str, ...]:
        """Words in lines that fit."""
        return wrapped(words, self.wide - left - 2, self.letters, bold=bold)

    def _sides(self) -> tuple[str, str]:
        """Which way is which, as long as fits."""
        ways = (("quicker than said", "took longer"), ("quicker", "longer"))
        for quicker, longer in ways:
            sides = (f"lying left: {quicker}", f"lying right: {longer}")
            if sum(width_px(words, self.letters) for words in sides) + WIDEST_GAP <= self.wide:
                return sides
        raise ValueError("The figure is too narrow for its words: give it at least 320 pixels.")


def in_rows(boards: Sequence[Judged], room_px: float) -> tuple[float, tuple[tuple[Judged, ...], ...]]:
    """How high the boards can be, in pixels, and the rows they break into, as few as let them be seen well."""
    for count in range(1, len(boards) + 1):
        for high in np.arange(TALLEST, (GOOD if count < len(boards) else 1.0) - 1e-9, -1.0):
            rows = _broken(boards, float(high), room_px)
            if len(rows) <= count:
                return float(high), rows
    return 0.0, ()


def _wide(board: Judged, high: float) -> float:
    """How much room a board takes along the row, in pixels."""
    return high + POST if board.side else high / SLIM


def _broken(boards: Sequence[Judged], high: float, room_px: float) -> tuple[tuple[Judged, ...], ...]:
    """The boards in rows, as words are in lines."""
    rows: list[list[Judged]] = []
    left = 0.0
    for board in boards:
        left -= GAP + _wide(board, high)
        if left < 0:
            rows.append([])
            left = room_px - _wide(board, high) - 2 * FIRM
        rows[-1].append(board)
    return tuple(map(tuple, rows))


def _row(
    axes: Axes, layout: _Layout, row: Sequence[Judged], start: tuple[float, int], palette: Palette
) -> int:
    """One row on its floor; start: the height of the floor, and misses before it. Returns misses up to its end."""
    floor, number = start
    axes.plot([0, layout.wide], [floor, floor], color=palette.ink, linewidth=points(FIRM))
    high, wide = layout.tall, layout.tall / SLIM
    taken = sum(_wide(board, high) for board in row) + 2 * FIRM
    gap = min((layout.wide - taken) / max(len(row) - 1, 1), WIDEST_GAP)
    left = FIRM
    for board in row:
        if not board.side:
            at = left + wide / 2
            draw_board(axes, at, floor, (wide, high), pencil=board.side is None, palette=palette)
        else:
            number += 1
            post = left + POST / 2 if board.side == 1 else left + high + POST / 2
            foot = post + board.side * POST / 2
            axes.plot(
                [post, post], [floor, floor + POST_HIGH * wide], color=palette.ink, linewidth=points(FIRM)
            )
            draw_lying(axes, foot, floor, high, board.side, palette=palette)
            place = (foot + board.side * high / 2, floor - CLEAR - layout.letters)
            write(axes, place, str(number), layout.letters, colour=palette.ink)
        left += _wide(board, high) + gap
    return number


def _words(
    axes: Axes,
    layout: _Layout,
    lines: Sequence[str],
    top: float,
    palette: Palette,
    *,
    left: float = 0.0,
    bold: bool = False,
    slanted: bool = False,
) -> float:
    """Lines of words from the top down; returns where they end."""
    for words in lines:
        place = (left, top - layout.letters)
        write(
            axes, place, words, layout.letters, colour=palette.ink, bold=bold, slanted=slanted, across="left"
        )
        top -= layout.line
    return top


def save_row(path: Place, record: TrackRecord, *, wide_px: float = 640, palette: Palette = ON_PAPER) -> None:
    """Writes the row of the last boards alone, for a page that has the words beside it."""
    layout = _Layout(record, wide_px - 2 * MARGIN, LAST, with_words=False)
    save_titled(
        path,
        lambda axes: draw_record(axes, record, palette, with_words=False),
        title="",
        says=" ".join((heading(record), *count_lines(record))),
        wide_px=wide_px,
        body_px=layout.high,
        palette=palette,
    )


def save_record(
    path: Place, record: TrackRecord, *, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the last boards and who has been nearer as .png or .svg, by the path's ending; 320 to 1200 pixels wide.

    The whole picture in words is `record_caption(record)`, and an .svg carries it.
    """
    inner = wide_px - 2 * MARGIN
    heights = [_Layout(record, inner, LAST).high]
    if nearer := nearer_px(record, inner):
        heights.append(nearer)

    def draw(whole: Axes) -> None:
        stringer(whole, palette)
        for part, axes in zip((draw_record, draw_nearer), stacked(whole, heights, APART), strict=False):
            part(axes, record, palette)

    save_titled(
        path,
        draw,
        title=record_title(record),
        says=record_caption(record),
        wide_px=wide_px,
        body_px=sum(heights) + APART * (len(heights) - 1),
        palette=palette,
    )
