"""A verdict on every rule of thumb of a workshop, from its log, with the rule and without it."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from statistics import NormalDist

import numpy as np
from scipy.special import betaincinv, stdtrit

from estimator.forecast.answers import cut
from estimator.forecast.ranges import Spread
from estimator.model.levels import likeliest, likeliest_near
from estimator.model.likelihood import Density
from estimator.model.matrices import RowTable, table_of
from estimator.model.posterior import Posterior
from estimator.model.priors import terms_of
from estimator.model.saved_fit import Array, SavedFit
from estimator.model.stage_sums import Numbers
from estimator.record.rules.cases import Case, PastLog, StageWork, UsualHours, cases_of
from estimator.record.rules.evidence import SUSPECT, Finding, conflict, find_on_range, find_on_share, worth_of
from estimator.record.rules.verdicts import HOLDS, LOOKS, NOT_ENOUGH, SharedError, Verdict, Verdicts
from estimator.record.workers import each
from estimator.words.records import Log, Rule
from estimator.words.settings.schema import Settings

N_DRAWS = 400


@dataclass(frozen=True)
class Whole:
    """A log and all its rules as the model has them, and the normal approximation of what they say together."""

    log: Log
    settings: Settings
    table: RowTable
    density: Density
    posterior: Posterior

    @classmethod
    def of(cls, log: Log, settings: Settings, fit: SavedFit) -> Whole:
        """The log as of the fit's day."""
        table = table_of(log, settings, as_of=dt.date.fromisoformat(fit.as_of) if fit.as_of else None)
        density = Density(table, terms_of(table, log, settings))
        return cls(log, settings, table, density, likeliest(density))


def without(whole: Whole, rule: Rule, *, seed: int = 0, n_draws: int = N_DRAWS) -> Numbers:
    """Draws of the model's numbers from the log and all rules but one, by the normal approximation.

    The rate that the rule spoke of has the wide prior of a rate without a rule.

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    others: Sequence[Rule] = [other for other in whole.settings.rules if other.name != rule.name]
    density = Density(whole.table, terms_of(whole.table, whole.log, whole.settings, others))
    centre, root = _begun(whole.density, density, whole.posterior)
    posterior = likeliest_near(density, centre, root)
    rng = np.random.default_rng([seed, 2])
    return density.numbers(posterior.draws(n_draws, rng))


def _begun(old: Density, new: Density, posterior: Posterior) -> tuple[Array, Array]:
    """The old mode and root in the coordinates of the new density: the same rates and effects."""
    mode, root = posterior.mode.copy(), posterior.root.copy()
    at = old.numbers(mode[:, None])
    lean, scale, lent = float(at.lean[0]), float(at.scale[0]), float(at.lent_lean[0])

    def unit(density: Density) -> Array:
        sd = density.rate_sd * np.where(density.rate_own > 0, scale, 1.0)
        return np.asarray(sd[:, 0])

    leaning = new.rate_own * lean + new.rate_lent * lent
    mode[old.rate] = (at.log_rate - new.centre - leaning)[:, 0] / unit(new)
    root[old.rate] *= (unit(old) / unit(new))[:, None]
    changed = (old.ruled != new.ruled)[:, 0]
    size = np.log(np.maximum(np.abs(at.effect[:, 0]), 1e-3))
    standard = (size - new.effect_centre[:, 0]) / new.effect_sd[:, 0]
    mode[old.condition] = np.where(changed, np.where(new.ruled[:, 0], size, standard), mode[old.condition])
    return mode, root


WORTH_LOG = 8  # cases: how much the fit counts beside the cases themselves in a suggested range
FEWEST_SUGGESTED = 3
SPREAD, SPREAD_WORTH = (
    0.5,
    4.0,
)  # log-sd of waits before any is seen, and how many cases that is worth [invented]
MOST_WORK = 40  # cases over which a stage or a board is averaged


@dataclass(frozen=True)
class CaseDraws:
    """Draws of the numbers by name; each array (n_draws,)."""

    rate: dict[tuple[str, str], Array]
    effect: dict[tuple[str, str], Array]
    loading: dict[str, Array]
    noise: dict[str, Array]

    @classmethod
    def of(cls, fit: SavedFit, numbers: Numbers | None = None) -> CaseDraws:
        """The draws of a fit, or other draws of the same numbers."""
        rate, effect, loading, noise = (
            (fit.log_rate.T, fit.effect.T, fit.loading.T, fit.noise.T)
            if numbers is None
            else (numbers.log_rate, numbers.effect, numbers.loading, numbers.noise)
        )
        return cls(
            dict(zip(fit.parts, rate, strict=True)),
            dict(zip(fit.conditions, effect, strict=True)),
            dict(zip(fit.stages, loading, strict=True)),
            dict(zip(fit.stages, noise, strict=True)),
        )


def amounts(rule: Rule, cases: Sequence[Case], drawn: CaseDraws, *, seed: int = 0) -> Spread | None:
    """The range of a rule about hours by a fit; None where no case says what work it speaks of.

    Of a factor it is where the factor lies; of all else where the next case falls.
    """
    rng = np.random.default_rng([seed, 3])
    worked = [case for case in cases if case.work]
    worked = worked[:: max(1, math.ceil(len(worked) / MOST_WORK))]
    if rule.form == "rate":
        log_rate = drawn.rate[rule.stage, rule.per]
        spread = np.hypot(drawn.loading[rule.stage], drawn.noise[rule.stage])
        middles = [log_rate + _slower(case.work[0], drawn) for case in worked] or [log_rate]
        luck = [spread * rng.standard_normal(len(log_rate)) for _ in middles]
        return _between(np.exp(np.concatenate(middles) + np.concatenate(luck)), rule)
    if rule.form == "factor":
        slowed = [
            log
            for (stage, name), log in drawn.effect.items()
            if name == rule.modifier and rule.stage in {"", stage}
        ]
        return _between(np.exp(np.concatenate(slowed)), rule) if slowed else None
    if not worked:
        return None
    return _between(np.concatenate([_hours(case, drawn, rng) for case in worked]), rule)


def _hours(case: Case, drawn: CaseDraws, rng: np.random.Generator) -> Array:
    """Draws of the hours that the work of a case takes: one pace for all stages, noise for each."""
    n = len(next(iter(drawn.noise.values())))
    pace, total = rng.standard_normal(n), np.zeros(n)
    for stage_work in case.work:
        stage, work, _ = stage_work
        plain = sum(
            (much * np.exp(drawn.rate[stage, driver]) for driver, much in work.items() if much), np.zeros(n)
        )
        luck = drawn.loading[stage] * pace + drawn.noise[stage] * rng.standard_normal(n)
        total = total + plain * np.exp(_slower(stage_work, drawn) + luck)
    return total


def _slower(worked: StageWork, drawn: CaseDraws) -> Array:
    """Log of how many times as long the conditions of a case make its stage."""
    stage, _, grades = worked
    return sum((grade * drawn.effect[stage, name] for name, grade in grades.items()), np.zeros(1))


def _between(draws: Array, rule: Rule) -> Spread:
    """The middle and the ends at the rule's odds."""
    assert rule.odds is not None
    return Spread(*cut(draws, rule.odds))


def amounts_of_days(rule: Rule, cases: Sequence[Case]) -> Spread | None:
    """The range of a wait by its past cases alone: a Student-t on logs; None with fewer than three."""
    assert rule.odds is not None
    n = len(cases)
    if n < FEWEST_SUGGESTED:
        return None
    logs = np.log([case.amount for case in cases])
    freedom = SPREAD_WORTH + n - 1
    squares = SPREAD_WORTH * SPREAD**2 + float(((logs - logs.mean()) ** 2).sum())
    reach = math.sqrt(squares / freedom * (1 + 1 / n)) * float(stdtrit(freedom, (1 + rule.odds) / 2))
    middle = float(logs.mean())
    return Spread(math.exp(middle - reach), math.exp(middle), math.exp(middle + reach))


def together_of_days(rule: Rule, cases: Sequence[Case], lean: float, scale: float) -> Spread:
    """Rule and past cases together: the rule's centre, moved by its lean, weighs as its width deserves."""
    assert rule.odds is not None
    n = len(cases)
    logs = np.log([case.amount for case in cases])
    squares = SPREAD_WORTH * rule.spread**2 + (float(((logs - logs.mean()) ** 2).sum()) if n else 0.0)
    variance = squares / (SPREAD_WORTH + max(n - 1, 0))
    own = 1 / (scale * rule.omega) ** 2
    precision = own + n / variance
    middle = ((rule.centre + lean) * own + float(logs.sum()) / variance) / precision
    reach = math.sqrt(variance + 1 / precision) * NormalDist().inv_cdf((1 + rule.odds) / 2)
    return Spread(math.exp(middle - reach), math.exp(middle), math.exp(middle + reach))


def suggested(rule: Rule, cases: Sequence[Case], log: Spread | None) -> tuple[float, float] | None:
    """A range at the rule's odds: the quantiles of the cases, drawn to what the fit says without the rule.

    Quantiles are those of Hyndman & Fan's type 6, which hold as often as they say at any number of cases; both
    are averaged on the log scale, the fit counting for eight cases. A factor's is the fit's alone.

    Source: Hyndman & Fan (1996), The American Statistician 50:361-365.
    """
    assert rule.odds is not None
    if log is None or len(cases) < FEWEST_SUGGESTED:
        return None
    if rule.form == "factor":
        return log.low, log.high
    n = len(cases)
    ends = [(1 - rule.odds) / 2, (1 + rule.odds) / 2]
    seen = np.quantile(np.log([case.amount for case in cases]), ends, method="weibull")
    low, high = np.exp((n * seen + WORTH_LOG * np.log([log.low, log.high])) / (n + WORTH_LOG)).tolist()
    return low, high


def worth_boards(rule: Rule, cases: Sequence[Case], drawn: CaseDraws, scale: float) -> float:
    """For how many past boards the rule counts: its precision, over what one board tells of the same thing."""
    if rule.worth is not None:
        return rule.worth
    own = 1 / (scale * rule.omega) ** 2
    if rule.about == "days":
        logs = np.log([case.amount for case in cases])
        squares = SPREAD_WORTH * rule.spread**2 + (
            float(((logs - logs.mean()) ** 2).sum()) if len(logs) else 0.0
        )
        return own * squares / (SPREAD_WORTH + max(len(cases) - 1, 0))
    told = [case.weight**2 / _variance(case, drawn) for case in cases if case.work]
    if told:
        return float(own / np.mean(told))
    stages = [rule.stage] if rule.stage else list(drawn.noise)
    spread = np.mean([_spread(drawn, stage) for stage in stages])
    return float(own * spread)


def _spread(drawn: CaseDraws, stage: str) -> float:
    """The log-scale variance of one board's hours on a stage."""
    return float((drawn.loading[stage] ** 2 + drawn.noise[stage] ** 2).mean())


def _variance(case: Case, drawn: CaseDraws) -> float:
    """The log-scale variance of the hours of a case: of stages in proportion to their usual hours."""
    if len(case.work) == 1:
        return _spread(drawn, case.work[0][0])
    usual = {
        stage: sum(float(np.exp(drawn.rate[stage, d]).mean()) * much for d, much in work.items())
        for stage, work, _ in case.work
    }
    whole = sum(usual.values())
    loading = sum(usual[s] * float(drawn.loading[s].mean()) for s in usual) / whole
    noise = sum((usual[s] / whole) ** 2 * float((drawn.noise[s] ** 2).mean()) for s in usual)
    return loading**2 + noise


FEW_REFITS = 3  # up to which starting a second process costs more than it saves


def judge(
    log: Log,
    settings: Settings,
    fit: SavedFit,
    *,
    today: dt.date | None = None,
    seed: int = 0,
    jobs: int = -1,
) -> Verdicts:
    """A verdict on every rule of the settings, in their order.

    fit: of the same log and settings; today: what was known later is left out; jobs: processes, -1 for one a core

    A rule about hours is judged by a fit without it. Raises NoAnswerError where such a fit cannot be found.
    """
    past = PastLog(log, settings, fit, today=today)
    seen = {rule.name: cases_of(rule, past, UsualHours.of(fit)) for rule in settings.rules}
    alone = _alone(
        [r for r in settings.rules if r.about == "hours" and seen[r.name]], log, settings, fit, seed, jobs
    )
    verdicts = []
    for rule in settings.rules:
        numbers = alone.get(rule.name)
        cases = seen[rule.name] if numbers is None else cases_of(rule, past, UsualHours.of(fit, numbers))
        verdicts.append(_judged(rule, cases, fit, numbers, rules=len(settings.rules), seed=seed))
    return Verdicts(tuple(verdicts), _shared(settings, fit))


def _alone(
    rules: Sequence[Rule], log: Log, settings: Settings, fit: SavedFit, seed: int, jobs: int
) -> Mapping[str, Numbers]:
    """By rule the draws of a fit without it."""
    if not rules:
        return {}
    whole = Whole.of(log, settings, fit)
    jobs = jobs if len(rules) > FEW_REFITS else 1
    return dict(each(partial(_named_without, whole, seed=seed), [(rule,) for rule in rules], jobs=jobs))


def _named_without(whole: Whole, rule: Rule, *, seed: int) -> tuple[str, Numbers]:
    """The name of a rule, and the draws of a fit without it."""
    return rule.name, without(whole, rule, seed=seed)


def _judged(
    rule: Rule, cases: Sequence[Case], fit: SavedFit, numbers: Numbers | None, *, rules: int, seed: int
) -> Verdict:
    """The verdict on one rule; numbers: of the fit without it, for a rule about hours with any case."""
    found, drawn = find(rule, cases, rules), CaseDraws.of(fit)
    scale = float(np.median(fit.scale)) if rule.own else 1.0
    log_says: Spread | None
    both: Spread | None
    if rule.about == "chance":
        log_says, both = _shares(rule, cases)
    elif rule.about == "days":
        log_says = amounts_of_days(rule, cases)
        both = together_of_days(rule, cases, float(fit.lean.mean()) if rule.own else 0.0, scale)
    else:
        log_says = None if numbers is None else amounts(rule, cases, CaseDraws.of(fit, numbers), seed=seed)
        both = amounts(rule, cases, drawn, seed=seed)
    side = Counter(case.side for case in cases)
    happened = round(sum(case.amount for case in cases))
    chance = rule.about == "chance"
    return Verdict(
        name=rule.name,
        text=rule.text,
        form=rule.form,
        lent=not rule.own,
        odds=rule.odds,
        low=rule.low,
        high=rule.high,
        share=rule.share,
        verdict=found.verdict,
        looks=found.looks or None,
        inside=happened if chance else side[0],
        below=side[-1],
        above=side[1],
        of=len(cases),
        evidence=found.evidence,
        would_do=found.would_do,
        log=log_says,
        both=both,
        suggested=None if chance else suggested(rule, cases, log_says),
        worth_boards=worth_boards(rule, cases, drawn, scale),
        accepted=None if rule.accepted is None else (rule.accepted.low, rule.accepted.high),
        cases=tuple((case.board, case.amount) for case in cases),
        sides=tuple(case.side for case in cases),
        conflict=None if numbers is None else _conflict(rule, fit, CaseDraws.of(fit, numbers), scale),
    )


def _conflict(rule: Rule, fit: SavedFit, alone: CaseDraws, scale: float) -> float | None:
    """How seldom a right rule on a rate or a factor lies as far from the log's own; None for other rules."""
    lean = float(np.median(fit.lean)) if rule.own else 0.0
    if rule.form == "rate":
        draws = alone.rate[rule.stage, rule.per]
    elif rule.form == "factor":
        draws = next(d for (s, m), d in alone.effect.items() if m == rule.modifier and rule.stage in {"", s})
    else:
        return None
    return conflict(rule.centre + lean, scale * rule.omega, float(draws.mean()), float(draws.std()))


def find(rule: Rule, cases: Sequence[Case], rules: int) -> Finding:
    """What to call a rule by its cases; a lent one is never accused, for it speaks of shops, not of this one."""
    worth = worth_of(Counter(_quarter(case) for case in cases).values())
    if rule.about == "chance":
        assert rule.share is not None
        found = find_on_share(round(sum(case.amount for case in cases)), len(cases), rule.share, rules, worth)
    else:
        assert rule.odds is not None
        side = Counter(case.side for case in cases)
        found = find_on_range(side[0], side[-1], side[1], rule.odds, rules, worth)
    if rule.own or found.verdict in {HOLDS, NOT_ENOUGH}:
        return found
    return replace(found, verdict=NOT_ENOUGH, looks=LOOKS[found.verdict] if found.evidence >= SUSPECT else "")


def _quarter(case: Case) -> tuple[int, int]:
    """The quarter of a case; one for all of no known day."""
    return (0, 0) if case.day is None else (case.day.year, (case.day.month - 1) // 3)


def _shares(rule: Rule, cases: Sequence[Case]) -> tuple[Spread | None, Spread]:
    """The share by the cases alone (8 in 10, from none known), and with the rule for as many boards as it is worth."""
    assert rule.share is not None
    worth = rule.worth or 0.0
    yes = sum(case.amount for case in cases)
    no = len(cases) - yes

    def between(a: float, b: float) -> Spread:
        return Spread(*(float(betaincinv(a, b, p)) for p in (0.1, 0.5, 0.9)))

    alone = between(1 + yes, 1 + no) if cases else None
    return alone, between(rule.share * worth + yes, (1 - rule.share) * worth + no)


def _shared(settings: Settings, fit: SavedFit) -> SharedError | None:
    """The error that own rules share; None where no rule about hours is the restorer's own."""
    if not any(rule.own and rule.about == "hours" for rule in settings.rules):
        return None
    return SharedError(
        lean=float(np.median(fit.lean)),
        scale=float(np.median(fit.scale)),
        runs_low=float((fit.lean > 0).mean()),
        too_sure=float((fit.scale > 1).mean()),
    )
