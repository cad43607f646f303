"""A log as rows, and those as arrays: every row is a sum of stages, every stage of a board is one cell.

Rows are finished stages, totals, rests of totals, and the stages in hand.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse

from estimator.log.stage_hours import StageHours, shop_grain, stage_hours
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    modifiers_of,
    typical_grades,
    untold,
    work_of,
)
from estimator.model.saved_fit import UNPLANNED, Array, Ints
from estimator.words.records import SHOP, WITHDRAWN, Board, Log
from estimator.words.settings.schema import Settings

DAYS_IN_A_YEAR = 365.25


@dataclass(frozen=True)
class Layout:
    """The parts and conditions that the model has a number for, by name, in the order of the settings."""

    stages: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]  # (stage, driver, "once" or "unplanned"): hours per unit
    conditions: tuple[tuple[str, str], ...]  # (stage, modifier): log of a factor per grade

    def part(self, stage: str, driver: str) -> int:
        """The place of a part."""
        return self.parts.index((stage, driver))


@dataclass(frozen=True)
class Cells:
    """Cells of the model and the rows that they sum to.

    work: sparse, shape (n_cells, n_parts), in the drivers' units
    grades: sparse, shape (n_cells, n_conditions)
    stage: shape (n_cells,)
    n_single: the first rows, in order the first cells, are of one stage each; the rest are sums
    row: for each cell of a sum, its place among the sums
    to_row, to_stage: sparse, shape (n_sums, n_summed_cells) and (n_stages, n_cells): they sum cells
    """

    work: Any
    grades: Any
    stage: Ints
    row: Ints
    to_row: Any
    to_stage: Any
    n_rows: int
    n_single: int

    @cached_property
    def to_parts(self) -> Any:
        """The work turned over, (n_parts, n_cells): turning it anew for every gradient took a sixth of a fit."""
        return self.work.T

    @cached_property
    def to_conditions(self) -> Any:
        """The grades turned over, (n_conditions, n_cells)."""
        return self.grades.T


@dataclass(frozen=True)
class StagesInHand:
    """Stages that are not finished, each of which takes at least as long as it has so far.

    cells: one for each stage in hand
    board: shape (n_in_hand,), its board's place among `boards`; to_board: sparse, sums them to those boards
    boards: shape (n_boards_in_hand,), the boards' places in the table
    log_hours, years: shape (n_in_hand,), log of the hours so far; years before the as-of date, <= 0
    to_quarter: sparse, shape (n_quarters, n_in_hand), sums them to the quarters of their middles
    """

    cells: Cells
    board: Ints
    to_board: Any
    boards: Ints
    log_hours: Array
    years: Array
    to_quarter: Any

    @cached_property
    def from_quarter(self) -> Any:
        """What hands each stage its quarter's level, (n_in_hand, n_quarters)."""
        return self.to_quarter.T


@dataclass(frozen=True)
class RowTable:
    """All that the likelihood needs of a log.

    cells: the cells, summed to rows
    board: shape (n_rows,), the row's place in `boards`; to_board: sparse, sums rows to boards
    log_hours: shape (n_rows,)
    rounding: shape (n_rows,), variance on the log scale that comes from the step of writing
    years: shape (n_rows,), <= 0, time from the as-of date back to the row's middle
    to_quarter: sparse, shape (n_quarters, n_rows), sums rows to the quarters of their middles; those without a day
    to none
    left_out: why boards could not be read whole, with counts, for the notes
    in_hand: the stages in hand, where there are any
    """

    layout: Layout
    cells: Cells
    board: Ints
    to_board: Any
    log_hours: Array
    rounding: Array
    years: Array
    to_quarter: Any
    boards: tuple[str, ...]
    as_of: dt.date | None
    left_out: Mapping[str, int] = field(default_factory=dict)
    in_hand: StagesInHand | None = None

    @property
    def n_rows(self) -> int:
        """How many rows there are."""
        return len(self.log_hours)

    @cached_property
    def from_quarter(self) -> Any:
        """What hands each row its quarter's level, (n_rows, n_quarters)."""
        return self.to_quarter.T


class CellBuilder:
    """Collects cells one by one, then freezes them."""

    def __init__(self, layout: Layout) -> None:
        self.parts = {name: i for i, name in enumerate(layout.parts)}
        self.conditions = {name: i for i, name in enumerate(layout.conditions)}
        self.stages = {name: i for i, name in enumerate(layout.stages)}
        self.work: tuple[list[int], list[int], list[float]] = ([], [], [])
        self.grades: tuple[list[int], list[int], list[float]] = ([], [], [])
        self.stage: list[int] = []
        self.row: list[int] = []

    def add(self, row: int, stage: str, work: Mapping[str, float], grades: Mapping[str, float]) -> None:
        """One stage of one row: its work by driver, its conditions by name."""
        cell = len(self.stage)
        self.stage.append(self.stages[stage])
        self.row.append(row)
        for lists, places, values in (
            (self.work, self.parts, work),
            (self.grades, self.conditions, grades),
        ):
            for name, value in values.items():
                if value != 0:
                    lists[0].append(cell)
                    lists[1].append(places[stage, name])
                    lists[2].append(value)

    def freeze(self, n_rows: int) -> Cells:
        """The cells as arrays; rows of one cell must have been added first."""
        n, per_row = len(self.stage), Counter(self.row)
        n_single = next((row for row in range(n_rows) if per_row[row] != 1), n_rows)
        row = [at - n_single for at in self.row if at >= n_single]

        def matrix(lists: tuple[list[int], list[int], list[float]], n_columns: int) -> Any:
            return sparse.csr_array((lists[2], (lists[0], lists[1])), shape=(n, n_columns))

        return Cells(
            work=matrix(self.work, len(self.parts)),
            grades=matrix(self.grades, len(self.conditions)),
            stage=np.array(self.stage, dtype=np.int64),
            row=np.array(row, dtype=np.int64),
            to_row=summing(row, n_rows - n_single),
            to_stage=summing(self.stage, len(self.stages)),
            n_rows=n_rows,
            n_single=n_single,
        )


def summing(group: Sequence[int | None], n_groups: int) -> Any:
    """The sparse matrix that sums members to their groups, shape (n_groups, n_members); of no group where None."""
    placed = [(at, i) for i, at in enumerate(group) if at is not None]
    at, member = (np.array(a, dtype=np.int64) for a in (zip(*placed, strict=True) if placed else ((), ())))
    return sparse.csr_array((np.ones(len(placed)), (at, member)), shape=(n_groups, len(group)))


def layout_of(settings: Settings, unplanned: Iterable[str] = ()) -> Layout:
    """The parts and conditions of a workshop; `unplanned` names stages with hours but no planned work."""
    extra = set(unplanned)
    parts = [
        (stage.name, driver)
        for stage in settings.stages.values()
        for driver in (*stage.drivers, *((UNPLANNED,) if stage.name in extra else ()))
    ]
    conditions = [(stage, name) for stage in settings.stages for name in modifiers_of(stage, settings)]
    return Layout(tuple(settings.stages), tuple(parts), tuple(conditions))


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
