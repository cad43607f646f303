"""Hours that a board's stages usually take, at mean rates."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from estimator.model.quantities import happens, work_of
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.settings import Settings


def usual_hours(fit: SavedFit, values: Mapping[str, float], settings: Settings) -> Array:
    """Median hours of each stage at mean rates; 0 for what is not known or does not happen; shape (n_stages,)."""
    log_rate, effect = _means(fit)
    hours = np.zeros(len(fit.stages))
    for i, name in enumerate(fit.stages):
        stage = settings.stages[name]
        work = work_of(stage, values) if happens(stage, values) else None
        if work is None:
            continue
        plain = sum(np.exp(log_rate[name, driver]) * amount for driver, amount in work.items())
        slower = sum(effect[name, m] * values.get(m, 0.0) for (s, m) in fit.conditions if s == name)
        hours[i] = plain * np.exp(slower)
    return hours


def _means(fit: SavedFit) -> tuple[dict[tuple[str, str], float], dict[tuple[str, str], float]]:
    """Mean log rates and effects by name."""
    rates = dict(zip(fit.parts, fit.log_rate.mean(axis=0).tolist(), strict=True))
    return rates, dict(zip(fit.conditions, fit.effect.mean(axis=0).tolist(), strict=True))
