"""Setting up, as acts of the log: a question answered, and boards written that were there before the log."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.edits import Cells
from estimator.log.notebook.promised import SO_FAR, PromisedLine
from estimator.log.parse.boards import numbered
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.words.dates import A_DAY, read_date
from estimator.words.errors import UsageError
from estimator.words.measures import number
from estimator.words.phrases import say_count
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import ONCE, Settings, Stage
from estimator.words.settings.set_up import answered
from estimator.words.worked_time import read_worked_time

LONG_GONE = 60 * A_DAY  # a board that a diary has as ready so long ago is fetched and paid
DATED = ("ready", "collected", "started")  # by which of its days a board of a diary is numbered


@dataclass(frozen=True, slots=True)
class SettingAnswered:
    """A question of setting up, answered.

    typed: what was typed into its fields, by name; name: of the question, in words
    """

    verb: ClassVar[str] = "set up"
    question: str
    typed: Mapping[str, str]
    name: str

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The settings with it; all else in their file stays."""
        text = answered(
            self.question, lambda name: self.typed.get(name, ""), now.settings_text, now.settings, day
        )
        for problem in parse_settings(text)[1]:
            raise UsageError(f"{problem.wrong}.", problem.cure)
        return ActPlan(f"setting up: {self.name}", settings=None if text == now.settings_text else text)


@dataclass(frozen=True, slots=True)
class DiaryBoard:
    """A board that a diary has; cells: of its row, by column."""

    verb: ClassVar[str] = "diary"
    cells: Mapping[str, str]

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of boards, with a number of the year in which it was ready."""
        cells, style = {name: cell for name, cell in self.cells.items() if cell}, now.settings.workshop.dates
        when = next((read_date(cells[name], style) for name in DATED if name in cells), None)
        board = _numbers(now, [when.year if when else day.year])[0]
        if "ready" in cells and read_date(cells["ready"], style) < day - LONG_GONE:
            cells.setdefault("collected", cells["ready"])
            if "price_charged" in cells:
                cells.setdefault("paid", cells["price_charged"])
        if "called" in cells:
            cells["called"] = _not_taken(cells["called"], now)
        name = cells.get("called") or cells.get("length") or board
        return ActPlan(f"from the diary: {name}", board, (("boards", {"board": board, **cells}),))


def _not_taken(called: str, now: AsWritten) -> str:
    """A short name that no board has which is still there: with a number behind it where one has."""
    taken = {board.called.casefold() for board in now.log.boards if not board.collected}
    names = (called, *(f"{called}, {n}" for n in range(2, len(taken) + 3)))
    return next(name for name in names if name.casefold() not in taken)


@dataclass(frozen=True, slots=True)
class PromisedBefore:
    """Boards that were promised before the log began."""

    verb: ClassVar[str] = "promised"
    lines: Sequence[PromisedLine]

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of boards for each, and rows of the hours that it has already."""
        if not self.lines:
            raise UsageError("No board is written.", "Write one line a board, or go on without.")
        rows: list[tuple[str, Cells]] = []
        for line, board in zip(self.lines, _numbers(now, [day.year] * len(self.lines)), strict=True):
            rows.append(("boards", {"board": board, **line.cells}))
            rows += [("hours", cells) for cells in hours_before(line, board, now.settings, day)]
        many = say_count(len(self.lines), "board")
        return ActPlan(f"promised before: {many}", str(rows[0][1]["board"]), tuple(rows))


def _numbers(now: AsWritten, years: Sequence[int]) -> list[str]:
    """New numbers for boards of these years."""
    ids = [board.board for board in now.log.boards]
    return numbered([*ids, *[""] * len(years)], [*[None] * len(ids), *years])[len(ids) :]


def hours_before(line: PromisedLine, board: str, settings: Settings, day: dt.date) -> list[Cells]:
    """Rows of the hours that a board has already: those of each stage before the next, shared as is usual.

    Nobody knows how they divide: each row is only good to the step of the whole.
    """
    if not line.next_stage or line.next_stage not in settings.stages:
        return []
    names = list(settings.stages)
    before = [
        settings.stages[name]
        for name in names[: names.index(line.next_stage)]
        if _usual(settings.stages[name], line, settings)
    ]
    if not before:
        return []
    whole = read_worked_time(line.hours, settings.workshop.hours_in_a_day).hours if line.hours else 0.0
    if whole <= 0:
        raise UsageError(
            "It is begun, and has no hours.", "Write about how many are done, as: about 12 h done."
        )
    usual = {stage.name: _usual(stage, line, settings) for stage in before}
    last = day - A_DAY
    return [
        {
            "board": board,
            "date": (last - SO_FAR).isoformat(),
            "until": last.isoformat(),
            "stage": name,
            "hours": f"{number(round(whole * share / sum(usual.values()), 2))} h to the nearest {number(whole)} h",
            "done": "yes",
            "note": "before the log",
        }
        for name, share in usual.items()
    ]


def _usual(stage: Stage, line: PromisedLine, settings: Settings) -> float:
    """About how long a stage takes on such a board by rules of thumb; 0 where it may not happen at all."""
    if stage.sometimes:
        return 0.0
    usual = settings.kinds[line.cells["kind"]].usual if line.cells.get("kind") in settings.kinds else {}
    rates = {
        rule.per: rule.centre for rule in settings.rules if rule.form == "rate" and rule.stage == stage.name
    }
    hours = 0.0
    for driver in stage.drivers:
        low, high = (1.0, 1.0) if driver == ONCE else usual.get(driver, (0.0, 0.0))
        if driver != ONCE and low <= 0:
            continue
        hours += (low + high) / 2 * math.exp(rates.get(driver, 0.0))
    certain = not stage.work or any(usual.get(driver, (0.0, 0.0))[0] > 0 for driver in stage.work)
    return hours if certain else 0.0
