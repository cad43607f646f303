"""What is asked once a week of hours is written: whether stages are over, and why days are empty; and the answers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from estimator.log.edits import Cells, OwnRow
from estimator.log.stage_hours import followers
from estimator.log.steps.hours import last_row, stage_of
from estimator.log.steps.missing import MissingWritten
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.words.errors import UsageError
from estimator.words.phrases import inside, say_count
from estimator.words.records import FINISHED, SHOP, Entry

MOST = 3  # things that are asked at the end of a week


@dataclass(frozen=True, slots=True)
class OpenStage:
    """A stage of which nobody said that it is over, though later work was begun. stage, since: names of stages"""

    board: str
    stage: str
    since: str


def open_stages(now: AsWritten, first: dt.date, last: dt.date) -> tuple[OpenStage, ...]:
    """Of each board that was worked on in these days the stage before, where it is not said whether that is over.

    Three at most, those first that were worked on last.
    """
    after = followers(now.settings.stages)
    found: list[tuple[dt.date, OpenStage]] = []
    boards = {e.board: None for e in now.log.entries if e.hours > 0 and first <= e.last and e.date <= last}
    for name in boards:
        board = now.log.by_id.get(name)
        if name != SHOP and board is not None and board.state != FINISHED:
            entries = [e for e in now.log.entries if e.board == name and e.hours > 0 and e.last <= last]
            found += _of_board(entries, after, first)
    found.sort(key=lambda one: one[0], reverse=True)
    return tuple(one for _, one in found[:MOST])


def _of_board(
    entries: list[Entry], after: Mapping[str, frozenset[str]], first: dt.date
) -> Iterator[tuple[dt.date, OpenStage]]:
    """The last stage before that on which one works now, with its last day, where nothing is said of its end."""
    by_stage: dict[str, list[Entry]] = {}
    for entry in sorted(entries, key=lambda e: (e.date, e.last)):
        by_stage.setdefault(entry.stage, []).append(entry)
    now = [stage for stage, of_it in by_stage.items() if of_it[-1].last >= first]
    before = [
        (of_it[-1].last, stage, since)
        for stage, of_it in by_stage.items()
        for since in now
        if since in after.get(stage, ()) and by_stage[since][-1].last >= of_it[-1].last
    ]
    if not before:
        return
    day, stage, since = max(before, key=lambda one: one[0])
    if all(entry.done is None for entry in by_stage[stage]):
        yield day, OpenStage(by_stage[stage][-1].board, stage, since)


@dataclass(frozen=True, slots=True)
class WeekEnded:
    """What is answered at the end of a week.

    stages: pairs of a board and a stage, and whether that is over; days: as `MissingWritten` has them
    """

    verb: ClassVar[str] = "week ended"
    stages: tuple[tuple[str, str, bool], ...] = ()
    days: Mapping[str, str] = field(default_factory=dict)

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The last row of each stage says whether it is over; a row on the shop says why a day is empty."""
        fills: list[tuple[OwnRow, Cells]] = []
        for name, stage, over in self.stages:
            board, of = now.board(name), stage_of(stage, now.settings)
            row = last_row(now, board, of)
            if row is None:
                words = inside(now.settings.label(of.name))
                raise UsageError(
                    f"No hours are written on {board.name}, {words}.", "Write its hours first.", field="stage"
                )
            fills.append((row[1], {"done": "yes" if over else "no"}))
        rows: tuple[tuple[str, Cells], ...] = ()
        said = [f"{say_count(len(fills), 'stage')} looked over"] if fills else []
        if any(was.strip() for was in self.days.values()):
            missing = MissingWritten(self.days).plan(now, day)
            rows = missing.rows
            said.append(inside(missing.label))
        if not said:
            raise UsageError("Nothing is answered yet.", "Tick a stage, or say why one day is empty.")
        return ActPlan(f"end of the week: {', '.join(said)}", "", rows, tuple(fills))
