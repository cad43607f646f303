"""The sheet of the record, as plain data: the last twenty, the misses by name, and the long record as it is said."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

from estimator.record.backtest.track_record import TrackRecord
from estimator.said.record import long_record
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.record import save_row
from estimator.sheets.layouts.record import (
    count_lines,
    heading,
    last_boards,
    missed_words,
    open_words,
    record_title,
)
from estimator.sheets.paper.said_sheets import blocks, run_on
from estimator.words.dates import say_day
from estimator.words.labels import label
from estimator.words.phrases import capital
from estimator.words.settings.schema import Settings

WIDE_PX = 680


def record_sheet(record: TrackRecord, settings: Settings) -> dict[str, Any]:
    """What the sheet says, in its order: blocks are what `record` says after the last twenty."""
    boards = last_boards(record)
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
        "missed": [f"{capital(missed_words(board))}." for board in boards if board.side],
        "open": capital(open_words(boards)),
        "blocks": blocks(run_on(long_record(record, settings))),
    }
