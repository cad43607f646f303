"""What made boards go over: pieces of one batten laid end to end, with their sawn lengths written on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.decide.overruns.parts import PARTS
from estimator.decide.overruns.story import part_words, parts_story, shown_over
from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, save_titled, size_px, write
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import letters_px, points, width_px, wrapped
from estimator.sheets.layouts.tape import FIRM, TAPE, THIN
from estimator.words.phrases import say_middle, say_shown, shown_to_add_up

THICK = 22.0  # pixels: a batten lying flat
APART = 10.0  # pixels between one piece and the next
CLEAR = 6.0  # pixels between a piece and its words
SEEN = 0.75  # of the pieces' length: how much of what was said is seen before them
TEETH = (0.0, 4.0, -2.0, 3.0, -3.0, 1.0)  # pixels: where a batten is broken off, because it goes on


@dataclass(frozen=True, slots=True)
class Batten:
    """What was said and what it took, in hours, and the pieces between: hours by part, which sum to the difference."""

    said: float
    took: float
    hours: Mapping[str, float]
    going: str = "this board going"

    @property
    def pieces(self) -> tuple[tuple[str, float, str], ...]:
        """Each piece's part, its hours and what is written on it; pieces too short to be shown are left out.

        >>> [words for *_, words in Batten(52, 71, {"guess": 9, "hidden": 12, "asked_later": 0, "pace": -2}).pieces]
        ['9 in the guess', '12 hidden work', '2 off: this board going quicker']
        """
        over = shown_over(self.took, self.said)
        shown = shown_to_add_up([self.hours[part] for part in PARTS], over)
        return tuple(
            (
                part,
                self.hours[part],
                f"{say_shown(at)} {'off: ' if at < 0 else ''}{part_words(part, at, self.going)}",
            )
            for part, at in zip(PARTS, shown, strict=True)
            if at
        )

    @property
    def sentence(self) -> str:
        """What there is to see."""
        over = shown_over(self.took, self.said)
        return (
            f"You said {say_middle(self.said)} hours; it came to {say_middle(self.took)}. "
            f"{parts_story(self.hours, over, going=self.going)}"
        )


@dataclass(frozen=True, slots=True)
class _OverrunRow:
    """One batten: from where to where in hours, its words, and how it is drawn."""

    start: float
    end: float
    words: str
    part: str = ""


def _rows(batten: Batten) -> list[_OverrunRow]:
    """What was said, each piece laid on where the last one ended, and what it came to."""
    rows, at = [_OverrunRow(0.0, batten.said, f"you said {say_middle(batten.said)}")], batten.said
    for part, hours, words in batten.pieces:
        rows.append(_OverrunRow(at, at + hours, words, part))
        at += hours
    return [*rows, _OverrunRow(0.0, batten.took, f"it came to {say_middle(batten.took)}")]


def _ends(rows: Sequence[_OverrunRow], wide_px: float) -> tuple[float, float]:
    """The hours at the left and the right edge: the pieces, and as much of what was said as gives them a beginning."""
    places = [row.end for row in rows]
    length = max(max(places) - min(places), max(places) * 0.05)
    left, right = min(places) - SEEN * length, max(places) + 0.06 * length
    return (-right * 12 / wide_px, right) if left < 0.15 * right else (left, right)


def _words(row: _OverrunRow, ends: tuple[float, float], wide: float) -> tuple[tuple[str, ...], float, str]:
    """A row's words in lines, where they begin or end in pixels, and to which side they are set."""
    letters = letters_px(wide)
    low, high = ((at - ends[0]) / (ends[1] - ends[0]) * wide for at in sorted((row.start, row.end)))
    low = max(low, 0.0)
    if not row.part and width_px(row.words, letters) + 3 * CLEAR <= high - low:
        return (row.words,), high - 2 * CLEAR, "right"
    right, left = wide - high - 2 * CLEAR, low - 2 * CLEAR
    if right >= min(left, width_px(row.words, letters)):
        return wrapped(row.words, right, letters), high + CLEAR, "left"
    return wrapped(row.words, left, letters), low - CLEAR, "right"


def _heights(rows: Sequence[_OverrunRow], wide: float) -> list[float]:
    """Each row's height in pixels."""
    letters, ends = letters_px(wide), _ends(rows, wide)
    return [max(THICK, 1.25 * letters * len(_words(row, ends, wide)[0])) + APART for row in rows]


def _below_px(letters: float) -> float:
    """The height of the tape and the words below it."""
    return TAPE + 1.7 * letters


def draw_overrun(axes: Axes, batten: Batten, palette: Palette = ON_PAPER) -> None:
    """Draws what was said, the pieces that came on top or off again, end to end, and what it came to, over one tape.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge. What is sawn off is hatched
    and goes back; what was asked for since has scribed lines.

    Raises ValueError where the axes are too low.
    """
    wide, high = size_px(axes)
    letters, rows = letters_px(wide), _rows(batten)
    ends, heights, below = _ends(rows, wide), _heights(rows, wide), _below_px(letters)
    if high < below + sum(heights) - 1e-6:
        raise ValueError("The figure is too low for its pieces: make it higher.")
    axes.set_xlim(*ends)
    axes.set_ylim(-below, high - below)
    lay_tape(axes, "hours", letters, palette, whole=ends[0] < 0)
    axes.xaxis.set_label_coords(ends[1], -TAPE - 1.3 * letters, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    each = (ends[1] - ends[0]) / wide
    top, middles = high - below, []
    for row, height in zip(rows, heights, strict=True):
        middles.append(top - height / 2)
        _piece(axes, row, middles[-1], each, palette)
        lines, at, side = _words(row, ends, wide)
        for n, words in enumerate(lines):
            foot = middles[-1] + (len(lines) / 2 - n - 0.5) * 1.25 * letters - 0.36 * letters
            write(axes, (ends[0] + at * each, foot), words, letters, colour=palette.ink, across=side)
        top -= height
    for (row, middle), (_, lower) in pairwise(zip(rows, middles, strict=True)):
        cut = [middle - THICK / 2, lower + THICK / 2]
        axes.plot([row.end] * 2, cut, color=palette.pencil, linewidth=points(THIN))


def _piece(axes: Axes, row: _OverrunRow, middle: float, each: float, palette: Palette) -> None:
    """One batten lying flat; broken off at the left edge where it begins before it."""
    left = axes.get_xlim()[0]
    low, high = sorted((row.start, row.end))
    upper, lower = middle + THICK / 2, middle - THICK / 2
    edge = [(low, upper), (low, lower)]
    if low < left:
        step = THICK / (len(TEETH) - 1)
        edge = [(left + (4 + tooth) * each, upper - n * step) for n, tooth in enumerate(TEETH)]
    off = bool(row.part) and row.end < row.start
    shape = Polygon(
        [*edge, (high, lower), (high, upper)],
        facecolor="none",
        edgecolor=palette.ink,
        linewidth=points(FIRM),
        hatch="////" if off else None,
    )
    axes.add_patch(shape)
    if row.part == "asked_later":
        for part in (0.32, 0.68):
            level = lower + part * THICK
            axes.plot([low, high], [level, level], color=palette.ink, linewidth=points(THIN))


def save_overrun(
    path: Path, batten: Batten, *, title: str, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the batten under a title as .png or .svg, by the path's ending."""
    inner = wide_px - 2 * MARGIN
    save_titled(
        path,
        lambda axes: draw_overrun(axes, batten, palette),
        title=title,
        says=batten.sentence,
        wide_px=wide_px,
        body_px=_below_px(letters_px(inner)) + sum(_heights(_rows(batten), inner)),
        palette=palette,
    )
