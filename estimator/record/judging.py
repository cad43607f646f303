"""A verdict on every rule of thumb of a workshop, from its log."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from scipy.special import betaincinv

from estimator.model.saved_fit import SavedFit
from estimator.model.sums import Numbers
from estimator.record.cases import Case, cases_of
from estimator.record.evidence import SUSPECT, Finding, conflict, find_on_range, find_on_share
from estimator.record.log_alone import Whole, without
from estimator.record.past import Past, Usual
from estimator.record.said_by_log import (
    Drawn,
    amounts,
    amounts_of_days,
    suggested,
    together_of_days,
    worth_boards,
)
from estimator.record.verdicts import HOLDS, LOOKS, NOT_ENOUGH, Amounts, Shared, Verdict, Verdicts
from estimator.words.records import Log
from estimator.words.rules import Rule
from estimator.words.settings import Settings

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
    past = Past(log, settings, fit, today=today)
    seen = {rule.name: cases_of(rule, past, Usual.of(fit)) for rule in settings.rules}
    alone = _alone(
        [r for r in settings.rules if r.about == "hours" and seen[r.name]], log, settings, fit, seed, jobs
    )
    verdicts = []
    for rule in settings.rules:
        numbers = alone.get(rule.name)
        cases = seen[rule.name] if numbers is None else cases_of(rule, past, Usual.of(fit, numbers))
        verdicts.append(_judged(rule, cases, fit, numbers, rules=len(settings.rules), seed=seed))
    return Verdicts(tuple(verdicts), _shared(settings, fit))


def _alone(
    rules: Sequence[Rule], log: Log, settings: Settings, fit: SavedFit, seed: int, jobs: int
) -> Mapping[str, Numbers]:
    """By rule the draws of a fit without it."""
    if not rules:
        return {}
    from joblib import Parallel, delayed

    whole = Whole.of(log, settings, fit)
    jobs = jobs if len(rules) > FEW_REFITS else 1
    found = Parallel(n_jobs=jobs)(delayed(without)(whole, rule, seed=seed) for rule in rules)
    return {rule.name: numbers for rule, numbers in zip(rules, found, strict=True)}


def _judged(
    rule: Rule, cases: Sequence[Case], fit: SavedFit, numbers: Numbers | None, *, rules: int, seed: int
) -> Verdict:
    """The verdict on one rule; numbers: of the fit without it, for a rule about hours with any case."""
    found, drawn = find(rule, cases, rules), Drawn.of(fit)
    scale = float(np.median(fit.scale)) if rule.own else 1.0
    log_says: Amounts | None
    both: Amounts | None
    if rule.about == "chance":
        log_says, both = _shares(rule, cases)
    elif rule.about == "days":
        log_says = amounts_of_days(rule, cases)
        both = together_of_days(rule, cases, float(fit.lean.mean()) if rule.own else 0.0, scale)
    else:
        log_says = None if numbers is None else amounts(rule, cases, Drawn.of(fit, numbers), seed=seed)
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
        conflict=None if numbers is None else _conflict(rule, fit, Drawn.of(fit, numbers), scale),
    )


def _conflict(rule: Rule, fit: SavedFit, alone: Drawn, scale: float) -> float | None:
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
    if rule.about == "chance":
        assert rule.share is not None
        found = find_on_share(round(sum(case.amount for case in cases)), len(cases), rule.share, rules)
    else:
        assert rule.odds is not None
        side = Counter(case.side for case in cases)
        found = find_on_range(side[0], side[-1], side[1], rule.odds, rules)
    if rule.own or found.verdict in {HOLDS, NOT_ENOUGH}:
        return found
    return replace(found, verdict=NOT_ENOUGH, looks=LOOKS[found.verdict] if found.evidence >= SUSPECT else "")


def _shares(rule: Rule, cases: Sequence[Case]) -> tuple[Amounts | None, Amounts]:
    """The share by the cases alone (8 in 10, from none known), and with the rule for as many boards as it is worth."""
    assert rule.share is not None
    worth = rule.worth or 0.0
    yes = sum(case.amount for case in cases)
    no = len(cases) - yes

    def between(a: float, b: float) -> Amounts:
        return Amounts(*(float(betaincinv(a, b, p)) for p in (0.1, 0.5, 0.9)))

    alone = between(1 + yes, 1 + no) if cases else None
    return alone, between(rule.share * worth + yes, (1 - rule.share) * worth + no)


def _shared(settings: Settings, fit: SavedFit) -> Shared | None:
    """The error that own rules share; None where no rule about hours is the restorer's own."""
    if not any(rule.own and rule.about == "hours" for rule in settings.rules):
        return None
    return Shared(
        lean=float(np.median(fit.lean)),
        scale=float(np.median(fit.scale)),
        runs_low=float((fit.lean > 0).mean()),
        too_sure=float((fit.scale > 1).mean()),
    )
