"""What happens in a working day, as one act each: planned from the log as it stands, read back, then written."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from typing import ClassVar, Protocol

from estimator.log.names import NOTHING_DONE, refuse_over
from estimator.log.steps.read_back import ActPlan, AsWritten, refuse_unreadable
from estimator.log.store import Sent, Store
from estimator.words.dates import read_date, say_day
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
from estimator.words.records import DECLINED, WITHDRAWN, Board
from estimator.words.settings.schema import Settings

TRIES = 20  # to write what was planned before somebody else writes
TAKE_IT_BACK = "If that is not so, take that back first."


class DayStep(Protocol):
    """Something that happens, as it is said; its fields are texts as they are typed."""

    verb: ClassVar[str]

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """What is to be written, from the log as it stands.

        Raises UsageError or UnreadableError where it cannot have happened so.
        """


@dataclass(frozen=True, slots=True)
class DoneStep:
    """A step as it was written down.

    label: the act in one line; board: the id of the board that it is about, empty where it is about none
    again: it had been sent before, and nothing was written now
    notes: what is to be looked at after it
    """

    label: str
    board: str = ""
    again: bool = False
    notes: tuple[str, ...] = ()


class _ChangedMeanwhileError(Exception):
    """Somebody has written since the step was planned."""


def digest_of(step: DayStep) -> str:
    """What a step says, as a short text: the same for the same fields."""
    said = json.dumps([step.verb, asdict(step)], sort_keys=True, default=str)  # type: ignore[call-overload]
    return hashlib.sha256(said.encode()).hexdigest()


def do(store: Store, written: Callable[[], AsWritten], step: DayStep, sent: Sent) -> DoneStep:
    """Writes a step as one act, whole or not at all, of the log as it stands when it is written.

    written: the log as it stands when it is asked
    The same form sent twice is one act; the same key with other fields is a new one.

    Raises UsageError or UnreadableError, before anything is written, where it cannot have happened so or would not
    read back.
    """
    digest = digest_of(step)
    key = f"{sent.key}:{digest[:16]}" if sent.key else ""
    for _ in range(TRIES):
        now, refused = written(), None
        try:
            plan = step.plan(now, sent.day)
            plan = plan.noting(refuse_unreadable(now, plan, sent.day))
        except EstimatorError as error:
            if not key:
                raise
            plan, refused = ActPlan(step.verb), error  # unless it was done before
        try:
            with store.act(plan.label, sent.at, key, digest, origin=sent.origin) as act:
                if act.again:
                    return DoneStep(plan.label, _board_of(step, now, plan), again=True)
                if refused is not None:
                    raise refused
                if store.revision() != now.revision:
                    raise _ChangedMeanwhileError  # noqa: TRY301  the act is broken off by it
                for sheet, cells in plan.rows:
                    act.append(sheet, cells)
                for row, cells in plan.fills:
                    act.fill(row.place, cells, row.before(cells))
                if plan.settings is not None:
                    act.settings(plan.settings)
        except _ChangedMeanwhileError:
            continue
        return DoneStep(plan.label, plan.board, notes=plan.notes)
    raise UsageError("Others are writing all the time.", "Try once more.")


def _board_of(step: DayStep, now: AsWritten, plan: ActPlan) -> str:
    """The board that a step was about that was done before."""
    name = getattr(step, "board", "")
    return next(
        (b.board for b in reversed(now.log.boards) if name and name in {b.board, b.called}), plan.board
    )


@contextmanager
def in_field(name: str) -> Iterator[None]:
    """Lets what can't be read within say in which field it was typed."""
    try:
        yield
    except UnreadableError as error:
        error.field = error.field or name
        raise


def on_day(written: str, day: dt.date, settings: Settings) -> dt.date:
    """The day on which something happened; without one, the day on which it is said.

    Raises UnreadableError for what is no day, UsageError for a day to come.
    """
    if not written.strip():
        return day
    with in_field("on"):
        on = read_date(written, settings.workshop.dates)
    if on > day:
        raise UsageError(f"{say_day(on)} is still to come.", "Write the day on which it was.", field="on")
    return on


def in_the_shop(board: Board) -> Board:
    """The same board; raises UsageError for one that was turned down, given back or fetched."""
    refuse_over(board, NOTHING_DONE, TAKE_IT_BACK, states={DECLINED, WITHDRAWN})
    if board.collected:
        raise UsageError(
            f"{board.name} was fetched on {say_day(board.collected)}.",
            TAKE_IT_BACK,
        )
    return board
