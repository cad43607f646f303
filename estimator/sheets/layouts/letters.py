"""How wide our own letters are, where lines of words break, and lines in more than one hand.

matplotlib is loaded when letters are measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.font_manager import FontProperties

FONTS = Path(__file__).with_name("fonts")  # Bitter, a slab serif; its licence, OFL.txt, lies beside it
PX_PER_INCH = 96
NARROW = 560  # pixels: figures below it have smaller letters


def points(px: float) -> float:
    """Pixels as points, which matplotlib counts in.

    >>> points(16)
    12.0
    """
    return px * 72 / PX_PER_INCH


def letters_px(wide_px: float) -> float:
    """The size of ordinary words in a figure of that width, in pixels.

    >>> letters_px(320), letters_px(1200)
    (14.0, 16.0)
    """
    return 14.0 if wide_px < NARROW else 16.0


@lru_cache(maxsize=64)
def lettering(size_px: float, *, slanted: bool = False, bold: bool = False) -> FontProperties:
    """Our own letters at a size in pixels, straight from our files: nothing is registered with matplotlib.

    >>> lettering(16, slanted=True).get_file().endswith("Bitter-Italic.ttf")
    True
    """
    cut = {
        (False, False): "Regular",
        (True, False): "Italic",
        (False, True): "Bold",
        (True, True): "BoldItalic",
    }
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=str(FONTS / f"Bitter-{cut[slanted, bold]}.ttf"), size=points(size_px))


@lru_cache(maxsize=4096)
def width_px(words: str, size_px: float, *, slanted: bool = False, bold: bool = False) -> float:
    """How wide one line of words is, in pixels.

    >>> width_px("you said 52", 32) == 2 * width_px("you said 52", 16)
    True
    """
    from matplotlib.textpath import text_to_path

    letters = lettering(size_px, slanted=slanted, bold=bold)
    across, _, _ = text_to_path.get_text_width_height_descent(words, letters, ismath=False)
    return float(across) * PX_PER_INCH / 72


def wrapped(words: str, room_px: float, size_px: float, *, bold: bool = False) -> tuple[str, ...]:
    """The words in lines no wider than the room; a word longer than a line is cut.

    >>> wrapped("half take longer than 66", 100, 16)
    ('half take', 'longer than', '66')
    """
    lines: list[str] = []
    for word in words.split():
        rest = word
        if lines and width_px(f"{lines[-1]} {rest}", size_px, bold=bold) <= room_px:
            lines[-1] += f" {rest}"
            continue
        while (fits := _letters_that_fit(rest, room_px, size_px, bold)) < len(rest):
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return tuple(lines)


def in_parts(words: str, room_px: float, size_px: float) -> tuple[str, ...]:
    """The words in one line, or else each part up to a semicolon on its own, and then up to a colon.

    >>> in_parts("16 of 20 landed inside; luck alone allows 12 to 19.", 300, 14)
    ('16 of 20 landed inside;', 'luck alone allows 12 to 19.')
    """
    for mark in (";", ":"):
        first, found, rest = words.partition(f"{mark} ")
        if found and width_px(words, size_px) > room_px:
            return (*in_parts(first + mark, room_px, size_px), *in_parts(rest, room_px, size_px))
    return wrapped(words, room_px, size_px)


def _letters_that_fit(word: str, room_px: float, size_px: float, bold: bool) -> int:
    """How many of a word's letters go into the room; always one."""
    return next((n for n in range(len(word), 1, -1) if width_px(word[:n], size_px, bold=bold) <= room_px), 1)


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
