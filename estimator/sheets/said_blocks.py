"""What is said, in parts, as the plain data of a sheet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from estimator.said.parts import Command, Heading, Part, Table
from estimator.words.dates import say_day
from estimator.words.settings import Settings


def run_on(parts: Iterable[Part]) -> list[Part]:
    """Sentences that follow one another as one paragraph, to save room."""
    kept: list[Part] = []
    for part in parts:
        if isinstance(part, str) and kept and isinstance(kept[-1], str):
            kept[-1] = f"{kept[-1]} {part}"
        else:
            kept.append(part)
    return kept


def page(parts: Iterable[Part], settings: Settings, today: dt.date) -> dict[str, Any]:
    """Parts as plain blocks under their first heading."""
    made = blocks(parts)
    return {
        "title": made[0]["words"],
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "blocks": made[1:],
    }


def blocks(parts: Iterable[Part]) -> list[dict[str, Any]]:
    """Parts as plain data, but for lines to paste."""
    return [_block(part) for part in parts if not isinstance(part, Command)]


def _block(part: str | Heading | Table) -> dict[str, Any]:
    """One part as plain data."""
    if isinstance(part, str):
        return {"is": "words", "words": part}
    if isinstance(part, Heading):
        return {"is": "heading", "words": part.text}
    return {
        "is": "table",
        "head": list(part.head),
        "rows": [list(row) for row in part.rows],
        "right": list(part.right),
        "guessed": part.guessed,
        "total": part.total,
    }
