"""The stages of one board in order of work, each a bracket with a tick at its middle, on one tape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.axes import Axes

from estimator.forecast.ranges import INK_FROM, Range
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, save_titled, size_px, write
from estimator.sheets.drawing.tape import END, draw_bracket, lay_tape
from estimator.sheets.layouts.letters import letters_px, points, width_px, wrapped
from estimator.sheets.layouts.tape import BLANK, TAPE, in_quarters
from estimator.words.phrases import round_hours, say_middle
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage of one board, in hours. A done stage took what is `so_far`, and its range is not shown."""

    label: str
    low: float
    likely: float
    high: float
    so_far: float = 0.0
    done: bool = False
    pencil: bool = False

    @property
    def words(self) -> str:
        """What stands on its bracket.

        >>> StageRow("Strip", 5.2, 8, 12.7, so_far=3).words, StageRow("Strip", 9, 9, 9, 9, done=True).words
        ('Strip 5 to 13, 3 so far', 'Strip 9, done')
        """
        if self.done:
            return f"{self.label} {say_middle(self.so_far)}, done"
        ends = [_short(self.low), _short(self.high)]
        about = "" if round_hours(self.high) == 0 else "about "
        hours = " to ".join(ends) if ends[0] != ends[1] else f"{about}{ends[0]}"
        return f"{self.label} {hours}" + (f", {say_middle(self.so_far)} so far" if self.so_far else "")


def stage_rows(answer: Range, settings: Settings) -> tuple[StageRow, ...]:
    """The rows of all stages that take time, in the order of the answer, which is that of the work."""
    return tuple(
        StageRow(
            settings.label(s.stage),
            s.low,
            s.likely,
            s.high,
            s.so_far,
            s.done,
            pencil=answer.boards < INK_FROM and not s.done,
        )
        for s in answer.stages
        if s.high > 0 or s.so_far > 0
    )


def _short(hours: float) -> str:
    """Hours as shown, without the word.

    >>> _short(0.1), _short(4.4), _short(23.6), _short(66)
    ('under ½', '4½', '24', '65')
    """
    return in_quarters(round_hours(hours)) if round_hours(hours) or not hours else "under ½"


def _row_px(lines: Sequence[str], letters: float) -> float:
    """The height of one stage: its words and its bracket."""
    return 1.4 * letters * len(lines) + 2 * END + 9


def _words(rows: Sequence[StageRow], wide_px: float) -> list[tuple[str, ...]]:
    """The words of each row in lines that fit."""
    return [wrapped(row.words, wide_px - 4, letters_px(wide_px)) for row in rows]


def _below_px(letters: float) -> float:
    """The height of the tape and the words below it."""
    return TAPE + 1.7 * letters


def draw_stages(axes: Axes, rows: Sequence[StageRow], palette: Palette = ON_PAPER) -> None:
    """Draws a bracket with a tick at its middle for each stage, in order of work, on one tape.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge.

    Raises ValueError where there is no stage, or the axes are too low.
    """
    if not rows:
        raise ValueError("There is no stage to draw.")
    wide, high = size_px(axes)
    letters = letters_px(wide)
    below, words = _below_px(letters), _words(rows, wide)
    if high < below + sum(_row_px(lines, letters) for lines in words) - 1e-6:
        raise ValueError(f"The figure is too low for {len(rows)} stages: make it higher.")
    end = max(max(row.so_far if row.done else row.high, row.so_far) for row in rows) or 1.0
    right = max(end, 1.0) * 1.04
    left = -right * (BLANK + 2) / (wide - BLANK - 2)
    axes.set_xlim(left, right)
    axes.set_ylim(-below, high - below)
    guessed = any(row.pencil for row in rows)
    lay_tape(axes, "hours; broken lines are guessed" if guessed else "hours", letters, palette, whole=True)
    axes.xaxis.set_label_coords(right, -TAPE - 1.3 * letters, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    each = (right - left) / wide  # hours for one pixel
    top = high - below
    for row, lines in zip(rows, words, strict=True):
        level = top - _row_px(lines, letters) + END + 8
        _stage(axes, row, level, palette)
        longest = max(width_px(line, letters, slanted=row.pencil) for line in lines)
        at = max(min(row.so_far if row.done else row.low, right - (longest + 2) * each), left)
        for n, line in enumerate(reversed(lines)):
            place = (at, level + END + 5 + n * 1.4 * letters)
            write(axes, place, line, letters, colour=palette.ink, slanted=row.pencil, across="left")
        top -= _row_px(lines, letters)


def _stage(axes: Axes, row: StageRow, level: float, palette: Palette) -> None:
    """One bracket: broken where guessed, a single stroke where done; hours so far are a firm stroke on it."""
    if row.done or row.so_far:
        ends = [level - END, level + END]
        axes.plot([row.so_far] * 2, ends, color=palette.ink, linewidth=points(2.5), solid_capstyle="butt")
    if row.done:
        return
    draw_bracket(axes, (row.low, row.likely, row.high), level, pencil=row.pencil, palette=palette)


def save_stages(
    path: Path, rows: Sequence[StageRow], *, title: str, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the stages under a title as .png or .svg, by the path's ending."""
    inner = wide_px - 2 * MARGIN
    letters = letters_px(inner)
    words = "; ".join(row.words + (" (guessed)" if row.pencil else "") for row in rows)
    save_titled(
        path,
        lambda axes: draw_stages(axes, rows, palette),
        title=title,
        says=f"Hours by stage, in order of work: {words}.",
        wide_px=wide_px,
        body_px=_below_px(letters) + sum(_row_px(lines, letters) for lines in _words(rows, inner)),
        palette=palette,
    )
