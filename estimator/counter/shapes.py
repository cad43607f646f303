"""Drawings as plain shapes, and as SVG that stands within a page: presentation attributes only, no style, no script."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
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

    def svg(self) -> str:
        """The element."""
        if self.fill == "none":
            return _path(self.way(), self)
        at = " ".join(f"{_px(x)},{_px(y)}" for x, y in self.points)
        return f'<polygon points="{at}"{_stroke(self.wide, self.colour, self.broken)} fill="{self.fill}"/>'

    def way(self) -> str:
        """Where a pen goes."""
        return "M" + "L".join(f"{_px(x)} {_px(y)}" for x, y in self.points)

    def goes_on(self, before: Shape) -> bool:
        """Whether it is drawn like the shape before it, so that both are one element."""
        return (
            isinstance(before, Line) and self.fill == "none" and replace(before, points=self.points) == self
        )


@dataclass(frozen=True, slots=True)
class Curve:
    """A closed outline: a starting point, then cubic curves of three points each; `clip`: others are clipped by it."""

    start: Point
    curves: tuple[tuple[Point, Point, Point], ...]
    wide: float
    colour: str = INK
    broken: bool = False
    fill: str = PAPER

    def svg(self) -> str:
        """The element."""
        said = [f"M{_px(self.start[0])} {_px(self.start[1])}"]
        said += ["C" + " ".join(f"{_px(x)} {_px(y)}" for x, y in curve) for curve in self.curves]
        return (
            f'<path d="{"".join(said)}Z"{_stroke(self.wide, self.colour, self.broken)} fill="{self.fill}"/>'
        )


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words; across: start, middle or end."""

    at: Point
    words: str
    size: float
    across: str = "middle"
    slanted: bool = False
    colour: str = INK

    def svg(self) -> str:
        """The element."""
        slant = ' font-style="italic"' if self.slanted else ""
        place = f'x="{_px(self.at[0])}" y="{_px(self.at[1])}" font-size="{_px(self.size)}"'
        return f'<text {place} text-anchor="{self.across}" fill="{self.colour}"{slant}>{escape(self.words)}</text>'


Shape = Line | Curve | Words


@dataclass(frozen=True, slots=True)
class DrawingPart:
    """A drawing: how large it is in pixels, what it says in words, and its shapes from the back to the front."""

    says: str
    wide: float
    high: float
    shapes: tuple[Shape, ...] = field(repr=False)

    def svg(self) -> str:
        """The text of the element, which scales with its column and is never wider than it is."""
        return "".join(self._pieces())

    def _pieces(self) -> Iterator[str]:
        size = f'viewBox="0 0 {_px(self.wide)} {_px(self.high)}" width="{_px(self.wide)}" height="{_px(self.high)}"'
        yield f'<svg role="img" {size} font-family="{FACE}">'
        yield f"<title>{escape(self.says)}</title>"
        drawn: list[Shape] = []
        ways: list[str] = []
        for shape in self.shapes:
            if isinstance(shape, Line) and drawn and shape.goes_on(drawn[-1]):
                ways[-1] += shape.way()
                continue
            drawn.append(shape)
            ways.append(shape.way() if isinstance(shape, Line) and shape.fill == "none" else "")
        for shape, way in zip(drawn, ways, strict=True):
            if isinstance(shape, Line) and way:
                yield _path(way, shape)
            else:
                yield shape.svg()
        yield "</svg>"


def _path(way: str, like: Line) -> str:
    """Lines as one element."""
    return f'<path d="{way}"{_stroke(like.wide, like.colour, like.broken)} fill="none"/>'


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
