"""What I charge for what: usual hours of one more of each thing there is to do, at the pay wanted, and materials."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from estimator.forecast.answers import cut
from estimator.forecast.ranges import Spread
from estimator.model.quantities import happens
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.json_form import JsonForm
from estimator.words.odds import z_of
from estimator.words.records import FINISHED, Rule
from estimator.words.settings.schema import ONCE, Settings

ODDS = 0.8


@dataclass(frozen=True, slots=True)
class Charge(JsonForm):
    """One more of a thing on a sound and dry board.

    driver: its name, "once" for what every board takes, whatever is done to it
    hours: of one such piece of work, 8 times in 10; mean_hours: of many, on average
    set_up: hours once, on average, where a stage that it belongs to would else not be done
    materials: of one on average, None where no board tells
    charge: mean hours at the pay wanted, and materials; how sure that is, 8 times in 10
    boards: finished ones that had any; accepted: whether the restorer's accepted range is used
    by_rules: whether the log tells hardly more of a stage that it goes into than rules of thumb
    """

    driver: str
    unit: str
    hours: Spread
    mean_hours: float
    set_up: float
    materials: float | None
    charge: Spread
    boards: int
    accepted: bool = False
    by_rules: bool = False


@dataclass(frozen=True)
class _Piece:
    """Hours of one unit in one stage, by draw: on average, and of one board whose pace is given."""

    mean: Array
    one: Array


def charges_of(
    fit: SavedFit, settings: Settings, rules: tuple[Rule, ...], *, seed: int = 0
) -> tuple[Charge, ...]:
    """What each thing there is to do should bring, in the order of the settings, "once" last.

    rules: whose accepted ranges stand in for what the log says. A thing whose hours neither a rule nor a board tells
    is left out.
    """
    rng = np.random.default_rng([seed, 17])
    pace = rng.standard_normal(fit.n_draws)
    accepted = {(r.stage, r.per): r for r in rules if r.form == "rate" and r.accepted and not r.when}
    pieces: dict[str, dict[str, _Piece]] = {}
    for k, (stage, driver) in enumerate(fit.parts):
        if (stage, driver) in fit.untold or (driver != ONCE and driver not in settings.drivers):
            continue
        at = fit.stages.index(stage)
        luck = fit.loading[:, at] * pace + fit.noise[:, at] * rng.standard_normal(fit.n_draws)
        rule = accepted.get((stage, driver))
        if rule is None:
            rate = np.exp(fit.log_rate[:, k])
            mean = rate * np.exp((fit.loading[:, at] ** 2 + fit.noise[:, at] ** 2) / 2)
            piece = _Piece(mean, rate * np.exp(luck))
        else:
            piece = _as_accepted(rule, rng, fit.n_draws)
        pieces.setdefault(driver, {})[stage] = piece
    costs = _materials(fit, rng)
    every = {name for name, stage in settings.stages.items() if happens(stage, {}) is True}
    once = pieces.pop(ONCE, {})
    pieces = {name: pieces[name] for name in settings.drivers if name in pieces}
    if always := {stage: piece for stage, piece in once.items() if stage in every}:
        pieces[ONCE] = always
    return tuple(
        _charge(
            driver,
            by_stage,
            math.fsum(float(once[s].mean.mean()) for s in by_stage if s in once),
            costs.get(driver),
            fit,
            settings,
            any((stage, driver) in accepted for stage in by_stage),
        )
        for driver, by_stage in pieces.items()
    )


def _charge(
    driver: str,
    by_stage: Mapping[str, _Piece],
    set_up: float,
    cost: Array | None,
    fit: SavedFit,
    settings: Settings,
    accepted: bool,
) -> Charge:
    """One driver's charge, over all stages that its work goes into."""
    mean = np.sum([piece.mean for piece in by_stage.values()], axis=0)
    one = np.sum([piece.one for piece in by_stage.values()], axis=0)
    bring = settings.workshop.target_pay * mean + (0.0 if cost is None else cost)
    known = settings.drivers.get(driver)
    had = [b for b in fit.boards if b.state == FINISHED and (driver == ONCE or b.turned_out.get(driver))]
    return Charge(
        driver=driver,
        unit=known.unit if known else "",
        hours=Spread(*cut(one, ODDS)),
        mean_hours=float(mean.mean()),
        set_up=0.0 if driver == ONCE else set_up,
        materials=None if cost is None else float(cost.mean()),
        charge=Spread(*cut(bring, ODDS)),
        boards=len(had),
        accepted=accepted,
        by_rules=not accepted and any(stage in fit.by_rules for stage in by_stage),
    )


def _as_accepted(rule: Rule, rng: np.random.Generator, n: int) -> _Piece:
    """The hours of a unit as the restorer has accepted them: a range of cases, at the rule's odds."""
    assert rule.accepted is not None
    assert rule.odds is not None
    low, high = math.log(rule.accepted.low), math.log(rule.accepted.high)
    sd = (high - low) / (2 * z_of(rule.odds))
    one = np.exp((low + high) / 2 + sd * rng.standard_normal(n))
    return _Piece(np.full(n, math.exp((low + high) / 2 + sd**2 / 2)), one)


def _materials(fit: SavedFit, rng: np.random.Generator) -> dict[str, Array]:
    """Draws of what a unit of each driver costs on average; empty where no board tells."""
    learned = fit.materials
    if learned is None:
        return {}
    half = (learned.root**2).sum(axis=1, keepdims=True) / 2
    off = learned.root @ rng.standard_normal((len(learned.drivers), fit.n_draws))
    some = 1 - learned.free
    costs = some * np.exp(learned.log_cost[:, None] - half + off + learned.luck**2 / 2)
    return dict(zip(learned.drivers, costs, strict=True))
