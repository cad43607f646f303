"""All that is found in a text while it is read."""

from __future__ import annotations

from dataclasses import dataclass, field

from estimator.log.notebook.page import Doubt, HoursLine, NoteLine, Span


@dataclass(slots=True)
class FoundInText:
    """Lines, notes and doubts; the pieces that name days, and those that answers left out."""

    lines: list[HoursLine] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    days: list[Span] = field(default_factory=list)
    left_out: list[Span] = field(default_factory=list)
    notes: list[NoteLine] = field(default_factory=list)
