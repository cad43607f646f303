"""Forecasts that are kept as points, after a stretch."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from estimator.forecast.stretched import stretched
from estimator.model.saved_fit import Array


def stretched_points(points: ArrayLike, probs: Sequence[float], factors: tuple[float, float]) -> Array:
    """The points of a forecast after the stretch; points: hours at the chances `probs`, (..., k)."""
    hours = np.asarray(points, dtype=float)
    middle = hours[..., [probs.index(0.5)]]
    return stretched(hours, middle, *factors)
