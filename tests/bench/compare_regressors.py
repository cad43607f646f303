"""How `HoursRegressor` does against other regressions on open tables of times.

Run from the top of the project: python tests/bench/compare_regressors.py [--tables K] [--splits S] [--only a,b]
    [--figure FILE] [-v]
Prints for each peer the geometric mean, over tables, of its pinball loss (the 5, 10 .. 95 % points) and of its 80 %
interval score, both as multiples of the reference class; its mean rank; how many in 100 its 8-in-10 ranges hold; its
failures; and how long a fit takes. What has been worked out is kept in the folder for temporary files, named by the
code and the data that it came from.
"""

from __future__ import annotations

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")  # the tables run side by side

import argparse
import hashlib
import importlib.metadata
import inspect
import json
import sys
import tempfile
import time
import warnings
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from bench import peers as peers_module
from bench.peers import PEERS, ReferenceClass
from bench.real_tables import RealTable, real_tables, splits

OURS = "ours"
PROBS = np.linspace(0.05, 0.95, 19)
LOW, HIGH = 1, 17  # the 10 and 90 % points
CACHE = Path(tempfile.gettempdir()) / "estimator-bench"
LIBRARIES = ("numpy", "scipy", "scikit-learn", "statsmodels", "ngboost", "quantile-forest")


class Ours:
    """`HoursRegressor` as a peer; whatever it says is taken as it is."""

    def fit(self, X, y):
        from estimator import HoursRegressor

        self.model = HoursRegressor(random_state=0).fit(X, y)
        return self

    def quantiles(self, X, probs):
        return np.asarray(self.model.predict_quantiles(X, probs))


def maker(name):
    return Ours if name == OURS else PEERS[name]


def code_of(name: str) -> bytes:
    """All source that decides what a peer says."""
    if name == OURS:
        files = sorted((ROOT / "estimator" / "regress").rglob("*.py"))
    else:
        files = [ROOT / "estimator" / "record" / f for f in ("least_squares.py", "gamma_regression.py")]
    text = "".join(inspect.getsource(c) for c in maker(name).__mro__[:-1])
    text += inspect.getsource(scores) + inspect.getsource(fault) + inspect.getsource(measured)
    helpers = inspect.getsource(peers_module.Logs) + inspect.getsource(peers_module.most_telling)
    versions = [importlib.metadata.version(p) for p in LIBRARIES if _here(p)]
    return b"".join(f.read_bytes() for f in files) + (text + helpers + repr(versions)).encode()


def _here(package: str) -> bool:
    try:
        importlib.metadata.version(package)
    except importlib.metadata.PackageNotFoundError:
        return False
    return True


def scores(name: str, X: np.ndarray, y: np.ndarray, X_new: np.ndarray, y_new: np.ndarray) -> dict:
    """Sums over the new rows; a peer that fails is given the reference class's, and why."""
    begun, failed, seconds = time.perf_counter(), "", 0.0
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitted = maker(name)().fit(X, y)
            seconds = time.perf_counter() - begun
            q = np.asarray(fitted.quantiles(X_new, PROBS))
        failed = fault(q, len(y_new))
    except ModuleNotFoundError:
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
    """Pinball loss (mean over points), 80 % interval score (Winkler 1972), rows inside; sums over rows."""
    miss = y[:, None] - q
    pinball = np.maximum(PROBS * miss, (PROBS - 1) * miss).mean(axis=1)
    low, high = q[:, LOW], q[:, HIGH]
    interval = high - low + 10 * np.maximum(low - y, 0) + 10 * np.maximum(y - high, 0)
    return {
        "pinball": float(pinball.sum()),
        "interval": float(interval.sum()),
        "inside": int(((low <= y) & (y <= high)).sum()),
        "n": len(y),
    }


def one_table(table: RealTable, names: list[str], n_splits: int, seed: int, code: dict[str, bytes]) -> dict:
    """name -> list over splits of scores."""
    X = table.X.to_numpy(float)
    out: dict[str, list[dict]] = {name: [] for name in names}
    for learn, test in splits(table, n_splits, seed):
        data = X[learn], table.y[learn], X[test], table.y[test]
        digest = hashlib.sha256(
            b"".join(np.ascontiguousarray(a).tobytes() for a in data) + repr(X.shape[1]).encode()
        )
        for name in names:
            key = hashlib.sha256(digest.digest() + code[name]).hexdigest()[:32]
            file = CACHE / name.replace(" ", "_") / f"{key}.json"
            if file.exists():
                out[name].append(json.loads(file.read_text()))
                continue
            found = scores(name, *data)
            file.parent.mkdir(parents=True, exist_ok=True)
            part = file.with_suffix(f".{os.getpid()}")
            part.write_text(json.dumps(found))
            part.replace(file)
            out[name].append(found)
    return out


def total(runs: list[dict], what: str) -> float:
    return sum(run[what] for run in runs)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--tables", type=int, default=0, help="only the first K tables")
    ask.add_argument("--splits", type=int, default=10, help="splits of each table (10)")
    ask.add_argument("--seed", type=int, default=0, help="of the splits")
    ask.add_argument("--only", default="", help="peers by name, by commas; ours is one")
    ask.add_argument("--jobs", type=int, default=2)
    ask.add_argument("--figure", type=Path)
    ask.add_argument("-v", action="store_true", help="a line for each table")
    told = ask.parse_args()
    names = told.only.split(",") if told.only else [OURS, *PEERS]
    for short in list(names):
        hits = [n for n in (OURS, *PEERS) if short.lower() in n.lower()]
        names[names.index(short)] = (
            hits[0] if hits else sys.exit(f"no peer {short}: {', '.join((OURS, *PEERS))}")
        )
    if "reference class" not in names:
        names.append("reference class")
    tables = real_tables()[: told.tables or None]
    code = {name: code_of(name) for name in names}
    runs = Parallel(n_jobs=told.jobs)(
        delayed(one_table)(t, names, told.splits, told.seed, code) for t in tables
    )
    report(tables, names, runs, verbose=told.v)


def report(tables, names, runs, *, verbose):
    ratio = {
        what: np.array([[total(r[n], what) / total(r["reference class"], what) for n in names] for r in runs])
        for what in ("pinball", "interval")
    }
    held = np.array([[total(r[n], "inside") / total(r[n], "n") for n in names] for r in runs])
    rank = ratio["pinball"].argsort(axis=1).argsort(axis=1) + 1
    if verbose:
        print(f"{'pinball / reference':30s}" + "".join(f"{n[:9]:>10s}" for n in names))
        for t, row in zip(tables, ratio["pinball"], strict=True):
            print(f"{t.name[:29]:30s}" + "".join(f"{v:10.3f}" for v in row))
        print()
    print(f"{len(tables)} tables")
    print(f"{'':20s}{'pinball':>9s}{'interval':>9s}{'rank':>7s}{'held':>7s}{'failed':>8s}{'fit s':>8s}")
    for j, n in enumerate(names):
        fails = sum(bool(s["failed"]) for r in runs for s in r[n])
        seconds = np.mean([s["seconds"] for r in runs for s in r[n]])
        gm = [np.exp(np.log(ratio[w][:, j]).mean()) for w in ratio]
        print(
            f"{n:20s}{gm[0]:9.3f}{gm[1]:9.3f}{rank[:, j].mean():7.2f}{held[:, j].mean():7.1%}{fails:8d}{seconds:8.3f}"
        )
    for n in names:
        for why in sorted({s["failed"] for r in runs for s in r[n] if s["failed"]}):
            print(f"  {n}: {why}")


if __name__ == "__main__":
    main()
