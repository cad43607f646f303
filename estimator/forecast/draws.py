"""Hours of one board's stages, drawn from a saved fit; and what they usually are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from statistics import NormalDist

import numpy as np

from estimator.forecast.calibration import Stretch, stretched
from estimator.model.quantities import happens, work_of
from estimator.model.saved_fit import UNPLANNED, Array, Ints, SavedFit
from estimator.words.settings.schema import ONCE, Settings

FARTHEST = 8.0
POINTS = 8001


@cache
def _table() -> tuple[Array, Array]:
    """Points on the line and the chance below each."""
    points = np.linspace(-FARTHEST, FARTHEST, POINTS)
    return points, np.array([NormalDist().cdf(float(z)) for z in points])


def chance_below(z: Array) -> Array:
    """Phi(z), to 1e-6 absolute.

    >>> chance_below(np.array([0.0, 1.6449])).round(3)
    array([0.5 , 0.95])
    """
    points, chances = _table()
    return np.interp(z, points, chances)


def point_at(chance: Array) -> Array:
    """The z with Phi(z) = chance, to 1e-5 within six sd.

    >>> point_at(np.array([0.5, 0.9])).round(4)
    array([0.    , 1.2816])
    """
    points, chances = _table()
    return np.interp(chance, chances, points)


N_DRAWS = 20_000
RAREST = 1e-12  # chance; a board in hand for longer than that is as one that has it
GROWTH_SD = (
    0.35  # of the power by which hours may grow otherwise than work does, beyond what the log has seen
)
PACES = 15  # points of the quadrature over a board's pace


@dataclass(frozen=True)
class Drawn:
    """Draws of a board's stages.

    stages: names, in order of work, of stages that happen in any draw
    hours: (n_stages, n_draws); 0 in draws in which a stage does not happen
    reasons: (stage, driver, modifier or set-up): mean hours that it adds; they sum to the mean total
    done: stages whose hours are booked and known
    """

    stages: tuple[str, ...]
    hours: Array
    reasons: tuple[tuple[str, str, float], ...]
    done: frozenset[str]

    @property
    def total(self) -> Array:
        """Hours of the whole board, (n_draws,)."""
        return np.asarray(self.hours.sum(axis=0))

    def stretched(self, stretch: Stretch) -> Drawn:
        """The same board with each draw's total moved out from the middle; its stages move with it.

        For a board of which nothing is booked yet.
        """
        total = self.total
        middle = float(np.median(total)) if total.size else 0.0
        if not stretch or middle <= 0:
            return self
        moved = stretched(total, middle, stretch.low, stretch.high)
        by = np.divide(moved, total, out=np.ones_like(total), where=total > 0)
        hours = self.hours * by
        before, after = self.hours.mean(axis=1), hours.mean(axis=1)
        ratio = dict(
            zip(self.stages, np.divide(after, before, out=np.ones_like(after), where=before > 0), strict=True)
        )
        reasons = tuple((s, d, much * float(ratio[s])) for s, d, much in self.reasons)
        return replace(self, hours=hours, reasons=reasons)


@dataclass(frozen=True)
class Work:
    """What is to do on a board, by draw.

    values: for each driver and modifier a number, or (n_draws,) of them where it is not known
    happening: for each stage whether it happens, by draw; a stage that never happens is left out
    booked: hours so far, by stage; done: stages among them that are finished
    coarse: by stage, the variance on the log scale that comes from the step in which its hours are written
    counted: stages in hand whose hours so far the fit has counted already
    beyond: by driver the log of how many times the most that the log has seen, > 0, by draw or for all
    redone: by finished stage the share of its usual hours that is done once more
    passed_by: stages that belong to the board, without hours, though what comes after them was worked
    """

    values: Mapping[str, float | Array]
    happening: Mapping[str, Array]
    booked: Mapping[str, float]
    done: frozenset[str]
    coarse: Mapping[str, float] = field(default_factory=dict)
    counted: frozenset[str] = frozenset()
    beyond: Mapping[str, float | Array] = field(default_factory=dict)
    redone: Mapping[str, float] = field(default_factory=dict)
    passed_by: tuple[str, ...] = ()


def draw_hours(
    fit: SavedFit,
    work: Work,
    rng: np.random.Generator,
    n_draws: int = N_DRAWS,
    *,
    before: Work | None = None,
) -> Drawn:
    """Hours of each stage of a board, `n_draws` of them.

    before: the work that the hours booked so far were booked on, where more has been asked for since; stages that are
    finished then take so much longer, and from the same `rng` draws differ from those of `before` by what came on top
    """
    at = np.arange(n_draws) % fit.n_draws
    if work.beyond or (before is not None and before.beyond):
        power = GROWTH_SD * rng.spawn(1)[0].standard_normal(n_draws)  # the other draws stay as they are
        work = _grown(work, power)
        before = None if before is None else _grown(before, power)
    stages = [s for s in fit.stages if s in work.happening or s in work.booked]
    noise = {s: rng.standard_normal(n_draws) for s in fit.stages}  # the same stream whatever the board has
    luck = rng.standard_normal(n_draws)
    medians = {s: _Median(fit, s, work, at) for s in stages if s in work.happening}
    place = {s: i for i, s in enumerate(fit.stages)}
    told = medians if before is None else {s: _Median(fit, s, before, at) for s in before.happening}
    pace = _learned_pace(fit, work, told, place, at)
    kept = _outlasting(fit, work, told, place, at, pace, luck, rng)
    paces = pace.at(luck)[kept]
    hours, reasons = [], []
    for stage in stages:
        if stage in work.done or stage not in medians:
            took = np.full(n_draws, work.booked[stage])
            reasons.append((stage, "booked", float(work.booked[stage])))
            if before is not None and stage in medians and stage in told:
                more = np.maximum(medians[stage].usual - told[stage].usual, 0.0)
                more = more + work.redone.get(stage, 0.0) * told[stage].usual
                i, rows = place[stage], at[kept]
                luckily = np.exp(fit.loading[rows, i] * paces + fit.noise[rows, i] * noise[stage])
                more = np.broadcast_to(more, n_draws)[kept] * luckily
                reasons.append((stage, "asked later", float(more.mean())))
                took = took + more
        else:
            median = medians[stage].reordered(kept)
            i, rows = place[stage], at[kept]
            spread = fit.noise[rows, i]
            middle = median.log_median + fit.loading[rows, i] * paces
            z = noise[stage]
            if (so_far := work.booked.get(stage, 0.0)) > 0:
                least = chance_below((np.log(so_far) - middle) / spread)
                z = point_at(least + (1 - least) * chance_below(z))
            took = np.exp(middle + spread * z)
            if so_far > 0:
                took = np.maximum(took, so_far)
            took = np.where(np.broadcast_to(work.happening[stage], n_draws)[kept], took, 0.0)
            reasons.extend(median.reasons(took))
        hours.append(took)
    return Drawn(tuple(stages), np.array(hours).reshape(len(stages), n_draws), tuple(reasons), work.done)


def _grown(work: Work, power: Array) -> Work:
    """The same work, with quantities beyond the log counting for more or less, all by one power that nobody knows."""
    values = dict(work.values)
    for driver, times in work.beyond.items():
        values[driver] = values[driver] * np.exp(power * times)
    return replace(work, values=values)


class _Median:
    """The median of one stage by draw, and its parts."""

    def __init__(self, fit: SavedFit, stage: str, work: Work, at: Ints) -> None:
        self.stage = stage
        self.parts = [
            (driver, np.exp(fit.log_rate[at, i]) * _quantity(work, stage, driver))
            for i, (s, driver) in enumerate(fit.parts)
            if s == stage
        ]
        self.slowed = [
            (modifier, fit.effect[at, i] * work.values.get(modifier, 0.0))
            for i, (s, modifier) in enumerate(fit.conditions)
            if s == stage
        ]
        self._sum()

    def _sum(self) -> None:
        """The log-median from parts and conditions."""
        plain = sum((p for _, p in self.parts), np.zeros(1))
        self.plain = np.maximum(plain, 1e-12)
        self.slower = sum((s for _, s in self.slowed), np.zeros(1))
        self.log_median = np.log(self.plain) + self.slower

    @property
    def usual(self) -> Array:
        """Median hours of what is planned."""
        planned = sum((p for name, p in self.parts if name != UNPLANNED), np.zeros(1))
        return np.asarray(planned * np.exp(self.slower))

    def reordered(self, kept: Ints) -> _Median:
        """The same for the draws that are kept."""
        other = object.__new__(_Median)
        other.stage = self.stage
        n = len(kept)
        other.parts = [(name, np.broadcast_to(p, n)[kept]) for name, p in self.parts]
        other.slowed = [(name, np.broadcast_to(s, n)[kept]) for name, s in self.slowed]
        other._sum()
        return other

    def reasons(self, took: Array) -> list[tuple[str, str, float]]:
        """Mean hours of each part and condition of the stage; they sum to the mean of `took`."""
        without = took * np.exp(-self.slower)
        found = [(self.stage, name, float(np.mean(without * p / self.plain))) for name, p in self.parts]
        if self.slowed:
            added = took - without
            whole = np.where(np.abs(self.slower) < 1e-12, 1.0, self.slower)
            found += [(self.stage, name, float(np.mean(added * s / whole))) for name, s in self.slowed]
        return [reason for reason in found if reason[2] != 0.0]


def _quantity(work: Work, stage: str, driver: str) -> float | Array:
    """How much of a driver there is; set-up is 1, unplanned work is 1 where none is planned."""
    if driver == ONCE:
        return 1.0
    if driver == UNPLANNED:
        return work.values.get(f"{stage} {UNPLANNED}", 0.0)
    return work.values.get(driver, 0.0)


Medians = Mapping[str, _Median]


@dataclass(frozen=True)
class _Pace:
    """What is known of a board's pace, by draw: a normal law."""

    mean: Array
    sd: Array

    def at(self, z: float | Array) -> Array:
        """The pace so many sd from its mean."""
        return np.asarray(self.mean + self.sd * z)


def _learned_pace(fit: SavedFit, work: Work, medians: Medians, place: Mapping[str, int], at: Ints) -> _Pace:
    """The board's pace given its finished stages: N(mu, V), V = 1 / (1 + sum loading² / noise²).

    What the step of writing hides adds to the noise; a stage of whose usual hours nothing tells says nothing.
    """
    precision, pull = np.ones(len(at)), np.zeros(len(at))
    untold = {stage for stage, _ in fit.untold}
    for stage in medians:
        if stage not in work.done or stage in untold:
            continue
        i = place[stage]
        loading, variance = fit.loading[at, i], fit.noise[at, i] ** 2 + work.coarse.get(stage, 0.0)
        precision += loading**2 / variance
        pull += loading * (np.log(work.booked[stage]) - medians[stage].log_median) / variance
    return _Pace(pull / precision, 1 / np.sqrt(precision))


def _outlasting(
    fit: SavedFit,
    work: Work,
    medians: Medians,
    place: Mapping[str, int],
    at: Ints,
    pace: _Pace,
    luck: Array,
    rng: np.random.Generator,
) -> Ints:
    """Which draws are kept: as often as their stages in hand take longer than they have so far.

    What the fit has counted weighs on the pace alone: its chance over all paces is divided out, or it would weigh
    on the rates twice.
    """
    in_hand = [s for s in medians if work.booked.get(s, 0.0) > 0 and s not in work.done]
    if not in_hand:
        return np.arange(len(at))

    def chance(stages: list[str], z: float | Array) -> Array:
        together = np.ones(len(at))
        for stage in stages:
            i = place[stage]
            middle = medians[stage].log_median + fit.loading[at, i] * pace.at(z)
            together *= chance_below((middle - np.log(work.booked[stage])) / fit.noise[at, i])
        return np.maximum(together, RAREST)

    weight = chance(in_hand, luck)
    counted = [stage for stage in in_hand if stage in work.counted]
    if counted:
        nodes, shares = np.polynomial.hermite_e.hermegauss(PACES)
        over_all = sum(share * chance(counted, z) for z, share in zip(nodes, shares, strict=True))
        weight /= over_all / shares.sum()
    steps = (np.arange(len(at)) + rng.random()) / len(at)
    kept = np.minimum(np.searchsorted(np.cumsum(weight) / weight.sum(), steps), len(at) - 1)
    return np.asarray(rng.permutation(kept))


def usual_hours(fit: SavedFit, values: Mapping[str, float], settings: Settings) -> Array:
    """Median hours of each stage at mean rates; 0 for what is not known or does not happen; shape (n_stages,)."""
    rates, effects = fit.mean_rates, fit.mean_effects
    hours = np.zeros(len(fit.stages))
    for i, name in enumerate(fit.stages):
        stage = settings.stages[name]
        work = work_of(stage, values) if happens(stage, values) else None
        if work is not None:
            plain = sum(rates[name, driver] * amount for driver, amount in work.items())
            slower = sum(effect * values.get(m, 0.0) for m, effect in effects.get(name, ()))
            hours[i] = plain * math.exp(slower)
    return hours
