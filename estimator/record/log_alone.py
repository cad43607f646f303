"""What a log says without one of its rules of thumb: the fit anew, begun from where the whole fit ended."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from estimator.model.likelihood import Density
from estimator.model.log_rows import table_of
from estimator.model.matrices import Table
from estimator.model.posterior import Posterior, normal_posterior, posterior_near
from estimator.model.priors import terms_of
from estimator.model.saved_fit import Array, SavedFit
from estimator.model.sums import Numbers
from estimator.words.records import Log
from estimator.words.rules import Rule
from estimator.words.settings import Settings

N_DRAWS = 400


@dataclass(frozen=True)
class Whole:
    """A log and all its rules as the model has them, and the normal approximation of what they say together."""

    log: Log
    settings: Settings
    table: Table
    density: Density
    posterior: Posterior

    @classmethod
    def of(cls, log: Log, settings: Settings, fit: SavedFit) -> Whole:
        """The log as of the fit's day."""
        table = table_of(log, settings, as_of=dt.date.fromisoformat(fit.as_of) if fit.as_of else None)
        density = Density(table, terms_of(table, log, settings))
        return cls(log, settings, table, density, normal_posterior(density))


def without(whole: Whole, rule: Rule, *, seed: int = 0, n_draws: int = N_DRAWS) -> Numbers:
    """Draws of the model's numbers from the log and all rules but one, by the normal approximation.

    The rate that the rule spoke of has the wide prior of a rate without a rule.

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    others: Sequence[Rule] = [other for other in whole.settings.rules if other.name != rule.name]
    density = Density(whole.table, terms_of(whole.table, whole.log, whole.settings, others))
    centre, root = _begun(whole.density, density, whole.posterior)
    posterior = posterior_near(density, centre, root)
    rng = np.random.default_rng([seed, 2])
    return density.numbers(posterior.draws(n_draws, rng))


def _begun(old: Density, new: Density, posterior: Posterior) -> tuple[Array, Array]:
    """The old mode and root in the coordinates of the new density: the same rates and effects."""
    mode, root = posterior.mode.copy(), posterior.root.copy()
    at = old.numbers(mode[:, None])
    lean, scale = float(at.lean[0]), float(at.scale[0])

    def unit(density: Density) -> Array:
        sd = density.rate_sd * np.where(density.rate_own > 0, scale, 1.0)
        return np.asarray(sd[:, 0])

    mode[old.rate] = (at.log_rate - new.centre - new.rate_own * lean)[:, 0] / unit(new)
    root[old.rate] *= (unit(old) / unit(new))[:, None]
    changed = (old.ruled != new.ruled)[:, 0]
    size = np.log(np.maximum(np.abs(at.effect[:, 0]), 1e-3))
    standard = (size - new.effect_centre[:, 0]) / new.effect_sd[:, 0]
    mode[old.condition] = np.where(changed, np.where(new.ruled[:, 0], size, standard), mode[old.condition])
    return mode, root
