"""The past cases that a rule of thumb speaks of, and on which side of its range each fell."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

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
from estimator.words.records import FINISHED, Board, Log
from estimator.words.rules import Rule
from estimator.words.settings import Settings
from estimator.words.settings_rules import HIDDEN_WORK

HALF = 0.5  # of a stage's usual hours: a rate with less of it cannot be seen in them
LEAST_RATE = 0.05  # of the usual rate: what a stage quicker than its other parts alone would leave
MORE = 1e-6  # units: found more than assessed
WET, DRY = "still wet", "dry"  # what the checks of a drying board say

Work = tuple[tuple[str, Mapping[str, float], Mapping[str, float]], ...]  # stages: quantities and grades


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
    work: Work = ()
    weight: float = 1.0


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
        self.worked = stage_hours(log.entries, log.by_id, settings.stages)
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

    def work(self, board: Board, values: Mapping[str, float], stage: str = "") -> Work | None:
        """The stages that were booked, or the one named; None where a quantity is not known."""
        found = []
        for has in self.worked.get(board.board, ()):
            if stage in {"", has.stage}:
                work, grades = self._work(has.stage, values)
                if work is None:
                    return None
                found.append((has.stage, work, grades))
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


def cases_of(rule: Rule, past: Past, usual: Usual) -> list[Case]:
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


def _rate(rule: Rule, past: Past, usual: Usual) -> Iterator[Case]:
    """Stages whose usual hours are at least half of this rate; the amount is what is left for one.

    The hours lie between those with the rule's low and with its high in place of the rate exactly where the
    amount lies in the rule's range.
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
        left = has.hours / usual.slower(has.stage, grades) - (whole - own * quantity)
        amount = max(left / quantity, LEAST_RATE * own)
        yield Case(
            board.board, amount, _side(rule, amount), has.middle, ((has.stage, work, grades),), float(share)
        )


def _factor(rule: Rule, past: Past, usual: Usual) -> Iterator[Case]:
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


def _stage(rule: Rule, past: Past) -> Iterator[Case]:
    """Hours of a whole stage."""
    for board, has, work, grades in past.stages(rule):
        yield Case(board.board, has.hours, _side(rule, has.hours), has.middle, ((has.stage, work, grades),))


def _board(rule: Rule, past: Past) -> Iterator[Case]:
    """Hours of a whole finished board."""
    for board, values in past.of(rule):
        hours = past.whole.get(board.board)
        if hours:
            day = board.ready or board.collected
            yield Case(board.board, hours, _side(rule, hours), day, past.work(board, values) or ())


def _wait(rule: Rule, past: Past) -> Iterator[Case]:
    """Waits with both their ends written; of drying also those that the checks put on one side for certain."""
    told = {board.board for board, _ in past.of(rule)}
    for wait in past.log.waits:
        if wait.cause != rule.wait or wait.board not in told:
            continue
        if wait.until is not None:
            days = max((wait.until - wait.first).days, 0.5)
            yield Case(wait.board, days, _side(rule, days), wait.until)
            continue
        bounds = _between_checks(wait.board, wait.first, wait.cause, past)
        if bounds is None:
            continue
        least, most = bounds
        side = _side(rule, least)
        if side == _side(rule, most):
            day = wait.first + dt.timedelta(days=math.ceil(most))
            yield Case(wait.board, math.sqrt(least * most), side, day)


def _between_checks(board: str, first: dt.date, cause: str, past: Past) -> tuple[float, float] | None:
    """The most and the fewest days that a wait can have taken by the checks on the stage of its name."""
    checks = [e for e in past.log.entries if e.board == board and e.stage == cause and e.date >= first]
    ended = [e.date for e in checks if e.note.strip().casefold() == DRY or e.done]
    if not ended:
        return None
    end = min(ended)
    wet = [e.date for e in checks if e.note.strip().casefold() == WET and e.date < end]
    least = (max(wet) - first).days if wet else 0
    most = (end - first).days
    return max(least, 0.5), max(most, 0.5)


def _span(rule: Rule, past: Past) -> Iterator[Case]:
    """Days between two dates of a board, both written."""
    assert rule.span is not None
    for board, _ in past.of(rule):
        first, last = (getattr(board, name) for name in rule.span)
        if first is not None and last is not None and last >= first:
            days = max((last - first).days, 0.5)
            yield Case(board.board, days, _side(rule, days), last)


def _chance(rule: Rule, past: Past) -> Iterator[Case]:
    """Whether it happened, on every finished board that tells."""
    for board, values in past.of(rule):
        if board.state != FINISHED:
            continue
        happened = _happened(rule.chance, board, values, past)
        if happened is not None:
            yield Case(board.board, float(happened), 0, board.ready or board.collected)


def _happened(event: str, board: Board, values: Mapping[str, float], past: Past) -> bool | None:
    """Whether an event happened on a board; None where the log does not tell."""
    if event == HIDDEN_WORK:
        return _hidden_work(board, past.settings)
    if event not in past.settings.sometimes:
        return None if event not in values else values[event] > 0
    worked = past.worked.get(board.board, ())
    booked = any(has.stage == event for has in worked)
    on = happens(past.settings.stages[event], values, booked=booked)
    return False if on is None and worked else on


def _hidden_work(board: Board, settings: Settings) -> bool | None:
    """Whether more was found than could be seen, beyond what the owner asked for since."""
    names: Sequence[str] = (*settings.drivers, *settings.sometimes)
    told = [n for n in names if n in board.found and (n in board.assessed or n in settings.sometimes)]
    if not told:
        return None
    return any(board.found[n] > board.assessed.get(n, 0.0) + board.later.get(n, 0.0) + MORE for n in told)
