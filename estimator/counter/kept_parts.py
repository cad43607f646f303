"""Parts of an answer as JSON text, and back: what the worker leaves for the server, and nothing that could run."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from estimator.counter.shapes import Curve, DrawingPart, Line, Shape, Words
from estimator.said.parts import Heading, Part, Table
from estimator.words.actions import Action, Value

PagePart = Part | DrawingPart
SHAPES: Mapping[str, type[Line | Curve | Words]] = {"line": Line, "curve": Curve, "words": Words}
NAMES = {kind: name for name, kind in SHAPES.items()}


def parts_to_json(parts: Iterable[PagePart]) -> list[Any]:
    """The parts as lists and texts.

    >>> parts_to_json(["One.", Heading("Two", 1)])
    ['One.', ['heading', 'Two', 1]]
    """
    return [_plain(part) for part in parts]


def _plain(part: PagePart) -> Any:
    if isinstance(part, str):
        return part
    if isinstance(part, Heading):
        return ["heading", part.text, part.level]
    if isinstance(part, Action):
        return ["action", part.verb, part.board, {name: _value(value) for name, value in part.fields.items()}]
    if isinstance(part, Table):
        rest = [part.head, part.rows, part.right, part.guessed, part.total, part.boards]
        return ["table", *rest]
    shapes = [[NAMES[type(shape)], *_numbers(shape)] for shape in part.shapes]
    return ["drawing", part.says, round(part.wide, 1), round(part.high, 1), shapes]


def _value(value: Value) -> Any:
    return dict(value) if isinstance(value, Mapping) else list(value) if isinstance(value, tuple) else value


def _numbers(shape: Shape) -> list[Any]:
    if isinstance(shape, Line):
        return [_at(shape.points), shape.wide, shape.colour, shape.broken, shape.fill]
    if isinstance(shape, Curve):
        curves = [_at(curve) for curve in shape.curves]
        return [_at([shape.start])[0], curves, shape.wide, shape.colour, shape.broken, shape.fill]
    return [_at([shape.at])[0], shape.words, shape.size, shape.across, shape.slanted, shape.colour]


def _at(points: Iterable[tuple[float, float]]) -> list[list[float]]:
    return [[round(x, 1), round(y, 1)] for x, y in points]


def parts_from_json(kept: list[Any]) -> tuple[PagePart, ...]:
    """The parts that `parts_to_json` made a list of.

    Raises ValueError, TypeError, KeyError or IndexError for any other.
    """
    return tuple(_part(one) for one in kept)


def _part(kept: Any) -> PagePart:
    if isinstance(kept, str):
        return kept
    what, *rest = kept
    if what == "heading":
        return Heading(str(rest[0]), int(rest[1]))
    if what == "action":
        verb, board, fields = rest
        read = {name: tuple(value) if isinstance(value, list) else value for name, value in fields.items()}
        return Action(verb, board, read)
    if what == "table":
        head, rows, right, guessed, total, boards = rest
        cells = tuple(tuple(map(str, row)) for row in rows)
        return Table(tuple(head), cells, tuple(right), bool(guessed), bool(total), tuple(boards))
    says, wide, high, shapes = rest
    return DrawingPart(str(says), float(wide), float(high), tuple(_shape(one) for one in shapes))


def _shape(kept: list[Any]) -> Shape:
    name, *rest = kept
    if name == "line":
        points, wide, colour, broken, fill = rest
        return Line(_points(points), float(wide), _word(colour), bool(broken), _word(fill))
    if name == "curve":
        start, curves, wide, colour, broken, fill = rest
        three = tuple((a, b, c) for a, b, c in map(_points, curves))
        return Curve(_points([start])[0], three, float(wide), _word(colour), bool(broken), _word(fill))
    at, words, size, across, slanted, colour = rest
    return Words(_points([at])[0], str(words), float(size), _word(across), bool(slanted), _word(colour))


def _points(kept: Iterable[Any]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in kept)


def _word(kept: Any) -> str:
    """A colour or a place: a text that needs no escaping.

    Raises ValueError for any other.
    """
    text = str(kept)
    if not text.removeprefix("#").isalnum():
        raise ValueError(text)
    return text


def dumped(what: Any) -> str:
    """JSON text, as short as it can be."""
    return json.dumps(what, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
