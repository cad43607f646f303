"""What a peer's forecasts of held out hours are worth; all that decides the figures, so that they can be kept."""

from __future__ import annotations

import time
import warnings

import numpy as np
from studies.peers import PEERS, ReferenceClass

OURS = "ours"
PROBS = np.linspace(0.05, 0.95, 19)
LOW, HIGH = 1, 17  # places of the 10 and 90 % points


class Ours:
    """`HoursRegressor` as a peer; whatever it says is taken as it is."""

    needs = ""

    def fit(self, X, y):
        from estimator import HoursRegressor

        self.model = HoursRegressor(random_state=0).fit(X, y)
        return self

    def quantiles(self, X, probs):
        return np.asarray(self.model.predict_quantiles(X, probs))


def maker(name: str):
    return Ours if name == OURS else PEERS[name]


def scored(name: str, X: np.ndarray, y: np.ndarray, X_new: np.ndarray, y_new: np.ndarray) -> dict:
    """Sums over the new rows; a peer that fails is given the reference class's, and why."""
    begun, failed, seconds = time.perf_counter(), "", 0.0
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitted = maker(name)().fit(X, y)
            seconds = time.perf_counter() - begun
            q = np.asarray(fitted.quantiles(X_new, PROBS))
        failed = fault(q, len(y_new))
    except ImportError:
        raise
    except Exception as why:  # noqa: BLE001 - a failure of a peer is a result
        failed = f"{type(why).__name__}: {why}"[:200]
    if failed:
        q = ReferenceClass().fit(X, y).quantiles(X_new, PROBS)
    return {**measured(q, y_new), "seconds": seconds, "failed": failed}


def fault(q: np.ndarray, n: int) -> str:
    """What is wrong with these points, if anything."""
    if q.shape != (n, len(PROBS)):
        return f"shape {q.shape}"
    if not np.isfinite(q).all():
        return "a point is not a finite number"
    if (q < 0).any():
        return "a point is below 0"
    return "points cross" if (np.diff(q, axis=1) < 0).any() else ""


def measured(q: np.ndarray, y: np.ndarray) -> dict:
    """Pinball loss (mean over points), 80 % interval score, and rows inside: sums over rows."""
    miss = y[:, None] - q
    pinball = np.maximum(PROBS * miss, (PROBS - 1) * miss).mean(axis=1)
    low, high = q[:, LOW], q[:, HIGH]
    interval = high - low + 10 * np.maximum(low - y, 0) + 10 * np.maximum(y - high, 0)
    inside = (low <= y) & (y <= high)
    return {
        "pinball": float(pinball.sum()),
        "interval": float(interval.sum()),
        "inside": int(inside.sum()),
        "n": len(y),
    }
