"""Straight lines in log hours, each shrunken by a ridge of its own; and the reference class."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.regress.mixture import Array, Mixture, weights_of

SAME = 1e-9  # logs that spread by less are the same
FARTHEST = 8.0  # spreads from the middle; a new row further out is held there


@dataclass(frozen=True)
class Drivers:
    """How columns become logs and amounts; learned from past rows, columns that never change left out."""

    kept: NDArray[np.intp]  # places of the columns that change, the most telling first
    yes_no: NDArray[np.bool_]  # (k,): 0 or one other value
    most: Array  # (k,)
    least: Array  # (k,), least value above 0
    zeros: NDArray[np.bool_]  # (k,): an amount that was 0 in some past row
    middle: Array  # (k,), of logs
    spread: Array  # (k,), of logs
    mean: Array  # (k,), of amounts as shares of the most

    @classmethod
    def learn(cls, X: Array, log_hours: Array) -> Drivers:
        """Scales of the columns of X, shape (n, columns); those most correlated with log hours stand first."""
        kept = np.flatnonzero(X.max(axis=0) > X.min(axis=0))
        most = X[:, kept].max(axis=0)
        least = np.where(X[:, kept] > 0, X[:, kept], np.inf).min(axis=0)
        zeros = (X[:, kept] == 0).any(axis=0)
        rough = cls(
            kept=kept,
            yes_no=zeros & (least == most),
            most=most,
            least=least,
            zeros=zeros,
            middle=np.zeros(len(kept)),
            spread=np.ones(len(kept)),
            mean=np.ones(len(kept)),
        )
        logs, shares = rough._logs(X), rough.amounts(X)
        spread = logs.std(axis=0)
        steps = (logs - logs.mean(axis=0)) / np.where(spread > SAME, spread, 1.0)
        told = np.abs(steps.T @ (log_hours - log_hours.mean()))
        order = np.lexsort((spread, -np.round(told, 9)))
        order = order[spread[order] > SAME]
        return cls(
            kept=kept[order],
            yes_no=rough.yes_no[order],
            most=most[order],
            least=least[order],
            zeros=zeros[order],
            middle=logs.mean(axis=0)[order],
            spread=spread[order],
            mean=shares.mean(axis=0)[order],
        )

    def logs(self, X: Array) -> Array:
        """Logs of amounts and steps of yes/no columns, mean 0 and spread 1 over past rows, shape (n, k)."""
        return np.clip((self._logs(X) - self.middle) / self.spread, -FARTHEST, FARTHEST)

    def amounts(self, X: Array) -> Array:
        """Amounts as multiples of their mean in past rows, shape (n, k)."""
        return np.asarray(X[:, self.kept] / self.most / self.mean)

    def _logs(self, X: Array) -> Array:
        """Logs of amounts; where past rows hold a 0, the least other amount is added first."""
        amounts = X[:, self.kept] / self.most
        least = self.least / self.most
        logs = np.log(np.maximum(amounts + np.where(self.zeros, least, 0.0), least / 2))
        return np.where(self.yes_no, amounts, logs)


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


@dataclass(frozen=True)
class ReferenceClass:
    """Log hours as one normal of which neither middle nor spread is known."""

    lines: Lines

    @property
    def left_out(self) -> Mixture:
        """Past rows, each foretold from the others."""
        return self.lines.left_out

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        return self.lines.at(np.zeros((len(X), 1)))


def learn_reference_class(_drivers: Drivers, _X: Array, t: Array) -> ReferenceClass:
    """The form, from log hours t alone."""
    return ReferenceClass(learn_lines(np.zeros((len(t), 1)), t, np.ones((1, 1))))


RIDGES = 256
ALL_SD = 0.8  # of the log size that all slopes share; its middle is 1 / √columns, in units of noise
EACH_SD = 1.2  # of each slope's own log size


@dataclass(frozen=True)
class LogLinear:
    """Ridges drawn from their prior, a size for each slope, weighed by their evidence."""

    drivers: Drivers
    lines: Lines

    @property
    def left_out(self) -> Mixture:
        """Past rows, each foretold from the others."""
        return self.lines.left_out

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        return self.lines.at(self.drivers.logs(X))


def learn_log_linear(drivers: Drivers, X: Array, t: Array) -> LogLinear:
    """The form, from rows X and log hours t."""
    columns = len(drivers.kept)
    z = np.random.default_rng(0).standard_normal((RIDGES, columns + 1))  # the same for every table
    sizes = np.exp(ALL_SD * z[:, :1] + EACH_SD * z[:, 1:]) / np.sqrt(max(columns, 1))
    return LogLinear(drivers, learn_lines(drivers.logs(X), t, sizes))
