"""The likely two next steps of a board, and all the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from estimator.log.columns import LOOKED
from estimator.log.steps.hours import known_by, looked_over, not_found_yet, worked_on
from estimator.log.steps.leaving import owed
from estimator.log.steps.read_back import AsWritten
from estimator.log.steps.standing import standing
from estimator.words.actions import Action
from estimator.words.records import ASKED, DECLINED, FINISHED, STOPPED, WAITING, WITHDRAWN, Board
from estimator.words.settings.schema import REDO

LIKELY = 2  # steps that stand first


@dataclass(frozen=True, slots=True)
class NextSteps:
    """What can be written of a board: the likely ones, and the others in the order of the work."""

    likely: tuple[Action, ...]
    others: tuple[Action, ...]


def next_steps(now: AsWritten, board: Board) -> NextSteps:
    """The likely two next steps of a board and all the others, by where it stands."""
    can = _all(now, board)
    likely: list[Action] = []
    for action in _likely(now, board):
        if len(likely) < LIKELY and (action.verb, action.fields.get("stage")) not in {
            (one.verb, one.fields.get("stage")) for one in likely
        }:
            likely.append(action)
    verbs = {action.verb for action in likely}
    return NextSteps(tuple(likely), tuple(action for action in can if action.verb not in verbs))


def _likely(now: AsWritten, board: Board) -> Iterator[Action]:
    """Steps from the likeliest on."""
    name = board.board
    told = [telling for telling in now.log.told if telling.board == name]
    if board.state in {DECLINED, WITHDRAWN}:
        return
    if board.state == ASKED:
        if not any(column.startswith(LOOKED) for column in now.row(board).cells):
            yield Action("answers", name)
        if board.guess is None:
            yield Action("guess", name)
        yield Action("deposit" if told else "told", name)
        yield Action("answered", name) if told else Action("weigh up", name)
    elif board.state == FINISHED:
        if not board.collected or owed(now, board):
            yield Action("collected", name)
        if not_found_yet(now, board):
            yield Action("found", name)
        yield Action("note", name)
    elif board.state == STOPPED or standing(now, board):
        yield Action("going", name)
        drying = any(wait.cause == "drying" for wait in standing(now, board))
        yield Action("weight", name) if drying else Action("told", name)
    else:
        yield from _of_work(now, board)


def _of_work(now: AsWritten, board: Board) -> Iterator[Action]:
    """The likely steps of a board that can be worked on."""
    name, has = board.board, worked_on(now, board)
    last = max(has.values(), key=lambda one: (one.middle, list(has).index(one.stage)), default=None)
    if board.state == WAITING and board.deposit is None and last is None:
        yield Action("hours", name, {"stage": next_stage(now, board)})
        yield Action("deposit", name)
    if last is not None and not last.done:
        yield Action("hours", name, {"stage": last.stage})
        yield Action("done", name, {"stage": last.stage})
    if last is not None and last.done and _just_shown(now, board, last.stage):
        yield Action("found", name)
    coming = next_stage(now, board)
    if coming and now.settings.stages[coming].on == "rack":
        yield Action("weight", name)
    if coming:
        yield Action("hours", name, {"stage": coming})
        yield Action("stopped", name)
    else:
        yield Action("ready", name)
        yield Action("told", name)


def _just_shown(now: AsWritten, board: Board, stage: str) -> bool:
    """Whether something that the end of a stage shows is not written as it turned out."""
    return any(known_by(name, now.settings) == stage for name in not_found_yet(now, board))


def next_stage(now: AsWritten, board: Board) -> str:
    """The first stage without hours behind the last that has any, and that is needed; empty where none is."""
    has, values = worked_on(now, board), {**board.wanted, **board.found}
    gone = {e.stage for e in now.log.entries if e.board == board.board and not e.hours}
    order = list(now.settings.stages)
    last = max((order.index(stage) for stage in has if stage in order and stage != REDO), default=0)
    for name in order[last:]:
        stage = now.settings.stages[name]
        if name in has or name in gone or stage.sometimes or stage.retired:
            continue
        amounts = [values.get(driver) for driver in stage.work]
        if amounts and all(amount == 0 for amount in amounts):
            continue
        return name
    return ""


def _all(now: AsWritten, board: Board) -> tuple[Action, ...]:
    """All that can be written of a board, as it stands."""
    over = board.state in {DECLINED, WITHDRAWN} or board.collected is not None
    asked, ready = board.state == ASKED, board.finished
    in_hand = not over and not asked and not ready
    undated = ready and not over and board.ready is None  # its row says finished, and not on which day
    stops = standing(now, board)
    begun = any(not looked_over(now.settings.stages[stage]) for stage in worked_on(now, board))
    told = any(telling.board == board.board for telling in now.log.told)
    can = {
        "note": True,
        "answers": not over and not ready and not begun,
        "guess": not over and not ready and not begun,
        "answered": asked,
        "weigh up": asked,
        "hours": not over,
        "done": in_hand and bool(worked_on(now, board)),
        "again": not over and begun,
        "found": (begun and not over) or board.state == FINISHED,
        "weight": not over,
        "asked since": not over and not ready,
        "told": not over and not ready,
        "struck": told,
        "stopped": in_hand,
        "going": bool(stops) or board.state == STOPPED,
        "deposit": not over and not ready,
        "ready": in_hand or undated,
        "collected": in_hand or (ready and (board.collected is None or bool(owed(now, board)))),
        "gave back": in_hand,
    }
    return tuple(Action(verb, board.board) for verb, is_so in can.items() if is_so)
