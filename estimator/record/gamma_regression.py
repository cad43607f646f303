"""Gamma regression on a plain table: hours whose spread grows with their mean."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincinv

from estimator.record.least_squares import Array, hours, independent, table, wide
from estimator.words.errors import UsageError

LINKS = ("identity", "log")
FLATTEST = 1e-8  # least dispersion; a perfect fit has none


@dataclass(frozen=True)
class Gamma:
    """A gamma regression. The mean's own error widens the next row's spread (delta method)."""

    coefficients: Array  # intercept first; 0 for columns left out
    standard_errors: Array  # the same order
    dispersion: float  # squared spread over squared mean, from Pearson's statistic
    link: str  # one of LINKS
    floor: float  # hours; no mean is taken below a tenth of the least mean of past rows
    kept: NDArray[np.intp]  # coefficients that are not held at 0
    root: Array  # its square is their covariance over the dispersion

    def means(self, X: ArrayLike) -> Array:
        """Mean hours of new rows, shape (n,)."""
        along = with_ones(wide(X)) @ self.coefficients
        return np.maximum(hours(along) if self.link == "log" else along, self.floor)

    def median(self, X: ArrayLike) -> Array:
        """Median hours of new rows, shape (n,)."""
        return np.asarray(self.quantiles(X, [0.5])[:, 0])

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Hours that the next jobs stay under with the chances `probs`, shape (n, len(probs))."""
        means = self.means(X)[:, None]
        unsure = ((with_ones(wide(X))[:, self.kept] @ self.root) ** 2).sum(axis=1)[:, None]
        if self.link == "identity":
            unsure = unsure / means**2
        shape = 1 / (self.dispersion * (1 + unsure))
        return np.asarray(means * gammaincinv(shape, np.asarray(probs, dtype=float)) / shape)


def learn_gamma(X: ArrayLike, y: ArrayLike, *, link: str = "identity") -> Gamma:
    """Gamma regression on the columns as they are.

    link: "identity", work adds up; "log", work multiplies. Where the search does not settle, or ends where a
    past job would take no time, the identity link is searched again among rates of 0 or more (and should that
    fail too, the average alone is learned), and the log link is left at least squares of log hours.

    Raises NoAnswerError where there are not two rows, a number is missing, or hours are not above 0.

    Source: P. McCullagh & J. A. Nelder, *Generalized Linear Models*, 2nd ed. (1989), chapter 8.

    >>> gamma = learn_gamma([1.0, 2.0, 3.0, 4.0], [2.0, 4.0, 6.0, 8.0])
    >>> gamma.means([5.0]).round(3).tolist()
    [10.0]
    """
    if link not in LINKS:
        raise UsageError(f'there is no link "{link}".', "Take identity or log.")
    X, y = table(X, y, above_zero=True)
    told = np.sort(independent(X, intercept=True)[0].kept)
    if len(y) < len(told) + 2:
        told = told[:0]
    A = with_ones(X[:, told])
    lengths = np.linalg.norm(A, axis=0)
    A = A / lengths
    b = _likeliest(A, y, link)
    means = hours(A @ b) if link == "log" else A @ b
    at = np.flatnonzero(b)
    dispersion = max(float((((y - means) / means) ** 2).sum()) / (len(y) - len(at)), FLATTEST)
    weighed = A[:, at] if link == "log" else A[:, at] / means[:, None]
    root = np.linalg.inv(np.linalg.qr(weighed, mode="r")) / lengths[at, None]
    places = np.append(0, told + 1)
    coefficients, errors = np.zeros((2, X.shape[1] + 1))
    coefficients[places] = b / lengths
    errors[places[at]] = np.sqrt(dispersion * (root**2).sum(axis=1))
    return Gamma(coefficients, errors, dispersion, link, float(means.min()) / 10, places[at], root)


def _likeliest(A: Array, y: Array, link: str) -> Array:
    """The likeliest coefficients of columns with the intercept first; exact zeros are held there."""
    from scipy.optimize import minimize, nnls
    from statsmodels.genmod.families import Gamma as Family
    from statsmodels.genmod.families.links import Identity, Log
    from statsmodels.genmod.generalized_linear_model import GLM

    if link == "log":
        start = np.linalg.lstsq(A, np.log(y), rcond=None)[0]
    else:
        start = nnls(A / y[:, None], np.ones(len(y)))[0]  # least relative errors
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore")  # statsmodels warns of the identity link itself; we look at the end
        try:
            found = GLM(y, A, family=Family(Log() if link == "log" else Identity())).fit(
                start_params=start, maxiter=200, tol=1e-12, tol_criterion="params"
            )
            b = np.asarray(found.params, dtype=float)
            if found.converged and np.isfinite(b).all() and (link == "log" or (A @ b).min() > 0):
                return b
        except (ValueError, np.linalg.LinAlgError):
            pass
    if link == "log":
        return np.asarray(start)

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
