"""Hours now, a stage done or not needed, doing it again, and what was found."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from estimator.log.columns import TURNED_OUT, plain
from estimator.log.edits import Cells, OwnRow, row_at
from estimator.log.parse.entries import stage_names
from estimator.log.stage_hours import StageHours, followers, hours_of_board
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.writing import in_field, in_the_shop, on_day
from estimator.words.errors import UsageError
from estimator.words.measures import number
from estimator.words.phrases import inside, say_count
from estimator.words.records import AGAIN, ASKED, FINISHED, SHOP, Board, Entry
from estimator.words.settings.schema import Settings, Stage
from estimator.words.settings.values import nearest
from estimator.words.step_labels import choice
from estimator.words.worked_time import read_worked_time

QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


def exact_hours(hours: float) -> str:
    """Hours as they are written, in words.

    >>> exact_hours(4.5), exact_hours(1), exact_hours(0.75), exact_hours(2.1)
    ('4½ hours', '1 hour', '¾ hour', '2.1 hours')
    """
    whole, part = divmod(hours, 1)
    figure = f"{int(whole) or ''}{QUARTERS[part]}" if part in QUARTERS and hours else f"{hours:g}"
    return f"{figure} {'hour' if 0 < hours <= 1 else 'hours'}"


def stage_of(written: str, settings: Settings) -> Stage:
    """The stage of this name or label; raises UsageError where there is none."""
    names = stage_names(settings)
    if plain(written) not in names:
        what = f'"{written}" is no stage here.' if written else "No stage is named."
        raise UsageError(what, nearest(plain(written), dict.fromkeys(names.values())), field="stage")
    return settings.stages[names[plain(written)]]


def looked_over(stage: Stage) -> bool:
    """Whether a stage is the look over a board before all work: nothing comes before it, and no quantity makes it."""
    return not stage.after and not stage.work


def worked_on(now: AsWritten, board: Board) -> dict[str, StageHours]:
    """The stages of a board with hours, by name, in order of work."""
    after = followers(now.settings.stages)
    entries = [entry for entry in now.log.entries if entry.board == board.board]
    return {has.stage: has for has in hours_of_board(board, entries, after, now.log.partial)}


@dataclass(frozen=True, slots=True)
class HoursNow:
    """Hours on a stage of a board, or on none: then the board is `shop` and any word is a stage.

    until: the last day, where they are spread over several; again: why it was done again, one of AGAIN
    done: whether the stage is finished with them
    """

    verb: ClassVar[str] = "hours"
    board: str
    stage: str
    hours: str
    done: bool = False
    again: str = ""
    on: str = ""
    until: str = ""
    note: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of hours; the first work on a board begins it."""
        on = on_day(self.on, day, now.settings)
        with in_field("hours"):
            worked = read_worked_time(self.hours, now.settings.workshop.hours_in_a_day).hours
        if worked <= 0:
            raise UsageError(
                f'Hours "{self.hours}": no hours are no work.',
                "Write the hours; a stage that isn't needed is said as that.",
                field="hours",
            )
        if self.board == SHOP:
            row = self._row(SHOP, self.stage, on, done="")
            return ActPlan(
                f"{exact_hours(worked)} on no board{f', {self.stage}' if self.stage else ''}",
                rows=(("hours", row),),
            )
        board, stage = in_the_shop(now.board(self.board)), stage_of(self.stage, now.settings)
        words = inside(now.settings.label(stage.name))
        row = self._row(board.board, stage.name, on, done="yes" if self.done else "")
        label = f"{exact_hours(worked)} on {board.name}, {words}"
        if self.again:
            self._refuse_first_time(now, board, stage)
            label = f"{exact_hours(worked)} on {board.name}, {words} again: {choice('again', self.again)}"
        elif self.done:
            label += ", done"
        return ActPlan(label, board.board, (("hours", row),), begun_by(now, board, stage, on))

    def _row(self, board: str, stage: str, on: dt.date, done: str) -> Cells:
        """The row that is added."""
        return {
            "board": board,
            "date": on.isoformat(),
            "until": self.until,
            "stage": stage,
            "hours": self.hours,
            "done": done,
            "again": self.again,
            "note": self.note,
        }

    def _refuse_first_time(self, now: AsWritten, board: Board, stage: Stage) -> None:
        """Stops where a stage cannot be done again, or for no reason that is known."""
        if self.again not in AGAIN:
            raise UsageError(
                f'"{self.again}" is no reason known here.', nearest(self.again, AGAIN), field="again"
            )
        if stage.name not in worked_on(now, board):
            words = now.settings.label(stage.name)
            raise UsageError(
                f"{words} was not done on {board.name} yet, so it can't be done again.",
                "Write the hours as they are, without saying why again.",
                field="again",
            )


def begun_by(now: AsWritten, board: Board, stage: Stage, on: dt.date) -> tuple[tuple[OwnRow, Cells], ...]:
    """What the first hours say of the board itself: that it is begun, or only looked over and still asked for."""
    looked = looked_over(stage)
    if board.state == ASKED and looked:
        return ((now.row(board), {"state": ASKED}),)
    earlier = board.started is not None and on < board.started  # hours that are written late
    if (board.started and not earlier) or looked or board.ready:
        return ()
    row = now.row(board)
    cells = {"started": on.isoformat()}
    return ((row, {**cells, "state": ""} if row.cells.get("state") and not earlier else cells),)


@dataclass(frozen=True, slots=True)
class StageDone:
    """A stage that is finished with the hours it has; needed: False for one that there is no need of."""

    verb: ClassVar[str] = "done"
    board: str
    stage: str
    needed: bool = True
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The last row of the stage says so; or a row of no hours that it was not needed."""
        on = on_day(self.on, day, now.settings)
        board, stage = in_the_shop(now.board(self.board)), stage_of(self.stage, now.settings)
        words, has = now.settings.label(stage.name), worked_on(now, board).get(stage.name)
        if not self.needed:
            if has:
                raise UsageError(
                    f"{words}: {exact_hours(has.hours)} are written on {board.name}.",
                    "Say that it is done, or take the hours back first.",
                    field="stage",
                )
            row = {"board": board.board, "date": on.isoformat(), "stage": stage.name, "hours": "0"}
            return ActPlan(f"{board.name}: {inside(words)} not needed", board.board, (("hours", row),))
        there = last_row(now, board, stage)
        if there is None:
            raise UsageError(
                f"{words}: no hours are written on {board.name}.",
                "Write the hours first, or say that it isn't needed.",
                field="stage",
            )
        last, row_there = there
        if last.done:
            raise UsageError(
                f"{words} is done on {board.name} already.", "Nothing needs to be written.", field="stage"
            )
        return ActPlan(
            f"{board.name}: {inside(words)} done", board.board, fills=((row_there, {"done": "yes"}),)
        )


def last_row(now: AsWritten, board: Board, stage: Stage) -> tuple[Entry, OwnRow] | None:
    """The last hours on a stage of a board, and their row; None where it has none."""
    rows = [e for e in now.log.entries if e.board == board.board and e.stage == stage.name and e.hours > 0]
    if not rows:
        return None
    last = max(rows, key=lambda e: (e.date, e.last))
    return last, row_at(now.raw, now.settings, "hours", last.where)


def shown_now(now: AsWritten, board: Board) -> list[str]:
    """The quantities of a board whose amount can be known by now, in the order of the settings."""
    has = worked_on(now, board)
    done = {"asked", *(name for name, one in has.items() if one.done)}
    if board.state == FINISHED:
        done |= now.settings.stages.keys()
    return [name for name in now.settings.quantities if known_by(name, now.settings) in done]


def known_by(name: str, settings: Settings) -> str:
    """The stage whose end shows a quantity, or "asked"; of a stage that only sometimes happens its own end."""
    thing = settings.drivers.get(name) or settings.modifiers.get(name)
    return thing.known if thing else name


def not_found_yet(now: AsWritten, board: Board) -> list[str]:
    """What of that is not written as it turned out, and was looked at: none that its sort of job does not have."""
    asked = now.settings.kinds[board.kind].asks if board.kind in now.settings.kinds else None
    return [
        name
        for name in shown_now(now, board)
        if name not in board.found
        and (asked is None or name not in now.settings.drivers or name in asked)
        and not (name in now.settings.sometimes and name not in board.assessed)
        and not _follows(name, board, now.settings)
    ]


def _follows(name: str, board: Board, settings: Settings) -> bool:
    """Whether a quantity follows from others by itself: an area from so many faces, unless it was measured."""
    driver = settings.drivers.get(name)
    return bool(driver and driver.source) and (name in board.worked_out or name not in board.assessed)


@dataclass(frozen=True, slots=True)
class Found:
    """What turned out of a board; values: by name, as they stand in a cell.

    as_thought: all else that can be known by now is as it looked
    """

    verb: ClassVar[str] = "found"
    board: str
    values: Mapping[str, str] = field(default_factory=dict)
    as_thought: bool = False

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:  # noqa: ARG002  found is found
        """The cells of what turned out."""
        board = now.board(self.board)
        quantities = now.settings.quantities
        unknown = [name for name in self.values if name not in quantities]
        if unknown:
            raise UsageError(f'"{unknown[0]}" is nothing that a board has.', nearest(unknown[0], quantities))
        cells = {TURNED_OUT + name: value.strip() for name, value in self.values.items() if value.strip()}
        open_still = []
        if self.as_thought:
            for name in not_found_yet(now, board):
                if TURNED_OUT + name in cells:
                    continue
                looked = board.assessed.get(name)
                if looked is None:
                    open_still.append(inside(now.settings.quantity_label(name)))
                elif more := board.later.get(name, 0.0):
                    cells[TURNED_OUT + name] = number(round(looked + more, 6))
                else:
                    cells[TURNED_OUT + name] = "same"
        if not cells:
            raise UsageError(
                f"Nothing of {board.name} is said.",
                "Say what there was of it; nothing of it was looked at before."
                if open_still
                else "Say what you found.",
            )
        what = "as I thought" if not self.values else f"{say_count(len(self.values), 'thing')} found"
        notes = (
            (f"Not known beforehand, so say how it turned out: {', '.join(open_still)}.",)
            if open_still
            else ()
        )
        return ActPlan(f"{board.name}: {what}", board.board, fills=((now.row(board), cells),), notes=notes)
