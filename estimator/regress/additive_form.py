"""Work adds: median hours are a sum of positive rates times amounts, times a factor for each yes/no column."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from estimator.regress.log_forms import Drivers, Lines, learn_lines
from estimator.regress.mixture import Array, Mixture, joined, weights_of

STRENGTHS = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0)  # 1 / noise, as the priors below are in log hours
RATE_SD = 2.0  # of a log rate about an even share of the hours
FACTOR_SD = 0.7  # of a log factor
ROUNDS = 40
LEAST = 1e-3  # of the likeliest strength's weight


@dataclass(frozen=True)
class Sum:
    """Rates and factors near one mode, where log hours are nearly straight in their logs."""

    at_mode: Array  # log rates, then log factors
    strength: float
    lines: Lines

    def features(self, drivers: Drivers, X: Array) -> tuple[Array, Array]:
        """What log hours are at the mode less their straight part, (n,), and the features of that part."""
        middle, slopes = _median(self.at_mode, *_columns(drivers, X))
        return middle - slopes @ self.at_mode, slopes


@dataclass(frozen=True)
class Additive:
    """Sums under several strengths of the prior, weighed by their evidence."""

    drivers: Drivers
    sums: tuple[Sum, ...]
    weight: Array
    left_out: Mixture  # past rows, each foretold from the others

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        told = []
        for one in self.sums:
            rest, slopes = one.features(self.drivers, X)
            told.append(one.lines.at(slopes).moved(rest))
        return joined(told, self.weight)


def learn_additive(drivers: Drivers, X: Array, t: Array) -> Additive:
    """The form, from rows X and log hours t.

    A row is left out in the straight line at the mode, which stays where it is.
    """
    parts, steps = _columns(drivers, X)
    sd = np.concatenate([np.full(parts.shape[1], RATE_SD), np.full(steps.shape[1], FACTOR_SD)])
    sums, told = [], []
    mode = np.zeros(len(sd))
    for strength in STRENGTHS:
        mode = _mode(parts, steps, t, sd * strength, mode)
        middle, slopes = _median(mode, parts, steps)
        rest = middle - slopes @ mode
        lines = learn_lines(slopes, t - rest, (sd * strength)[None])
        sums.append(Sum(mode, strength, lines))
        told.append(lines.left_out.moved(rest))
    evidence = np.array([one.lines.evidence[0] for one in sums])
    weight, without = weights_of(evidence, np.stack([m.log_density(t) for m in told], axis=1))
    left_out = joined(told, np.ones(len(told)))
    best = np.flatnonzero(weight >= LEAST * weight.max())
    return Additive(
        drivers,
        tuple(sums[i] for i in best),
        weight[best] / weight[best].sum(),
        Mixture.of(without, left_out.place, left_out.scale, left_out.spare),
    )


def _columns(drivers: Drivers, X: Array) -> tuple[Array, Array]:
    """A constant and the amounts, each worth an even share; and the yes/no columns, mean 0 in past rows."""
    amounts = drivers.amounts(X)[:, ~drivers.yes_no]
    parts = np.column_stack([np.ones(len(X)), amounts]) / (1 + amounts.shape[1])
    steps = drivers.logs(X)[:, drivers.yes_no] * drivers.spread[drivers.yes_no]
    return parts, steps


def _median(mode: Array, parts: Array, steps: Array) -> tuple[Array, Array]:
    """Log-median of rows, and its slopes in log rates and log factors."""
    work = parts * np.exp(mode[: parts.shape[1]])
    whole = work.sum(axis=1)
    return np.log(whole) + steps @ mode[parts.shape[1] :], np.column_stack([work / whole[:, None], steps])


def _mode(parts: Array, steps: Array, t: Array, sd: Array, mode: Array) -> Array:
    """The likeliest log rates and log factors, by Gauss and Newton's steps, halved until they help."""

    def cost(mode: Array) -> float:
        residual = t - _median(mode, parts, steps)[0]
        return float(((residual - residual.mean()) ** 2).sum() + ((mode / sd) ** 2).sum())

    now = cost(mode)
    for _ in range(ROUNDS):
        middle, slopes = _median(mode, parts, steps)
        residual = t - middle
        slopes = slopes - slopes.mean(axis=0)
        step = np.linalg.solve(
            slopes.T @ slopes + np.diag(1 / sd**2), slopes.T @ (residual - residual.mean()) - mode / sd**2
        )
        step *= min(1.0, 3.0 / max(float(np.abs(step).max()), 1e-300))
        for _ in range(12):
            then = cost(mode + step)
            if then <= now:
                break
            step = step / 2
        else:
            break
        mode = mode + step
        gain, now = now - then, then
        if gain <= 1e-9 * (now + 1e-9):
            break
    return mode
