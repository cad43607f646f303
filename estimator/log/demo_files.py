"""A log as rows of text, as its restorer would type them; read again it is the same log."""

from __future__ import annotations

import datetime as dt
import math

from estimator.log.headers import (
    ASKED_LATER,
    BOARDS,
    HOURS,
    LOOKED,
    TOLD,
    TURNED_OUT,
    WAITS,
    WEIGHTS,
)
from estimator.log.states import IN_ORDER, state_from
from estimator.log.tellings import cells_of
from estimator.words.records import Board, Entry, Log, Wait, Weighing
from estimator.words.settings import Settings
from estimator.words.units import convert

Cells = dict[str, str]

PLAIN = (
    "board",
    "called",
    "owner",
    "reach",
    "kind",
    "aim",
    "outline",
    "cost_time",
    "decided",
    "decided_why",
    "note",
)
DATES = (*IN_ORDER, "wanted_by", "paid_on", "hold_until", "promised_first", "promised_last")
MONEY = ("price_quoted", "price_charged", "materials", "deposit", "paid")
YES_OR_EMPTY = ("from_memory", "for_love")
NOT_SEEN = "?"


def rows_of(log: Log, settings: Settings) -> dict[str, list[Cells]]:
    """The rows of each csv file: file name to cells by column; a column left out is empty.

    Boards hold what was written, not the areas that follow from the outline.
    """
    booked = {entry.board for entry in log.entries}
    return {
        BOARDS: [_board(board, settings, hours=board.board in booked) for board in log.boards],
        HOURS: [_entry(entry) for entry in log.entries],
        TOLD: [dict(cells_of(told)) for told in log.told],
        WAITS: [_wait(wait) for wait in log.waits],
        WEIGHTS: [_weighing(weighing) for weighing in log.weighings],
    }


def feet_and_inches(length_m: float) -> str:
    """A length in feet and inches, to the eighth of an inch.

    >>> feet_and_inches(112.5 * 0.0254), feet_and_inches(3.048)
    ("9'4 1/2", "10'0")
    """
    feet, inches = divmod(round(8 * convert(length_m, "m", "in")), 12 * 8)
    return f"{feet}'{_eighths(inches)}"


def _eighths(eighths: int) -> str:
    """So many eighths of an inch, as on a tape measure."""
    whole, part = divmod(eighths, 8)
    up = math.gcd(part, 8)
    return f"{whole} {part // up}/{8 // up}" if part else str(whole)


def _number(value: float | None) -> str:
    """A number as short as it goes."""
    return "" if value is None else f"{value:.10g}"


def _date(day: dt.date | None) -> str:
    """A day, ISO 8601."""
    return day.isoformat() if day else ""


def _worked(hours: float | None, grain: float | None) -> str:
    """Hours, or days where they were written in days."""
    if hours is None or grain is None:
        return _number(hours)
    days = round(hours / grain)
    return f"{days} day{'s' if days > 1 else ''}"


def _board(board: Board, settings: Settings, *, hours: bool) -> Cells:
    """The row of a board."""
    dates = {name: getattr(board, name) for name in DATES}
    happened = [name for name in IN_ORDER if dates[name]]
    follows = state_from(happened, hours=hours) == board.state
    inches = None if board.width_m is None else round(8 * convert(board.width_m, "m", "in"))
    return {
        **{name: getattr(board, name) for name in PLAIN},
        **{name: _date(day) for name, day in dates.items()},
        **{name: _number(getattr(board, name)) for name in MONEY},
        **{name: "yes" if getattr(board, name) else "" for name in YES_OR_EMPTY},
        **_quantities(board, settings),
        "state": "" if follows else board.state,
        "length": "" if board.length_m is None else feet_and_inches(board.length_m),
        "width": "" if inches is None else _eighths(inches),
        "guess": _number(board.guess_low),
        "total_hours": _worked(board.total_hours, board.total_grain),
    }


def _quantities(board: Board, settings: Settings) -> Cells:
    """The cells of all that there is to do on a board."""
    cells = {}
    looked = any(value and name not in board.worked_out for name, value in board.assessed.items())
    for name in settings.quantities:
        asked_for = name in settings.drivers or name in settings.modifiers
        if looked and asked_for and name not in board.assessed:
            cells[LOOKED + name] = NOT_SEEN
        elif board.assessed.get(name) and name not in board.worked_out:
            cells[LOOKED + name] = _quantity(name, board.assessed[name], settings)
        elif looked and name in settings.modifiers and settings.modifiers[name].blank == "unknown":
            cells[LOOKED + name] = _quantity(name, 0.0, settings)
        for head, values in ((TURNED_OUT, board.found), (ASKED_LATER, board.later)):
            if name in values:
                cells[head + name] = _quantity(name, values[name], settings)
    return cells


def _quantity(name: str, value: float, settings: Settings) -> str:
    """One value: a number, the word of a grade, or yes and no."""
    if name in settings.drivers:
        return _number(value)
    grades = settings.modifiers[name].grades if name in settings.modifiers else ()
    return (grades or ("no", "yes"))[int(value)]


def _entry(entry: Entry) -> Cells:
    """The row of an entry."""
    return {
        "board": entry.board,
        "date": _date(entry.date),
        "until": _date(entry.until),
        "stage": entry.stage,
        "hours": _worked(entry.hours, entry.grain),
        "done": {True: "yes", False: "no", None: ""}[entry.done],
        "note": entry.note,
    }


def _wait(wait: Wait) -> Cells:
    """The row of a wait."""
    return {
        "board": wait.board,
        "from": _date(wait.first),
        "until": _date(wait.until),
        "for": wait.cause,
        "note": wait.note,
    }


def _weighing(weighing: Weighing) -> Cells:
    """The row of a weigh-in."""
    return {
        "board": weighing.board,
        "date": _date(weighing.date),
        "weight": f"{_number(weighing.weight_kg)} kg",
    }
