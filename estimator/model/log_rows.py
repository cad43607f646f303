"""A log as rows: finished stages, totals, rests of totals, and the stages in hand."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from estimator.log.stage_hours import StageHours, shop_grain, stage_hours
from estimator.model.matrices import (
    DAYS_IN_A_YEAR,
    CellBuilder,
    Layout,
    RowTable,
    StagesInHand,
    layout_of,
    summing,
)
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    modifiers_of,
    typical_grades,
    untold,
    work_of,
)
from estimator.model.saved_fit import UNPLANNED
from estimator.words.records import SHOP, WITHDRAWN, Board, Log
from estimator.words.settings.schema import Settings

Worked = Mapping[str, tuple[StageHours, ...]]  # by board its stages with hours


def table_of(
    log: Log, settings: Settings, *, as_of: dt.date | None = None, worked: Worked | None = None
) -> RowTable:
    """A log as arrays: one row for each finished stage, total, or rest of a total.

    Finished stages count in full wherever the board stands. A row is left out, and counted, where a quantity
    that its hours grow with is not known; a condition that is not known counts as the shop's usual grade.

    worked: the log's hours by stage, where they have been summed already
    """
    if worked is None:
        worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    typical = typical_grades(log.boards, settings)
    plans = [_plan(board, worked.get(board.board, ()), settings) for board in log.boards]
    layout = layout_of(settings, (stage for plan in plans for stage in plan.unplanned))
    slowed_by = {stage: modifiers_of(stage, settings) for stage in settings.stages}

    def grades(j: int, stage: str) -> dict[str, float]:
        """The grades of what slows a stage of a board; the shop's usual grade where its own is not known."""
        values = plans[j].values
        return {m: values.get(m, typical[m]) for m in slowed_by[stage]}

    planned = [(j, row) for j, plan in enumerate(plans) for row in plan.rows]
    planned.sort(key=lambda row: len(row[1].work) > 1)
    open_ = [(j, row) for j, plan in enumerate(plans) for row in plan.in_hand]
    days = [row.day for _, row in (*planned, *open_) if row.day is not None]
    newest = max((*days, *((log.last_entry,) if log.last_entry else ())), default=None)
    as_of = newest if as_of is None or newest is None else min(as_of, newest)
    quarters = _quarters(days, as_of)
    q = grain_of(log)
    builder = CellBuilder(layout)
    for i, (j, row) in enumerate(planned):
        for stage, work in row.work:
            builder.add(i, stage, work, grades(j, stage))
    board = [j for j, _ in planned]
    return RowTable(
        layout=layout,
        cells=builder.freeze(len(planned)),
        board=np.array(board, dtype=np.int64),
        to_board=summing(board, len(log.boards)),
        log_hours=np.log(np.array([row.hours for _, row in planned], dtype=float)),
        rounding=np.array(
            [coarseness(row.hours, row.entries, q if row.grain is None else row.grain) for _, row in planned],
            dtype=float,
        ),
        years=np.array([_years(row.day, as_of) for _, row in planned], dtype=float),
        to_quarter=quarters.summing(row.day for _, row in planned),
        boards=tuple(board.board for board in log.boards),
        as_of=as_of,
        left_out=dict(Counter(reason for plan in plans for reason in plan.left_out)),
        in_hand=_in_hand(open_, layout, grades, as_of, quarters) if open_ else None,
    )


def _in_hand(
    rows: list[tuple[int, _Row]],
    layout: Layout,
    grades: Callable[[int, str], dict[str, float]],
    as_of: dt.date | None,
    quarters: _Quarters,
) -> StagesInHand:
    """The stages in hand as arrays."""
    builder = CellBuilder(layout)
    for i, (j, row) in enumerate(rows):
        for stage, work in row.work:
            builder.add(i, stage, work, grades(j, stage))
    boards = sorted({j for j, _ in rows})
    at = [boards.index(j) for j, _ in rows]
    return StagesInHand(
        cells=builder.freeze(len(rows)),
        board=np.array(at, dtype=np.int64),
        to_board=summing(at, len(boards)),
        boards=np.array(boards, dtype=np.int64),
        log_hours=np.log(np.array([row.hours for _, row in rows], dtype=float)),
        years=np.array([_years(row.day, as_of) for _, row in rows], dtype=float),
        to_quarter=quarters.summing(row.day for _, row in rows),
    )


@dataclass(frozen=True, slots=True)
class _Quarters:
    """The quarters of a year from the first day with hours to the as-of date, one after another."""

    first: int
    last: int

    def summing(self, days: Iterable[dt.date | None]) -> Any:
        """The sparse matrix that sums rows of these days to their quarters, (n_quarters, n_rows)."""
        places = [None if day is None else min(_quarter(day), self.last) - self.first for day in days]
        return summing(places, self.last + 1 - self.first)


def _quarters(days: Sequence[dt.date], as_of: dt.date | None) -> _Quarters:
    """The quarters that a log spans; none where no row has a day."""
    if not days or as_of is None:
        return _Quarters(0, -1)
    last = _quarter(as_of)
    return _Quarters(min(_quarter(min(days)), last), last)


def _quarter(day: dt.date) -> int:
    """A quarter's number, one more for each."""
    return day.year * 4 + (day.month - 1) // 3


def _years(day: dt.date | None, as_of: dt.date | None) -> float:
    """Years from the as-of date back to a day, <= 0; 0 where either is not known."""
    return 0.0 if day is None or as_of is None else min((day - as_of).days, 0) / DAYS_IN_A_YEAR


def grain_of(log: Log) -> float:
    """The step in hours that a log's entries are written in, where they name none of their own; 0 for none."""
    return shop_grain(e.hours for e in log.entries if e.board != SHOP and e.grain is None)


def coarseness(hours: float, entries: int, step: float) -> float:
    """The variance on the log scale of a sum of so many entries, each rounded to the step."""
    return entries * step**2 / (12 * max(hours, step) ** 2) if step > 0 else 0.0


@dataclass(frozen=True, slots=True)
class _Row:
    """Hours of one stage or of several together; `work` is by stage, then by driver."""

    hours: float
    entries: int
    grain: float | None
    day: dt.date | None
    work: list[tuple[str, dict[str, float]]]


@dataclass
class _RowPlan:
    """The rows that one board gives, before the layout is known."""

    values: dict[str, float]
    rows: list[_Row] = field(default_factory=list)
    in_hand: list[_Row] = field(default_factory=list)
    unplanned: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def _plan(board: Board, worked: tuple[StageHours, ...], settings: Settings) -> _RowPlan:
    """The rows of one board: its finished stages, its total, or what of the total is on no stage."""
    plan = _RowPlan(as_it_turned_out(board))
    for has in worked:
        stage = settings.stages[has.stage]
        work = work_of(stage, plan.values)
        if happens(stage, plan.values, booked=True) is False:
            plan.unplanned.append(has.stage)
            work = {UNPLANNED: 1.0}
        if work is None:
            plan.left_out.append("quantity not known")
            continue
        row = _Row(has.hours, has.entries, has.grain, has.middle, [(has.stage, work)])
        (plan.rows if has.done else plan.in_hand).append(row)
    if board.total_hours and board.finished:
        _add_total(plan, board, worked, settings)
    elif board.state == WITHDRAWN and not worked:
        plan.left_out.append("withdrawn")
    return plan


def _add_total(plan: _RowPlan, board: Board, worked: tuple[StageHours, ...], settings: Settings) -> None:
    """The row of a total, less what is booked to stages."""
    booked = {has.stage for has in worked}
    rest = (board.total_hours or 0.0) - sum(has.hours for has in worked)
    if untold(board, booked, settings):
        plan.left_out.append("quantity not known")
        return
    cells = [
        (stage.name, work)
        for stage in settings.stages.values()
        if stage.name not in booked
        and happens(stage, plan.values)
        and (work := work_of(stage, plan.values)) is not None
    ]
    if rest <= 0 or not cells:
        return
    plan.rows.append(_Row(rest, 1, board.total_grain, _middle(board), cells))


def _middle(board: Board) -> dt.date | None:
    """The day halfway through a board of which only the total is known."""
    first = board.started or board.accepted or board.quoted or board.asked
    last = board.ready or board.collected or board.paid_on
    if first is None or last is None:
        return last or first
    return first + (last - first) / 2
