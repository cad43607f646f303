"""The past cases that a rule of thumb speaks of, and on which side of its range each fell."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from estimator.bench.wait_cases import WaitCases
from estimator.log.stage_hours import StageHours, stage_hours
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    hidden_work,
    modifiers_of,
    speaks_of,
    typical_grades,
    work_of,
)
from estimator.model.saved_fit import UNPLANNED, SavedFit
from estimator.model.stage_sums import Numbers
from estimator.words.records import FINISHED, Board, Log, Rule
from estimator.words.settings.rules import HIDDEN_WORK
from estimator.words.settings.schema import Settings

StageWork = tuple[str, Mapping[str, float], Mapping[str, float]]  # a stage, its quantities, its grades


@dataclass(frozen=True)
class UsualHours:
    """The usual hours that a fit says: middles over its draws, by stage and driver or condition.

    rate: hours for one; effect: log factor a grade; spread: log-scale sd of one board's hours, by stage
    """

    rate: Mapping[tuple[str, str], float]
    effect: Mapping[tuple[str, str], float]
    spread: Mapping[str, float]

    @classmethod
    def of(cls, fit: SavedFit, numbers: Numbers | None = None) -> UsualHours:
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


class PastLog:
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


HALF = 0.5  # of a stage's usual hours: a rate with less of it cannot be seen in them
SAME_DAY = 0.5  # days of what was over on the day on which it began
LEAST_RATE = 0.05  # of the usual rate: what a stage quicker than its other parts alone would leave


@dataclass(frozen=True, slots=True)
class Case:
    """One past case of a rule.

    amount: in the rule's own unit: hours, hours for one of a driver, days, times as long for one grade;
    of a chance 1 where it happened, else 0
    side: -1 below the rule's range, 0 inside, 1 above; of a chance always 0
    day: when it was known
    work: the stages behind it, with quantities and grades; weight: how far its log moves with the rule's own
    """

    board: str
    amount: float
    side: int
    day: dt.date | None = None
    work: tuple[StageWork, ...] = ()
    weight: float = 1.0


def cases_of(rule: Rule, past: PastLog, usual: UsualHours) -> list[Case]:
    """The past cases of a rule, in the order of the log; usual: what the log says without the rule."""
    made = {
        "rate": lambda: _rate(rule, past, usual),
        "factor": lambda: _factor(rule, past, usual),
        "stage": lambda: _stage(rule, past),
        "board": lambda: _board(rule, past),
        "wait": lambda: _wait(rule, past),
        "span": lambda: _span(rule, past),
        "chance": lambda: _chance(rule, past),
    }
    return [case for case in made[rule.form]() if past.known(case.day)]


def _side(rule: Rule, amount: float) -> int:
    """On which side of the rule's range an amount lies; the ends are inside."""
    assert rule.low is not None
    assert rule.high is not None
    slack = 1e-9 * amount
    return -1 if amount < rule.low - slack else int(amount > rule.high + slack)


def _rate(rule: Rule, past: PastLog, usual: UsualHours) -> Iterator[Case]:
    """Stages whose usual hours are at least half of this rate; the amount is what is left for one, as booked.

    A rule does not say whether set-up and the like are in it, nor whether hard boards are: least takes both out
    of the hours, most leaves both in. A case misses only where it misses on any reading, so that a rule which is
    right on one of them is not wronged.
    """
    for board, has, work, grades in past.stages(rule):
        quantity = work.get(rule.per, 0.0)
        if not quantity:
            continue
        whole = sum(usual.rate[has.stage, driver] * much for driver, much in work.items())
        own = usual.rate[has.stage, rule.per]
        share = own * quantity / whole
        if share < HALF:
            continue
        slower, others = usual.slower(has.stage, grades), whole - own * quantity
        readings = [
            has.hours / slower - others,
            has.hours - slower * others,
            has.hours / slower,
            has.hours,
        ]
        least, most = min(readings) / quantity, max(readings) / quantity
        side = _side(rule, most) if _side(rule, most) < 0 else max(_side(rule, least), 0)
        amount = max(readings[1] / quantity, LEAST_RATE * own)
        yield Case(board.board, amount, side, has.middle, ((has.stage, work, grades),), float(share))


def _factor(rule: Rule, past: PastLog, usual: UsualHours) -> Iterator[Case]:
    """One stage a board that the condition slowed: how many times as long as without it, for one grade.

    No single board shows a factor alone, so that the range is widened by how much hours spread anyway: where
    the rule is right it then holds as often as it says.
    """
    z = NormalDist().inv_cdf((1 + (rule.odds or 0.8)) / 2)
    best: dict[str, tuple[float, Case]] = {}
    for board, has, work, grades in past.stages(rule):
        grade = grades.get(rule.modifier, 0.0)
        if grade < 1 or as_it_turned_out(board).get(rule.modifier) is None:
            continue
        plain = sum(usual.rate[has.stage, driver] * much for driver, much in work.items())
        rest = usual.slower(has.stage, {m: g for m, g in grades.items() if m != rule.modifier})
        log_factor = math.log(has.hours / (plain * rest)) / grade
        room = z * math.hypot(rule.spread, usual.spread[has.stage] / grade)
        off = log_factor - rule.centre
        side = 0 if abs(off) <= room else int(math.copysign(1, off))
        made = Case(
            board.board, math.exp(log_factor), side, has.middle, ((has.stage, work, grades),), float(grade)
        )
        if plain * rest > best.get(board.board, (0.0, made))[0]:
            best[board.board] = (plain * rest, made)
    yield from (case for _, case in best.values())


def _stage(rule: Rule, past: PastLog) -> Iterator[Case]:
    """Hours of a whole stage."""
    for board, has, work, grades in past.stages(rule):
        yield Case(board.board, has.hours, _side(rule, has.hours), has.middle, ((has.stage, work, grades),))


def _board(rule: Rule, past: PastLog) -> Iterator[Case]:
    """Hours of a whole finished board."""
    for board, values in past.of(rule):
        hours = past.whole.get(board.board)
        if hours:
            day = board.ready or board.collected
            yield Case(board.board, hours, _side(rule, hours), day, past.work(board, values) or ())


def _wait(rule: Rule, past: PastLog) -> Iterator[Case]:
    """Waits with both their ends written; of drying also those that the checks put on one side for certain."""
    told = {board.board for board, _ in past.of(rule)}
    for stood in WaitCases(past.log, past.settings).for_cause(rule.wait):
        if stood.board in told and stood.until is not None:
            fewest = stood.fewest - (stood.fewest < stood.most)  # it was wet on the day before
            fewest, most = max(fewest, SAME_DAY), max(stood.most, SAME_DAY)
            side = _side(rule, fewest)
            if side == _side(rule, most):
                yield Case(stood.board, math.sqrt(fewest * most), side, stood.until)


def _span(rule: Rule, past: PastLog) -> Iterator[Case]:
    """Days between two dates of a board, both written."""
    assert rule.span is not None
    for board, _ in past.of(rule):
        first, last = (getattr(board, name) for name in rule.span)
        if first is not None and last is not None and last >= first:
            days = max((last - first).days, SAME_DAY)
            yield Case(board.board, days, _side(rule, days), last)


def _chance(rule: Rule, past: PastLog) -> Iterator[Case]:
    """Whether it happened, on every finished board that tells."""
    for board, values in past.of(rule):
        if board.state != FINISHED:
            continue
        happened = _happened(rule.chance, board, values, past)
        if happened is not None:
            yield Case(board.board, float(happened), 0, board.ready or board.collected)


def _happened(event: str, board: Board, values: Mapping[str, float], past: PastLog) -> bool | None:
    """Whether an event happened on a board; None where the log does not tell."""
    if event == HIDDEN_WORK:
        return hidden_work(board, past.settings)
    if event not in past.settings.sometimes:
        return None if event not in values else values[event] > 0
    worked = past.worked.get(board.board, ())
    booked = any(has.stage == event for has in worked)
    on = happens(past.settings.stages[event], values, booked=booked)
    return False if on is None and worked else on
