"""Ten boards on a tape as a table, for those who read figures rather than a drawing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from estimator.said.parts import Table
from estimator.words.dates import say_exactly
from estimator.words.money import say_pay
from estimator.words.phrases import say_middle

ENDINGS = {1: "1st", 2: "2nd", 3: "3rd"}


def table_of_hours(places: Sequence[float]) -> Table:
    """Hours of each of equally likely boards, the quickest first.

    >>> table_of_hours((8.0, 12.0)).rows
    (('1st', '8'), ('2nd', '12'))
    """
    return _table("hours", [say_middle(at) for at in places])


def table_of_pay(places: Sequence[float], unit: str) -> Table:
    """Pay an hour of each of equally likely boards, the worst first."""
    return _table(unit, [say_pay(at) for at in places])


def table_of_days(points: Sequence[dt.date], today: dt.date) -> Table:
    """The day on which each of equally likely boards is ready, the soonest first; none before today."""
    return _table("ready by", [say_exactly(max(day, today), today) for day in points])


def _table(what: str, said: Sequence[str]) -> Table:
    rows = tuple((ENDINGS.get(n, f"{n}th"), one) for n, one in enumerate(said, start=1))
    return Table((f"of {len(rows)} boards", what), rows, right=(1,))
