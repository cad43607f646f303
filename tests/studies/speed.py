"""How long a fit and a range take, as ratios in one run.

Run from the top of the project: python tests/studies/speed.py
Prints the fit of the invented workshop, fits of 1,000 to 10,000 boards with time, memory and growth, and a whole
`range` process on a kept fit against importing NumPy and pandas.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from studies.shops import simulate

from estimator.demo.workshop import make_shop, write_demo
from estimator.model.fit import fit

LARGE = (1000, 3000, 10_000)


def timed(what: Callable[[], object], repeats: int = 1) -> float:
    """The least seconds of so many runs."""
    best = float("inf")
    for _ in range(repeats):
        begun = time.perf_counter()
        what()
        best = min(best, time.perf_counter() - begun)
    return best


def process(*words: str, folder: Path) -> float:
    """The least seconds of five whole processes."""
    command = [sys.executable, *words]
    return timed(lambda: subprocess.run(command, cwd=folder, check=True, capture_output=True), 5)


def invented() -> None:
    """The fit of the invented workshop, and ranges from it."""
    shop = make_shop()
    seconds = timed(lambda: fit(shop.log, shop.settings), 3)
    print(f"fit of the invented workshop ({len(shop.log.boards)} boards): {seconds:.2f} s (wanted: 1)")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_demo(folder / "demo")
        board = next(b.board for b in shop.log.boards if b.state == "waiting")
        words = ("-m", "estimator", "range", board, "--shop", str(folder / "demo"))
        process(*words, folder=ROOT)  # fits, and keeps the fit
        ours = process(*words, folder=ROOT)
        plain = process("-c", "import numpy, pandas", folder=ROOT)
        print(
            f"range on a kept fit: {ours:.2f} s, importing numpy and pandas: {plain:.2f} s, ratio {ours / plain:.2f}"
        )


def large() -> None:
    """Fits of many boards: time, growth, and the largest memory of the process."""
    before = 0.0
    for n in LARGE:
        shop = simulate(1, n, most_boards=n, n_coming=0, years=4.0)
        seconds = timed(lambda shop=shop: fit(shop.log, shop.settings))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
        grown = f", {seconds / before:.1f} times the last" if before else ""
        print(
            f"fit of {n:6,d} boards: {seconds:5.1f} s{grown}, {memory:.2f} GiB at most (wanted: 30 s, 1 GiB)"
        )
        before = seconds


if __name__ == "__main__":
    invented()
    large()
