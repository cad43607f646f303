"""Words in more than one hand on a line: what is guessed slanted beside what was said upright."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from estimator.sheets.layouts.letters import width_px, wrapped

SPACE = 0.27  # of the size of the letters: between two hands


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one hand. accent: in red oxide, which is for whom to ring and for a mistake alone."""

    words: str
    slanted: bool = False
    bold: bool = False
    accent: bool = False


Line = tuple[Run, ...]


def line_px(line: Line, size_px: float) -> float:
    """How wide a line is, in pixels."""
    wide = sum(width_px(run.words, size_px, slanted=run.slanted, bold=run.bold) for run in line)
    return wide + SPACE * size_px * max(len(line) - 1, 0)


def set_lines(parts: Sequence[Line], room_px: float, size_px: float) -> tuple[Line, ...]:
    """The parts in lines no wider than the room.

    A part that does not fit any more begins a line; one that no line holds is broken between hands, then words.

    >>> parts = [(Run("by 20 June:"), Run("7 times in 10;", slanted=True)), (Run("by 1 July: 9 times in 10"),)]
    >>> [" ".join(run.words for run in line) for line in set_lines(parts, 200, 14)]
    ['by 20 June: 7 times in 10;', 'by 1 July: 9 times in 10']
    """
    lines: list[Line] = []
    for part in parts:
        if lines and line_px(joined := _joined(lines[-1], part), size_px) <= room_px:
            lines[-1] = joined
        elif line_px(part, size_px) <= room_px or (pieces := _pieces(part, room_px, size_px)) == [part]:
            lines.append(part)
        else:
            lines += set_lines(pieces, room_px, size_px)
    return tuple(lines)


def _pieces(part: Line, room_px: float, size_px: float) -> list[Line]:
    """A part in its hands, or one hand in its words, each cut where it is longer than a line."""
    if len(part) > 1:
        return [(run,) for run in part]
    (run,) = part
    return [
        (replace(run, words=piece),)
        for word in run.words.split()
        for piece in wrapped(word, room_px, size_px, bold=run.bold)
    ]


def _joined(line: Line, more: Line) -> Line:
    """One line after another, as one run where the hand stays the same."""
    last, first = line[-1], more[0]
    if replace(last, words=first.words) != first:
        return line + more
    return (*line[:-1], replace(last, words=f"{last.words} {first.words}"), *more[1:])
