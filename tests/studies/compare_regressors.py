"""How `HoursRegressor` does beside other regressions on open tables of times.

Run from the top of the project (pip install -e '.[bench]' brings all peers and tables):

    python tests/studies/compare_regressors.py [--tables K] [--splits S] [--only a,b] [--figure FILE] [-v]

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
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from studies.measuring import OURS, maker, scored
from studies.peers import PEERS
from studies.real_tables import RealTable, real_tables, splits
from studies.regressor_results import MEASURES, Results, draw, say

REFERENCE = "reference class"
KEPT = Path(tempfile.gettempdir()) / "estimator-bench"
LIBRARIES = ("numpy", "scipy", "scikit-learn", "statsmodels", "ngboost", "quantile-forest")


def code_of(name: str) -> bytes:
    """All source and versions that decide what a peer says."""
    files = [ROOT / "tests" / "studies" / f for f in ("measuring.py", "peers.py")]
    if name == OURS:
        files += sorted((ROOT / "estimator" / "regress").rglob("*.py"))
    else:
        files += [ROOT / "estimator" / "record" / "backtest" / "rivals.py"]
    versions = [
        f"{p} {importlib.metadata.version(p)}" for p in LIBRARIES if importlib.util.find_spec(_module(p))
    ]
    return b"\0".join([name.encode(), *(f.read_bytes() for f in files), *(v.encode() for v in versions)])


def _module(package: str) -> str:
    return {"scikit-learn": "sklearn"}.get(package, package.replace("-", "_"))


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
