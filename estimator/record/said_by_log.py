"""What the log says of the cases of a rule of thumb: the range they take, with the rule and without it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from scipy.special import stdtrit

from estimator.forecast.answers import cut
from estimator.model.saved_fit import Array, SavedFit
from estimator.model.sums import Numbers
from estimator.record.cases import Case
from estimator.record.past import StageWork
from estimator.record.verdicts import Amounts
from estimator.words.rules import Rule

WORTH_LOG = 8  # cases: how much the fit counts beside the cases themselves in a suggested range
FEWEST_SUGGESTED = 3
SPREAD, SPREAD_WORTH = (
    0.5,
    4.0,
)  # log-sd of waits before any is seen, and how many cases that is worth [invented]
MOST_WORK = 40  # cases over which a stage or a board is averaged


@dataclass(frozen=True)
class Drawn:
    """Draws of the numbers by name; each array (n_draws,)."""

    rate: dict[tuple[str, str], Array]
    effect: dict[tuple[str, str], Array]
    loading: dict[str, Array]
    noise: dict[str, Array]

    @classmethod
    def of(cls, fit: SavedFit, numbers: Numbers | None = None) -> Drawn:
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


def amounts(rule: Rule, cases: Sequence[Case], drawn: Drawn, *, seed: int = 0) -> Amounts | None:
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


def _hours(case: Case, drawn: Drawn, rng: np.random.Generator) -> Array:
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


def _slower(worked: StageWork, drawn: Drawn) -> Array:
    """Log of how many times as long the conditions of a case make its stage."""
    stage, _, grades = worked
    return sum((grade * drawn.effect[stage, name] for name, grade in grades.items()), np.zeros(1))


def _between(draws: Array, rule: Rule) -> Amounts:
    """The middle and the ends at the rule's odds."""
    assert rule.odds is not None
    return Amounts(*cut(draws, rule.odds))


def amounts_of_days(rule: Rule, cases: Sequence[Case]) -> Amounts | None:
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
    return Amounts(math.exp(middle - reach), math.exp(middle), math.exp(middle + reach))


def together_of_days(rule: Rule, cases: Sequence[Case], lean: float, scale: float) -> Amounts:
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
    return Amounts(math.exp(middle - reach), math.exp(middle), math.exp(middle + reach))


def suggested(rule: Rule, cases: Sequence[Case], log: Amounts | None) -> tuple[float, float] | None:
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


def worth_boards(rule: Rule, cases: Sequence[Case], drawn: Drawn, scale: float) -> float:
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


def _spread(drawn: Drawn, stage: str) -> float:
    """The log-scale variance of one board's hours on a stage."""
    return float((drawn.loading[stage] ** 2 + drawn.noise[stage] ** 2).mean())


def _variance(case: Case, drawn: Drawn) -> float:
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
