"""Hours written to a log: all lines of a reading in one act, or none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from estimator.log.edits import Cells
from estimator.log.notebook.page import HoursLine
from estimator.log.store import Store
from estimator.words.errors import UsageError
from estimator.words.json_form import HIDDEN, JsonForm
from estimator.words.measures import number
from estimator.words.phrases import say_count
from estimator.words.problems import Place


@dataclass(frozen=True, slots=True)
class KeptHours(JsonForm):
    """Lines of hours as they were written. file: where they stand; places: of the rows, in order"""

    lines: tuple[HoursLine, ...]
    file: Path
    places: tuple[Place, ...] = field(metadata=HIDDEN)


def hours_cells(line: HoursLine) -> Cells:
    """The cells of a line of hours by column, so that they read back as they are.

    >>> cells = hours_cells(HoursLine("26-014", dt.date(2026, 6, 9), "gloss", 4.5, done=True))
    >>> cells["hours"], cells["done"], cells["until"]
    ('4.5', 'yes', '')
    """
    return {
        "board": line.board,
        "date": line.date.isoformat(),
        "until": line.until.isoformat() if line.until else "",
        "stage": line.stage,
        "hours": line.written or number(line.hours),
        "done": {None: "", True: "yes", False: "no"}[line.done],
        "again": line.again,
        "note": line.note,
    }


def label_of(lines: Sequence[HoursLine]) -> str:
    """An act of these lines, in words."""
    total = sum(line.hours for line in lines)
    return f"{say_count(len(lines), 'line')} of hours, {number(round(total, 6))} h"


def write_hours(
    store: Store, lines: Sequence[HoursLine], at: dt.datetime, key: str = "", digest: str = ""
) -> KeptHours:
    """Writes lines of hours under those of the log, all of them or none.

    key, digest: of an act that may be sent twice, as `Store.act` has them

    Raises UsageError where there are none, where the log is in a spreadsheet, and where they cannot be written so that
    all reads back as it was.
    """
    if not lines:
        raise UsageError("No hours are written there.", "Write them as: Mon red strip 4, blue sand 1½.")
    with store.act(label_of(lines), at, key, digest) as act:
        if act.by_hand:
            raise UsageError(f"{act.by_hand} stays as it is.", "Write the rows there yourself.")
        places = tuple(act.append("hours", hours_cells(line)) for line in lines)
    return KeptHours(tuple(lines), store.folder / places[0].source, places)
