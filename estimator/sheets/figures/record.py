"""Past boards in a row, standing or lying to the side they missed; and who has been nearer."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.record.backtest.track_record import JudgedBoard, TrackRecord
from estimator.sheets.drawing.outlines import draw_board, draw_lying
from estimator.sheets.drawing.style import (
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    stacked,
    stringer,
    write,
)
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import points, width_px
from estimator.sheets.layouts.record import (
    AIR,
    AVERAGE,
    BELOW_ROW,
    CLEAR,
    HALF,
    LAST,
    NOTCH,
    OURS,
    POST,
    POST_HIGH,
    THEIRS,
    WIDEST_GAP,
    NearerLayout,
    RecordLayout,
    against,
    board_px,
    count_lines,
    heading,
    record_caption,
    record_title,
)
from estimator.sheets.layouts.standing import SLIM
from estimator.sheets.layouts.tape import FIRM


def nearer_px(record: TrackRecord, wide_px: float) -> float:
    """How high the drawing has to be for that width; 0 where there is nothing to draw yet."""
    if not against(record):
        return 0.0
    layout = NearerLayout(record, wide_px)
    return layout.above + layout.below


def draw_nearer(axes: Axes, record: TrackRecord, palette: Palette = ON_PAPER) -> None:
    """Draws two notches for each other way of saying hours, on one tape: how far off it was, and how far ours.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge.

    Raises ValueError where there are too few boards for all of them, or the axes are too low.
    """
    wide, high = size_px(axes)
    layout = NearerLayout(record, wide)
    if not layout.rivals:
        raise ValueError("There is nothing yet to hold ranges against.")
    if high < layout.above + layout.below - 1e-6:
        raise ValueError("The figure is too low for who has been nearer: make it higher.")
    left, right = layout.left, layout.right
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
        axes.plot([rival.our_off, rival.off], [level, level], color=palette.ink, linewidth=points(FIRM))
        _notch(axes, rival.our_off, level, each, palette, ours=True)
        _notch(axes, rival.off, level, each, palette, ours=False)
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
    axes: Axes, layout: NearerLayout, left: float, each: float, baseline: float, palette: Palette
) -> None:
    """Which notch is whose."""
    at = left
    for words, ours in ((OURS, True), (THEIRS, False)):
        level = baseline + (0 if ours else NOTCH)
        _notch(axes, at + (HALF + 1) * each, level, each, palette, ours=ours)
        at += (2 * HALF + CLEAR) * each
        write(axes, (at, baseline), words, layout.letters, colour=palette.ink, across="left")
        at += (width_px(words, layout.letters) + 2 * CLEAR) * each


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
    layout = RecordLayout(record, wide, most, with_words=with_words)
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


def _row(
    axes: Axes, layout: RecordLayout, row: Sequence[JudgedBoard], start: tuple[float, int], palette: Palette
) -> int:
    """One row on its floor; start: the height of the floor, and misses before it. Returns misses up to its end."""
    floor, number = start
    axes.plot([0, layout.wide], [floor, floor], color=palette.ink, linewidth=points(FIRM))
    high, wide = layout.tall, layout.tall / SLIM
    taken = sum(board_px(board, high) for board in row) + 2 * FIRM
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
        left += board_px(board, high) + gap
    return number


def _words(
    axes: Axes,
    layout: RecordLayout,
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
    layout = RecordLayout(record, wide_px - 2 * MARGIN, LAST, with_words=False)
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
    heights = [RecordLayout(record, inner, LAST).high]
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
