"""Who has been nearer: on one tape of hours how far off each other way of saying hours was, and how far ours."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.record.track_record import TrackRecord
from estimator.sheets.record_drawing import AVERAGE, COUNTED, against, nearer_heading, rival_words
from estimator.sheets.style import (
    FIRM,
    ON_PAPER,
    Palette,
    in_parts,
    letters_px,
    points,
    size_px,
    width_px,
    wrapped,
    write,
)
from estimator.sheets.tape import BLANK, TAPE, lay_tape

NOTCH = 10.0  # pixels: how high a notch is
HALF = 5.5  # pixels: half its width
AIR = 3.0  # pixels between a row's words and its notches
CLEAR = 8.0  # pixels between one row and the words of the next
OURS, THEIRS = "these ranges", "the other way"


class _Layout:
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
    layout = _Layout(record, wide_px)
    return layout.above + layout.below


def draw_nearer(axes: Axes, record: TrackRecord, palette: Palette = ON_PAPER) -> None:
    """Draws two notches for each other way of saying hours, on one tape: how far off it was, and how far ours.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge.

    Raises ValueError where there are too few boards for all of them, or the axes are too low.
    """
    wide, high = size_px(axes)
    layout = _Layout(record, wide)
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


def _key(axes: Axes, layout: _Layout, left: float, each: float, baseline: float, palette: Palette) -> None:
    """Which notch is whose."""
    at = left
    for words, ours in ((OURS, True), (THEIRS, False)):
        level = baseline + (0 if ours else NOTCH)
        _notch(axes, at + (HALF + 1) * each, level, each, palette, ours=ours)
        at += (2 * HALF + CLEAR) * each
        write(axes, (at, baseline), words, layout.letters, colour=palette.ink, across="left")
        at += (width_px(words, layout.letters) + 2 * CLEAR) * each
