"""The sheet of the record, as plain data: the last twenty, the misses by name, the long record, who was nearer."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable
from typing import Any

from estimator.record.backtest.track_record import ENOUGH, Count, TrackRecord
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.record import save_row
from estimator.sheets.layouts.record import (
    AVERAGE,
    COUNTED,
    ODDS,
    against,
    count_lines,
    heading,
    last_boards,
    missed_words,
    nearer_heading,
    open_words,
    record_title,
)
from estimator.words.dates import say_day
from estimator.words.labels import label
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, say_count, say_hours, say_stretch
from estimator.words.settings.schema import Settings

WIDE_PX = 680


def record_sheet(record: TrackRecord, settings: Settings) -> dict[str, Any]:
    """What the sheet says, in its order; tables are lists of rows of cells."""
    boards = last_boards(record)
    missed = [board for board in boards if board.side]
    figure = None
    if boards:
        picture = io.StringIO()
        save_row(picture, record, wide_px=WIDE_PX, palette=IN_PRINT)
        says = " ".join([f"{heading(record)}:" if heading(record) else "", *count_lines(record)]).strip()
        figure = {"svg": picture.getvalue(), "says": says or capital(open_words(boards)) + "."}
    return {
        "title": label("record"),
        "workshop": settings.workshop.name,
        "day": say_day(dt.date.fromisoformat(record.as_of)) if record.as_of else "",
        "summary": f"{record_title(record)}.",
        "figure": figure,
        "missed": [f"{capital(missed_words(board))}." for board in missed],
        "open": capital(open_words(boards)),
        "long": [[say_odds(count.odds), *_counted(count)] for count in record.shown.held if count.of],
        "odds": say_odds(ODDS),
        "groups": list(_groups(record, settings)),
        "told": [
            f"Hours told, {say_odds(c.odds)}: {c.held} of {say_count(c.of, 'board')}."
            for c in record.told
            if c.of
        ],
        "dates": [[say_odds(count.odds), *_counted(count)] for count in record.dates if count.of],
        "promises": _promises(record),
        "nearer": nearer_heading(record),
        "nearer_note": COUNTED if against(record) else "",
        "rivals": [
            [capital(label(r.name)), say_hours(r.crps), say_hours(r.ours), f"{r.nearer} of {r.of}"]
            for r in against(record)
        ],
        "rivals_head": ["", AVERAGE, "these ranges", "these nearer on"],
        "from_now_on": _from_now_on(record),
        "left_out": [
            f"{capital(why)}: {say_count(len(n), 'board')}." for why, n in record.left_out.items() if n
        ],
    }


def _counted(count: Count) -> list[str]:
    """A count as cells: how many held, what luck alone allows, how many were quicker and slower."""
    few, most = count.band
    luck = str(few) if few == most else f"{few} to {most}"
    return [f"{count.held} of {count.of}", luck, str(count.below), str(count.above)]


def _groups(record: TrackRecord, settings: Settings) -> Iterable[list[str]]:
    """By sort of job, and by how boards looked; of few boards only how few."""
    seen = {name: count for name, count in record.groups.items() if count.of}
    for name, count in seen.items() if len(seen) > 1 else ():
        sort = name.removeprefix("kind ")
        words = settings.label(sort) if sort != name else f"Looked {name}"
        few = [f"only {say_count(count.of, 'board')}", "", "", ""]
        yield [words, *(_counted(count) if count.of >= ENOUGH else few)]


def _promises(record: TrackRecord) -> str:
    """How many boards were ready by the last date of the first telling."""
    kept = record.promises
    if kept is None or not kept.of:
        return ""
    were = "was" if kept.held == 1 else "were"
    return f"{kept.held} of {say_count(kept.of, 'board')} {were} ready by the last date first told."


def _from_now_on(record: TrackRecord) -> str:
    """What ranges get from now on."""
    if not record.learned_from:
        return ""
    return (
        say_stretch(*record.stretch)
        or "Ranges stay as they are: past ones were about as wide as they should be."
    )
