"""A frozen result as text to be kept, and the same result again from that text."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

R = TypeVar("R")


def result_to_json(result: object) -> str:
    """A result of dataclasses, tuples, mappings by text, days, texts and numbers, as JSON text with all its fields.

    Raises TypeError for what cannot be read again.
    """
    return json.dumps(_plain(result), separators=(",", ":"))


def result_from_json(text: str, kind: type[R]) -> R:
    """The result that `result_to_json` wrote, down to the last bit of its numbers.

    kind: the dataclass that it is, whose fields say what stands where

    Raises ValueError where the text is anything else.

    >>> from estimator.words.problems import Place
    >>> result_from_json(result_to_json(Place("boards.csv", row=3)), Place).row
    3
    """
    try:
        read: R = _read(json.loads(text), kind)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as broken:
        raise ValueError(f"this is no {kind.__name__}") from broken
    return read


def _plain(value: object) -> Any:
    """A value as JSON has it: results by their fields, tuples as lists."""
    if hasattr(value, "tolist"):  # a number of NumPy
        return value.tolist()
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Mapping) and all(isinstance(name, str) for name in value):
        return {name: _plain(one) for name, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    raise TypeError(f"{value!r} cannot be kept")


@cache
def _hints(kind: type[Any]) -> Mapping[str, Any]:
    """What stands in the fields of a dataclass, by name."""
    return get_type_hints(kind)


def _read(value: Any, kind: Any) -> Any:
    """A value from what JSON has of it; numbers stay as they were written."""
    within, of = get_origin(kind), get_args(kind)
    if within in {Union, UnionType}:
        (one,) = (arm for arm in of if arm is not type(None))
        return None if value is None else _read(value, one)
    if within is tuple and of[-1] is Ellipsis:
        return tuple(_read(one, of[0]) for one in value)
    if within is tuple:
        return tuple(_read(one, arm) for one, arm in zip(value, of, strict=True))
    if isinstance(within, type) and issubclass(within, Mapping):
        return {name: _read(one, of[1]) for name, one in value.items()}
    if is_dataclass(kind):
        hints = _hints(kind)  # type: ignore[arg-type]
        return kind(**{name: _read(one, hints[name]) for name, one in value.items()})  # type: ignore[operator]
    if kind is dt.date:
        return dt.date.fromisoformat(value)
    if not isinstance(value, int | float if kind is float else kind):
        raise TypeError(f"{value!r} is no {kind}")
    return value
