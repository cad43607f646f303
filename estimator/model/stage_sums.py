"""Medians, spreads and shared parts of sums of stages, forward, and their gradients, backward.

A sum of lognormal stages is taken as lognormal with the same mean and variance (Fenton & Wilkinson), so that
one stage alone stays exactly what it is. For a row with cells c of stage s(c), median m_c and noise s_c:

    a_c = m_c exp(s_c^2 / 2),  A = sum a_c,  v = log(1 + sum a_c^2 (exp(s_c^2) - 1) / A^2)
    log-median = log A - v / 2,  loading = sum a_c l_c / A,  drift = sum a_c g_c / A

All arrays have one column for each draw of the numbers.

Source: L. F. Fenton (1960), IRE Trans. Communications Systems 8:57-67.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from estimator.model.matrices import Cells
from estimator.model.saved_fit import Array


@dataclass(frozen=True)
class Numbers:
    """The model's numbers in their own units, one column a draw.

    log_rate: (n_parts, n), log hours per unit; effect: (n_conditions, n), log factor per grade
    loading, noise, drift: (n_stages, n): share of the pace, log-scale sd, log hours per year
    lean, scale: (n,): how far own rules run low on the log scale, how many times too sure they are
    lent_lean: (n,), how far lent rules run low here
    level: (n_quarters, n), what each quarter adds to all log hours, the last 0; moves: (n,), its log-scale sd
    """

    log_rate: Array
    effect: Array
    loading: Array
    noise: Array
    drift: Array
    lean: Array
    scale: Array
    lent_lean: Array = field(default_factory=lambda: np.zeros(1))
    level: Array = field(default_factory=lambda: np.empty((0, 1)))
    moves: Array = field(default_factory=lambda: np.zeros(1))


@dataclass(frozen=True)
class Sums:
    """Rows as the numbers make them, (n_rows, n); then what the sums among them need to go back.

    total: A, and square: sum a^2 (exp(s^2) - 1), of each sum; mean: a_c, and grown: exp(s_c^2) - 1, of their cells
    plain: work without conditions, of every cell
    """

    log_median: Array
    variance: Array
    loading: Array
    drift: Array
    plain: Array
    total: Array
    square: Array
    mean: Array
    grown: Array


@dataclass(frozen=True)
class SumSlopes:
    """Gradients by log rates, effects, and per stage: log noise, log loading, drift; one column a draw."""

    log_rate: Array
    effect: Array
    log_noise: Array
    log_loading: Array
    drift: Array


def sums(cells: Cells, n: Numbers) -> Sums:
    """The rows' log-medians, log-scale variances, loadings and drifts."""
    plain = cells.work @ np.exp(n.log_rate)
    log_median = np.log(plain)
    if cells.grades.nnz:
        log_median += cells.grades @ n.effect
    variance = np.take(n.noise**2, cells.stage, axis=0)
    loading, drift = np.take(n.loading, cells.stage, axis=0), np.take(n.drift, cells.stage, axis=0)
    one = cells.n_single
    if one == cells.n_rows:
        none = plain[:0]
        return Sums(log_median, variance, loading, drift, plain, none, none, none, none)
    mean, grown = np.exp(log_median[one:] + variance[one:] / 2), np.expm1(variance[one:])
    total = cells.to_row @ mean
    square = cells.to_row @ (mean**2 * grown)
    spread = np.log1p(square / total**2)
    return Sums(
        log_median=np.concatenate([log_median[:one], np.log(total) - spread / 2]),
        variance=np.concatenate([variance[:one], spread]),
        loading=np.concatenate([loading[:one], cells.to_row @ (mean * loading[one:]) / total]),
        drift=np.concatenate([drift[:one], cells.to_row @ (mean * drift[one:]) / total]),
        plain=plain,
        total=total,
        square=square,
        mean=mean,
        grown=grown,
    )


def slopes(
    cells: Cells,
    n: Numbers,
    s: Sums,
    *,
    by_median: Array,
    by_variance: Array | None = None,
    by_loading: Array | None = None,
    by_drift: Array | None = None,
) -> SumSlopes:
    """Gradients of a function of the rows, given its gradients by the rows' four numbers, (n_rows, n) each."""
    nothing = np.zeros_like(by_median)
    by_variance = nothing if by_variance is None else by_variance
    by_loading = nothing if by_loading is None else by_loading
    by_drift = nothing if by_drift is None else by_drift
    one = cells.n_single
    if one < cells.n_rows:
        row, stage = cells.row, cells.stage[one:]
        by_v = by_variance[one:] - by_median[one:] / 2  # the variance also lowers the median
        spread = s.total**2 + s.square
        share = s.mean / s.total[row]
        loading, drift = by_loading[one:], by_drift[one:]
        by_all = (
            by_median[one:] - 2 * by_v * s.square / spread - loading * s.loading[one:] - drift * s.drift[one:]
        )
        grown = 2 * (by_v / spread)[row] * s.mean**2
        summed = (
            share * (by_all[row] + loading[row] * n.loading[stage] + drift[row] * n.drift[stage])
            + grown * s.grown
        )
        by_median = np.concatenate([by_median[:one], summed])
        by_variance = np.concatenate([by_variance[:one], (summed + grown * (s.grown + 1)) / 2])
        by_loading = np.concatenate([by_loading[:one], loading[row] * share])
        by_drift = np.concatenate([by_drift[:one], drift[row] * share])
    return SumSlopes(
        log_rate=np.exp(n.log_rate) * (cells.to_parts @ (by_median / s.plain)),
        effect=cells.to_conditions @ by_median,
        log_noise=(cells.to_stage @ by_variance) * 2 * n.noise**2,
        log_loading=(cells.to_stage @ by_loading) * n.loading,
        drift=cells.to_stage @ by_drift,
    )


def together(a: SumSlopes, b: SumSlopes) -> SumSlopes:
    """The gradients of a sum of two functions."""
    return SumSlopes(
        log_rate=a.log_rate + b.log_rate,
        effect=a.effect + b.effect,
        log_noise=a.log_noise + b.log_noise,
        log_loading=a.log_loading + b.log_loading,
        drift=a.drift + b.drift,
    )
