"""How honest ranges are on shops simulated from the model's own assumptions, against an oracle that knows the truth.

Run from the top of the project: python tests/studies/study_ranges.py [LOGS]
Prints, for each case, the 80 % interval score as a multiple of the oracle's, coverage, and both sides.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping
from studies.shops import NOISE, PACE, STAGES, SimulatedShop, simulate

from estimator.forecast.draws import Work, draw_hours
from estimator.model.fit import fit

CASES = {
    "12 boards": {"n_boards": 12},
    "25 boards": {"n_boards": 25},
    "60 boards": {"n_boards": 60},
    "120 boards": {"n_boards": 120},
    "60 boards, totals only": {"n_boards": 60, "totals_only": True},
    "120 boards, Student-t(3) noise": {"n_boards": 120, "student": True},
    "120 boards, hidden condition in 1 of 8": {"n_boards": 120, "hidden": True},
    "120 boards, 40 % drift in 4 years": {"n_boards": 120, "years": 4.0, "drift": math.log(1.4)},
    "60 boards, 40 % drift in 2 years": {
        "n_boards": 60,
        "years": 2.0,
        "drift": math.log(1.4),
        "most_boards": 60,
    },
}


def work_of(shop: SimulatedShop, j: int) -> Work:
    """The work on one board to come."""
    x = dict(shop.coming[j].assessed)
    on = {s for s, parts in STAGES.items() if any(x[d] > 0 for d in parts if d != "once")}
    return Work(x, {s: np.ones(1, dtype=bool) for s in on}, {}, frozenset())


def oracle(shop: SimulatedShop, j: int, seed: int, n: int = 4000) -> tuple[float, float]:
    """The 10 and 90 % points of a board's hours by one who knows rates, pace and noise."""
    rng = np.random.default_rng([seed, j, 5])
    x = shop.coming[j].assessed
    pace = PACE * rng.standard_normal(n)
    total = np.zeros(n)
    for stage, parts in STAGES.items():
        z = rng.standard_normal(n)
        if any(x[d] > 0 for d in parts if d != "once"):
            median = sum(shop.rates[stage, d] * (1.0 if d == "once" else x[d]) for d in parts)
            total += median * np.exp(pace + NOISE * z)
    low, high = np.quantile(total, [0.1, 0.9])
    return float(low), float(high)


def interval_score(y: np.ndarray, low: np.ndarray, high: np.ndarray) -> float:
    """Winkler (1972): width, plus 2/alpha for each hour outside; alpha = .2."""
    return float(np.mean(high - low + 10 * np.maximum(low - y, 0) + 10 * np.maximum(y - high, 0)))


def one(case: dict, seed: int) -> tuple[float, float, float, float]:
    """Score of ours, score of the oracle, share below, share above."""
    shop = simulate(seed, **case)
    learned = fit(shop.log, shop.settings, seed=seed)
    n = len(shop.coming)
    ours, known = np.empty((n, 2)), np.empty((n, 2))
    for j in range(n):
        total = draw_hours(learned, work_of(shop, j), np.random.default_rng([seed, j]), 4000).total
        ours[j] = np.quantile(total, [0.1, 0.9])
        known[j] = oracle(shop, j, seed)
    y = shop.hours
    return (
        interval_score(y, *ours.T),
        interval_score(y, *known.T),
        float(np.mean(y < ours[:, 0])),
        float(np.mean(y > ours[:, 1])),
    )


def study(case: dict, logs: int, jobs: int = -1) -> dict[str, float]:
    """Means over logs."""
    rows = np.array(Parallel(n_jobs=jobs)(delayed(one)(case, seed) for seed in range(logs)))
    ratio = rows[:, 0].mean() / rows[:, 1].mean()
    return {
        "ratio": ratio,
        "held": 1 - rows[:, 2].mean() - rows[:, 3].mean(),
        "below": rows[:, 2].mean(),
        "above": rows[:, 3].mean(),
    }


def main() -> None:
    """Every case."""
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    only = sys.argv[2] if len(sys.argv) > 2 else ""
    print(f"{'case':42s} {'÷ oracle':>8s} {'held':>6s} {'below':>6s} {'above':>6s}   ({logs} logs)")
    for name, case in CASES.items():
        if only in name:
            r = study(case, logs)
            print(
                f"{name:42s} {r['ratio']:8.3f} {r['held']:6.3f} {r['below']:6.3f} {r['above']:6.3f}",
                flush=True,
            )


if __name__ == "__main__":
    with keeping("ranges", "0 up"):
        main()
