"""How often a driver of overruns is named, by what it carries; and how often one that carries nothing is.

Run from the top of the project: python tests/studies/study_power.py [LOGS [SEED]]
Logs of 30, 60 and 120 boards with a driver for every ten boards. One of them carries 5, 10, 20 or 40 in 100 of the
variance of overruns, through the guess, through luck, or through all three parts; the others nothing. Hidden work is
seldom and large. Prints how often it is named as the program does it (Holm over all drivers and parts, standard errors
that hold for uneven spread), on the whole overrun alone, and on all parts at once (Hotelling's T², Holm over drivers);
how often any other is; and what the program says it could have found. Keeps it in results/power.md.
"""

from __future__ import annotations

import gc
import math
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import f as f_law
from statsmodels.stats.multitest import multipletests

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.decide.overruns.variance_shares import NAMED, could_find, slopes

Array = NDArray[np.float64]
BOARDS, SHARES = (30, 60, 120), (0.05, 0.1, 0.2, 0.4)
THROUGH = {"the guess": (1.0, 0.0, 0.0), "luck": (0.0, 0.0, 1.0), "all parts": (0.4, 0.3, 0.3)}
WAYS = ("as named", "overrun alone", "all parts at once")


def made(rng: np.random.Generator, n: int, share: float, through: Sequence[float]) -> tuple[Array, Array]:
    """Drivers, (n, n/10), of which the first carries so much, and the three parts of overruns, (n, 3)."""
    x = rng.poisson(1.2, (n, n // 10)).astype(float)
    parts = np.column_stack(
        [
            0.18 * rng.standard_normal(n),
            0.25 * rng.exponential(1, n) * (rng.random(n) < 0.3),
            0.18 * rng.standard_normal(n),
        ]
    )
    variance = 2 * 0.18**2 + 0.25**2 * (2 * 0.3 - 0.3**2)
    effect = math.sqrt(share / (1 - share) * variance / 1.2)
    return x, parts + effect * x[:, :1] * np.array(through)


def at_once(x: Array, parts: Array) -> Array:
    """p of each driver by all parts together (Hotelling 1931; Rencher & Christensen 2012, ch. 10), Holm's."""
    n, k = x.shape
    m = parts.shape[1]
    design = np.column_stack([np.ones(n), x])
    back = np.linalg.inv(design.T @ design)
    slope = back @ design.T @ parts
    left = parts - design @ slope
    freedom = n - k - 1
    within = np.linalg.inv(left.T @ left / freedom)
    t2 = np.einsum("ij,jl,il->i", slope[1:], within, slope[1:]) / np.diag(back)[1:]
    p = f_law.sf(t2 * (freedom - m + 1) / (m * freedom), m, freedom - m + 1)
    return np.asarray(multipletests(p, method="holm")[1])


def named(x: Array, parts: Array) -> list[Array]:
    """For each way which drivers are named, (n_drivers,)."""
    whole = parts.sum(axis=1, keepdims=True)
    every = slopes(x, np.column_stack([whole, parts])).p_adjusted
    alone = slopes(x, whole).p_adjusted
    return [(every < NAMED).any(axis=1), (alone < NAMED).any(axis=1), at_once(x, parts) < NAMED]


def main(logs: int = 300, seed: int = 1) -> None:
    """Prints one line for each number of boards, share and place."""
    gc.freeze()  # the library collects garbage at every adjustment: what is loaded need not be looked through again
    for n in BOARDS:
        for share in (0.0, *SHARES):
            for where, through in THROUGH.items():
                if not share and where != "all parts":
                    continue
                rng = np.random.default_rng([seed, n, round(100 * share), len(where)])
                found = np.array([named(*made(rng, n, share, through)) for _ in range(logs)])
                right = found[:, :, 0].mean(axis=0)
                wrong = found[:, :, 1 if share else 0 :].any(axis=2).mean(axis=0)
                print(
                    f"{n:3d} boards, {share:.2f} through {where:9s}  named "
                    + ", ".join(f"{way} {part:.2f}" for way, part in zip(WAYS, right, strict=True))
                    + "  any wrongly "
                    + ", ".join(f"{part:.3f}" for part in wrong)
                )
        print(f"{n:3d} boards: says it could have found {could_find(n, n // 10, 4):.2f}, 8 times in 10")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("power", str(given[1] if len(given) > 1 else 1)):
        main(*given)
