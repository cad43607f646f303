"""`record`, on dates: whether boards were ready when ranges would have said, and when owners were told."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.cli.tables import Heading, Part, Table
from estimator.record.track_record import ENOUGH, Count
from estimator.words.odds import say_odds
from estimator.words.plain import say_count

HEAD = ("", "ready in them", "luck alone", "sooner", "later")


def date_parts(dates: Sequence[Count], promises: Count | None) -> list[Part]:
    """Ranges of dates of the newest boards at each of the odds, then the dates told; nothing where none counts."""
    parts: list[Part] = []
    of = max((count.of for count in dates), default=0)
    if of:
        rows = tuple(
            (
                say_odds(c.odds),
                f"{c.held} of {c.of}",
                f"{c.band[0]} to {c.band[1]}",
                str(c.below),
                str(c.above),
            )
            for c in dates
            if c.of
        )
        parts += [
            "Dates were worked out anew too, from who was on the bench and in line when you took each board on.",
            Table(HEAD, rows, right=(1, 2, 3, 4)),
        ]
        if of < ENOUGH:
            parts.append(f"With {say_count(of, 'board')} that says little yet.")
        elif all(count.within for count in dates):
            parts.append("All of this is within what luck allows.")
        else:
            parts.append(_beyond(dates))
    if promises is not None and promises.of:
        parts.append(
            f"{promises.held} of {say_count(promises.of, 'board')} {'was' if promises.held == 1 else 'were'} ready by "
            "the last date you first told."
        )
    return [Heading("Ready in time?"), *parts] if parts else []


def _beyond(dates: Sequence[Count]) -> str:
    """Which way ranges of dates go beyond luck."""
    worst = next(count for count in dates if not count.within)
    if worst.held > worst.band[1]:
        return "That is more than luck: these ranges of dates were wider than they needed to be."
    side = "later" if worst.above > worst.below else "sooner"
    return f"That is more than luck: these ranges of dates were too tight, and boards came {side}."
