"""Hours that a board's stages usually take, at mean rates."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from estimator.model.quantities import happens, work_of
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.settings import Settings


def usual_hours(fit: SavedFit, values: Mapping[str, float], settings: Settings) -> Array:
    """Median hours of each stage at mean rates; 0 for what is not known or does not happen; shape (n_stages,)."""
    rates, effects = fit.mean_rates, fit.mean_effects
    hours = np.zeros(len(fit.stages))
    for i, name in enumerate(fit.stages):
        stage = settings.stages[name]
        work = work_of(stage, values) if happens(stage, values) else None
        if work is not None:
            plain = sum(rates[name, driver] * amount for driver, amount in work.items())
            slower = sum(effect * values.get(m, 0.0) for m, effect in effects.get(name, ()))
            hours[i] = plain * math.exp(slower)
    return hours
