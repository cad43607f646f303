"""How long a board may stand: lognormal laws of all waits of a shop, from past cases, settings and rules."""

from __future__ import annotations

import datetime as dt
import math
import zlib
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from estimator.bench.wait_cases import DRYING, WaitCase, WaitCases, has_wait
from estimator.forecast.draws import chance_below, point_at
from estimator.log.checks import by_stage
from estimator.model.quantities import as_it_turned_out, hidden_work
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.records import FINISHED, Board, Log, Rule
from estimator.words.settings.schema import Bench, Settings, Stage

N_DRAWS = 1000
GRADES_APART = 0.2  # log-sd of one grade's middle about what all grades share [invented]
SPREAD_UNSURE = 0.4  # log-sd of the spread about the one that the lent range has [invented]
NARROWEST = 0.1  # log-sd of days
SEEN_WRONG = 0.05  # how often hours left mean something else than that nothing was ready, by odds [measured]
FREEDOM = 3.0  # of the Student-t by which a rule may be plainly wrong
LEAST_CHANCE = 1e-7
FARTHEST = 5.0  # sd: a board that stands for longer than any law allows goes on from there
POINTS, SPREADS, SHIFTS = 121, 21, 121


@dataclass(frozen=True)
class WaitLaw:
    """Days that a board stands, so that what comes next may begin so many days later, rounded up.

    log_median, log_sd: (n_draws,), draws of what the log and the rules leave open; a log median of minus
    infinity is no wait. cases: how many times that a board stood it rests on
    """

    log_median: Array
    log_sd: Array
    cases: int = 0

    def draw(self, rng: np.random.Generator, n: int) -> Array:
        """So many draws of days, (n,): the luck of one board in each.

        Draw i uses the law's own draw i, so that boards which stand by the same law share what is not known of it.
        """
        i = np.arange(n) % len(self.log_median)
        days: Array = np.exp(self.log_median[i] + self.log_sd[i] * rng.standard_normal(n))
        return days

    def draw_given(self, so_far: float, rng: np.random.Generator, n: int) -> Array:
        """So many draws of the days still to come, (n,), of a board that is known to have stood so long and not done.

        so_far: days; law draws under which it would hardly have stood so long count for less. Above 0 for certain,
        unless there is no wait at all.

        >>> law = WaitLaw(np.log([20.0]), np.array([0.4]))
        >>> left = law.draw_given(25.0, np.random.default_rng(1), 1000)
        >>> bool(left.min() > 0), int(np.median(left))
        (True, 5)
        """
        waits = np.isfinite(self.log_median)
        if so_far <= 0 or not waits.any():
            return self.draw(rng, n)
        median, sd = self.log_median[waits], np.maximum(self.log_sd[waits], 1e-3)
        start = np.minimum((np.log(so_far) - median) / sd, FARTHEST)
        lasts = chance_below(-start)
        pick = rng.choice(len(median), n, p=lasts / lasts.sum())
        z = -point_at(lasts[pick] * (1 - rng.random(n)))
        days: Array = so_far * np.expm1(sd[pick] * np.maximum(z - start[pick], 1e-9))
        return days


def no_wait(n_draws: int = N_DRAWS) -> WaitLaw:
    """The law of a board that does not stand.

    >>> no_wait().draw(np.random.default_rng(0), 2).tolist()
    [0.0, 0.0]
    """
    return WaitLaw(np.full(n_draws, -np.inf), np.zeros(n_draws))


@dataclass(frozen=True)
class Lent:
    """What is held of days before any are seen. centre: their log median; spread: their log-sd."""

    centre: float
    spread: float

    @classmethod
    def between(cls, low: float, high: float) -> Lent:
        """A range at 8 in 10; a low end of 0 is taken as a tenth of the high one.

        >>> lent = Lent.between(5, 16)
        >>> round(math.exp(lent.centre), 1), round(lent.spread, 2)
        (8.9, 0.45)
        """
        low = max(low, high / 10)
        z = NormalDist().inv_cdf(0.9)
        return cls((math.log(low) + math.log(high)) / 2, math.log(high / low) / (2 * z))


@dataclass(frozen=True)
class Said:
    """A rule of thumb on the days. centre: the log median that it says; sd: how unsure that is.

    grades: places of the laws that it speaks of, all at once
    """

    centre: float
    sd: float
    grades: tuple[int, ...]


@dataclass(frozen=True)
class WaitsSeen:
    """Times that boards stood by one law, each (n,): more than `over` days and at most `most`, infinite where it
    stands still. sure: False where it is only gathered from hours that nobody booked.
    """

    over: Array
    most: Array
    sure: Array

    @classmethod
    def of(cls, cases: Sequence[tuple[float, float, bool]]) -> WaitsSeen:
        """From (over, most, sure), case by case."""
        over, most, sure = np.array(cases, dtype=float).reshape(len(cases), 3).T
        return cls(over, most, sure)


def learn(
    lent: Sequence[Lent],
    seen: Sequence[WaitsSeen],
    said: Sequence[Said] = (),
    *,
    shops_apart: float,
    rng: np.random.Generator,
    n_draws: int = N_DRAWS,
) -> list[WaitLaw]:
    """The laws of waits that differ by grade, one for each lent range.

    The log median of a grade is its lent one, a shift that all grades share (normal with log-sd `shops_apart`), and
    its own (normal). Rules of thumb speak of the shift through the mean of their grades, as a Student-t. The
    posterior stands on a grid: shift, then middle and spread of each grade, whose cases are censored to whole days.
    """
    reach = max([4 * shops_apart, *(abs(_offset(a, b)) + 1 for a, b in zip(lent, seen, strict=True))])
    shifts = np.linspace(-reach, reach, SHIFTS)
    chance = -0.5 * (shifts / shops_apart) ** 2
    for rule in said:
        middle = float(np.mean([lent[g].centre for g in rule.grades]))
        sd = np.hypot(rule.sd, GRADES_APART / len(rule.grades) ** 0.5)
        chance = chance - (FREEDOM + 1) / 2 * np.log1p(((rule.centre - middle - shifts) / sd) ** 2 / FREEDOM)
    grids = [_Grid.of(a, b, shifts, reach) for a, b in zip(lent, seen, strict=True)]
    chance = chance + sum((grid.evidence for grid in grids), np.zeros(SHIFTS))
    shift = _drawn(np.broadcast_to(_normed(chance, axis=0), (n_draws, SHIFTS)), rng)
    return [grid.law(shift, rng, len(cases.over)) for grid, cases in zip(grids, seen, strict=True)]


def _offset(lent: Lent, seen: WaitsSeen) -> float:
    """How far the middle of the cases lies from the lent one, in logs."""
    if not len(seen.over):
        return 0.0
    middle = np.where(np.isfinite(seen.most), (np.maximum(seen.over, 0) + seen.most) / 2, seen.over + 1)
    return float(np.median(np.log(np.maximum(middle, 0.1)))) - lent.centre


@dataclass(frozen=True)
class _Grid:
    """The posterior of one grade's middle and spread on a grid.

    middles (POINTS,), spreads (SPREADS,); table (POINTS, SPREADS): log density of cases and spread
    given (POINTS, SHIFTS): log density of the middle for each shift; evidence (SHIFTS,)
    """

    middles: Array
    log_spreads: Array
    table: Array
    given: Array
    evidence: Array

    @classmethod
    def of(cls, lent: Lent, seen: WaitsSeen, shifts: Array, reach: float) -> _Grid:
        """The grid about a lent range, wide enough for every shift."""
        middles = lent.centre + np.linspace(-reach - 0.5, reach + 0.5, POINTS)
        usual = np.log(max(lent.spread, NARROWEST))
        log_spreads = usual + SPREAD_UNSURE * np.linspace(-3, 3, SPREADS)
        table = -0.5 * ((log_spreads - usual) / SPREAD_UNSURE) ** 2 + np.zeros((POINTS, 1))
        below = {
            bound: chance_below((np.log(bound) - middles[:, None]) / np.exp(log_spreads))
            for bound in {*seen.over.tolist(), *seen.most.tolist()} - {0.0, np.inf}
        } | {0.0: 0.0, np.inf: 1.0}
        for (over, most, sure), times in Counter(
            zip(seen.over.tolist(), seen.most.tolist(), seen.sure.tolist(), strict=True)
        ).items():
            wrong = 0.0 if sure else SEEN_WRONG * below[over]
            table = table + times * np.log(np.maximum(below[most] - below[over] + wrong, LEAST_CHANCE))
        of_middle = np.logaddexp.reduce(table, axis=1)[:, None]
        about = (middles[:, None] - lent.centre - shifts) / GRADES_APART
        given = of_middle - 0.5 * about**2
        return cls(middles, log_spreads, table, given, np.logaddexp.reduce(given, axis=0))

    def law(self, shift: NDArray[np.intp], rng: np.random.Generator, cases: int) -> WaitLaw:
        """Draws of middle and spread, for draws of the shift by its place; spread evenly within a cell."""
        i = _drawn(_normed(self.given, axis=0).T[shift], rng)
        j = _drawn(_normed(self.table, axis=1)[i], rng)
        within = rng.random((2, len(shift))) - 0.5
        return WaitLaw(
            self.middles[i] + within[0] * (self.middles[1] - self.middles[0]),
            np.exp(self.log_spreads[j] + within[1] * (self.log_spreads[1] - self.log_spreads[0])),
            cases,
        )


def _normed(logs: Array, axis: int) -> Array:
    """Logs as shares that sum to 1 along an axis."""
    shares = np.exp(logs - logs.max(axis=axis, keepdims=True))
    normed: Array = shares / shares.sum(axis=axis, keepdims=True)
    return normed


def _drawn(shares: Array, rng: np.random.Generator) -> NDArray[np.intp]:
    """For each row of shares one place, drawn as often as its share says, evenly over the rows."""
    n = len(shares)
    even = (rng.permutation(n) + rng.random(n)) / n
    below = shares.cumsum(axis=1)
    places: NDArray[np.intp] = (even[:, None] * below[:, -1:] > below).sum(axis=1)
    return places


WINTER_MONTHS = (10, 11, 12, 1, 2, 3)
CAUSES = ("owner", "artwork", "parts", "weather")
UNKNOWN = Lent.between(2, 21)  # common practice, no source: a message comes in 2 to 21 days
SHOPS_APART, CAUSES_APART = 0.3, 1.0  # log-sd of a shop's waits about lent ones [invented]
USUAL_SCALE = 1.5  # how many times as unsure an own rule is as it says, where the log has not told
# how often a board meets it, before any is seen: as (yes, no), worth two boards [invented]
CHANCES: Mapping[str, tuple[float, float]] = {
    "owner": (0.3, 1.7),
    "artwork": (1.0, 1.0),
    "parts": (0.2, 1.8),
    "weather": (0.4, 1.6),
}
OWNER_HIDDEN: Mapping[bool, tuple[float, float]] = {True: (1.0, 1.0), False: (0.1, 1.9)}


def season_on(day: dt.date, bench: Bench) -> float:
    """How many times as long as in summer foam dries that is hung up on a day.

    >>> season_on(dt.date(2026, 1, 10), Bench(winter_drying=1.4)), season_on(dt.date(2026, 7, 10), Bench())
    (1.4, 1.0)
    """
    return bench.winter_drying if day.month in WINTER_MONTHS else 1.0


@dataclass(frozen=True)
class Waits:
    """The laws of a shop's waits. laws: by stage and grade; causes: by cause; chances: (yes, no) by cause."""

    laws: Mapping[tuple[str, int | None], WaitLaw] = field(repr=False)
    causes: Mapping[str, WaitLaw] = field(repr=False)
    chances: Mapping[tuple[str, bool | None], tuple[float, float]] = field(repr=False)
    drying: str = ""

    @classmethod
    def of(
        cls,
        log: Log,
        settings: Settings,
        *,
        lean: float = 0.0,
        scale: float = USUAL_SCALE,
        seed: int = 0,
        n_draws: int = N_DRAWS,
    ) -> Waits:
        """The waits that a log, the settings' ranges and the rules of thumb tell.

        lean, scale: the error that the restorer's own rules share, as the fit of his hours has it
        """
        return _Shop(log, settings, lean, scale, seed, n_draws).waits()

    @classmethod
    def fitted(cls, log: Log, settings: Settings, fit: SavedFit, *, seed: int = 0) -> Waits:
        """The same, with own rules of thumb taken as the fit of hours has found them."""
        lean, scale = float(np.median(fit.lean)), float(np.median(fit.scale))
        return cls.of(log, settings, lean=lean, scale=scale, seed=seed)

    def after(self, stage: str, grade: int | None = None) -> WaitLaw:
        """Days that a board stands after a stage: in summer, of the stage `drying`.

        grade: of the modifier by which the stage's wait goes; None: any, as often as boards have had it
        """
        return self.laws.get((stage, grade)) or self.laws.get((stage, None)) or no_wait()

    def cause(self, cause: str) -> WaitLaw:
        """Days until what was asked for has come."""
        if cause == DRYING:
            return self.after(self.drying)
        return self.causes.get(cause) or self.causes["parts"]

    def chance(self, cause: str, hidden: bool | None = None) -> tuple[float, float]:
        """How often a board meets a cause, as the two weights of a beta law, yes and no.

        Of a cause that a stage needs: of the boards on which the stage happens. hidden: of boards with hidden
        work, or of those without; None: of all.
        """
        return self.chances.get((cause, hidden)) or self.chances[cause, None]


@dataclass(frozen=True)
class _Shop:
    """What waits are learned from."""

    log: Log
    settings: Settings
    lean: float
    scale: float
    seed: int
    n_draws: int

    def waits(self) -> Waits:
        """All laws and chances."""
        cases = WaitCases(self.log, self.settings)
        laws: dict[tuple[str, int | None], WaitLaw] = {}
        for stage in self.settings.stages.values():
            if has_wait(stage):
                laws |= self._stage(stage, cases)
        causes = {cause: self._cause(cause, cases) for cause in CAUSES}
        chances = {
            (cause, hidden): self._chance(cause, hidden) for cause in CAUSES for hidden in (None, True, False)
        }
        return Waits(laws, causes, chances, cases.drying)

    def _rng(self, what: str) -> np.random.Generator:
        return np.random.default_rng([self.seed, zlib.crc32(what.encode())])

    def _stage(self, stage: Stage, cases: WaitCases) -> dict[tuple[str, int | None], WaitLaw]:
        """The laws of one stage by grade, and over all grades."""
        modifier, ranges = next(iter(stage.wait_by.items()), ("", (stage.wait_days,)))
        waits = [grade for grade, (_, high) in enumerate(ranges) if high > 0]
        seen: dict[int, list[tuple[float, float, bool]]] = {grade: [] for grade in waits}
        for stood in cases.after(stage.name):
            grade = self._grade(stood.board, modifier)
            if grade in seen:
                factor = season_on(stood.first, self.settings.bench) if stage.name == cases.drying else 1.0
                seen[grade].append(_limits(stood, factor))
        learned = learn(
            [Lent.between(*ranges[grade]) for grade in waits],
            [WaitsSeen.of(seen[grade]) for grade in waits],
            self._said(stage.name, modifier, waits, drying=stage.name == cases.drying),
            shops_apart=SHOPS_APART,
            rng=self._rng(stage.name),
            n_draws=self.n_draws,
        )
        by_grade = dict.fromkeys(range(len(ranges)), no_wait(self.n_draws)) | dict(
            zip(waits, learned, strict=True)
        )
        laws: dict[tuple[str, int | None], WaitLaw] = {
            (stage.name, grade): law for grade, law in by_grade.items()
        }
        laws[stage.name, None] = self._any(by_grade, modifier)
        return laws if modifier else {(stage.name, None): by_grade[0]}

    def _grade(self, board: str, modifier: str) -> int | None:
        """A board's grade as it turned out: 0 where the wait goes by none, None where it is not known."""
        if not modifier:
            return 0
        values = as_it_turned_out(self.log.by_id[board])
        return round(values[modifier]) if modifier in values else None

    def _any(self, by_grade: Mapping[int, WaitLaw], modifier: str) -> WaitLaw:
        """The law where the grade is not known: each as often as boards have had it, none known of as one board."""
        had = [self._grade(board.board, modifier) for board in self.log.boards]
        often = np.array([had.count(grade) + 1.0 for grade in by_grade])
        at = self._rng(modifier).choice(len(often), self.n_draws, p=often / often.sum())
        i, laws = np.arange(self.n_draws), list(by_grade.values())
        return WaitLaw(
            np.array([law.log_median for law in laws])[at, i],
            np.array([law.log_sd for law in laws])[at, i],
            sum(law.cases for law in laws),
        )

    def _said(self, stage: str, modifier: str, waits: Sequence[int], *, drying: bool) -> list[Said]:
        """The rules of thumb that speak of the days after a stage, of some grades or of all."""
        said = []
        for rule in self.settings.rules:
            if rule.form != "wait" or rule.wait not in ({stage, DRYING} if drying else {stage}):
                continue
            grades = tuple(at for at, grade in enumerate(waits) if _speaks_of(rule, modifier, grade))
            if grades and rule.when.keys() <= {modifier}:
                said.append(self._rule(rule, grades))
        return said

    def _rule(self, rule: Rule, grades: tuple[int, ...]) -> Said:
        """A rule of thumb, with the error that own rules share taken out of it."""
        if not rule.own:
            return Said(rule.centre, rule.omega, grades)
        return Said(rule.centre + self.lean, self.scale * rule.omega, grades)

    def _cause(self, cause: str, cases: WaitCases) -> WaitLaw:
        """The law of a cause: a lent rule on it is what is held beforehand, own rules are heard besides."""
        rules = [rule for rule in self.settings.rules if rule.wait == cause and not rule.when]
        lent = next((Lent(rule.centre, rule.spread) for rule in rules if not rule.own), UNKNOWN)
        seen = WaitsSeen.of([_limits(stood) for stood in cases.for_cause(cause)])
        said = [self._rule(rule, (0,)) for rule in rules if rule.own]
        (law,) = learn(
            [lent], [seen], said, shops_apart=CAUSES_APART, rng=self._rng(cause), n_draws=self.n_draws
        )
        return law

    def _chance(self, cause: str, hidden: bool | None) -> tuple[float, float]:
        """The weights of a beta law: boards that met a cause, and that did not, with what is held beforehand."""
        yes, no = CHANCES[cause]
        if cause == "owner" and hidden is not None:
            yes, no = OWNER_HIDDEN[hidden]
        met = {wait.board for wait in self.log.waits if wait.cause == cause}
        if not self.log.waits:
            return yes, no
        could = [
            board
            for board in self.log.boards
            if board.state == FINISHED
            and self._could_meet(board, cause)
            and (hidden is None or hidden_work(board, self.settings) is hidden)
        ]
        many = sum(board.board in met for board in could)
        return yes + many, no + len(could) - many

    @cached_property
    def _booked(self) -> Mapping[str, Collection[str]]:
        """Stages with hours by board."""
        rows = by_stage(entry for entry in self.log.entries if entry.hours > 0)
        return {board: has.keys() for board, has in rows.items()}

    def _could_meet(self, board: Board, cause: str) -> bool:
        """Whether a stage that needs the cause has happened on a board; any board where no stage does."""
        needing = {name for name, stage in self.settings.stages.items() if cause in stage.needs}
        return not needing or not needing.isdisjoint(self._booked.get(board.board, ()))


def _limits(stood: WaitCase, factor: float = 1.0) -> tuple[float, float, bool]:
    """A case as more than so many days and at most so many, of summer; the same day is less than half a one."""
    most = max(stood.most, 0.5)
    return max(stood.fewest - 1, 0.0) / factor, most / factor, stood.sure


def _speaks_of(rule: Rule, modifier: str, grade: int) -> bool:
    """Whether a rule on waits holds for a grade."""
    wanted = rule.when.get(modifier)
    return not isinstance(wanted, tuple) or wanted[0] <= grade <= wanted[1]
