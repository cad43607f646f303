"""How `HoursRegressor` does beside other regressions on open tables of times.

Run from the top of the project (pip install -e '.[bench]' brings all peers and tables):

    python tests/bench/compare_regressors.py [--tables K] [--splits S] [--only a,b] [--figure FILE] [-v]

Each peer learns from 10 to 60 rows of a table and is judged on others, or on what came next. Printed for each is the
geometric mean over tables of its pinball loss (the 5, 10 .. 95 % points) and of its 80 % interval score (R. L.
Winkler 1972, J. Am. Stat. Assoc. 67:187-191), both as multiples of those of the reference class; its mean ranks;
how many in 100 its 8-in-10 ranges hold; how often it failed, and then took the reference class's points; and how long
a fit takes. What has been worked out is kept in the folder for temporary files, by the code and data that it came from.
"""

from __future__ import annotations

import os

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")  # the tables run side by side instead

import argparse
import hashlib
import importlib.metadata
import importlib.util
import json
import sys
import tempfile
import time
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed
from scipy.stats import rankdata

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from bench.peers import PEERS, ReferenceClass
from bench.real_tables import RealTable, real_tables, splits

OURS, REFERENCE = "ours", "reference class"
MEASURES = ("pinball", "interval")
PROBS = np.linspace(0.05, 0.95, 19)
LOW, HIGH = 1, 17  # places of the 10 and 90 % points
KEPT = Path(tempfile.gettempdir()) / "estimator-bench"
LIBRARIES = ("numpy", "scipy", "scikit-learn", "statsmodels", "ngboost", "quantile-forest")


class Ours:
    """`HoursRegressor` as a peer; whatever it says is taken as it is."""

    needs = ""

    def fit(self, X, y):
        from estimator import HoursRegressor

        self.model = HoursRegressor(random_state=0).fit(X, y)
        return self

    def quantiles(self, X, probs):
        return np.asarray(self.model.predict_quantiles(X, probs))


@dataclass(frozen=True)
class Results:
    """What was measured, by table (rows) and peer (columns)."""

    tables: Sequence[str]
    peers: Sequence[str]
    scores: dict[str, np.ndarray]  # by measure, as multiples of the reference class
    held: np.ndarray
    seconds: np.ndarray
    failed: dict[str, list[str]]  # by peer, why

    def geometric_means(self, measure: str) -> np.ndarray:
        return np.exp(np.log(self.scores[measure]).mean(axis=0))

    def mean_ranks(self, measure: str) -> np.ndarray:
        return rankdata(self.scores[measure], axis=1).mean(axis=0)

    def luck(self, measure: str, draws: int = 4000) -> tuple[str, np.ndarray]:
        """The best peer, and ours over it: the geometric mean, then 5 and 95 % points of drawing tables anew."""
        means = dict(zip(self.peers, self.geometric_means(measure), strict=True))
        best = min((p for p in self.peers if p != OURS), key=means.__getitem__)
        columns = self.scores[measure][:, [self.peers.index(OURS), self.peers.index(best)]]
        logs = np.log(columns[:, 0] / columns[:, 1])
        drawn = np.random.default_rng(0).choice(logs, (draws, len(logs))).mean(axis=1)
        return best, np.exp([logs.mean(), *np.quantile(drawn, [0.05, 0.95])])


def maker(name: str):
    return Ours if name == OURS else PEERS[name]


def code_of(name: str) -> bytes:
    """All source and versions that decide what a peer says."""
    bench, record = Path(__file__).parent, ROOT / "estimator" / "record"
    files = [bench / "compare_regressors.py", bench / "peers.py"]
    if name == OURS:
        files += sorted((ROOT / "estimator" / "regress").rglob("*.py"))
    else:
        files += [record / "least_squares.py", record / "gamma_regression.py"]
    own = [f.read_bytes() for f in files[1:]] + [_measuring(files[0])]
    versions = [
        f"{p} {importlib.metadata.version(p)}" for p in LIBRARIES if importlib.util.find_spec(_module(p))
    ]
    return b"\0".join([*own, name.encode(), *(v.encode() for v in versions)])


def _measuring(file: Path) -> bytes:
    """The part of this file that decides what is measured, so that words and pictures can change freely."""
    text = file.read_text(encoding="utf-8")
    settings, measures = text.index("OURS, REFERENCE ="), text.index("def scored(")
    return (text[settings : text.index("@dataclass")] + text[measures : text.index("def one_table(")]).encode()


def _module(package: str) -> str:
    return {"scikit-learn": "sklearn"}.get(package, package.replace("-", "_"))


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


def one_table(table: RealTable, code: dict[str, bytes], n_splits: int, seed: int) -> dict[str, list[dict]]:
    """By peer what `scored` says of each split; taken from the folder of kept results where it is known."""
    X, found = table.X.to_numpy(float), {name: [] for name in code}
    for learn, test in splits(table, n_splits, seed):
        data = X[learn], table.y[learn], X[test], table.y[test]
        about = b"".join(np.ascontiguousarray(a).tobytes() for a in data) + repr(X.shape).encode()
        for name, source in code.items():
            key = hashlib.sha256(about + source).hexdigest()[:32]
            file = KEPT / name.replace(" ", "_") / f"{key}.json"
            if not file.exists():
                file.parent.mkdir(parents=True, exist_ok=True)
                part = file.with_suffix(f".{os.getpid()}")
                part.write_text(json.dumps(scored(name, *data)), encoding="utf-8")
                part.replace(file)
            found[name].append(json.loads(file.read_text(encoding="utf-8")))
    return found


def compare(
    tables: Sequence[RealTable], peers: Sequence[str], *, n_splits: int, seed: int = 0, jobs: int = 2
) -> Results:
    """All peers on all tables; the reference class must be one of them."""
    code = {name: code_of(name) for name in peers}
    runs = Parallel(n_jobs=jobs)(delayed(one_table)(table, code, n_splits, seed) for table in tables)

    def sums(what: str) -> np.ndarray:
        return np.array(
            [[sum(split[what] for split in run[name]) for name in peers] for run in runs], dtype=float
        )

    at = list(peers).index(REFERENCE)
    return Results(
        [table.name for table in tables],
        list(peers),
        {m: sums(m) / sums(m)[:, [at]] for m in MEASURES},
        sums("inside") / sums("n"),
        sums("seconds") / n_splits,
        {name: [s["failed"] for run in runs for s in run[name] if s["failed"]] for name in peers},
    )


def say(found: Results, *, each: bool) -> None:
    """Prints it."""
    if each:
        for measure in MEASURES:
            print(f"{measure + ' / reference class':30s}" + "".join(f"{p[:9]:>10s}" for p in found.peers))
            for name, row in zip(found.tables, found.scores[measure], strict=True):
                print(f"{name[:29]:30s}" + "".join(f"{v:10.3f}" for v in row))
            print()
    means = {m: found.geometric_means(m) for m in MEASURES}
    ranks = {m: found.mean_ranks(m) for m in MEASURES}
    print(f"{len(found.tables)} tables           pinball  rank  interval  rank   held  failed   fit, s")
    for j in np.argsort(means["pinball"]):
        print(
            f"{found.peers[j]:20s}{means['pinball'][j]:7.3f}{ranks['pinball'][j]:6.2f}{means['interval'][j]:10.3f}"
            f"{ranks['interval'][j]:6.2f}{found.held[:, j].mean():7.1%}{len(found.failed[found.peers[j]]):8d}"
            f"{found.seconds[:, j].mean():9.3f}"
        )
    for name, reasons in found.failed.items():
        for why in sorted(set(reasons)):
            print(f"  {name} failed {reasons.count(why)} times: {why}")
    if OURS in found.peers and len(found.peers) > 1:
        for measure in MEASURES:
            best, (ratio, low, high) = found.luck(measure)
            print(
                f"ours / {best}, {measure}: {ratio:.3f}, {low:.3f} to {high:.3f} in 9 of 10 draws of tables"
            )


def draw(found: Results, path: Path) -> None:
    """Saves a dot for each peer's two means."""
    from estimator.sheets.style import (
        BROKEN,
        FIRM,
        ON_PAPER,
        THIN,
        letters_px,
        points,
        save_titled,
        width_px,
        write,
    )

    wide, step = 640.0, 30.0
    size, means = letters_px(wide), {m: found.geometric_means(m) for m in MEASURES}
    order = np.argsort(-means["pinball"])
    room = max(width_px(p, size) for p in found.peers) / (wide - 24) * 1.15
    high = max(1.05, *(float(means[m].max()) for m in MEASURES))
    low = 0.9 * min(float(means[m].min()) for m in MEASURES)

    def fill(axes) -> None:
        axes.set_axis_off()
        axes.set_xlim(low - room / (1 - room) * (high - low), high)
        axes.set_ylim(-1.6, len(order) - 0.3)
        axes.plot([1, 1], [-0.6, len(order) - 0.4], color=ON_PAPER.pencil, lw=points(THIN), ls=BROKEN)
        for row, j in enumerate(order):
            ours = found.peers[j] == OURS
            write(
                axes,
                (low - 0.01, row),
                found.peers[j],
                size,
                colour=ON_PAPER.ink,
                bold=ours,
                across="right",
                down="center",
            )
            ends = means["pinball"][j], means["interval"][j]
            axes.plot(ends, [row, row], color=ON_PAPER.pencil, lw=points(THIN))
            for x, face in zip(ends, (ON_PAPER.ink, ON_PAPER.paper), strict=True):
                axes.plot(x, row, "o", ms=points(9), mfc=face, mec=ON_PAPER.ink, mew=points(FIRM))
        for tick in np.arange(np.ceil(low * 10), np.floor(high * 10) + 1) / 10:
            write(axes, (tick, -1.3), f"{tick:.1f}", size, colour=ON_PAPER.pencil)

    save_titled(
        path,
        fill,
        title="Loss beside the reference class; open: 8-in-10 ranges",
        says=f"Mean losses of {len(order)} regressions over {len(found.tables)} tables beside the reference class",
        wide_px=wide,
        body_px=step * (len(order) + 1.3),
    )


def chosen(words: str) -> list[str]:
    """Peers by name, or by how their names begin; those whose package is missing are left out with a word."""
    names: list[str] = []
    for word in words.split(",") if words else [OURS, *PEERS]:
        fits = [n for n in (OURS, *PEERS) if n.lower().startswith(word.strip().lower())]
        if not fits:
            sys.exit(f"there is no peer {word!r}; there are {', '.join((OURS, *PEERS))}")
        names += [n for n in fits if n not in names]
    names += [REFERENCE] * (REFERENCE not in names)
    for name in list(names):
        needs = "estimator.regress" if name == OURS else maker(name).needs
        if needs and importlib.util.find_spec(needs) is None:
            print(
                f"{name} is left out: {needs} is not installed (pip install -e '.[bench]')", file=sys.stderr
            )
            names.remove(name)
    return names


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--tables", type=int, help="only so many tables, spread over the list")
    ask.add_argument("--splits", type=int, default=8, help="splits of each table (8)")
    ask.add_argument("--seed", type=int, default=0, help="of the splits (0)")
    ask.add_argument("--only", default="", help="peers by how their names begin, with commas; ours is one")
    ask.add_argument("--jobs", type=int, default=2, help="processes (2)")
    ask.add_argument("--figure", type=Path, help="a chart of the two means, .svg or .png")
    ask.add_argument("-v", action="store_true", help="all tables")
    told = ask.parse_args()
    tables = real_tables()
    if told.tables:
        tables = [
            tables[i] for i in np.unique(np.linspace(0, len(tables) - 1, told.tables).round().astype(int))
        ]
    found = compare(tables, chosen(told.only), n_splits=told.splits, seed=told.seed, jobs=told.jobs)
    say(found, each=told.v)
    if told.figure:
        draw(found, told.figure)


if __name__ == "__main__":
    main()
