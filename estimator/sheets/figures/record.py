"""Past boards in a row, standing or lying to the side they missed; and who has been nearer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.record.backtest.track_record import JudgedBoard, TrackRecord
from estimator.said.record_scores import COUNTED
from estimator.sheets.drawing.outlines import GOOD, SLIM, draw_board, draw_lying
from estimator.sheets.drawing.style import (
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
from estimator.sheets.drawing.tape import BLANK, TAPE, lay_tape
from estimator.sheets.layouts.record import (
    AVERAGE,
    LAST,
    against,
    count_lines,
    heading,
    last_boards,
    missed_words,
    nearer_heading,
    open_words,
    record_caption,
    record_title,
    rival_words,
)

NOTCH = 10.0  # pixels: how high a notch is
HALF = 5.5  # pixels: half its width
AIR = 3.0  # pixels between a row's words and its notches
CLEAR = 8.0  # pixels between one row and the words of the next
OURS, THEIRS = "these ranges", "the other way"


class _NearerLayout:
    """What is written and how high everything is, in pixels above and below the tape's upper edge."""

    def __init__(self, record: TrackRecord, wide_px: float) -> None:
        self.wide = wide_px
        self.letters = letters_px(wide_px)
        self.line = 1.4 * self.letters
        self.rivals = against(record)
        self.heading = wrapped(nearer_heading(record), wide_px - 2, self.letters, bold=True)
        self.rows = [in_parts(rival_words(rival), wide_px - 2, self.letters) for rival in self.rivals]
        self.above = len(self.heading) * self.line + sum(map(self.row_px, range(len(self.rows)))) + CLEAR
        key = sum(width_px(words, self.letters) + 2 * HALF + CLEAR for words in (OURS, THEIRS)) + 2 * CLEAR
        self.key_beside = key + width_px(AVERAGE, self.letters) <= wide_px
        self.note = wrapped(COUNTED, wide_px - 2, self.letters)
        self.below = TAPE + CLEAR + self.line * (len(self.note) + (1 if self.key_beside else 2))

    def row_px(self, i: int) -> float:
        """The height of one row: its words, and a notch on each side of its line."""
        return len(self.rows[i]) * self.line + AIR + 2 * NOTCH + CLEAR


def nearer_px(record: TrackRecord, wide_px: float) -> float:
    """How high the drawing has to be for that width; 0 where there is nothing to draw yet."""
    if not against(record):
        return 0.0
    layout = _NearerLayout(record, wide_px)
    return layout.above + layout.below


def draw_nearer(axes: Axes, record: TrackRecord, palette: Palette = ON_PAPER) -> None:
    """Draws two notches for each other way of saying hours, on one tape: how far off it was, and how far ours.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge.

    Raises ValueError where there are too few boards for all of them, or the axes are too low.
    """
    wide, high = size_px(axes)
    layout = _NearerLayout(record, wide)
    if not layout.rivals:
        raise ValueError("There is nothing yet to hold ranges against.")
    if high < layout.above + layout.below - 1e-6:
        raise ValueError("The figure is too low for who has been nearer: make it higher.")
    right = 1.04 * max(max(rival.crps, rival.ours, 1.0) for rival in layout.rivals)
    left = -right * (BLANK + 2) / (wide - BLANK - 2)
    each = (right - left) / wide  # hours for one pixel
    axes.set_xlim(left, right)
    axes.set_ylim(-layout.below, high - layout.below)
    lay_tape(axes, AVERAGE, layout.letters, palette, whole=True)
    foot = -layout.below + 0.4 * layout.letters
    for n, words in enumerate(reversed(layout.note)):
        write(axes, (left, foot + n * layout.line), words, layout.letters, colour=palette.ink, across="left")
    foot += len(layout.note) * layout.line
    unit_at = foot + (0 if layout.key_beside else layout.line)
    axes.xaxis.set_label_coords(right, unit_at, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    top = high - layout.below
    for n, words in enumerate(layout.heading, start=1):
        place = (left, top - n * layout.line + 0.4 * layout.letters)
        write(axes, place, words, layout.letters, colour=palette.ink, bold=True, across="left")
    top -= len(layout.heading) * layout.line
    for i, rival in enumerate(layout.rivals):
        for n, words in enumerate(layout.rows[i], start=1):
            place = (left, top - n * layout.line + 0.4 * layout.letters)
            write(axes, place, words, layout.letters, colour=palette.ink, across="left")
        level = top - len(layout.rows[i]) * layout.line - NOTCH - AIR
        axes.plot([rival.ours, rival.crps], [level, level], color=palette.ink, linewidth=points(FIRM))
        _notch(axes, rival.ours, level, each, palette, ours=True)
        _notch(axes, rival.crps, level, each, palette, ours=False)
        top -= layout.row_px(i)
    _key(axes, layout, left, each, foot, palette)


def _notch(axes: Axes, at: float, level: float, each: float, palette: Palette, *, ours: bool) -> None:
    """Ours points down and is filled, theirs points up and is hollow."""
    back = level + (NOTCH if ours else -NOTCH)
    corners = [(at, level), (at - HALF * each, back), (at + HALF * each, back)]
    axes.add_patch(
        Polygon(
            corners,
            facecolor=palette.ink if ours else palette.paper,
            edgecolor=palette.ink,
            linewidth=points(FIRM if not ours else 0),
            joinstyle="miter",
            zorder=3,
            label=f"_{'ours' if ours else 'theirs'}",
        )
    )


def _key(
    axes: Axes, layout: _NearerLayout, left: float, each: float, baseline: float, palette: Palette
) -> None:
    """Which notch is whose."""
    at = left
    for words, ours in ((OURS, True), (THEIRS, False)):
        level = baseline + (0 if ours else NOTCH)
        _notch(axes, at + (HALF + 1) * each, level, each, palette, ours=ours)
        at += (2 * HALF + CLEAR) * each
        write(axes, (at, baseline), words, layout.letters, colour=palette.ink, across="left")
        at += (width_px(words, layout.letters) + 2 * CLEAR) * each


TALLEST = 96.0  # pixels: no board is drawn higher
GAP, WIDEST_GAP = 4.0, 16.0  # pixels between boards side by side: least, most
POST = 5.0  # pixels kept for the post that shows where a lying board stood
POST_HIGH = 1.6  # times as high as the board that lies beside it
BELOW_ROW = 6.0  # pixels between a row's floor and what is written below it
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
    layout = _RecordLayout(record, wide, most, with_words=with_words)
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
            floor -= BELOW_ROW + layout.line
        floor -= BELOW_ROW
    top = floor
    if layout.sides:
        for words, at, across in zip(layout.sides, (0.0, wide), ("left", "right"), strict=True):
            place = (at, top - layout.letters)
            write(axes, place, words, layout.letters, colour=palette.ink, across=across)
        top -= layout.line + BELOW_ROW
    for block in layout.counts:
        top = _words(axes, layout, block, top, palette)
    top -= BELOW_ROW
    for n, block in enumerate(layout.missed, start=1):
        place = (layout.indent - BELOW_ROW, top - layout.letters)
        write(axes, place, str(n), layout.letters, colour=palette.ink, across="right")
        top = _words(axes, layout, block, top, palette, left=layout.indent)
    _words(axes, layout, layout.still_open, top, palette, slanted=True)


class _RecordLayout:
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
        self.indent = width_px("20", self.letters) + BELOW_ROW
        self.missed = [self._lines(missed_words(board), self.indent) for board in missed]
        self.still_open = self._lines(open_words(boards))
        if not with_words:
            self.heading, self.counts, self.missed, self.still_open = (), [], [], ()
        lines = sum(map(len, (self.heading, *self.counts, *self.missed, self.still_open)))
        numbered = sum(any(board.side for board in row) for row in self.rows)
        self.high = (
            self.line * (lines + numbered + bool(self.sides))
            + sum(map(self.row_px, self.rows))
            + BELOW_ROW * (len(self.rows) + numbered + bool(self.sides) + 1)
            + 4
        )

    def row_px(self, row: Sequence[JudgedBoard]) -> float:
        """How high the boards of a row are, with some air above."""
        return (
            self.tall if any(not board.side for board in row) else POST_HIGH * self.tall / SLIM
        ) + BELOW_ROW

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


def in_rows(
    boards: Sequence[JudgedBoard], room_px: float
) -> tuple[float, tuple[tuple[JudgedBoard, ...], ...]]:
    """How high the boards can be, in pixels, and the rows they break into, as few as let them be seen well."""
    for count in range(1, len(boards) + 1):
        for high in np.arange(TALLEST, (GOOD if count < len(boards) else 1.0) - 1e-9, -1.0):
            rows = _broken(boards, float(high), room_px)
            if len(rows) <= count:
                return float(high), rows
    return 0.0, ()


def _wide(board: JudgedBoard, high: float) -> float:
    """How much room a board takes along the row, in pixels."""
    return high + POST if board.side else high / SLIM


def _broken(
    boards: Sequence[JudgedBoard], high: float, room_px: float
) -> tuple[tuple[JudgedBoard, ...], ...]:
    """The boards in rows, as words are in lines."""
    rows: list[list[JudgedBoard]] = []
    left = 0.0
    for board in boards:
        left -= GAP + _wide(board, high)
        if left < 0:
            rows.append([])
            left = room_px - _wide(board, high) - 2 * FIRM
        rows[-1].append(board)
    return tuple(map(tuple, rows))


def _row(
    axes: Axes, layout: _RecordLayout, row: Sequence[JudgedBoard], start: tuple[float, int], palette: Palette
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
            place = (foot + board.side * high / 2, floor - BELOW_ROW - layout.letters)
            write(axes, place, str(number), layout.letters, colour=palette.ink)
        left += _wide(board, high) + gap
    return number


def _words(
    axes: Axes,
    layout: _RecordLayout,
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
    layout = _RecordLayout(record, wide_px - 2 * MARGIN, LAST, with_words=False)
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
    heights = [_RecordLayout(record, inner, LAST).high]
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
