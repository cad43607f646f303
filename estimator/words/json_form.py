"""A result as plain values: what `--json` prints, and what a program gets from `as_dict`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

HIDDEN: Mapping[str, str] = {"json": ""}  # metadata of a field that JSON does not have


def named(name: str) -> Mapping[str, str]:
    """Metadata of a field that JSON has by another name."""
    return {"json": name}


class JsonForm:
    """A frozen result that can be said as JSON.

    A field's metadata may hide it, as `field(metadata=HIDDEN)`, or name it anew, as `field(metadata=named("ready"))`.
    Where the shape is another one than that of the fields, `_json` is written by hand, and says why.
    """

    __slots__ = ()

    def as_dict(self) -> dict[str, Any]:
        """As JSON: numbers unrounded, dates ISO."""
        return {name: plain(value) for name, value in self._json().items()}

    def _json(self) -> dict[str, Any]:
        """Names and values of the object, as they stand: `as_dict` makes them plain."""
        return json_fields(self)


def json_fields(result: Any) -> dict[str, Any]:
    """The fields of a dataclass by the name that JSON has for them, but for hidden ones; their values as they stand.

    >>> from estimator.words.problems import Place
    >>> json_fields(Place("boards.csv", row=3))["row"]
    3
    """
    said = ((field, field.metadata.get("json", field.name)) for field in fields(result))
    return {name: getattr(result, field.name) for field, name in said if name}


def plain(value: object) -> Any:
    """A value as JSON knows it: dates ISO, tuples as lists, numbers of NumPy as Python's, results as objects.

    Raises TypeError for what has no place in JSON.

    >>> plain({"ready": dt.date(2026, 10, 5), "band": (1, 3)})
    {'ready': '2026-10-05', 'band': [1, 3]}
    """
    if hasattr(value, "tolist"):  # numbers and arrays of NumPy, which need not be imported for it
        return value.tolist()
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, JsonForm):
        return value.as_dict()
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, Mapping):
        return {name: plain(one) for name, one in value.items()}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if is_dataclass(value):
        return plain(json_fields(value))
    raise TypeError(f"{value!r} has no place in JSON")
