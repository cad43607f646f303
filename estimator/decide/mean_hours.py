"""Hours of a board's stages, on average over rates, conditions, pace and luck, for given quantities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from estimator.forecast.draws import Work
from estimator.model.saved_fit import UNPLANNED, Array, SavedFit
from estimator.words.settings import ONCE, Settings

Values = Mapping[str, float | Array]


def mean_hours(
    fit: SavedFit,
    values: Values,
    chances: Mapping[str, float],
    settings: Settings,
    n: int,
    rows: slice = slice(None),
) -> dict[str, Array]:
    """For each stage of a board not begun its mean hours by what there is to do, (n,) each.

    values: quantities, each a number or (n,); chances: what `chances_of` makes of the board's work
    rows: of the fit's draws, those that are averaged over

    The mean of exp(median + loading u + noise e) over u, e ~ N(0, 1) is exp(median + (loading² + noise²) / 2).
    """
    spread = np.exp((fit.loading[rows] ** 2 + fit.noise[rows] ** 2) / 2)
    found = {}
    for i, stage in enumerate(fit.stages):
        if stage not in chances:
            continue
        parts = [(k, driver) for k, (s, driver) in enumerate(fit.parts) if s == stage]
        slowed = [(k, name) for k, (s, name) in enumerate(fit.conditions) if s == stage]
        amounts = np.array([_amount(values, stage, driver, n) for _, driver in parts])
        rates = np.exp(fit.log_rate[rows][:, [k for k, _ in parts]]) * spread[:, [i]]
        grades = [np.broadcast_to(np.asarray(values.get(name, 0.0), float), n) for _, name in slowed]
        known, of = np.unique(np.array(grades).reshape(len(slowed), n), axis=1, return_inverse=True)
        times = np.exp(fit.effect[rows][:, [k for k, _ in slowed]] @ known)  # (n_rows, n_grades)
        usual = rates.T @ times / len(times)  # (n_parts, n_grades)
        hours = (usual[:, np.asarray(of).reshape(-1)] * amounts).sum(axis=0)
        planned = _planned(values, settings.stages[stage].work)
        found[stage] = hours * np.where(planned, 1.0, chances[stage])
    return found


def chances_of(fit: SavedFit, work: Work, settings: Settings) -> dict[str, float]:
    """For each stage of a board's work how often it happens where no driver of its own makes it happen."""
    found = {}
    for stage, happens in work.happening.items():
        drivers = settings.stages[stage].work
        if stage not in fit.chances or stage in work.values:
            found[stage] = 0.0 if drivers else float(np.mean(happens))
        elif drivers and (happens == _planned(work.values, drivers)).all():
            found[stage] = 0.0
        else:
            yes, no = fit.chances[stage]
            found[stage] = yes / (yes + no)
    return found


def _planned(values: Values, drivers: Sequence[str]) -> Array | bool:
    """Whether a stage's own drivers make it happen, by what there is to do."""
    there: Array | bool = np.any(np.broadcast_arrays(0.0, *(values.get(d, 0.0) for d in drivers)), axis=0)
    return there


def _amount(values: Values, stage: str, driver: str, n: int) -> Array:
    """How much of a driver there is."""
    name = f"{stage} {UNPLANNED}" if driver == UNPLANNED else driver
    amount: float | Array = 1.0 if driver == ONCE else values.get(name, 0.0)
    return np.broadcast_to(np.asarray(amount, dtype=float), n)
