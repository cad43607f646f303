"""Hours rows summed to stages: how long, in how many entries, when, and whether the stage is done."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass

from estimator.words.records import FINISHED, SHOP, Board, Entry
from estimator.words.settings.schema import Stage

GRAINS = (1.0, 0.5, 0.25)  # hours; the steps that a log may be written in
SHARE_ON_GRAIN = 0.95


@dataclass(frozen=True, slots=True)
class StageHours:
    """All that was booked on one stage of one board.

    hours: hours, > 0
    entries: how many entries they were written in
    grain: hours, the coarsest step of its entries where coarser than the log's own, else None
    done: whether the stage is finished (else it is in hand)
    middle: the day of the middle entry
    """

    stage: str
    hours: float
    entries: int
    grain: float | None
    done: bool
    middle: dt.date


def shop_grain(hours: Iterable[float]) -> float:
    """The step in which a log is written: the largest of 1, ½, ¼ h that divides 95 in 100 entries, else 0.

    >>> shop_grain([1.5, 2.0, 3.5, 0.5])
    0.5
    >>> shop_grain([1.37, 2.21])
    0.0
    """
    booked = Counter(h for h in hours if h > 0)
    for grain in GRAINS:
        fitting = sum(many for h, many in booked.items() if abs(h / grain - round(h / grain)) < 1e-6)
        if booked and fitting >= SHARE_ON_GRAIN * booked.total():
            return grain
    return 0.0


def followers(stages: Mapping[str, Stage]) -> dict[str, frozenset[str]]:
    """For each stage the stages that can only come after it, near or far.

    >>> both = followers({"a": Stage("a"), "b": Stage("b", after=("a",)), "c": Stage("c", after=("b",))})
    >>> sorted(both["a"])
    ['b', 'c']
    """
    direct: dict[str, set[str]] = {name: set() for name in stages}
    for name, stage in stages.items():
        for before in stage.after:
            direct[before].add(name)
    reached: dict[str, frozenset[str]] = {}
    for name in stages:
        found: set[str] = set()
        todo = list(direct[name])
        while todo:
            step = todo.pop()
            if step not in found:
                found.add(step)
                todo.extend(direct[step])
        reached[name] = frozenset(found)
    return reached


def stage_hours(
    entries: Iterable[Entry],
    boards: Mapping[str, Board],
    stages: Mapping[str, Stage],
    partial: Container[tuple[str, str]] = (),
) -> dict[str, tuple[StageHours, ...]]:
    """Per board the stages with hours, in order of work.

    A stage is done when an entry says so, when the board is finished, or when a stage that must come after
    it has hours; a later "not done" denies it. Rows of 0 h say "not done" and leave nothing behind.

    partial: (board, stage) of which a row is lost, stage "" for any: not done, since more hours belong to it
    """
    rows: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.board != SHOP and entry.board in boards and entry.hours > 0:
            rows[entry.board].append(entry)
    after = followers(stages)
    return {board: hours_of_board(boards[board], of_it, after, partial) for board, of_it in rows.items()}


def hours_of_board(
    board: Board,
    entries: Iterable[Entry],
    after: Mapping[str, frozenset[str]],
    partial: Container[tuple[str, str]] = (),
) -> tuple[StageHours, ...]:
    """The same of one board, from its own entries.

    after: by stage, in order of work, the stages that can only come after it
    """
    has: dict[str, list[Entry]] = defaultdict(list)
    again: set[str] = set()  # what is done again was done
    for entry in entries:
        if entry.hours > 0:
            has[entry.stage].append(entry)
            if entry.of:
                again.add(entry.of)
    name, finished = board.board, board.state == FINISHED
    return tuple(
        _summed(
            stage,
            has[stage],
            over=finished or stage in again or bool(later & has.keys()),
            lost=(name, stage) in partial or (name, "") in partial,
        )
        for stage, later in after.items()
        if stage in has
    )


def _summed(stage: str, entries: list[Entry], *, over: bool, lost: bool) -> StageHours:
    """One stage's entries as one record."""
    ordered = sorted(entries, key=lambda e: (e.date, e.last))
    said = [e.done for e in ordered if e.done is not None]
    grains = [e.grain for e in ordered if e.grain is not None]
    middle = ordered[len(ordered) // 2]
    return StageHours(
        stage=stage,
        hours=sum(e.hours for e in ordered),
        entries=len(ordered),
        grain=max(grains, default=None),
        done=not lost and (said[-1] if said else over),
        middle=middle.date + (middle.last - middle.date) / 2,
    )
