"""Which stages' hours rest on rules of thumb though the log tells of boards, in one sentence for all who show them."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.words.phrases import inside
from estimator.words.settings.schema import Settings


def by_rules(stages: Iterable[str], settings: Settings) -> Iterable[str]:
    """Which stages' own hours rest on rules of thumb, though the log tells of whole boards."""
    named = [inside(settings.label(stage)) for stage in stages]
    if named and len(named) == len(settings.stages):
        yield "How the hours divide among the stages rests on rules of thumb: your log hardly tells of it."
    elif named:
        yield f"By rules of thumb, for your log hardly tells of them: the hours of {', '.join(named)}."
