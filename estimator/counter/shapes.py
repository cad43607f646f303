"""Drawings as plain shapes, and as SVG that stands within a page: presentation attributes only, no style, no script."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain
from xml.sax.saxutils import escape

PAPER, INK, PENCIL = (
    "#F5F0E3",
    "#1E1B16",
    "#57524A",
)  # the page's style sheet gives them its own where it must
FACE = "Bitter, serif"
BROKEN = "5 2"  # pixels of line and of gap
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points, in pixels from the top left; closed and filled with paper or ink where it says so."""

    points: tuple[Point, ...]
    wide: float
    colour: str = INK
    broken: bool = False
    fill: str = "none"

    def way(self) -> str:
        """Where a pen goes."""
        return _way(self.points, "l") + ("z" if self.fill != "none" else "")

    def like(self) -> str:
        """How it is drawn, as attributes."""
        return f'{_stroke(self.wide, self.colour, self.broken)} fill="{self.fill}"'


@dataclass(frozen=True, slots=True)
class Curve:
    """A closed outline: a starting point, then cubic curves of three points each; `clip`: others are clipped by it."""

    start: Point
    curves: tuple[tuple[Point, Point, Point], ...]
    wide: float
    colour: str = INK
    broken: bool = False
    fill: str = PAPER

    def way(self) -> str:
        """Where a pen goes."""
        return _way([self.start, *chain.from_iterable(self.curves)], "c", 3) + "z"

    def like(self) -> str:
        """How it is drawn, as attributes."""
        return f'{_stroke(self.wide, self.colour, self.broken)} fill="{self.fill}"'


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words; across: start, middle or end."""

    at: Point
    words: str
    size: float
    across: str = "middle"
    slanted: bool = False
    colour: str = INK

    def svg(self, size: float) -> str:
        """The element, within a drawing whose words stand in the middle of their places and are so large."""
        said = f'x="{_px(self.at[0])}" y="{_px(self.at[1])}" fill="{self.colour}"'
        said += f' font-size="{_px(self.size)}"' if self.size != size else ""
        said += f' text-anchor="{self.across}"' if self.across != "middle" else ""
        said += ' font-style="italic"' if self.slanted else ""
        return f"<text {said}>{escape(self.words)}</text>"


Shape = Line | Curve | Words


@dataclass(frozen=True, slots=True)
class DrawingPart:
    """A drawing: how large it is in pixels, what it says in words, and its shapes from the back to the front.

    Words lie before all else, and what is filled does not lie over what is filled alike.
    """

    says: str
    wide: float
    high: float
    shapes: tuple[Shape, ...] = field(repr=False)

    def svg(self) -> str:
        """The text of the element, which scales with its column and is never wider than it is."""
        return "".join(self._pieces())

    def _pieces(self) -> Iterator[str]:
        words = [shape for shape in self.shapes if isinstance(shape, Words)]
        size = max([one.size for one in words], key=[one.size for one in words].count, default=0.0)
        box = f'viewBox="0 0 {_px(self.wide)} {_px(self.high)}" width="{_px(self.wide)}" height="{_px(self.high)}"'
        letters = f'font-family="{FACE}" font-size="{_px(size)}" text-anchor="middle"'
        yield f'<svg role="img" {box} {letters}>'
        yield f"<title>{escape(self.says)}</title>"
        # what is drawn alike is one element, as far as nothing filled comes between
        ways: dict[str, str] = {}
        for shape in self.shapes:
            if isinstance(shape, Words):
                continue
            like = shape.like()
            if shape.fill != "none" and like not in ways:
                yield from _paths(ways)
                ways = {}
            ways[like] = ways.get(like, "") + shape.way()
        yield from _paths(ways)
        for one in words:
            yield one.svg(size)
        yield "</svg>"


def _paths(ways: Mapping[str, str]) -> Iterator[str]:
    """An element for each kind of line."""
    for like, way in ways.items():
        yield f'<path d="{way}"{like}/>'


def _way(points: Sequence[Point], letter: str, most: int = 1) -> str:
    """A pen's way through points, each said by how far it lies from the one before, to the tenth of a pixel.

    most: so many points are said from one place

    >>> _way([(1.0, 2.0), (4.0, 1.5), (4.0, 2.04)], "l")
    'M1 2l3-.5 0 .5'
    """
    tenths = [(round(x * 10), round(y * 10)) for x, y in points]
    (here_x, here_y), *rest = tenths
    said = []
    for n, (x, y) in enumerate(rest, start=1):
        said += [x - here_x, y - here_y]
        if n % most == 0:
            here_x, here_y = x, y
    return f"M{_tidy(tenths[0])}{letter}{_tidy(said)}"


def _tidy(tenths: Sequence[int]) -> str:
    """Numbers of a pen's way, as short as can be."""
    said = ""
    for one in tenths:
        text = f"{one / 10:g}".replace("0.", ".") if abs(one) < 10 else f"{one / 10:.10g}"
        said += text if not said or text.startswith("-") else f" {text}"
    return said


def _px(at: float) -> str:
    """Pixels to the tenth, as short as can be.

    >>> _px(3.04), _px(0.96), _px(-0.01)
    ('3', '1', '0')
    """
    return f"{round(at, 1) + 0.0:g}" if abs(at) < 1e5 else f"{at:.0f}"


def _stroke(wide: float, colour: str, broken: bool) -> str:
    """The attributes of a line."""
    if not wide:
        return ""
    dashes = f' stroke-dasharray="{BROKEN}"' if broken else ""
    return f' stroke="{colour}" stroke-width="{_px(wide)}"{dashes}'
