"""What went out of a log, and what came in."""

from __future__ import annotations

from collections.abc import Mapping

from estimator.log.exchange.export import Exported
from estimator.said.parts import Heading, Part
from estimator.words.phrases import say_count

NAMES = {
    "boards": "board",
    "hours": "row of hours",
    "told": "telling",
    "waits": "wait",
    "weights": "weighing",
    "notes": "note",
    "money": "line of money",
}


def counted_rows(rows: Mapping[str, int]) -> str:
    """How many rows of each sheet, in words; nothing of sheets without any.

    >>> counted_rows({"boards": 2, "hours": 1, "told": 0})
    '2 boards, 1 row of hours'
    """
    said = [say_count(count, NAMES[sheet]) for sheet, count in rows.items() if count]
    return ", ".join(said) or "no rows"


def export_parts(done: Exported) -> list[Part]:
    """What was written, where, and what is not among it."""
    where = done.files[0] if len(done.files) == 1 and done.files[0].suffix != ".csv" else done.files[0].parent
    owners = "Owners and how to reach them are in it too." if done.with_owners else "Owners are not in it."
    parts: list[Part] = [Heading(f"Written to {where}: {counted_rows(done.rows)}."), owners]
    if done.unknown:
        parts.append(f"Columns that are yours alone went along as they are: {', '.join(done.unknown)}.")
    parts += [problem.sentence() for problem in done.problems]
    return parts
