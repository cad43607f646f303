"""The log density of the model's parameters given a log and rules of thumb, with its gradient.

A row of hours y of board j at time t (years, <= 0) has

    log y = log-median + drift t + loading u_j + noise,   u_j ~ N(0, 1),   noise ~ N(0, v + rounding)

with u_j, the board's pace, shared by all its rows and integrated out exactly. Parameters are standard normals
where they can be (no funnels): log rate = centre + lean + scale sd z where a restorer's own rule speaks; the lean
of all his rules is N(0, .2), the log of their scale N(log 1.5, .4).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from estimator.model.matrices import Array, Layout, Table
from estimator.model.priors import Other, Terms
from estimator.model.sums import Slopes, Sums, slopes, sums

LOADING, LOADING_SD, LOADING_BY_STAGE = math.log(0.18), 0.6, 0.6
NOISE, NOISE_SD, NOISE_BY_STAGE = math.log(0.28), 0.4, 0.4
DRIFT_SD, DRIFT_BY_STAGE = 0.15, 0.05
LEAN_SD = 0.2
SCALE, SCALE_SD = math.log(1.5), 0.4


@dataclass(frozen=True)
class Numbers:
    """The model's numbers in their own units, from one vector of parameters."""

    log_rate: Array  # (n_parts,), log hours per unit
    effect: Array  # (n_conditions,), log factor per grade
    loading: Array  # (n_stages,)
    noise: Array  # (n_stages,), log-scale sd
    drift: Array  # (n_stages,), log hours per year
    lean: float
    scale: float


class Density:
    """The log density of one workshop's parameters.

    The vector holds, in order: a standard normal per rate; per condition the log of its effect (standardised
    where no rule speaks); per stage loading, noise, drift; then the shop's own loading, noise, drift, lean, scale.
    """

    def __init__(self, table: Table, terms: Terms) -> None:
        self.table, self.terms = table, terms
        layout: Layout = table.layout
        self.n_parts, self.n_conditions = len(layout.parts), len(layout.conditions)
        self.n_stages = len(layout.stages)
        ends = np.cumsum([0, self.n_parts, self.n_conditions, *[self.n_stages] * 3, 5])
        self.rate, self.condition, self.loading, self.noise, self.drift, self.shared = (
            slice(int(a), int(b)) for a, b in zip(ends[:-1], ends[1:], strict=True)
        )
        self.size = int(ends[-1])
        self.centre = np.nan_to_num(terms.rate_centre, nan=0.0)
        self.n_boards = len(table.boards)

    def start(self) -> Array:
        """Where the search begins: every rule right, every stage usual."""
        x = np.zeros(self.size)
        ruled = self.terms.condition_ruled > 0
        x[self.condition][ruled] = np.log(np.maximum(self.terms.condition_centre[ruled], 0.05))
        return x

    def numbers(self, x: Array) -> Numbers:
        """The parameters in their own units."""
        t, (loading, noise, drift, lean, scale) = self.terms, x[self.shared]
        lean, scale = LEAN_SD * lean, math.exp(SCALE + SCALE_SD * scale)
        times = np.where(t.rate_own > 0, scale, 1.0)
        size = np.where(
            t.condition_ruled > 0, x[self.condition], t.condition_centre + t.condition_sd * x[self.condition]
        )
        return Numbers(
            log_rate=self.centre + t.rate_own * lean + times * t.rate_sd * x[self.rate],
            effect=t.condition_sign * np.exp(np.minimum(size, 3.0)),
            loading=np.exp(LOADING + LOADING_SD * loading + LOADING_BY_STAGE * x[self.loading]),
            noise=np.exp(NOISE + NOISE_SD * noise + NOISE_BY_STAGE * x[self.noise]),
            drift=DRIFT_SD * drift + DRIFT_BY_STAGE * x[self.drift],
            lean=float(lean),
            scale=scale,
        )

    def value_and_gradient(self, x: Array) -> tuple[float, Array]:
        """The log density, up to a constant, and its gradient, shape (size,)."""
        n, t = self.numbers(x), self.terms
        value, slope = self._rows(n)
        by_lean, by_log_scale = 0.0, 0.0
        if t.others:
            more, other_slope, by_lean, by_log_scale = self._others(n)
            value += more
            slope = _added(slope, other_slope)
        gradient = -x
        ruled = t.condition_ruled > 0
        value -= 0.5 * float(x @ x - x[self.condition][ruled] @ x[self.condition][ruled])
        times = np.where(t.rate_own > 0, n.scale, 1.0)
        gradient[self.rate] += slope.log_rate * times * t.rate_sd
        by_lean += float(slope.log_rate @ t.rate_own)
        by_log_scale += float(slope.log_rate @ (t.rate_own * n.scale * t.rate_sd * x[self.rate]))
        more, by_effect, lean_too, scale_too = self._conditions(n)
        value += more
        size = np.abs(n.effect)
        per_step = np.where(ruled, 1.0, t.condition_sd)
        gradient[self.condition] = np.where(ruled, 0.0, gradient[self.condition]) + per_step * (
            (slope.effect * t.condition_sign + by_effect) * size
        )
        gradient[self.condition] += ruled  # the log of the effect is the parameter
        value += float(np.log(size[ruled]).sum())
        by_noise = slope.noise * 2 * n.noise**2
        by_loading = slope.loading * n.loading
        gradient[self.loading] += LOADING_BY_STAGE * by_loading
        gradient[self.noise] += NOISE_BY_STAGE * by_noise
        gradient[self.drift] += DRIFT_BY_STAGE * slope.drift
        gradient[self.shared] += (
            LOADING_SD * by_loading.sum(),
            NOISE_SD * by_noise.sum(),
            DRIFT_SD * slope.drift.sum(),
            LEAN_SD * (by_lean + lean_too),
            SCALE_SD * (by_log_scale + scale_too),
        )
        return value, gradient

    def _rows(self, n: Numbers) -> tuple[float, Slopes]:
        """The likelihood of all rows, each board's pace integrated out (Sherman-Morrison)."""
        table = self.table
        s = sums(table.cells, n.log_rate, n.effect, n.noise**2, n.loading, n.drift)
        variance = s.variance + table.rounding
        residual = table.log_hours - s.log_median - s.drift * table.years
        board = table.board
        precision = 1 + np.bincount(board, s.loading**2 / variance, self.n_boards)
        pace = np.bincount(board, s.loading * residual / variance, self.n_boards) / precision
        left = residual - s.loading * pace[board]
        value = -0.5 * float(
            np.log(variance).sum()
            + np.log(precision).sum()
            + (residual**2 / variance).sum()
            - (pace**2 * precision).sum()
        )
        by_median = left / variance
        return value, slopes(
            table.cells,
            s,
            n.log_rate,
            n.loading,
            n.drift,
            by_median=by_median,
            by_variance=0.5 * (s.loading**2 / (variance**2 * precision[board]) + by_median**2 - 1 / variance),
            by_loading=by_median * pace[board] - s.loading / (variance * precision[board]),
            by_drift=by_median * table.years,
        )

    def _conditions(self, n: Numbers) -> tuple[float, Array, float, float]:
        """Rules on factors: a normal kept positive. Value, gradient by effect size, by lean, by log scale."""
        t = self.terms
        times = np.where(np.abs(t.condition_own) > 0, n.scale, 1.0)
        sd = times * t.condition_sd
        centre = t.condition_centre + t.condition_own * n.lean
        off = (np.abs(n.effect) - centre) / sd
        kept = centre / sd
        ruled = t.condition_ruled
        log_kept = log_ndtr(kept)
        hazard = np.exp(-0.5 * kept**2 - log_kept) / math.sqrt(2 * math.pi)
        value = float((ruled * (-0.5 * off**2 - np.log(sd) - log_kept)).sum())
        by_centre = ruled * (off - hazard) / sd
        by_log_sd = ruled * (off**2 - 1 + hazard * kept)
        own = np.abs(t.condition_own)
        return value, -ruled * off / sd, float(by_centre @ t.condition_own), float(by_log_sd @ own)

    def _others(self, n: Numbers) -> tuple[float, Slopes, float, float]:
        """Rules on stages and boards, and second rules: value, gradients, by lean, by log scale."""
        t = self.terms
        s = sums(t.typical, n.log_rate, n.effect, n.noise**2, n.loading, n.drift)
        by_median = np.zeros(t.typical.n_rows)
        by_rate, by_effect = np.zeros(self.n_parts), np.zeros(self.n_conditions)
        value = by_lean = by_log_scale = 0.0
        for other in t.others:
            sd = other.omega * (n.scale if other.own else 1.0)
            off = (other.centre + other.own * n.lean - _typical_log(other, s, n)) / sd
            value -= 0.5 * off**2 + math.log(sd)
            if other.own:
                by_lean -= off / sd
                by_log_scale += off**2 - 1
            at = list(other.at)
            if other.what == "part":
                by_rate[at] += off / sd
            elif other.what == "condition":
                by_effect[at] += off / sd
            else:
                by_median[at] += off / sd / len(at)
        zero = np.zeros(t.typical.n_rows)
        slope = slopes(
            t.typical, s, n.log_rate, n.loading, n.drift,
            by_median=by_median, by_variance=zero, by_loading=zero, by_drift=zero,
        )  # fmt: skip
        rest = Slopes(by_rate, by_effect, *(np.zeros(self.n_stages) for _ in range(3)))
        return value, _added(slope, rest), by_lean, by_log_scale


def _typical_log(other: Other, s: Sums, n: Numbers) -> float:
    """What a rule speaks of, on the log scale, as the numbers make it."""
    if other.what == "part":
        return float(n.log_rate[other.at[0]])
    if other.what == "condition":
        return float(n.effect[other.at[0]])
    return float(s.log_median[list(other.at)].mean())


def _added(a: Slopes, b: Slopes) -> Slopes:
    """Two gradients together."""
    return Slopes(
        a.log_rate + b.log_rate,
        a.effect + b.effect,
        a.noise + b.noise,
        a.loading + b.loading,
        a.drift + b.drift,
    )
