"""A morning at the bench: whom to ring, what to touch, what to leave, and which change of order would help."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import Job
from estimator.bench.outlook import YES_WITHIN, Outlook, days_at
from estimator.bench.plans import DRYING, OWNER
from estimator.bench.promises import (
    ANSWER_DUE,
    IN_DANGER,
    IS_READY,
    WORTH_A_CALL,
    BenchDay,
    Leave,
    Promise,
    Ring,
    Swap,
    Told,
    Touch,
)
from estimator.model.saved_fit import Array
from estimator.words.dates import A_DAY
from estimator.words.records import FINISHED, STOPPED, Board
from estimator.words.settings import Settings

HOPELESS = 0.02  # chance below which no order of work helps
TRIED = 3  # boards at most that are tried at the head of the order
WORTH_A_CHANGE = 0.25  # dates kept more, on average, from which another order is spoken of
UNCOLLECTED = 90  # days after which a ready board is no news
TEN = tuple(p / 100 for p in range(5, 100, 10))


def bench_day(outlook: Outlook, today: dt.date, log_up_to: dt.date) -> BenchDay:
    """All that `bench` says on a day."""
    finished = outlook.finished()
    told = outlook.told
    promises = tuple(
        _promise(outlook, board, job, finished.ready[i], told.get(board.board))
        for i, (board, job) in enumerate(zip(outlook.boards, outlook.jobs, strict=True))
    )
    swap = _swap(outlook, promises, told)
    workable = [p for p in promises if not p.why and p.next_stage]
    places = outlook.settings.bench.places
    order = outlook.order
    rank = {board.board: int(order[i]) for i, board in enumerate(outlook.boards)}
    workable.sort(key=lambda p: (p.on == "queue", rank[p.board]))
    on_bench = sum(p.on == "bench" for p in promises)
    room = max(places - on_bench, 0)
    touch = [p for p in workable if p.on != "queue"] + [p for p in workable if p.on == "queue"][:room]
    return BenchDay(
        today=today,
        log_up_to=log_up_to,
        promises=tuple(sorted(promises, key=lambda p: (p.ready.high, p.board))),
        ring=_ring(outlook, promises, today),
        touch=tuple(Touch(p.board, p.name, p.next_stage, _why_now(p)) for p in touch),
        leave=tuple(Leave(p.board, p.name, p.from_day, p.why) for p in promises if p.why and p.on != "queue"),
        next_start=outlook.dates(outlook.thinned().finished(others=False).first_free),
        say_yes_by=today + YES_WITHIN * A_DAY,
        swap=swap,
        capacity=outlook.capacity.said,
        left_out=outlook.left_out,
        last_entry=outlook.hand.log.last_entry,
        names={b.board: b.name for b in outlook.hand.boards if b.board in outlook.left_out},
    )


def _promise(outlook: Outlook, board: Board, job: Job, ready: Array, told: Told | None) -> Promise:
    """One board's dates, and what comes next on it."""
    day = outlook.hand.day
    standing = [w.cause for w in outlook.hand.seen(board).standing if w.cause not in outlook.settings.stages]
    stage, begins, why = _next(job, next(iter(standing), OWNER), outlook.settings)

    def kept(last: dt.date) -> float:
        return float(np.mean(ready <= (last - day).days))

    return Promise(
        board=board.board,
        called=board.called,
        on=job.place,
        ready=outlook.dates(ready),
        points=days_at(day, ready, TEN),
        told=told,
        chance_kept=None if told is None else kept(told.last),
        chance_first=None if told is None else kept(told.first_last),
        hours_left=float(np.median(job.hours.sum(axis=0))) if job.hours.size else 0.0,
        next_stage=stage,
        from_day=day + int(begins) * A_DAY,
        why=why,
    )


def _next(job: Job, standing: str, settings: Settings) -> tuple[str, float, str]:
    """The stage that comes next, the day on which it can be begun in most draws, and what it stands for until then.

    standing: what the whole board waits for, where it does. What waits for work that is still to do is not next; a
    stage on the rack is over when its wait is.
    """
    over: dict[int, Array] = {}

    def begins(i: int) -> tuple[Array, str]:
        at = np.asarray(job.free[i], dtype=float)
        cause = standing if np.median(at) > 0 else ""
        for j in np.flatnonzero(job.after[i]).tolist():
            if j not in over:
                day = np.ceil(begins(j)[0] + job.waits[j])
                over[j] = np.where(job.hours[j] > 0, np.inf, day)
            if np.median(over[j]) > np.median(at):
                cause = job.stages[j]
            at = np.maximum(at, over[j])
        return at, cause

    best = ("", np.inf, "")
    for i, hours in enumerate(job.hours):
        at, cause = begins(i)
        if np.median(hours) > 0 and float(np.median(at)) < best[1]:
            best = (job.stages[i], float(np.median(at)), cause)
    stage, day, cause = best
    if not stage:
        return "", 0.0, ""
    i = job.stages.index(stage)
    if job.rack[i]:
        day, cause = day + float(np.ceil(np.median(job.waits[i]))), stage
    return stage, day, _stands_for(cause, settings) if day > 0 else ""


def _stands_for(cause: str, settings: Settings) -> str:
    """What a board stands for, in words."""
    if cause == OWNER:
        return "waiting for the owner"
    if cause == DRYING:
        return "the foam is drying"
    if cause in settings.stages:
        return f"{settings.label(cause).lower()} has to set"
    return f"waiting for {cause}"


def _why_now(promise: Promise) -> str:
    """Why a board comes now: its date, its stage, or its turn."""
    if promise.chance_kept is not None and promise.chance_kept < WORTH_A_CALL:
        return "its date is in danger"
    if promise.on == "queue":
        return "a place is free, and it is next in line"
    return "first promised" if promise.told else "it can be worked on"


def _ring(outlook: Outlook, promises: Sequence[Promise], today: dt.date) -> tuple[Ring, ...]:
    """Whom to ring: dates in danger, boards that are ready, boards that stand for an answer."""
    rings = [
        Ring(p.board, p.name, IN_DANGER, p.ready.high)
        for p in sorted(promises, key=lambda p: p.chance_kept if p.chance_kept is not None else 1.0)
        if p.chance_kept is not None and p.chance_kept < WORTH_A_CALL and p.told is not None
    ]
    rings += [
        Ring(b.board, b.name, IS_READY)
        for b in outlook.hand.log.boards
        if b.state == FINISHED and b.ready and not b.collected and (today - b.ready).days <= UNCOLLECTED
    ]
    stood = {
        wait.board: wait.first for wait in outlook.hand.log.waits if wait.cause == OWNER and not wait.until
    }
    rings += [
        Ring(b.board, b.name, ANSWER_DUE) for b in outlook.boards if b.state == STOPPED or b.board in stood
    ]
    return tuple(rings)


def _swap(outlook: Outlook, promises: Sequence[Promise], told: Mapping[str, Told]) -> Swap | None:
    """The board that, put first, lets most dates be kept; None where no change is worth it."""
    thin, order = outlook.thinned(), outlook.order
    name = {p.board: p.name for p in promises}
    at = {b.board: n for n, b in enumerate(outlook.boards) if b.board in told}

    def kept(ranks: NDArray[np.int64] | None = None) -> dict[str, float]:
        ready, day = thin.finished(order=ranks).ready, outlook.hand.day
        return {board: float(np.mean(ready[n] <= (told[board].last - day).days)) for board, n in at.items()}

    may = [p for p in promises if p.board in at and HOPELESS < (p.chance_kept or 0.0) < WORTH_A_CALL]
    may = sorted((p for p in may if not p.why or p.on == "queue"), key=lambda p: -(p.chance_kept or 0.0))
    if not may:
        return None
    before = kept()
    swaps = []
    for promise in may[:TRIED]:
        moved = np.where(order < order[at[promise.board]], order + 1, order)
        moved[at[promise.board]] = 0
        swaps.append(Swap(promise.board, name[promise.board], before, kept(moved)))
    best = max(swaps, key=lambda swap: swap.gain)
    return best if best.gain >= WORTH_A_CHANGE else None
