"""Medians, spreads and shared parts of sums of stages, forward, and their gradients, backward.

A sum of lognormal stages is taken as lognormal with the same mean and variance (Fenton & Wilkinson), so that one
stage alone stays exactly what it is. For a row with cells c of stage s(c), median m_c and noise s_c:

    a_c = m_c exp(s_c^2 / 2),  A = sum a_c,  v = log(1 + sum a_c^2 (exp(s_c^2) - 1) / A^2)
    log-median = log A - v / 2,  loading = sum a_c l_c / A,  drift = sum a_c g_c / A

Source: L. F. Fenton (1960), IRE Trans. Communications Systems 8:57-67.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from estimator.model.matrices import Array, Cells

FARTHEST = 40.0  # log hours beyond which a step of the search has gone astray; keeps it finite


@dataclass(frozen=True)
class Sums:
    """Rows as the parameters make them; all of shape (n_rows,) but the last four, (n_cells,)."""

    log_median: Array
    variance: Array
    loading: Array
    drift: Array
    total: Array  # A
    square: Array  # sum a^2 (exp(s^2) - 1)
    mean: Array  # a_c
    noise: Array  # s_c^2
    plain: Array  # work without conditions
    grown: Array  # exp(s_c^2) - 1


@dataclass(frozen=True)
class Slopes:
    """Gradients with respect to log rates, condition effects, and per stage: noise variance, loading, drift."""

    log_rate: Array
    effect: Array
    noise: Array
    loading: Array
    drift: Array


def sums(
    cells: Cells, log_rate: Array, effect: Array, noise_variance: Array, loading: Array, drift: Array
) -> Sums:
    """The rows' log-medians, log-scale variances, loadings and drifts.

    log_rate: (n_parts,); effect: (n_conditions,), log factor per grade; the others: (n_stages,)
    """
    plain = cells.work @ np.exp(log_rate)
    log_median = np.clip(np.log(plain) + cells.grades @ effect, -FARTHEST, FARTHEST)
    noise = noise_variance[cells.stage]
    mean = np.exp(log_median + noise / 2)
    grown = np.expm1(noise)

    def per_row(values: Array) -> Array:
        return np.bincount(cells.row, values, cells.n_rows)

    total = per_row(mean)
    square = per_row(mean**2 * grown)
    variance = np.log1p(square / total**2)
    return Sums(
        log_median=np.log(total) - variance / 2,
        variance=variance,
        loading=per_row(mean * loading[cells.stage]) / total,
        drift=per_row(mean * drift[cells.stage]) / total,
        total=total,
        square=square,
        mean=mean,
        noise=noise,
        plain=plain,
        grown=grown,
    )


def slopes(
    cells: Cells,
    s: Sums,
    log_rate: Array,
    loading: Array,
    drift: Array,
    *,
    by_median: Array,
    by_variance: Array,
    by_loading: Array,
    by_drift: Array,
) -> Slopes:
    """Gradients of a function of the rows, given its gradients by the rows' four numbers, (n_rows,) each."""
    row, stage = cells.row, cells.stage
    n_stages = len(loading)
    by_v = by_variance - by_median / 2  # the variance also lowers the median
    spread = s.total**2 + s.square
    stage_loading, stage_drift = loading[stage], drift[stage]
    over = s.mean / s.total[row]
    by_mean = (
        by_median[row] / s.total[row]
        + by_v[row] * (2 * s.mean * s.grown / spread[row] - (2 * s.square / (s.total * spread))[row])
        + by_loading[row] * (stage_loading - s.loading[row]) / s.total[row]
        + by_drift[row] * (stage_drift - s.drift[row]) / s.total[row]
    )
    by_log_median = s.mean * by_mean
    by_noise = by_log_median / 2 + by_v[row] * s.mean**2 * (s.grown + 1) / spread[row]
    return Slopes(
        log_rate=np.exp(log_rate) * (cells.work.T @ (by_log_median / s.plain)),
        effect=cells.grades.T @ by_log_median,
        noise=np.bincount(stage, by_noise, n_stages),
        loading=np.bincount(stage, by_loading[row] * over, n_stages),
        drift=np.bincount(stage, by_drift[row] * over, n_stages),
    )
