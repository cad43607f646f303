"""`record`, on dates: whether boards were ready when ranges would have said, and when owners were told."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.record.track_record import ENOUGH, Count, TrackRecord
from estimator.said.parts import Heading, Part, Table
from estimator.words.odds import say_odds
from estimator.words.plain import say_count
from estimator.words.shares import OF_DATES, say_stretch

HEAD = ("", "ready in them", "luck alone", "sooner", "later")
BEFORE = "“Before” counts the same ranges before their ends were moved for how earlier ones went."
ANEW = "Dates were worked out anew too, from who was on the bench and in line when you took each board on."


def date_parts(record: TrackRecord) -> list[Part]:
    """Ranges of dates of the newest boards at each of the odds, then the dates told; nothing where none counts."""
    parts: list[Part] = []
    dates, raw, promises = record.dates, record.raw_dates, record.promises
    of = max((count.of for count in dates), default=0)
    if of:
        parts += [ANEW, *_counted(dates, raw)]
        if of < ENOUGH:
            parts.append(f"With {say_count(of, 'board')} that says little yet.")
        elif all(count.within for count in dates):
            parts.append("All of this is within what luck allows.")
        else:
            parts.append(_beyond(dates))
        parts += _left_out(len(record.dates_asked_later))
    if record.dates_from:
        parts += _from_now_on(record)
    if promises is not None and promises.of:
        parts.append(
            f"{promises.held} of {say_count(promises.of, 'board')} {'was' if promises.held == 1 else 'were'} ready by "
            "the last date you first told."
        )
    return [Heading("Ready in time?"), *parts] if parts else []


def _counted(dates: Sequence[Count], raw: Sequence[Count]) -> list[Part]:
    """The counts, and beside them those of the same ranges before their ends were moved, where these differ."""
    before = {count.odds: f"{count.held} of {count.of}" for count in raw}
    moved = any(before.get(c.odds, "") not in {"", f"{c.held} of {c.of}"} for c in dates)
    rows = tuple(
        (
            say_odds(c.odds),
            f"{c.held} of {c.of}",
            f"{c.band[0]} to {c.band[1]}",
            str(c.below),
            str(c.above),
            *((before.get(c.odds, ""),) if moved else ()),
        )
        for c in dates
        if c.of
    )
    head = (*HEAD, "before") if moved else HEAD
    table = Table(head, rows, right=tuple(range(1, len(head))))
    return [table, BEFORE] if moved else [table]


def _beyond(dates: Sequence[Count]) -> str:
    """Which way ranges of dates go beyond luck."""
    worst = next(count for count in dates if not count.within)
    if worst.held > worst.band[1]:
        return "That is more than luck: these ranges of dates were wider than they needed to be."
    side = "later" if worst.above > worst.below else "sooner"
    return f"That is more than luck: these ranges of dates were too tight, and boards came {side}."


def _left_out(boards: int) -> list[str]:
    """Boards whose dates do not count."""
    if not boards:
        return []
    counts, owner, it = ("does", "its owner", "it") if boards == 1 else ("do", "their owners", "them")
    return [
        f"{say_count(boards, 'board')} {counts} not count here: {owner} asked for more once you had taken {it} on."
    ]


def _from_now_on(record: TrackRecord) -> list[str]:
    """What ranges of dates get from now on, and from how many boards that is learned."""
    said = say_stretch(*record.stretch_of_dates, OF_DATES)
    learned = f"Learned from {say_count(record.dates_from, 'board')}"
    if not said:
        return [f"Ranges of dates stay as they are. {learned}."]
    return [
        f"{said} So it is from now on for boards in line.",
        f"{learned}; the fewer they are, the less the ends move.",
    ]
