"""Hours of a board's stages, on average over rates, conditions, pace and luck, for given quantities."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from estimator.forecast.draws import Work
from estimator.model.saved_fit import UNPLANNED, Array, SavedFit
from estimator.words.settings import ONCE, Settings


def mean_hours(
    fit: SavedFit, work: Work, settings: Settings, n: int, rows: slice = slice(None)
) -> dict[str, Array]:
    """For each stage of a board not begun its mean hours by what there is to do, (n,) each.

    work: quantities by draw, each a number or (n,); a stage that may happen counts as often as it does
    rows: of the fit's draws, those that are averaged over

    The mean of exp(median + loading u + noise e) over u, e ~ N(0, 1) is exp(median + (loading² + noise²) / 2).
    """
    spread = np.exp((fit.loading[rows] ** 2 + fit.noise[rows] ** 2) / 2)
    found = {}
    for i, stage in enumerate(fit.stages):
        if stage not in work.happening:
            continue
        parts = [(k, driver) for k, (s, driver) in enumerate(fit.parts) if s == stage]
        slowed = [(k, name) for k, (s, name) in enumerate(fit.conditions) if s == stage]
        amounts = np.array([_amount(work, stage, driver, n) for _, driver in parts])
        rates = np.exp(fit.log_rate[rows][:, [k for k, _ in parts]]) * spread[:, [i]]
        grades = [np.broadcast_to(np.asarray(work.values.get(name, 0.0), float), n) for _, name in slowed]
        known, of = np.unique(np.array(grades).reshape(len(slowed), n), axis=1, return_inverse=True)
        times = np.exp(fit.effect[rows][:, [k for k, _ in slowed]] @ known)  # (n_rows, n_grades)
        usual = rates.T @ times / len(times)  # (n_parts, n_grades)
        hours = (usual[:, np.asarray(of).reshape(-1)] * amounts).sum(axis=0)
        found[stage] = hours * _chance(fit, work, stage, settings, n)
    return found


def _amount(work: Work, stage: str, driver: str, n: int) -> Array:
    """How much of a driver there is, by draw."""
    name = f"{stage} {UNPLANNED}" if driver == UNPLANNED else driver
    amount: float | Array = 1.0 if driver == ONCE else work.values.get(name, 0.0)
    return np.broadcast_to(np.asarray(amount, dtype=float), n)


def _chance(fit: SavedFit, work: Work, stage: str, settings: Settings, n: int) -> Array:
    """How often a stage happens given the quantities, by draw: always where its own drivers say so."""
    happens = np.broadcast_to(work.happening[stage], n)
    drivers: Mapping[str, float | Array] = {d: work.values.get(d, 0.0) for d in settings.stages[stage].work}
    if not drivers:
        told = stage in work.values or stage not in fit.chances
        return happens.astype(float) if told else np.full(n, _share(fit.chances[stage]))
    planned = np.broadcast_to(np.any(np.broadcast_arrays(*drivers.values()), axis=0), n)
    if stage not in fit.chances or (happens == planned).all():
        return planned.astype(float)
    return np.where(planned, 1.0, _share(fit.chances[stage]))


def _share(weights: tuple[float, float]) -> float:
    """The mean of a beta law."""
    yes, no = weights
    return yes / (yes + no)
