"""Shares of forms by how they foretell rows left out, and how far their ranges should be stretched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from estimator.regress.stretch import learn_stretch

Array = NDArray[np.float64]

PRIOR_ROWS = 1.0  # rows' worth of belief in the shares held beforehand
ROUNDS = 500


def shares_of(log_densities: Array, beforehand: Array, worth: float = PRIOR_ROWS) -> Array:
    """Shares of forms, shape (forms,), that make rows left out likeliest (Yao et al. 2018, Bayesian Analysis 13:917).

    `log_densities` has shape (rows, forms); `beforehand` are shares believed in before, worth so many rows. By
    expectation and maximisation, which keeps every share above 0.
    """
    density = np.exp(log_densities - log_densities.max(axis=1, keepdims=True))
    shares = beforehand / beforehand.sum()
    held = worth * shares
    for _ in range(ROUNDS):
        part = density * shares
        new = held + (part / part.sum(axis=1, keepdims=True)).sum(axis=0)
        new /= new.sum()
        if np.abs(new - shares).max() < 1e-9:
            break
        shares = new
    return np.asarray(shares)


def stretch_of(chances: Array) -> tuple[float, float]:
    """How far ranges should reach below and above the median, as factors, from where past rows fell in theirs.

    `chances` are of hours below each row's own, foretold without it. Thirty rows' worth of belief in 1 is lent.
    """
    return learn_stretch(ndtri(np.clip(chances, 1e-9, 1 - 1e-9)))
