"""The blank week for the wall, as plain data: boards across, days down, and room for a pencil."""

from __future__ import annotations

import datetime as dt
from typing import Any

from estimator.bench.calendar import Calendar
from estimator.bench.jobs import BENCH, PLACES, QUEUE, RACK
from estimator.bench.promises import BenchDay, Promise
from estimator.words.dates import A_DAY, WEEKDAYS, say_day, short_exactly, short_month
from estimator.words.labels import label
from estimator.words.settings.schema import Settings

MOST, LONGEST, ROOM = 8, 36, 500  # boards that a page has room for; letters of a name; letters of all stages
HOW_TO = (
    "Write the stage and its hours, as: strip 4½. Underline a stage when it is done.",
    "On no board: sweeping, looking after drying boards, the accounts.",
)


def week_sheet(settings: Settings, *, today: dt.date, day: BenchDay | None = None) -> dict[str, Any]:
    """What the sheet of a week says: a column for each board on the bench or the rack, or that has a place now.

    day: the boards in hand, None where nobody can tell; columns without a board are left to be named by pencil
    The week is today's; where nothing of it can be worked any more, the next.
    """
    calendar = Calendar.of(settings.bench)
    monday = monday_of(today, settings)
    here = this_week(day) if day else []
    shown, more = here[:MOST], here[MOST:]
    columns = [_column(promise, settings, today) for promise in shown]
    columns += [{"name": "", "place": "", "next": "", "told": ""}] * max(
        settings.bench.places - len(columns), 0
    )
    stages = ", ".join(settings.label(stage) for stage in settings.stages)
    return {
        "title": f"Week of {say_day(monday)}",
        "workshop": settings.workshop.name,
        "columns": columns,
        "shop": "No board",
        "days": [_row(monday + n * A_DAY, calendar) for n in range(7)],
        "how_to": list(HOW_TO),
        "stages": stages if len(stages) <= ROOM else "",
        "more": _more([shortened(promise.name) for promise in more]),
    }


def this_week(day: BenchDay) -> list[Promise]:
    """The boards on the bench, then those on the rack, then those in line that have a place now."""
    order = (BENCH, RACK, QUEUE)
    begun = {*(touch.board for touch in day.touch), *day.able}
    here = [p for p in day.promises if p.on != QUEUE or p.board in begun]
    return sorted(here, key=lambda p: (order.index(p.on), p.ready.high, p.board))


def monday_of(today: dt.date, settings: Settings) -> dt.date:
    """The Monday of today's week; of the next, where that has days to work on and today's has none left.

    >>> from estimator.words.settings.schema import Settings
    >>> monday_of(dt.date(2026, 10, 2), Settings()), monday_of(dt.date(2026, 10, 3), Settings())
    (datetime.date(2026, 9, 28), datetime.date(2026, 10, 5))
    """
    calendar = Calendar.of(settings.bench)
    monday = today - today.weekday() * A_DAY
    following = monday + 7 * A_DAY
    left = calendar.working_days(today, monday + 6 * A_DAY)
    return following if not left and calendar.working_days(following, following + 6 * A_DAY) else monday


def _column(promise: Promise, settings: Settings, today: dt.date) -> dict[str, str]:
    """The head of a board's column: its name, where it is, and what comes next on it."""
    coming = f"next: {settings.label(promise.next_stage).lower()}" if promise.next_stage else ""
    if coming and promise.why:
        coming += f", {promise.why}"
    told = f"told by {short_exactly(promise.told.last, today)}" if promise.told else ""
    return {"name": shortened(promise.name), "place": label(PLACES[promise.on]), "next": coming, "told": told}


def shortened(name: str) -> str:
    """A name as it fits over a column.

    >>> shortened("red nine-four"), shortened("the one that somebody's uncle left under a house")
    ('red nine-four', "the one that somebody's uncle left…")
    """
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 1].rstrip()}…"


def _more(names: list[str]) -> str:
    """The boards that have no column, the first few by name."""
    if not names:
        return ""
    rest = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"No room for {', '.join(names[:3])}{rest}: use another sheet."


def _row(day: dt.date, calendar: Calendar) -> dict[str, Any]:
    """One day: its name, and whether it is free."""
    free = calendar.working_days(day, day) == 0
    return {"day": WEEKDAYS[day.weekday()], "date": short_month(day), "free": free}
