"""What is missing before one counts a quarter: days without a word, boards without materials, price or hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from estimator.bench.calendar import Calendar
from estimator.bench.outlook import log_up_to
from estimator.decide.quarter.cash import Owing
from estimator.decide.quarter.pay import Made
from estimator.words.dates import A_DAY, Quarter
from estimator.words.json_form import JsonForm, json_fields
from estimator.words.records import Log

AWAY = "away"


@dataclass(frozen=True, slots=True)
class Gaps(JsonForm):
    """What is not written.

    days: working days on which nothing is booked on any board or on the shop, and nobody was away
    begins: the first day of which an hour is written, None where none is by day
    no_price ...: names of boards made ready
    not_paid: boards made ready that are not paid in full; others: owed on boards made ready before
    """

    days: tuple[dt.date, ...]
    begins: dt.date | None
    no_price: tuple[str, ...]
    no_materials: tuple[str, ...]
    no_hours: tuple[str, ...]
    no_ready_date: tuple[str, ...]
    not_paid: tuple[str, ...]

    @property
    def left_out(self) -> tuple[str, ...]:
        """The boards whose pay cannot be told."""
        return tuple(dict.fromkeys((*self.no_price, *self.no_materials, *self.no_hours)))

    @property
    def any(self) -> bool:
        """Whether there is anything to ask."""
        return bool(self.days or self.left_out or self.no_ready_date or self.not_paid)

    def _json(self) -> dict[str, Any]:
        # by hand: the boards whose pay cannot be told follow from the others
        return {**json_fields(self), "left_out": self.left_out}


def gaps_of(log: Log, made: Sequence[Made], owing: Sequence[Owing], quarter: Quarter, week: Calendar) -> Gaps:
    """What is missing of a quarter; made: its boards; owing: of those and of earlier ones."""
    return Gaps(
        days=empty_days(log, quarter, week),
        begins=min((entry.date for entry in log.entries), default=None),
        no_price=tuple(one.name for one in made if one.price is None),
        no_materials=tuple(one.name for one in made if one.materials is None),
        no_hours=tuple(one.name for one in made if not one.whole or not one.hours),
        no_ready_date=tuple(one.name for one in made if not one.dated),
        not_paid=tuple(one.name for one in owing if one.owed and one.board in {m.board for m in made}),
    )


def empty_days(log: Log, quarter: Quarter, week: Calendar) -> tuple[dt.date, ...]:
    """Working days of a quarter of which the log says nothing: no hours, none on the shop, no day away.

    From the first entry of the log on, up to the last day of which it tells: hours come in at the end of a week.
    """
    if not log.entries:
        return ()
    first = min(entry.date for entry in log.entries)
    last = min(quarter.end, log_up_to(log, quarter.today))
    spoken = set()
    spans = [(entry.date, entry.last) for entry in log.entries]
    spans += [(wait.first, wait.until or wait.first) for wait in log.waits if wait.cause == AWAY]
    for begin, end in spans:
        day = max(begin, quarter.first)
        while day <= min(end, last):
            spoken.add(day)
            day += A_DAY
    return tuple(
        day for day in quarter.days() if first <= day <= last and day not in spoken and week.works(day)
    )
