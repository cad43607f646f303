"""The normal distribution function and its inverse on arrays, from a fine table."""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np

from estimator.model.saved_fit import Array

FARTHEST = 8.0
POINTS = 8001


@cache
def _table() -> tuple[Array, Array]:
    """Points on the line and the chance below each."""
    points = np.linspace(-FARTHEST, FARTHEST, POINTS)
    return points, np.array([NormalDist().cdf(float(z)) for z in points])


def chance_below(z: Array) -> Array:
    """Phi(z), to 1e-6 absolute.

    >>> chance_below(np.array([0.0, 1.6449])).round(3)
    array([0.5 , 0.95])
    """
    points, chances = _table()
    return np.interp(z, points, chances)


def point_at(chance: Array) -> Array:
    """The z with Phi(z) = chance, to 1e-5 within six sd.

    >>> point_at(np.array([0.5, 0.9])).round(4)
    array([0.    , 1.2816])
    """
    points, chances = _table()
    return np.interp(chance, chances, points)
