"""Boards as arrays: every row of the log is a sum of stages, every stage of a board is one cell.

A row of one finished stage has one cell; a total has a cell for each stage that happened; hours of a total
that were not booked to stages have the cells of the stages without rows.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy import sparse

from estimator.log.stage_hours import StageHours, shop_grain, stage_hours
from estimator.model.quantities import as_it_turned_out, happens, modifiers_of, typical_grades, work_of
from estimator.model.saved_fit import UNPLANNED, Array, Ints
from estimator.words.records import SHOP, WITHDRAWN, Board, Log
from estimator.words.settings import Settings

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


@dataclass(frozen=True)
class Table:
    """All that the likelihood needs of a log.

    cells: the cells, summed to rows
    board: shape (n_rows,), the row's place in `boards`; to_board: sparse, sums rows to boards
    log_hours: shape (n_rows,)
    rounding: shape (n_rows,), variance on the log scale that comes from the step of writing
    years: shape (n_rows,), <= 0, time from the as-of date back to the row's middle
    left_out: why boards could not be read whole, with counts, for the notes
    """

    layout: Layout
    cells: Cells
    board: Ints
    to_board: Any
    log_hours: Array
    rounding: Array
    years: Array
    boards: tuple[str, ...]
    as_of: dt.date | None
    left_out: Mapping[str, int] = field(default_factory=dict)

    @property
    def n_rows(self) -> int:
        """How many rows there are."""
        return len(self.log_hours)


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
            to_row=_summing(row, n_rows - n_single),
            to_stage=_summing(self.stage, len(self.stages)),
            n_rows=n_rows,
            n_single=n_single,
        )


def _summing(group: Sequence[int], n_groups: int) -> Any:
    """The sparse matrix that sums members to their groups, shape (n_groups, n_members)."""
    n = len(group)
    return sparse.csr_array(
        (np.ones(n), (np.array(group, dtype=np.int64), np.arange(n))), shape=(n_groups, n)
    )


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


def table_of(log: Log, settings: Settings, *, as_of: dt.date | None = None) -> Table:
    """A log as arrays: one row for each finished stage, total, or rest of a total.

    Finished stages count in full wherever the board stands. A row is left out, and counted, where a quantity
    that its hours grow with is not known; a condition that is not known counts as the shop's usual grade.
    """
    worked = stage_hours(log.entries, log.by_id, settings.stages)
    typical = typical_grades(log.boards, settings)
    plans = [_plan(board, worked.get(board.board, ()), settings) for board in log.boards]
    layout = layout_of(settings, (stage for plan in plans for stage in plan.unplanned))
    builder = CellBuilder(layout)
    rows: list[tuple[int, float, float, dt.date | None]] = []  # board, hours, rounding variance, day
    q = grain_of(log)
    left_out = Counter(reason for plan in plans for reason in plan.left_out)
    slowed = {stage: modifiers_of(stage, settings) for stage in settings.stages}
    planned = [(j, row) for j, plan in enumerate(plans) for row in plan.rows]
    for j, (hours, steps, grain, day, cells) in sorted(planned, key=lambda r: len(r[1][-1]) > 1):
        rounding = coarseness(hours, steps, q if grain is None else grain)
        for stage, work in cells:
            grades = {m: plans[j].values.get(m, typical[m]) for m in slowed[stage]}
            builder.add(len(rows), stage, work, grades)
        rows.append((j, hours, rounding, day))
    last = max((day for *_, day in rows if day is not None), default=None)
    booked = log.last_entry
    newest = max((d for d in (last, booked) if d is not None), default=None)
    as_of = newest if as_of is None or newest is None else min(as_of, newest)
    years = [
        0.0 if day is None or as_of is None else min((day - as_of).days, 0) / DAYS_IN_A_YEAR
        for *_, day in rows
    ]
    return Table(
        layout=layout,
        cells=builder.freeze(len(rows)),
        board=np.array([row[0] for row in rows], dtype=np.int64),
        to_board=_summing([row[0] for row in rows], len(log.boards)),
        log_hours=np.log(np.array([row[1] for row in rows], dtype=float)),
        rounding=np.array([row[2] for row in rows], dtype=float),
        years=np.array(years, dtype=float),
        boards=tuple(board.board for board in log.boards),
        as_of=as_of,
        left_out=dict(left_out),
    )


def grain_of(log: Log) -> float:
    """The step in hours that a log's entries are written in, where they name none of their own; 0 for none."""
    return shop_grain(e.hours for e in log.entries if e.board != SHOP and e.grain is None)


def coarseness(hours: float, entries: int, step: float) -> float:
    """The variance on the log scale of a sum of so many entries, each rounded to the step."""
    return entries * step**2 / (12 * max(hours, step) ** 2) if step > 0 else 0.0


Row = tuple[float, int, float | None, dt.date | None, list[tuple[str, dict[str, float]]]]


@dataclass
class _Plan:
    """The rows that one board gives, before the layout is known."""

    values: dict[str, float]
    rows: list[Row] = field(default_factory=list)
    unplanned: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def _plan(board: Board, worked: tuple[StageHours, ...], settings: Settings) -> _Plan:
    """The rows of one board: its finished stages, its total, or what of the total is on no stage."""
    plan = _Plan(as_it_turned_out(board))
    for has in worked:
        stage = settings.stages[has.stage]
        work = work_of(stage, plan.values)
        if happens(stage, plan.values, booked=True) is False:
            plan.unplanned.append(has.stage)
            work = {UNPLANNED: 1.0}
        if not has.done:
            continue
        if work is None:
            plan.left_out.append("quantity not known")
            continue
        plan.rows.append((has.hours, has.entries, has.grain, has.middle, [(has.stage, work)]))
    if board.total_hours and board.finished:
        _add_total(plan, board, worked, settings)
    elif board.state == WITHDRAWN and not worked:
        plan.left_out.append("withdrawn")
    return plan


def _add_total(plan: _Plan, board: Board, worked: tuple[StageHours, ...], settings: Settings) -> None:
    """The row of a total, less what is booked to stages."""
    booked = {has.stage for has in worked}
    rest = (board.total_hours or 0.0) - sum(has.hours for has in worked)
    cells = []
    for stage in settings.stages.values():
        if stage.name in booked:
            continue
        on = happens(stage, plan.values)
        if on is None and stage.sometimes:
            on = False  # it was not written that it happened
        if on is None:
            plan.left_out.append("quantity not known")
            return
        if on:
            work = work_of(stage, plan.values)
            if work is None:
                plan.left_out.append("quantity not known")
                return
            cells.append((stage.name, work))
    if rest <= 0 or not cells:
        return
    plan.rows.append((rest, 1, board.total_grain, _middle(board), cells))


def _middle(board: Board) -> dt.date | None:
    """The day halfway through a board of which only the total is known."""
    first = board.started or board.accepted or board.quoted or board.asked
    last = board.ready or board.collected or board.paid_on
    if first is None or last is None:
        return last or first
    return first + (last - first) / 2
