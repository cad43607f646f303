"""Hours written to a log: all lines of a reading in one act, or none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from estimator.log.edits import Cells, OwnRow
from estimator.log.notebook.page import HoursLine, NoteLine
from estimator.log.store import Store
from estimator.words.errors import UsageError
from estimator.words.json_form import HIDDEN, JsonForm
from estimator.words.measures import number
from estimator.words.phrases import say_count
from estimator.words.problems import Place
from estimator.words.records import SHOP, Entry

DONE: Cells = {"done": "yes"}


@dataclass(frozen=True, slots=True)
class KeptHours(JsonForm):
    """Lines of hours as they were written. file: where they stand; places: of the rows, in order

    notes: what was typed beside them that is of no hours; notes_file: where these stand
    """

    lines: tuple[HoursLine, ...]
    file: Path
    places: tuple[Place, ...] = field(metadata=HIDDEN)
    notes: tuple[NoteLine, ...] = ()
    notes_file: Path | None = None


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


def note_cells(note: NoteLine) -> Cells:
    """The cells of a note by column."""
    return {"board": note.board, "date": note.date.isoformat(), "note": note.note}


def label_of(lines: Sequence[HoursLine], notes: Sequence[NoteLine] = ()) -> str:
    """An act of these lines and notes, in words."""
    total = sum(line.hours for line in lines)
    hours = f"{say_count(len(lines), 'line')} of hours, {number(round(total, 6))} h"
    kept = say_count(len(notes), "note")
    return kept if notes and not lines else f"{hours}, {kept}" if notes else hours


def done_by(
    lines: Sequence[HoursLine], entries: Iterable[Entry]
) -> tuple[tuple[HoursLine, ...], tuple[Entry, ...]]:
    """The lines that make rows, and the rows of the log that are done by a line that says no more than that.

    A row of 0 h would say that the work was not needed: red strip done is kept with the hours that it has, those of a
    line before it, or the last ones of the log.

    Raises UsageError where it has none.
    """
    rows: list[HoursLine] = []
    ended: list[Entry] = []
    known = [entry for entry in entries if entry.hours > 0]
    for line in sorted(lines, key=lambda line: (line.hours == 0, line.date)):
        if line.hours or line.board == SHOP or not line.done:
            rows.append(line)
            continue
        same = [one for one in rows if (one.board, one.stage) == (line.board, line.stage) and one.hours]
        there = [one for one in known if (one.board, one.stage) == (line.board, line.stage)]
        if same:
            last = max(same, key=lambda one: one.last)
            rows[rows.index(last)] = replace(last, done=True)
        elif there:
            ended.append(max(there, key=lambda one: (one.date, one.last)))
        else:
            raise UsageError(
                "No hours are written of what is said to be done.",
                "Write the hours with it, as: strip 3 done.",
            )
    order = {line.span: at for at, line in enumerate(lines)}
    in_order = sorted(rows, key=lambda line: order[line.span])
    return tuple(in_order), tuple(entry for entry in ended if not entry.done)


def write_hours(
    store: Store,
    lines: Sequence[HoursLine],
    at: dt.datetime,
    key: str = "",
    digest: str = "",
    *,
    ended: Sequence[OwnRow] = (),
    notes: Sequence[NoteLine] = (),
) -> KeptHours:
    """Writes lines of hours, and notes, under those of the log, all of them or none.

    key, digest: of an act that may be sent twice, as `Store.act` has them; ended: rows of the log that are done

    Raises UsageError where there are none, where the log is in a spreadsheet, and where they cannot be written so that
    all reads back as it was.
    """
    if not (lines or ended or notes):
        raise UsageError("No hours are written there.", "Write them as: Mon red strip 4, blue sand 1½.")
    with store.act(label_of(lines, notes), at, key, digest) as act:
        if act.by_hand and (lines or ended):
            raise UsageError(f"{act.by_hand} stays as it is.", "Write the rows there yourself.")
        places = tuple(act.append("hours", hours_cells(line)) for line in lines)
        for row in ended:
            act.fill(row.place, DONE, row.before(DONE))
        noted = tuple(act.append("notes", note_cells(note)) for note in notes)
    source = (*places, *(row.place for row in ended), *noted)[0].source
    beside = store.folder / noted[0].source if noted else None
    return KeptHours(tuple(lines), store.folder / source, places, tuple(notes), beside)
