"""Lines that stand in a text twice: it is asked whether the second is more, or the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from estimator.log.notebook.page import MORE, SAME, Doubt, HoursLine, Span
from estimator.log.notebook.questions import MORE_OR_SAME


@dataclass(frozen=True, slots=True)
class Repeats:
    """Lines without those that are asked about, or are left out as the same."""

    lines: list[HoursLine] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    left_out: list[Span] = field(default_factory=list)


def repeats_of(lines: Sequence[HoursLine], text: str, answers: Mapping[str, str]) -> Repeats:
    """The lines of a text as far as none stands there twice, and what is asked of those that do."""
    found = Repeats()
    seen: dict[tuple[object, ...], HoursLine] = {}
    for line in lines:
        key = (line.board, line.date, line.last, line.stage, line.hours, line.note, line.again)
        typed = text[slice(*line.span)]
        twice = key in seen and not line.away
        if twice and "\n" not in text[seen[key].span[1] : line.span[0]]:
            twice = text[slice(*seen[key].span)] == typed  # cleaned ½, traced ½
        seen.setdefault(key, line)
        question = f"“{typed}” stands here twice. Is this more, or the same?"
        doubt = Doubt("more", line.span, typed, question, MORE_OR_SAME)
        answer = answers.get(doubt.key)
        if not twice or answer == MORE:
            found.lines.append(line)
        elif answer == SAME:
            found.left_out.append(line.span)
        else:
            found.doubts.append(doubt)
    return found
