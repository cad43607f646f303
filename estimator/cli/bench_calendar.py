"""The days by which boards are ready, saved for any calendar program."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from estimator.bench.ics import Event, calendar_text
from estimator.bench.promises import SURE, BenchDay, Promise
from estimator.words.dates import say_day
from estimator.words.errors import UsageError
from estimator.words.odds import say_odds

ENDING = ".ics"


def save_calendar(path: Path, day: BenchDay) -> None:
    """Writes one whole day for each board in hand: the one to tell its owner.

    Raises UsageError for another ending than .ics, and where the file cannot be written.
    """
    if path.suffix.casefold() != ENDING:
        raise UsageError(f"{path} is no {ENDING} file.", f"Name a file that ends in {ENDING}.")
    try:
        path.write_bytes(calendar_text(ready_days(day), on=day.today).encode())
    except OSError as error:
        raise UsageError(f"{path} cannot be written.", "Name a file in a folder that is yours.") from error


def ready_days(day: BenchDay) -> Iterable[Event]:
    """By board the day by which it is ready, 9 times in 10; none before today."""
    for promise in day.promises:
        by = max(promise.ready.high, day.today)
        yield Event(promise.board, by, by, f"{promise.name}: ready by, {say_odds(SURE)}", _told(promise))


def _told(promise: Promise) -> str:
    """What the owner was told, where anything was."""
    return f"You told the owner by {say_day(promise.told.last)}." if promise.told else ""
