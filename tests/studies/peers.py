"""What others would forecast hours with: known regressions, each set up for a few dozen rows.

Every peer has `fit(X, y)` and `quantiles(X, probs)`, shape (n, len(probs)): never below 0, never crossed. Those that
work on logs take drivers as 0 and 1, or as logs, put to mean 0 and spread 1. Settings are those that did best over the
tables of `real_tables` among a handful, on other splits than those that the comparison draws.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable
from typing import Protocol, Self

import numpy as np
from scipy.special import stdtrit
from scipy.stats import norm

from estimator.record.backtest.rivals import learn_linear

GRID = np.linspace(0.05, 0.95, 19)  # for peers that learn one point at a time
FARTHEST = (
    10.0  # times the longest past hours, or the shortest over it: no regression on logs is believed beyond
)
ROWS_A_COEFFICIENT = 3  # regressions without shrinkage keep the drivers most correlated with hours


class Peer(Protocol):
    """Whatever forecasts hours from a plain table."""

    needs: str  # a module that may be missing, or nothing

    def fit(self, X: np.ndarray, y: np.ndarray) -> Self: ...

    def quantiles(self, X: np.ndarray, probs: np.ndarray) -> np.ndarray: ...


class Logs:
    """Drivers on a log scale, as learned from past rows."""

    def __init__(self, X: np.ndarray, y: np.ndarray):
        self.binary = np.isin(X, (0.0, 1.0)).all(axis=0)
        least = np.where(X > 0, X, np.inf).min(axis=0)
        self.least = np.where(np.isfinite(least), least, 1.0)
        self.add = np.where((X > 0).all(axis=0), 0.0, self.least)
        Z = self._logs(X)
        spread = Z.std(axis=0)
        self.kept = spread > 1e-9
        self.mean, self.spread = Z.mean(axis=0)[self.kept], spread[self.kept]
        self.bounds = np.log(y.min() / FARTHEST), np.log(y.max() * FARTHEST)

    def _logs(self, X: np.ndarray) -> np.ndarray:
        with np.errstate(divide="ignore"):
            logs = np.log(np.maximum(X + self.add, self.least / 2))
        return np.where(self.binary, X, logs)

    def __call__(self, X: np.ndarray) -> np.ndarray:
        return (self._logs(X)[:, self.kept] - self.mean) / self.spread

    def hours(self, logs: np.ndarray) -> np.ndarray:
        """Hours of log hours, no further from past ones than anybody would believe."""
        return np.exp(np.clip(logs, *self.bounds))


def most_telling(Z: np.ndarray, y: np.ndarray) -> np.ndarray:
    """The columns that so few rows can carry, those most correlated with y first."""
    room = max(1, len(y) // ROWS_A_COEFFICIENT - 1)
    Z = Z - Z.mean(axis=0)
    length = np.linalg.norm(Z, axis=0)
    told = np.abs(Z.T @ (y - y.mean())) / np.where(length > 0, length, np.inf)
    return np.sort(np.argsort(-told, kind="stable")[:room])


class ReferenceClass:
    """Past hours, whatever the drivers."""

    needs = ""

    def fit(self, _X, y):
        self.y = np.sort(y)
        return self

    def quantiles(self, X, probs):
        return np.tile(np.quantile(self.y, probs, method="weibull"), (len(X), 1))


class LogLog:
    """Least squares of log hours on log drivers; the next one lies as Student's t says."""

    needs = ""

    def fit(self, X, y):
        self.logs = Logs(X, y)
        Z = self.logs(X)
        self.told = most_telling(Z, np.log(y))
        self.line = learn_linear(Z[:, self.told], np.log(y))
        return self

    def quantiles(self, X, probs):
        return self.logs.hours(self.line.quantiles(self.logs(X)[:, self.told], probs))


class JackknifePlus:
    """Least squares on logs with the misses of each row left out (Barber, Candes, Ramdas & Tibshirani 2021)."""

    needs = ""

    def fit(self, X, y):
        self.logs = Logs(X, y)
        Z, t = self.logs(X), np.log(y)
        self.told = most_telling(Z, t)
        Z = Z[:, self.told]
        rows = np.arange(len(t))
        self.lines = [learn_linear(Z[rows != i], t[rows != i]) for i in rows]
        self.misses = np.array(
            [abs(t[i] - line.median(Z[i : i + 1])[0]) for i, line in enumerate(self.lines)]
        )
        return self

    def quantiles(self, X, probs):
        Z, n = self.logs(X)[:, self.told], len(self.lines)
        middle = np.array([line.median(Z) for line in self.lines])  # (n, new rows)
        low = np.sort(middle - self.misses[:, None], axis=0)
        high = np.sort(middle + self.misses[:, None], axis=0)
        out = np.empty((len(Z), len(probs)))
        for j, p in enumerate(probs):
            outside = 2 * min(p, 1 - p)
            rank = min(math.ceil((1 - outside) * (n + 1) - 1e-9), n)
            if abs(p - 0.5) < 1e-9:
                out[:, j] = np.median(middle, axis=0)
            else:
                out[:, j] = low[n - rank] if p < 0.5 else high[rank - 1]
        return self.logs.hours(np.sort(out, axis=1))


class BayesianRidgeLogs:
    """Bayesian ridge of log hours on log drivers."""

    needs = ""

    def fit(self, X, y):
        from sklearn.linear_model import BayesianRidge

        self.logs = Logs(X, y)
        Z = self.logs(X)
        if not Z.shape[1]:
            Z = np.zeros((len(Z), 1))
        self.spare = len(y) - 1
        self.model = BayesianRidge(max_iter=1000).fit(Z, np.log(y))
        return self

    def quantiles(self, X, probs):
        Z = self.logs(X)
        if not Z.shape[1]:
            Z = np.zeros((len(Z), 1))
        middle, sd = self.model.predict(Z, return_std=True)
        return self.logs.hours(middle[:, None] + sd[:, None] * stdtrit(self.spare, probs))


class GaussianProcessLogs:
    """Gaussian process of log hours over log drivers; one length for each driver, or one for all where rows are few."""

    needs = ""

    def fit(self, X, y):
        from sklearn.gaussian_process import GaussianProcessRegressor
        from sklearn.gaussian_process.kernels import RBF, ConstantKernel, WhiteKernel

        self.logs = Logs(X, y)
        Z, t = self._wide(X), np.log(y)
        self.mean, self.scale = t.mean(), t.std() or 1.0
        lengths = np.full(Z.shape[1], math.sqrt(Z.shape[1]) * 2)
        rbf = RBF(lengths if len(y) >= 5 * len(lengths) else lengths[0], (0.1, 1e3))
        kernel = ConstantKernel(1.0, (1e-3, 1e3)) * rbf + WhiteKernel(0.1, (1e-5, 10))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            self.model = GaussianProcessRegressor(kernel, n_restarts_optimizer=1, random_state=0)
            self.model.fit(Z, (t - self.mean) / self.scale)
        return self

    def _wide(self, X):
        Z = self.logs(X)
        return Z if Z.shape[1] else np.zeros((len(Z), 1))

    def quantiles(self, X, probs):
        middle, sd = self.model.predict(self._wide(X), return_std=True)
        logs = self.mean + self.scale * (middle[:, None] + sd[:, None] * norm.ppf(probs))
        return self.logs.hours(logs)


class NgBoost:
    """Natural gradient boosting of a lognormal (Duan et al. 2020), by stumps: deeper trees claim too much."""

    needs = "ngboost"

    def fit(self, X, y):
        from ngboost import NGBRegressor
        from ngboost.distns import LogNormal
        from sklearn.tree import DecisionTreeRegressor

        tree = DecisionTreeRegressor(
            criterion="friedman_mse", max_depth=1, min_samples_leaf=3, random_state=0
        )
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            self.model = NGBRegressor(
                Dist=LogNormal, Base=tree, n_estimators=50, learning_rate=0.05, verbose=False, random_state=0
            ).fit(X, y)
        return self

    def quantiles(self, X, probs):
        dist = self.model.pred_dist(X)
        return np.column_stack([dist.ppf(p) for p in probs])


class QuantileForest:
    """Quantile regression forest (Meinshausen 2006)."""

    needs = "quantile_forest"

    def fit(self, X, y):
        from quantile_forest import RandomForestQuantileRegressor

        self.model = RandomForestQuantileRegressor(200, min_samples_leaf=1, random_state=0).fit(X, y)
        return self

    def quantiles(self, X, probs):
        return self.model.predict(X, quantiles=list(probs)).reshape(len(X), -1)


class BoostedQuantiles:
    """Gradient boosting of each point of log hours alone."""

    needs = ""

    def fit(self, X, y):
        from sklearn.ensemble import GradientBoostingRegressor

        self.models = [
            GradientBoostingRegressor(
                loss="quantile",
                alpha=p,
                n_estimators=50,
                learning_rate=0.1,
                max_depth=2,
                min_samples_leaf=3,
                random_state=0,
            ).fit(X, np.log(y))
            for p in GRID
        ]
        return self

    def quantiles(self, X, probs):
        at = np.sort(np.column_stack([m.predict(X) for m in self.models]), axis=1)
        return np.exp(np.array([np.interp(probs, GRID, row) for row in at]))


PEERS: dict[str, Callable[[], Peer]] = {
    "reference class": ReferenceClass,
    "log-log": LogLog,
    "jackknife+": JackknifePlus,
    "NGBoost": NgBoost,
    "quantile forest": QuantileForest,
    "Gaussian process": GaussianProcessLogs,
    "Bayesian ridge": BayesianRidgeLogs,
    "boosted quantiles": BoostedQuantiles,
}
