"""What pages of steps ask the worker, and the figures that forms carry of its answers."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

ENQUIRY, SINCE, RINGS = "enquiry", "since", "rings"  # kinds of questions
FIRST_START, DIARY = "first-start", "diary"
TELLING = "telling"


def since_about(board: str, more: Mapping[str, str]) -> str:
    """What `since_parts` is asked about, as text."""
    return json.dumps([board, dict(more)], ensure_ascii=False, sort_keys=True)


def figures(parts: Iterable[object]) -> dict[str, str]:
    """Texts by name, as they were left among the parts of an answer."""
    found: dict[str, str] = {}
    for part in parts:
        name, text = json.loads(str(part))
        found[name] = text
    return found
