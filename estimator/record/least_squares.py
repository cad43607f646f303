"""Least squares on a plain table, and where the next row will lie.

By Householder QR with pivoting, on centred columns of unit length: normal equations and pseudo-inverses lose
every digit on some published tables. A column that the others already tell (constant, or a sum of others)
gets the coefficient 0. Where there are not more rows than coefficients, the average alone is learned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import qr, solve_triangular
from scipy.special import stdtrit

from estimator.words.errors import NoAnswerError

Array = NDArray[np.float64]

FARTHEST = 50.0  # log hours; a regression that runs further is held there, so that hours stay finite


@dataclass(frozen=True)
class Columns:
    """The columns of a table that say something of their own, and how far new rows lie from their middle."""

    kept: NDArray[np.intp]  # places of the columns, surest first
    middle: Array  # (k,), 0 where there is no intercept
    root: Array  # (k, k); distances from the middle are lengths of (x - middle) @ root
    weight: float  # what an intercept adds: 1 / rows, or 0

    def leverage(self, X: ArrayLike) -> Array:
        """x'(X'X)^-1 x of rows, shape (n,); that of past rows is at most 1 and sums to the rank."""
        steps = (wide(X)[:, self.kept] - self.middle) @ self.root
        return np.asarray(self.weight + (steps**2).sum(axis=1))


@dataclass(frozen=True)
class LeastSquares:
    """A plane through past rows; the next row lies about it as Student's t says."""

    intercept: float
    slopes: Array  # (columns,), 0 for columns left out
    intercept_error: float  # standard errors
    slope_errors: Array
    residual_sd: float
    r_squared: float  # without intercept: of the squares about 0
    spare: int  # rows less coefficients
    columns: Columns

    def median(self, X: ArrayLike) -> Array:
        """The plane at new rows, shape (n,)."""
        return np.asarray(wide(X) @ self.slopes + self.intercept)

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Points that the next rows stay under with the chances `probs`, shape (n, len(probs))."""
        steps = stdtrit(self.spare, np.asarray(probs, dtype=float))
        next_sd = self.residual_sd * np.sqrt(1 + self.columns.leverage(X))
        return np.asarray(self.median(X)[:, None] + next_sd[:, None] * steps)


@dataclass(frozen=True)
class LogLinear:
    """Least squares of log hours; what it answers are hours."""

    logs: LeastSquares

    def median(self, X: ArrayLike) -> Array:
        """Median hours of new rows, shape (n,)."""
        return hours(self.logs.median(X))

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Hours that the next jobs stay under with the chances `probs`, shape (n, len(probs))."""
        return hours(self.logs.quantiles(X, probs))


def learn_linear(X: ArrayLike, y: ArrayLike, *, intercept: bool = True) -> LeastSquares:
    """Least squares with the next row's interval.

    Raises NoAnswerError where there are not two rows, where a number is missing, or (without an intercept)
    where there are not more rows than columns.

    Source: D. C. Montgomery, E. A. Peck & G. G. Vining, *Introduction to Linear Regression Analysis*, on the
    prediction of new observations.

    >>> line = learn_linear([1.0, 2.0, 3.0, 4.0], [2.0, 4.1, 5.9, 8.0])
    >>> round(line.intercept, 2), line.slopes.round(2).tolist()
    (0.05, [1.98])
    >>> line.quantiles([5.0], [0.1, 0.5, 0.9]).round(2).tolist()
    [[9.67, 9.95, 10.23]]
    """
    X, y = table(X, y)
    columns, q = independent(X, intercept=intercept)
    spare = len(y) - len(columns.kept) - intercept
    if spare < 1:
        if not intercept:
            raise NoAnswerError(
                f"{len(y)} past jobs cannot tell {X.shape[1]} quantities apart.", "It takes more jobs."
            )
        return learn_linear(np.zeros_like(X), y)
    about = y - (y.mean() if intercept else 0.0)
    along = q.T @ about
    left = about - q @ along
    left -= q @ (q.T @ left)  # once more, for the digits
    slopes, slope_errors = np.zeros((2, X.shape[1]))
    slopes[columns.kept] = columns.root @ along
    residual_sd = math.sqrt(float(left @ left) / spare)
    slope_errors[columns.kept] = residual_sd * np.sqrt((columns.root**2).sum(axis=1))
    at_zero = float(columns.leverage(np.zeros((1, X.shape[1])))[0])
    squares = float(about @ about)
    return LeastSquares(
        intercept=float(y.mean() - columns.middle @ slopes[columns.kept]) if intercept else 0.0,
        slopes=slopes,
        intercept_error=residual_sd * math.sqrt(at_zero),
        slope_errors=slope_errors,
        residual_sd=residual_sd,
        r_squared=1 - float(left @ left) / squares if squares else 0.0,
        spare=spare,
        columns=columns,
    )


def learn_loglinear(X: ArrayLike, y: ArrayLike) -> LogLinear:
    """Least squares of log hours on the columns as they are: a regression without further thought.

    Raises NoAnswerError as `learn_linear`, and where hours are not above 0.

    >>> learn_loglinear([0.0, 1.0, 2.0, 3.0], [1.0, 2.0, 4.0, 8.0]).median([4.0]).round(6).tolist()
    [16.0]
    """
    X, y = table(X, y, above_zero=True)
    return LogLinear(learn_linear(X, np.log(y)))


def independent(X: Array, *, intercept: bool) -> tuple[Columns, Array]:
    """The columns that say something of their own, and an orthonormal base of them, centred where asked."""
    middle = X.mean(axis=0) if intercept else np.zeros(X.shape[1])
    centred = X - middle
    size, length = np.linalg.norm(X, axis=0), np.linalg.norm(centred, axis=0)
    least = 4 * max(X.shape) * np.finfo(float).eps
    varied = np.flatnonzero(length > least * size)
    q, r, order = qr(centred[:, varied] / length[varied], mode="economic", pivoting=True)
    order = varied[order][: len(r)]
    own = np.abs(np.diag(r)) > least * size[order] / length[order]
    rank = len(own) if own.all() else int(np.argmin(own))
    kept, q, r = order[:rank], q[:, :rank], r[:rank, :rank]
    root = solve_triangular(r, np.eye(rank)) / length[kept, None]
    return Columns(kept, middle[kept], root, 1 / len(X) if intercept else 0.0), q


def table(X: ArrayLike, y: ArrayLike, *, above_zero: bool = False, fewest: int = 2) -> tuple[Array, Array]:
    """Past rows as arrays, (n, k) and (n,). Raises NoAnswerError where nothing can be learned from them."""
    X, y = wide(X), np.asarray(y, dtype=float)
    if len(X) != len(y):
        raise ValueError(f"{len(X)} rows of drivers, but {len(y)} of hours")
    if len(y) < fewest:
        raise NoAnswerError(f"{len(y)} past jobs cannot say how much jobs vary.", f"It takes {fewest}.")
    if not (np.isfinite(X).all() and np.isfinite(y).all()):
        raise NoAnswerError("a number of a past job is missing.", "Leave out that job or that quantity.")
    if above_zero and (y <= 0).any():
        raise NoAnswerError("a past job took no time.", "Leave it out.")
    return X, y


def wide(X: ArrayLike) -> Array:
    """A table as (n, k); a vector is one column."""
    X = np.asarray(X, dtype=float)
    return X[:, None] if X.ndim == 1 else X


def hours(logs: Array) -> Array:
    """Hours of log hours, held finite."""
    return np.asarray(np.exp(np.clip(logs, -FARTHEST, FARTHEST)))
