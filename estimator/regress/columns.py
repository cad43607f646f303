"""Drivers of a plain table, put on scales that forget their units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SAME = 1e-9  # logs that spread by less are the same
FARTHEST = 8.0  # spreads from the middle; a new row further out is held there


@dataclass(frozen=True)
class Drivers:
    """How columns become logs and amounts; learned from past rows, columns that never change left out."""

    kept: NDArray[np.intp]  # places of the columns that change, the most telling first
    yes_no: NDArray[np.bool_]  # (k,): 0 or one other value
    most: Array  # (k,)
    least: Array  # (k,), least value above 0
    zeros: NDArray[np.bool_]  # (k,): an amount that was 0 in some past row
    middle: Array  # (k,), of logs
    spread: Array  # (k,), of logs
    mean: Array  # (k,), of amounts as shares of the most

    @classmethod
    def learn(cls, X: Array, log_hours: Array) -> Drivers:
        """Scales of the columns of X, shape (n, columns); those most correlated with log hours stand first."""
        kept = np.flatnonzero(X.max(axis=0) > X.min(axis=0))
        most = X[:, kept].max(axis=0)
        least = np.where(X[:, kept] > 0, X[:, kept], np.inf).min(axis=0)
        zeros = (X[:, kept] == 0).any(axis=0)
        rough = cls(
            kept=kept,
            yes_no=zeros & (least == most),
            most=most,
            least=least,
            zeros=zeros,
            middle=np.zeros(len(kept)),
            spread=np.ones(len(kept)),
            mean=np.ones(len(kept)),
        )
        logs, shares = rough._logs(X), rough.amounts(X)
        spread = logs.std(axis=0)
        steps = (logs - logs.mean(axis=0)) / np.where(spread > SAME, spread, 1.0)
        told = np.abs(steps.T @ (log_hours - log_hours.mean()))
        order = np.lexsort((spread, -np.round(told, 9)))
        order = order[spread[order] > SAME]
        return cls(
            kept=kept[order],
            yes_no=rough.yes_no[order],
            most=most[order],
            least=least[order],
            zeros=zeros[order],
            middle=logs.mean(axis=0)[order],
            spread=spread[order],
            mean=shares.mean(axis=0)[order],
        )

    def logs(self, X: Array) -> Array:
        """Logs of amounts and steps of yes/no columns, mean 0 and spread 1 over past rows, shape (n, k)."""
        return np.clip((self._logs(X) - self.middle) / self.spread, -FARTHEST, FARTHEST)

    def amounts(self, X: Array) -> Array:
        """Amounts as multiples of their mean in past rows, shape (n, k)."""
        return np.asarray(X[:, self.kept] / self.most / self.mean)

    def _logs(self, X: Array) -> Array:
        """Logs of amounts; where past rows hold a 0, the least other amount is added first."""
        amounts = X[:, self.kept] / self.most
        least = self.least / self.most
        logs = np.log(np.maximum(amounts + np.where(self.zeros, least, 0.0), least / 2))
        return np.where(self.yes_no, amounts, logs)
