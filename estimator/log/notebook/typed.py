"""Lines of hours as a notebook would have them, so that they read back as they are."""

from __future__ import annotations

from collections.abc import Callable

from estimator.log.notebook.page import HoursLine
from estimator.log.notebook.vocabulary import REASONS
from estimator.words.records import SHOP


def typed(line: HoursLine, name: Callable[[str], str], label: Callable[[str], str]) -> str:
    """One line of the notebook: 2026-06-09 red nine-four: Gloss coat 4.5 h done (second side).

    name, label: what boards and stages are called

    >>> import datetime as dt
    >>> line = HoursLine("26-014", dt.date(2026, 6, 9), "gloss", 4.5, done=True, note="second side")
    >>> typed(line, lambda board: "red nine-four", str.capitalize)
    '2026-06-09 red nine-four: Gloss 4.5 h done (second side)'
    """
    days = line.date.isoformat() + (f" to {line.until.isoformat()}" if line.until else "")
    if line.away:
        return f"{days} {line.note}"
    note = f" ({line.note})" if line.note else ""
    hours = line.written or f"{line.hours:.12g} h"
    if line.board == SHOP:
        return f"{days} {f'shop: {line.stage}' if line.stage else 'shop'} {hours}{note}"
    why = f" again, {REASONS[line.again].split(',')[0]}" if line.again in REASONS else " again"
    done = {None: "", True: " done", False: " not done"}[line.done]
    return f"{days} {name(line.board)}: {label(line.stage)} {hours}{why if line.again else ''}{done}{note}"
