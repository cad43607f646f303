"""A Gaussian process: log hours follow a straight line in log drivers, and bend smoothly about it.

Covariance of two rows: a size for each slope times the product of their logs, and a bend that fades as they differ
(squared exponential, a reach for each driver), over noise of which the spread is integrated out with the level
(Rasmussen & Williams 2006, chapters 2 and 5). Sizes and reaches are drawn from their prior and weighed by evidence.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.regress.log_forms import PRIOR_ROWS, PRIOR_SQUARES, Drivers, left_out, strongest
from estimator.regress.mixture import PARTS, Array, Mixture, weights_of

DRAWN = 1024
MANY, SOME, LIKELY = 120, 60, 64  # rows from which shapes are sifted, by so many rows, down to so many
BLOCK = 4_000_000  # numbers held at a time
ALL_SD, EACH_SD = 0.8, 1.0  # of log slope sizes: shared, and each; their middle is 1 / √columns
BEND_SD = 1.0  # of the log size of bends, in units of noise; its middle is 1
REACH, REACH_SD, EACH_REACH_SD = (
    0.7,
    0.6,
    0.7,
)  # of log reaches, in spreads times √columns: middle, shared, each


@dataclass(frozen=True)
class Shapes:
    """Covariances, m of them: sizes of slopes (m, k), of bends (m,), and 1 / reaches (m, k)."""

    slope: Array
    bend: Array
    inverse_reach: Array

    @classmethod
    def drawn(cls, columns: int, m: int) -> Shapes:
        """From the prior; the same for every table with so many columns."""
        z = np.random.default_rng(1).standard_normal((m, 3 + 2 * columns))
        shrink = np.sqrt(max(columns, 1))
        return cls(
            np.exp(ALL_SD * z[:, :1] + EACH_SD * z[:, 3 : 3 + columns]) / shrink,
            np.exp(BEND_SD * z[:, 1]),
            np.exp(-REACH + REACH_SD * z[:, 2:3] + EACH_REACH_SD * z[:, 3 + columns :]) / shrink,
        )

    def some(self, places: NDArray[np.intp] | slice) -> Shapes:
        """Some of them."""
        return Shapes(self.slope[places], self.bend[places], self.inverse_reach[places])

    def covariance(self, F: Array, G: Array) -> Array:
        """Of rows F with rows G, without noise, shape (m, rows of F, rows of G)."""
        straight = (F * self.slope[:, None] ** 2) @ G.T
        near_f, near_g = F * self.inverse_reach[:, None], G * self.inverse_reach[:, None]
        apart = (near_f**2).sum(axis=2)[:, :, None] + (near_g**2).sum(axis=2)[:, None]
        apart -= 2 * near_f @ near_g.transpose(0, 2, 1)
        return np.asarray(straight + self.bend[:, None, None] ** 2 * np.exp(-0.5 * np.maximum(apart, 0)))

    def own(self, F: Array) -> Array:
        """Variance of rows F, without noise, shape (m, rows)."""
        return np.asarray(self.slope**2 @ (F**2).T + self.bend[:, None] ** 2)


@dataclass(frozen=True)
class Process:
    """The likeliest covariances, and what new rows need of past ones."""

    drivers: Drivers
    left_out: Mixture  # past rows, each foretold from the others
    shapes: Shapes
    weight: Array  # (m,)
    past: Array  # (n, k) log drivers
    inverse: Array  # (m, n, n) of covariances with noise
    pull: Array  # (m, n)
    level: Array  # (m,)
    spread: Array  # (m,)
    spare: float

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        step = max(1, BLOCK // (len(self.weight) * len(self.past)))
        told = [self._at(X[i : i + step]) for i in range(0, len(X), step)]
        return Mixture(*(np.concatenate([getattr(m, part) for m in told]) for part in PARTS))

    def _at(self, X: Array) -> Mixture:
        F = self.drivers.logs(X)
        near = self.shapes.covariance(F, self.past)
        place = self.level[:, None] + (near @ self.pull[:, :, None])[:, :, 0]
        known = near @ self.inverse
        ones = self.inverse.sum(axis=(1, 2))[:, None]
        unsure = self.shapes.own(F) - (known * near).sum(axis=2) + (1 - known.sum(axis=2)) ** 2 / ones
        scale = self.spread[:, None] * np.sqrt(1 + np.maximum(unsure, 0))
        return Mixture.of(self.weight, place.T, scale.T, self.spare)


def learn_process(drivers: Drivers, X: Array, t: Array) -> Process:
    """The form, from rows X and log hours t."""
    F, n = drivers.logs(X), len(t)
    shapes = Shapes.drawn(F.shape[1], DRAWN)
    middle = float(t.mean())
    y = t - middle
    if n > MANY:  # shapes that some rows find unlikely are not asked of all
        some = slice(0, None, n // SOME)
        order = np.argsort(-_all_weighed(shapes, F[some], y[some])[0], kind="stable")
        shapes = shapes.some(order[:LIKELY])
    evidence, kept, residual, squares = _all_weighed(shapes, F, y)
    told, densities = left_out(kept.T, residual.T, squares, y, middle)
    weight, without = weights_of(evidence, densities)
    best = strongest(weight)
    shapes = shapes.some(best)
    inverse = np.asarray(np.linalg.inv(shapes.covariance(F, F) + np.eye(n)), dtype=np.float64)
    ones = inverse.sum(axis=2)
    level = ones @ y / ones.sum(axis=1)
    pull = inverse @ y - ones * level[:, None]
    spare = PRIOR_ROWS + n - 1
    return Process(
        drivers,
        Mixture.of(without, told.place, told.scale, told.spare),
        shapes,
        weight[best] / weight[best].sum(),
        F,
        inverse,
        pull,
        level + middle,
        np.sqrt((PRIOR_SQUARES + squares[best]) / spare),
        spare,
    )


def _all_weighed(shapes: Shapes, F: Array, y: Array) -> list[Array]:
    """What `_weighed` says of all shapes, some at a time."""
    step = max(1, BLOCK // len(y) ** 2)
    told = [_weighed(shapes.some(slice(i, i + step)), F, y) for i in range(0, len(shapes.bend), step)]
    return [np.concatenate(part) for part in zip(*told, strict=True)]


def _weighed(shapes: Shapes, F: Array, y: Array) -> tuple[Array, Array, Array, Array]:
    """Evidence (m,), each row's own precision (m, n), its weighed residual (m, n), and the sum of squares (m,)."""
    n = len(y)
    C = shapes.covariance(F, F) + np.eye(n)
    root = np.linalg.inv(np.linalg.cholesky(C))
    log_det = -2 * np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    inverse = root.transpose(0, 2, 1) @ root
    ones = inverse.sum(axis=2)
    whole = ones.sum(axis=1)
    residual = inverse @ y - ones * (ones @ y / whole)[:, None]
    squares = np.maximum(residual @ y, 0.0)
    kept = np.diagonal(inverse, axis1=1, axis2=2) - ones**2 / whole[:, None]
    shape = (PRIOR_ROWS + n - 1) / 2
    evidence = -0.5 * (log_det + np.log(whole)) - shape * np.log((PRIOR_SQUARES + squares) / 2)
    return evidence, kept, residual, squares
