"""Boards as arrays: every row of the log is a sum of stages, every stage of a board is one cell."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse

from estimator.model.quantities import (
    modifiers_of,
)
from estimator.model.saved_fit import UNPLANNED, Array, Ints
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
