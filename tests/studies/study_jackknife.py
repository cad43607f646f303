"""Jackknife+ as another library gives it: kept, so that ours is held against it where that library is not installed.

Run from the top of the project, with the extra "bench": python tests/studies/study_jackknife.py
"""

import json
import sys
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np
from studies.peers import JackknifePlus, Logs, most_telling

KEPT = ROOT / "tests" / "studies" / "results" / "jackknife_plus.json"


def table(seed: int, n: int) -> tuple[np.ndarray, np.ndarray]:
    """Hours of a made-up shop by a length, a count with zeros and a sort."""
    rng = np.random.default_rng(seed)
    X = np.column_stack([rng.uniform(1, 4, n), rng.poisson(1.0, n), rng.integers(0, 2, n)]).round(3)
    return X, ((2 + 3 * X[:, 0] + X[:, 1]) * np.exp(0.2 * rng.standard_normal(n))).round(3)


def theirs(X: np.ndarray, y: np.ndarray, new: np.ndarray) -> np.ndarray:
    """The library's limits of the logs of hours, 8 in 10, (n, 2)."""
    from mapie.regression import CrossConformalRegressor
    from sklearn.linear_model import LinearRegression

    logs = Logs(X, y)
    told = most_telling(logs(X), np.log(y))
    learned = CrossConformalRegressor(LinearRegression(), confidence_level=0.8, method="plus", cv=-1)
    learned.fit_conformalize(logs(X)[:, told], np.log(y))
    return learned.predict_interval(logs(new)[:, told])[1][:, :, 0]


def ours(X: np.ndarray, y: np.ndarray, new: np.ndarray) -> np.ndarray:
    """Our limits of the same."""
    return np.log(JackknifePlus().fit(X, y).quantiles(new, np.array([0.1, 0.9])))


if __name__ == "__main__":
    (X, y), (new, _) = table(0, 40), table(1, 9)
    limits = theirs(X, y, new)
    KEPT.parent.mkdir(exist_ok=True)
    kept = {"library": f"mapie {version('mapie')}", "X": X.tolist(), "y": y.tolist(), "new": new.tolist()}
    KEPT.write_text(json.dumps({**kept, "limits": limits.round(9).tolist()}) + "\n", "utf-8")
    print(f"{kept['library']}: at most {np.abs(ours(X, y, new) - limits).max():.1e} apart")
