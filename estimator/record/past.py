"""A log as verdicts on rules of thumb need it: boards as they turned out, hours by stage, and usual hours."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from estimator.log.stage_hours import StageHours, stage_hours
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    modifiers_of,
    speaks_of,
    typical_grades,
    work_of,
)
from estimator.model.saved_fit import UNPLANNED, SavedFit
from estimator.model.sums import Numbers
from estimator.words.records import Board, Log
from estimator.words.rules import Rule
from estimator.words.settings import Settings

StageWork = tuple[str, Mapping[str, float], Mapping[str, float]]  # a stage, its quantities, its grades


@dataclass(frozen=True)
class Usual:
    """The usual hours that a fit says: middles over its draws, by stage and driver or condition.

    rate: hours for one; effect: log factor a grade; spread: log-scale sd of one board's hours, by stage
    """

    rate: Mapping[tuple[str, str], float]
    effect: Mapping[tuple[str, str], float]
    spread: Mapping[str, float]

    @classmethod
    def of(cls, fit: SavedFit, numbers: Numbers | None = None) -> Usual:
        """The usual hours of a fit, or of other draws of the same numbers."""
        rates = fit.log_rate.T if numbers is None else numbers.log_rate
        effects = fit.effect.T if numbers is None else numbers.effect
        loading = fit.loading.T if numbers is None else numbers.loading
        noise = fit.noise.T if numbers is None else numbers.noise
        spread = np.sqrt((loading**2 + noise**2).mean(axis=1))
        return cls(
            dict(zip(fit.parts, np.exp(rates.mean(axis=1)).tolist(), strict=True)),
            dict(zip(fit.conditions, effects.mean(axis=1).tolist(), strict=True)),
            dict(zip(fit.stages, spread.tolist(), strict=True)),
        )

    def slower(self, stage: str, grades: Mapping[str, float]) -> float:
        """How many times as long the conditions of a board make a stage."""
        return math.exp(sum(self.effect[stage, name] * grade for name, grade in grades.items()))


class Past:
    """A log as cases need it: boards with how they turned out and their hours by stage, up to a day."""

    def __init__(self, log: Log, settings: Settings, fit: SavedFit, *, today: dt.date | None = None) -> None:
        self.log, self.settings, self.today = log, settings, today
        self.worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
        self.usual_grades = typical_grades(log.boards, settings)
        self.whole = {known.board: known.hours for known in fit.boards}

    def known(self, day: dt.date | None) -> bool:
        """Whether a day is not still to come."""
        return day is None or self.today is None or day <= self.today

    def of(self, rule: Rule) -> Iterator[tuple[Board, dict[str, float]]]:
        """The boards that a rule speaks of, with how they turned out."""
        for board in self.log.boards:
            values = as_it_turned_out(board)
            if speaks_of(rule, board, values):
                yield board, values

    def stages(self, rule: Rule) -> Iterator[tuple[Board, StageHours, Mapping[str, float], dict[str, float]]]:
        """The finished stages that a rule speaks of: board, hours, quantities, grades."""
        for board, values in self.of(rule):
            for has in self.worked.get(board.board, ()):
                work, grades = self._work(has.stage, values)
                if has.done and work is not None and rule.stage in {"", has.stage}:
                    yield board, has, work, grades

    def work(self, board: Board, values: Mapping[str, float]) -> tuple[StageWork, ...] | None:
        """The stages behind a board's hours: booked, or in its total; None where a quantity is not known."""
        booked = {has.stage for has in self.worked.get(board.board, ())}
        found = []
        for name, stage in self.settings.stages.items():
            if name not in booked and not (board.total_hours and happens(stage, values)):
                continue
            work, grades = self._work(name, values)
            if work is None:
                return None
            found.append((name, work, grades))
        return tuple(found)

    def _work(
        self, name: str, values: Mapping[str, float]
    ) -> tuple[dict[str, float] | None, dict[str, float]]:
        """A stage's quantities and grades; what nobody had planned is a quantity of its own."""
        stage = self.settings.stages[name]
        work = work_of(stage, values)
        if happens(stage, values, booked=True) is False:
            work = {UNPLANNED: 1.0}
        return work, {m: values.get(m, self.usual_grades[m]) for m in modifiers_of(name, self.settings)}
