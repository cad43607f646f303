"""A week of the notebook, kept in one act: read from the log as it stands when it is written."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.booking import DONE, done_by, hours_cells, label_of, note_cells
from estimator.log.edits import Cells, OwnRow, row_at
from estimator.log.notebook.boxes import BoxesRead, NotebookBox, read_boxes
from estimator.log.notebook.page import HoursLine
from estimator.log.notebook.reader import NotebookReader
from estimator.log.steps.hours import begun_by
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.words.dates import A_DAY
from estimator.words.errors import UsageError
from estimator.words.records import SHOP


@dataclass(frozen=True, slots=True)
class NotebookHours:
    """Hours as a notebook has them.

    boxes: pairs of the ISO day that a box is about, empty for a text that names its days, and what is typed there
    week: a day of the week that is meant; answers: pairs of the name of what was asked, and the answer
    """

    verb: ClassVar[str] = "notebook"
    boxes: tuple[tuple[str, str], ...]
    week: str
    answers: tuple[tuple[str, str], ...] = ()

    def read(self, now: AsWritten, day: dt.date) -> BoxesRead:
        """What the boxes say on a day, by the log as it stands."""
        reader = NotebookReader(now.settings, now.log.boards, now.log.entries, day)
        boxes = [NotebookBox(text, dt.date.fromisoformat(at) if at else None) for at, text in self.boxes]
        return read_boxes(reader, boxes, dt.date.fromisoformat(self.week), dict(self.answers))

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row for each line and each note; the first work on a board begins it."""
        read = self.read(now, day)
        if read.asked:
            raise UsageError("Something is to be asked first.", "Answer it, and write them then.")
        if not (read.lines or read.notes):
            raise UsageError("No hours are written there.", "Write them as: Mon red strip 4, blue sand 1½.")
        late = next((line for line in read.lines if line.last > day), None)
        if late is not None:
            raise UsageError("One of these days is still to come.", "Write the day on which it was.")
        lines, ended = done_by(read.lines, now.log.entries)
        rows = tuple(("hours", hours_cells(line)) for line in lines)
        notes = tuple(("notes", note_cells(note)) for note in read.notes)
        done = tuple((row_at(now.raw, now.settings, "hours", entry.where), DONE) for entry in ended)
        label = label_of(read.lines, read.notes)
        return ActPlan(label, rows=(*rows, *notes), fills=(*_begun(now, lines), *done))


def _begun(now: AsWritten, lines: tuple[HoursLine, ...]) -> tuple[tuple[OwnRow, Cells], ...]:
    """What the first hours say of the boards themselves."""
    fills: dict[str, tuple[OwnRow, dict[str, str]]] = {}
    for line in sorted(lines, key=lambda one: one.date):
        if line.board == SHOP or not line.hours or "started" in fills.get(line.board, (None, {}))[1]:
            continue
        for row, cells in begun_by(now, now.board(line.board), now.settings.stages[line.stage], line.date):
            _, before = fills.get(line.board, (row, {}))
            fills[line.board] = row, {**before, **cells}
    return tuple(fills.values())


def week_of(day: dt.date) -> tuple[dt.date, ...]:
    """The days of the week that a day lies in, Monday first."""
    monday = day - day.weekday() * A_DAY
    return tuple(monday + n * A_DAY for n in range(7))
