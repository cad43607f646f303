"""A morning at the bench: whom to ring, what to touch, what to leave, and which change of order would help."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import BENCH, DRYING, OWNER, QUEUE, Job, held_up
from estimator.bench.outlook import Outlook, days_at
from estimator.bench.promises import (
    ANSWER_DUE,
    IN_DANGER,
    IS_READY,
    BenchDay,
    Leave,
    Promise,
    Ring,
    Swap,
    ToldDates,
    Touch,
    WeighIn,
    worth_a_call,
)
from estimator.bench.simulation import SPECK
from estimator.bench.waits import season_on
from estimator.forecast.calibration import UNSTRETCHED
from estimator.model.saved_fit import Array, KnownBoard
from estimator.words.dates import A_DAY
from estimator.words.records import FINISHED, STOPPED, Board
from estimator.words.settings.schema import DUSTY, QUIET, SPRAY, WET, Settings, Stage

HOPELESS = 0.02  # chance below which no order of work helps
TRIED = 3  # boards at most that are tried at the head of the order
ENOUGH_TO_TRY = 500  # draws: a gain is known to .03 of a date
WORTH_A_CHANGE = 0.25  # dates kept more, on average, from which another order is spoken of
UNCOLLECTED = 90  # days after which a ready board is no news
SUNK = 0.05  # chance under which no other board may be sunk by a change of order
STILL_TO_COME = "and boards still to come take their share, as before"
HALF_HOUR = 0.5  # the step in which a day is shared out
AIR_RANK = {DUSTY: 0, QUIET: 1, SPRAY: 2, WET: 3}
TEN = tuple(p / 100 for p in range(5, 100, 10))


def bench_day(outlook: Outlook, today: dt.date, log_up_to: dt.date) -> BenchDay:
    """All that `bench` says on a day."""
    promises = tuple(promise_of(outlook, i, today) for i in range(len(outlook.boards)))
    swap = _swap(outlook, promises, outlook.told)
    by_name = outlook.comings is not None
    return BenchDay(
        today=today,
        log_up_to=log_up_to,
        promises=tuple(sorted(promises, key=lambda p: (p.ready.high, p.board))),
        ring=_ring(outlook, promises, today),
        touch=_touch(outlook, promises, today),
        able=tuple(p.board for p in _able(outlook, promises)),
        leave=tuple(Leave(p.board, p.name, p.from_day, p.why) for p in promises if p.why and p.on != QUEUE),
        next_start=outlook.dates(outlook.thinned().finished(others=False, free_alone=True).first_free),
        say_yes_by=outlook.if_yes(today)[0],
        swap=swap,
        capacity=f"{outlook.capacity.said}, {STILL_TO_COME if by_name else outlook.capacity.less}".strip(
            ", "
        ),
        left_out=outlook.left_out,
        last_entry=outlook.hand.log.last_entry,
        names={b.board: b.name for b in outlook.hand.boards if b.board in outlook.left_out},
        scales=_scales(outlook, today),
        weeks_apart=outlook.capacity.apart,
        stretch=outlook.stretch,
    )


def promise_of_one_more(outlook: Outlook, board: KnownBoard, today: dt.date) -> tuple[Promise, dt.date]:
    """The dates of a board not taken on yet as if it were, and by when its owner must say yes for that."""
    job, ready, by = outlook.days_of_one_more(board, today)
    promise = Promise(
        board=board.board,
        called=board.called,
        on=QUEUE,
        ready=outlook.to_tell(board.board, ready[-1], today),
        points=days_at(outlook.hand.day, ready[-1], TEN),
        told=None,
        chance_kept=None,
        hours_left=float(np.median(job.hours.sum(axis=0))) if job.hours.size else 0.0,
        next_stage="",
        from_day=by,
    )
    return promise, by


def promise_of(outlook: Outlook, at: int, today: dt.date) -> Promise:
    """The dates of one board in hand, by its place in the outlook, and what comes next on it."""
    board, job, ready = outlook.boards[at], outlook.jobs[at], outlook.days.ready[at]
    day, told = outlook.hand.day, outlook.told.get(board.board)
    standing = [wait.cause for wait in outlook.hand.seen(board).standing if wait.cause != DRYING]

    def held_by(stage: str) -> str:
        return next((cause for cause in standing if stage in held_up(cause, outlook.settings)), OWNER)

    stage, begins, cause = _next(job, held_by, season_on(day, outlook.settings.bench))

    def kept(last: dt.date) -> float:
        return float(np.mean(ready <= (last - day).days))

    return Promise(
        board=board.board,
        called=board.called,
        known=board.known,
        on=job.place,
        ready=outlook.to_tell(board.board, ready, today),
        points=days_at(day, ready, TEN),
        told=told,
        chance_kept=None if told is None else kept(told.last),
        chance_first=None if told is None else kept(told.first_last),
        hours_left=float(np.median(job.hours.sum(axis=0))) if job.hours.size else 0.0,
        next_stage=stage,
        from_day=day + int(np.ceil(begins)) * A_DAY,
        why=_stands_for(cause, outlook) if begins > 0 else "",
    )


def _next(job: Job, held_by: Callable[[str], str], season: float) -> tuple[str, float, str]:
    """The stage that comes next, the day on which it can be begun in most draws, and what it stands for until then.

    held_by: the message that a stage waits for now. What waits for work that is still to do is not next; a stage on
    the rack is over when its wait is; one without a wait of its own, as it may not happen, hands on what it stood for.
    """
    over: dict[int, tuple[Array, str]] = {}
    waits = np.ceil(job.waits * np.where(job.seasonal, season, 1.0)[:, None] - SPECK)
    # on the rack a board needs a look now and then while it stands, and no work once it does not
    work = np.where(job.rack[:, None] & (waits <= 0), 0.0, job.hours)

    def begins(i: int) -> tuple[Array, str]:
        at = np.ceil(job.free[i])
        cause = held_by(job.stages[i]) if np.median(at) > 0 else ""
        for j in np.flatnonzero(job.after[i]).tolist():
            if j not in over:
                day, before = begins(j)
                over[j] = (
                    np.where(work[j] > 0, np.inf, day + waits[j]),
                    job.stages[j] if np.median(waits[j]) > 0 else before,
                )
            day, why = over[j]
            if np.median(day) > np.median(at):
                cause = why
            at = np.maximum(at, day)
        return at, cause

    best = ("", np.inf, "")
    for i, hours in enumerate(work):
        at, cause = begins(i)
        if np.median(hours) > 0 and float(np.median(at)) < best[1]:
            best = (job.stages[i], float(np.median(at)), cause)
    stage, day, cause = best
    if not stage:
        return "", 0.0, ""
    i = job.stages.index(stage)
    if job.rack[i] and (wait := float(np.median(waits[i]))) > 0:
        day, cause = day + wait, stage
    return stage, day, cause


def _stands_for(cause: str, outlook: Outlook) -> str:
    """What a board stands for, in words."""
    if cause == OWNER:
        return "waiting for the owner"
    if cause in {DRYING, outlook.hand.waits.drying}:
        return "the foam is drying"
    if cause in outlook.settings.stages:
        return f"{outlook.settings.label(cause).lower()} has to set"
    return f"waiting for {cause}"


def _able(outlook: Outlook, promises: Sequence[Promise]) -> list[Promise]:
    """What can be worked on, in order of work: boards that are begun, then as many in line as have a place.

    Never what stands on the rack for its wait alone, nor what waits for an answer.
    """
    rank = {board.board: int(outlook.order[i]) for i, board in enumerate(outlook.boards)}
    asks = {board.board for board in outlook.hand.boards if _due(outlook, board) is not None}
    stages = outlook.settings.stages
    can = [
        p
        for p in promises
        if not p.why and p.next_stage and p.board not in asks and stages[p.next_stage].on != "rack"
    ]
    can.sort(key=lambda p: rank[p.board])
    room = max(outlook.settings.bench.places - sum(p.on == BENCH for p in promises), 0)
    return [p for p in can if p.on != QUEUE] + [p for p in can if p.on == QUEUE][:room]


def _touch(outlook: Outlook, promises: Sequence[Promise], today: dt.date) -> tuple[Touch, ...]:
    """What is worked on today: the first of what can be, as far as the day's hours go, in an order that keeps dust off.

    One board at most is looked over, and none gets more hours than a board can take in a day, or a session.
    """
    left = outlook.capacity.calendar.hours(today)
    touch, first, looked_over = [], "the day you told comes first", False
    for p in _able(outlook, promises):
        hours = min(_hours_today(outlook, p), _halves(left))
        over = _looks_over(outlook.settings.stages[p.next_stage])
        if hours < HALF_HOUR or (over and looked_over):
            continue
        why = "a place is free, and it is next in line" if p.on == QUEUE else "it can be worked on"
        if p.board in outlook.put_first:
            why = "you put it first"
        elif worth_a_call(p.chance_kept):
            why = "its date is in danger"
        elif p.told and p.on != QUEUE:
            why = first
        if p.told:
            first = "the day you told comes next"
        touch.append(Touch(p.board, p.name, p.next_stage, why, hours))
        left, looked_over = left - hours, looked_over or over
    return dust_first(touch, outlook.settings)


def dust_first(touch: Sequence[Touch], settings: Settings) -> tuple[Touch, ...]:
    """The same in an order in which nothing dusty follows on what is still wet, nor on what was just sprayed.

    Dusty work comes first, wet work last, spraying before it; else the order stays. What sets by usual within its own
    hours, as it has no wait after it, is no matter for the rest of the day; what has one is wet until tomorrow.
    """

    def rank(one: Touch) -> int:
        stage = settings.stages[one.stage]
        return (
            AIR_RANK[stage.air]
            if stage.air not in {WET, SPRAY} or stage.wait_days[1] > 0
            else AIR_RANK[QUIET]
        )

    return tuple(sorted(touch, key=rank))


def _hours_today(outlook: Outlook, promise: Promise) -> float:
    """The usual hours left of a board's next stage, as many as go into one day and one session, in half hours."""
    job = outlook.jobs[outlook.place_of(promise.board) or 0]
    i = job.stages.index(promise.next_stage)
    hours = job.hours[i] / np.maximum(job.sessions[i], 1)
    usual = float(np.median(hours[hours > 0])) if (hours > 0).any() else 0.0
    return max(
        _halves(min(usual, outlook.settings.bench.most_hours_a_day_on_one_board) + HALF_HOUR / 2), HALF_HOUR
    )


def _halves(hours: float) -> float:
    """Hours down to the half."""
    return float(np.floor(hours / HALF_HOUR + SPECK) * HALF_HOUR)


def _looks_over(stage: Stage) -> bool:
    """Whether a stage is the look over a board before all work: nothing comes before it, and no quantity makes it."""
    return not stage.after and not stage.work


def _due(outlook: Outlook, board: Board) -> tuple[dt.date | None] | None:
    """Since when an answer is due, where one is: None in brackets where no day is known."""
    seen = outlook.hand.seen(board)
    since = [wait.first for wait in seen.standing if wait.cause == OWNER and not wait.until]
    if not since and board.state != STOPPED:
        return None
    return (min(since, default=max(seen.ended.values(), default=None)),)


def _scales(outlook: Outlook, today: dt.date) -> tuple[WeighIn, ...]:
    """Drying boards to put on the scales, the next one first."""
    days = [
        WeighIn(board.board, board.name, day)
        for board, job in zip(outlook.boards, outlook.jobs, strict=True)
        if (day := outlook.hand.weigh_on(board, job, today)) is not None
    ]
    return tuple(sorted(days, key=lambda one: one.day))


def _ring(outlook: Outlook, promises: Sequence[Promise], today: dt.date) -> tuple[Ring, ...]:
    """Whom to ring: dates in danger, boards that are ready, boards that stand for an answer."""
    rings = [
        Ring(p.board, p.name, IN_DANGER, p.ready.tell, p.told.last)
        for p in sorted(promises, key=lambda p: p.chance_kept if p.chance_kept is not None else 1.0)
        if worth_a_call(p.chance_kept) and p.told is not None
    ]
    rings += [
        Ring(b.board, b.name, IS_READY, about=b.ready)
        for b in outlook.hand.log.boards
        if b.state == FINISHED and b.ready and not b.collected and (today - b.ready).days <= UNCOLLECTED
    ]
    for board in outlook.hand.boards:
        if (since := _due(outlook, board)) is not None:
            rings.append(Ring(board.board, board.name, ANSWER_DUE, about=since[0]))
    return tuple(rings)


def sinks(before: Mapping[str, float], after: Mapping[str, float]) -> bool:
    """Whether a change of order makes a date hopeless that was not, whatever others gain by it.

    >>> sinks({"a": 0.3, "b": 0.1}, {"a": 0.9, "b": 0.04}), sinks({"a": 0.3, "b": 0.01}, {"a": 0.9, "b": 0.0})
    (True, False)
    """
    return any(before[board] >= SUNK > after[board] for board in before)


def _swap(outlook: Outlook, promises: Sequence[Promise], told: Mapping[str, ToldDates]) -> Swap | None:
    """The board that, put first, lets most dates be kept; None where no change is worth it.

    Orders are tried with the first draws alone, on days as they are played. What one gains there is added to the
    chances as they were counted from all of them, and from days moved as the record taught, so that the change begins
    where the promises stand.
    """
    thin, order = replace(outlook.thinned(ENOUGH_TO_TRY), stretch=UNSTRETCHED), outlook.order
    last = max((one.last for one in told.values()), default=None)  # later days keep no promise
    name = {p.board: p.name for p in promises}
    chance = {p.board: p.chance_kept or 0.0 for p in promises}
    at = {b.board: n for n, b in enumerate(outlook.boards) if b.board in told}

    def kept(ranks: NDArray[np.int64] | None = None) -> dict[str, float]:
        ready, day = thin.finished(order=ranks, last=last).ready, outlook.hand.day
        return {board: float(np.mean(ready[n] <= (told[board].last - day).days)) for board, n in at.items()}

    may = [
        p
        for p in promises
        if p.board in at and (p.chance_kept or 0.0) > HOPELESS and worth_a_call(p.chance_kept)
    ]
    may = sorted((p for p in may if not p.why or p.on == QUEUE), key=lambda p: -(p.chance_kept or 0.0))
    if not may:
        return None
    now = kept()
    before = {board: chance[board] for board in at}
    swaps = []
    for promise in may[:TRIED]:
        moved = np.where(order < order[at[promise.board]], order + 1, order)
        moved[at[promise.board]] = 0
        then = kept(moved)
        after = {board: min(max(chance[board] + then[board] - now[board], 0.0), 1.0) for board in at}
        swap = Swap(promise.board, name[promise.board], before, after)
        if swap.gain >= WORTH_A_CHANGE and not sinks(before, after):
            swaps.append(swap)
    return max(swaps, key=lambda swap: swap.gain, default=None)
