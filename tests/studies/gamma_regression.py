"""Gamma regression with the identity link, a peer of the comparison: rows of work add up, spread grows with the mean."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize, nnls
from scipy.special import gammaincinv
from statsmodels.genmod.families import Gamma as Family
from statsmodels.genmod.families.links import Identity
from statsmodels.genmod.generalized_linear_model import GLM

from estimator.model.saved_fit import Array
from estimator.record.backtest.rivals import independent, table, wide

FLATTEST = 1e-8  # least dispersion; a perfect fit has none


@dataclass(frozen=True)
class Gamma:
    """A gamma regression. The mean's own error widens the next row's spread (delta method)."""

    coefficients: Array  # intercept first; 0 for columns left out
    standard_errors: Array  # the same order
    dispersion: float  # squared spread over squared mean, from Pearson's statistic
    floor: float  # hours; no mean is taken below a tenth of the least mean of past rows
    kept: NDArray[np.intp]  # coefficients that are not held at 0
    root: Array  # its square is their covariance over the dispersion

    def means(self, X: ArrayLike) -> Array:
        """Mean hours of new rows, shape (n,)."""
        return np.maximum(with_ones(wide(X)) @ self.coefficients, self.floor)

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Hours that the next jobs stay under with the chances `probs`, shape (n, len(probs))."""
        means = self.means(X)[:, None]
        unsure = ((with_ones(wide(X))[:, self.kept] @ self.root) ** 2).sum(axis=1)[:, None]
        shape = 1 / (self.dispersion * (1 + unsure / means**2))
        return np.asarray(means * gammaincinv(shape, np.asarray(probs, dtype=float)) / shape)


def learn_gamma(X: ArrayLike, y: ArrayLike) -> Gamma:
    """Gamma regression on the columns as they are; work adds up.

    Where the search does not settle, or ends where a past job would take no time, it is made again among rates of 0
    or more; should that fail too, the average alone is learned.

    Raises NoAnswerError where there are not two rows, a number is missing, or hours are not above 0.

    Source: P. McCullagh & J. A. Nelder, *Generalized Linear Models*, 2nd ed. (1989), chapter 8.
    """
    X, y = table(X, y, above_zero=True)
    told = np.sort(independent(X, intercept=True)[0].kept)
    if len(y) < len(told) + 2:
        told = told[:0]
    A = with_ones(X[:, told])
    lengths = np.linalg.norm(A, axis=0)
    A = A / lengths
    b = _likeliest(A, y)
    means = A @ b
    at = np.flatnonzero(b)
    dispersion = max(float((((y - means) / means) ** 2).sum()) / (len(y) - len(at)), FLATTEST)
    root = np.linalg.inv(np.linalg.qr(A[:, at] / means[:, None], mode="r")) / lengths[at, None]
    places = np.append(0, told + 1)
    coefficients, errors = np.zeros((2, X.shape[1] + 1))
    coefficients[places] = b / lengths
    errors[places[at]] = np.sqrt(dispersion * (root**2).sum(axis=1))
    return Gamma(coefficients, errors, dispersion, float(means.min()) / 10, places[at], root)


def _likeliest(A: Array, y: Array) -> Array:
    """The likeliest coefficients of columns with the intercept first; exact zeros are held there."""
    start = nnls(A / y[:, None], np.ones(len(y)))[0]  # least relative errors
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore")  # statsmodels warns of the identity link itself; we look at the end
        try:
            found = GLM(y, A, family=Family(Identity())).fit(
                start_params=start, maxiter=200, tol=1e-12, tol_criterion="params"
            )
            b = np.asarray(found.params, dtype=float)
            if found.converged and np.isfinite(b).all() and (A @ b).min() > 0:
                return b
        except (ValueError, np.linalg.LinAlgError):
            pass

    def down(b: Array) -> tuple[float, Array]:
        means = np.maximum(A @ b, 1e-9 * y)
        return float((np.log(means) + y / means).sum()), A.T @ (1 / means - y / means**2)

    bounds = [(1e-9 * float(y.min()), None)] + [(0.0, None)] * (A.shape[1] - 1)
    held = minimize(down, np.asarray(start), jac=True, method="L-BFGS-B", bounds=bounds)
    if (A @ held.x).min() > 0:
        return np.asarray(held.x, dtype=float)
    return np.append(y.mean() / A[0, 0], np.zeros(A.shape[1] - 1))


def with_ones(X: Array) -> Array:
    """The table with a first column of ones."""
    return np.column_stack([np.ones(len(X)), X])
