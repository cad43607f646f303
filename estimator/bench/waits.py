"""All waits of a shop, learned from its log, its settings and its rules of thumb."""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from estimator.bench.wait_cases import DRYING, Stood, WaitCases, has_wait
from estimator.bench.wait_law import N_DRAWS, Lent, Said, Seen, WaitLaw, learn, no_wait
from estimator.log.checks import by_stage
from estimator.model.quantities import as_it_turned_out, hidden_work
from estimator.model.saved_fit import SavedFit
from estimator.words.records import FINISHED, Board, Log
from estimator.words.rules import Rule
from estimator.words.settings import Bench, Settings, Stage

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
            [Seen.of(seen[grade]) for grade in waits],
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
        seen = Seen.of([_limits(stood) for stood in cases.for_cause(cause)])
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


def _limits(stood: Stood, factor: float = 1.0) -> tuple[float, float, bool]:
    """A case as more than so many days and at most so many, of summer; the same day is less than half a one."""
    most = max(stood.most, 0.5)
    return max(stood.fewest - 1, 0.0) / factor, most / factor, stood.sure


def _speaks_of(rule: Rule, modifier: str, grade: int) -> bool:
    """Whether a rule on waits holds for a grade."""
    wanted = rule.when.get(modifier)
    return not isinstance(wanted, tuple) or wanted[0] <= grade <= wanted[1]
