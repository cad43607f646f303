"""Straight lines in log hours, many at once, each shrunken by a ridge of its own.

Log hours are level + F b + noise, b ~ N(0, sizes² v), noise ~ N(0, v); the level is flat, v inverse gamma. All of it is
integrated out: the evidence for a ridge, the next row, and each past row foretold from the others are Student's t
in closed form (Bayesian linear regression with a conjugate prior; a row left out as in universal kriging,
Dubrule 1983, Mathematical Geology 15:687-699).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.regress.mixture import Mixture, weights_of

Array = NDArray[np.float64]

PRIOR_ROWS = -1.0  # what the spread is believed to be before any row: flat in itself ...
PRIOR_SQUARES = 2e-4  # ... but hardly under a hundredth of a log
KEPT = 40  # ridges kept for new rows, the likeliest
LEAST = 1e-4  # of a kept ridge's weight


@dataclass(frozen=True)
class Lines:
    """Lines with their weights, as far as new rows need them."""

    evidence: Array  # (m,) log densities of all past rows, up to a constant that all lines share
    left_out: Mixture  # of past rows, each foretold from the others
    weight: Array  # (k,), of the lines kept
    level: float
    middle: Array  # (columns,), of features in past rows
    slopes: Array  # (k, columns)
    root: Array  # (k, columns, columns); a feature's uncertainty is |root @ feature|²
    spread: Array  # (k,)
    spare: float
    rows: int

    def at(self, F: Array) -> Mixture:
        """Log hours of new rows with features F, shape (n, columns)."""
        steps = F - self.middle
        place = self.level + steps @ self.slopes.T
        unsure = np.stack([((steps @ root.T) ** 2).sum(axis=1) for root in self.root], axis=1)
        scale = self.spread * np.sqrt(1 + 1 / self.rows + unsure)
        return Mixture.of(self.weight, place, scale, self.spare)


def learn_lines(F: Array, t: Array, sizes: Array, log_prior: Array | None = None) -> Lines:
    """Lines through log hours t, shape (n,), in features F, shape (n, columns).

    `sizes`, shape (m, columns), are standard deviations of slopes before any row is seen, in units of the noise;
    `log_prior`, shape (m,), is what speaks for each row of `sizes` beforehand.
    """
    n, k = F.shape
    middle, level = F.mean(axis=0), float(t.mean())
    steps, y = F - middle, t - level
    S, b = steps.T @ steps, steps.T @ y
    A = np.eye(k) + sizes[:, :, None] * S * sizes[:, None, :]
    lower = np.linalg.cholesky(A)
    root: Array = np.asarray(np.linalg.solve(lower, sizes[:, :, None] * np.eye(k)), dtype=float)  # (m, k, k)
    half = root @ b  # (m, k)
    squares = np.maximum(y @ y - (half**2).sum(axis=1), 0.0)
    log_det = 2 * np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
    shape = (PRIOR_ROWS + n - 1) / 2
    evidence = -0.5 * log_det - shape * np.log((PRIOR_SQUARES + squares) / 2)
    evidence = evidence if log_prior is None else evidence + log_prior
    told = _telling(evidence, n)
    root, half, squares, evidence = root[told], half[told], squares[told], evidence[told]
    slopes = np.einsum("mji,mj->mi", root, half)
    left, densities = _left_out(steps, y, root, slopes, squares, level)
    weight, without = weights_of(evidence, densities)
    best = strongest(weight)
    spare = PRIOR_ROWS + n - 1
    return Lines(
        evidence=evidence,
        left_out=Mixture.of(without, left.place, left.scale, left.spare),
        weight=weight[best] / weight[best].sum(),
        level=level,
        middle=middle,
        slopes=slopes[best],
        root=root[best],
        spread=np.sqrt((PRIOR_SQUARES + squares[best]) / spare),
        spare=spare,
        rows=n,
    )


def _left_out(
    steps: Array, y: Array, root: Array, slopes: Array, squares: Array, level: float
) -> tuple[Mixture, Array]:
    """Every past row foretold from the others, under each line, and its log density there."""
    n = len(y)
    unsure = np.stack([((steps @ r.T) ** 2).sum(axis=1) for r in root], axis=1)  # (n, m)
    residual = y[:, None] - steps @ slopes.T
    return left_out(1 - 1 / n - unsure, residual, squares, y, level)


def left_out(kept: Array, residual: Array, squares: Array, y: Array, level: float) -> tuple[Mixture, Array]:
    """Rows foretold from the others, by what a row keeps of its own precision and its weighed residual, (n, m) each."""
    n = len(y)
    kept = np.maximum(kept, 1e-9)
    spare = PRIOR_ROWS + n - 2
    rest = np.maximum(squares - residual**2 / kept, 0.0)
    scale = np.sqrt((PRIOR_SQUARES + rest) / spare / kept)
    told = Mixture.of(np.ones(1), level + y[:, None] - residual / kept, scale, spare)
    return told, told.log_parts(y + level)


def _telling(evidence: Array, n: int) -> NDArray[np.intp]:
    """Places of the lines that matter: all where rows are few."""
    if n * len(evidence) <= 200_000:
        return np.arange(len(evidence))
    order = np.argsort(-evidence, kind="stable")[:KEPT]
    return np.asarray(order[evidence[order] > evidence[order[0]] - 10])


def strongest(weight: Array) -> NDArray[np.intp]:
    """Places of the weights that are kept for new rows."""
    order = np.argsort(-weight, kind="stable")[:KEPT]
    return np.asarray(order[weight[order] >= LEAST * weight[order[0]]])
