"""What is said when an owner rings, "is it ready?": where a board is, in a few sentences, from what is known of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from estimator.bench.promises import SURE, Promise
from estimator.said.parts import Table
from estimator.words.dates import say_exactly, the_date
from estimator.words.labels import label
from estimator.words.money import say_price
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import capital, inside, say_count, say_hours, say_range
from estimator.words.records import (
    ASKED,
    DECLINED,
    FINISHED,
    ON_BENCH,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Told,
)
from estimator.words.settings.schema import Settings

STATES = {
    ASKED: "asked",
    WAITING: "waiting",
    ON_BENCH: "on bench",
    STOPPED: "stopped",
    DECLINED: "declined",
    WITHDRAWN: "withdrawn",
}


def without_dates(board: Board, today: dt.date | None) -> str:
    """Where a board is, from its own row alone.

    >>> without_dates(Board("a", state="finished", ready=dt.date(2026, 9, 3)), dt.date(2026, 9, 10))
    'Ready since Thu 3 September.'
    """
    if board.state != FINISHED:
        return f"{capital(label(f'state {STATES[board.state]}'))}."
    if board.collected is not None:
        return f"Fetched{_on(board.collected, today)}."
    return f"Ready since {_said(board.ready, today)}." if board.ready else "Ready."


def not_yet(promise: Promise, settings: Settings, today: dt.date, told: Sequence[Told] = ()) -> list[str]:
    """What is said of a board in hand, in sentences: the day to tell, what it stands for, what was told and when."""
    by = max(promise.ready.tell, today)
    kept = promise.told is not None and promise.told.last == by and promise.chance_kept is not None
    odds = say_chance(promise.chance_kept or SURE) if kept else say_odds(SURE)
    said = [f"Not yet. Ready by {say_exactly(by, today)}, {odds}.", *_stands(promise, settings, today)]
    if promise.told is not None:
        when = max((one.date for one in told if one.last == promise.told.last), default=None)
        on = f", on {say_exactly(when, today)}" if when else ""
        said.append(f"You told them by {say_exactly(promise.told.last, today)}{on}{_chance(promise, today)}.")
    else:
        said.append("No day was told yet.")
    return said


def _stands(promise: Promise, settings: Settings, today: dt.date) -> Iterable[str]:
    """What comes next, or what it stands for until then; and how much is left."""
    left = f"about {say_hours(promise.hours_left)} of work" if promise.hours_left > 0 else ""
    if promise.why:
        until = f" until about {the_date(promise.from_day, today)}" if promise.from_day > today else ""
        yield (
            f"{capital(promise.why)}{until}; {left} after that."
            if left
            else f"{capital(promise.why)}{until}."
        )
    elif promise.next_stage:
        stage = inside(settings.label(promise.next_stage))
        yield f"Next: {stage}; {left} to go." if left else f"Next: {stage}."


def _chance(promise: Promise, today: dt.date) -> str:
    """The chance of the day told, or that it is over; a clause."""
    if promise.told is None or promise.chance_kept is None:
        return ""
    if promise.told.last < today:
        return f": {say_count((today - promise.told.last).days, 'day')} ago"
    return f": kept {say_chance(promise.chance_kept)}"


def told_rows(told: Sequence[Told], currency: str, today: dt.date | None) -> Table | None:
    """Each telling in a row: when, what was said, and why it was said anew; None where nothing was told."""
    if not told:
        return None
    rows = []
    for one in sorted(told, key=lambda one: one.date):
        hours = (
            ""
            if one.hours_low is None or one.hours_high is None
            else say_range(one.hours_low, one.hours_high)
        )
        price = "" if one.price is None else say_price(one.price, currency)
        by = "" if one.last is None else say_exactly(one.last, today or one.date)
        rows.append((say_exactly(one.date, today or one.date), by, price, hours, one.because))
    return Table(("on", "ready by", "price", "hours", "because"), tuple(rows))


def to_read_aloud(promise: Promise, today: dt.date) -> str:
    """What to say into the telephone: one day, and how often such a day holds."""
    return f"“By {say_exactly(max(promise.ready.tell, today), today)}. {capital(say_odds(SURE))} it's ready by then.”"


def _on(day: dt.date, today: dt.date | None) -> str:
    return f" on {_said(day, today)}"


def _said(day: dt.date | None, today: dt.date | None) -> str:
    return "" if day is None else say_exactly(day, today or day)
