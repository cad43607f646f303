"""What was done to a book, newest first, and what was taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from estimator.log.book.history import ActRecord
from estimator.said.parts import Part, Table
from estimator.words.dates import say_day


def history_parts(acts: Sequence[ActRecord]) -> list[Part]:
    """The acts under their numbers, days and places of origin; those that were taken back say so."""
    if not acts:
        return ["Nothing was written into this book yet."]
    rows = tuple((str(act.id), _day(act), act.origin, _sentence(act)) for act in acts)
    return [Table(("no.", "day", "from", "what"), rows, right=(0,))]


def undone_parts(act: ActRecord) -> list[Part]:
    """What was taken back, by an act that is kept as well."""
    return [f"Taken back, of {_day(act)}: {act.sentence}."]


def _day(act: ActRecord) -> str:
    """The day of an act."""
    return say_day(dt.datetime.fromisoformat(act.at).date())


def _sentence(act: ActRecord) -> str:
    """What an act did, and whether it stands.

    >>> _sentence(ActRecord(3, "2026-06-04T12:00:00", "page", "4½ hours on red, strip", undone=True))
    '4½ hours on red, strip (taken back)'
    """
    return f"{act.sentence} (taken back)" if act.undone else act.sentence
