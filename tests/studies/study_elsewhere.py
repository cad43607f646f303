"""Whether ranges hold in shops made otherwise than the model believes, from lent rules and from their logs.

Run from the top of the project: python tests/studies/study_elsewhere.py CASE BOARDS SHOPS [FIRST_SEED]
or, all of them, against what is wanted: python tests/studies/study_elsewhere.py all [FIRST_SEED]
or, on day one, with ranges so many times as wide: python tests/studies/study_elsewhere.py widths [FIRST_SEED]
Prints how many ranges at 8 in 10 hold, both sides, the interval score over mean hours, and how far shops differ; what
is measured against what is wanted is kept in results/elsewhere.md. There are so many shops that the standard error
between them is about .012. Day one tells no shop from another, so what holds in each kind of shop hangs on one width:
results/elsewhere_widths.md.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.elsewhere import Makings, OtherShop, other_shop
from studies.results import keeping

from estimator.forecast.draws import draw_hours
from estimator.forecast.views import work_of_board
from estimator.model.fit import fit, known_board

CASES = {
    **{
        f"factor {sd}": Makings(factor_sd=sd, years=y)
        for sd, y in ((0.0, 1.5), (0.2, 1.5), (0.35, 1.5), (0.5, 1.5))
    },
    "slow 1.7": Makings(factor=1.7, years=1.5),
    "pace .15": Makings(pace=0.15),
    "pace .3": Makings(pace=0.3),
    "pace .45": Makings(pace=0.45),
    "heavy": Makings(noise="contaminated"),
    "student": Makings(noise="student"),
    "slower": Makings(level="slower"),
    "regimes": Makings(level="regimes"),
    "month": Makings(level="month"),
    "season": Makings(level="season"),
    "trend": Makings(level="trend", move=0.1),
    "larger": Makings(power=1.25, larger=2.0),
    "larger, straight": Makings(larger=2.0),
    "totals": Makings(totals=True),
    "totals, one rule low": Makings(totals=True, too_low=3.0),
}
DRAWS, KEPT = 4000, 512
FRESH = 30001  # seeds that chose nothing
HALF, FULL = 0.5, 1.0
TIMES = (0.85, 0.9, 0.95, 1.0, 1.05, 1.1)
ON_DAY_ONE = (("factor 0.0", 150), ("pace .45", 150), ("factor 0.35", 400), ("factor 0.5", 600))
WANTED: tuple[tuple[str, int, int, float, float], ...] = (  # case, boards, shops; held at least and at most
    ("factor 0.0", 0, 150, 0.74, 0.92),
    ("factor 0.2", 0, 250, 0.74, 0.92),
    ("factor 0.35", 0, 500, 0.74, 0.92),
    ("factor 0.5", 0, 700, 0.65, 0.92),
    ("slow 1.7", 0, 250, HALF, FULL),
    ("pace .45", 0, 120, 0.76, FULL),
    ("factor 0.0", 3, 100, 0.74, 0.88),
    ("factor 0.2", 3, 120, 0.74, 0.88),
    ("factor 0.35", 3, 120, 0.74, 0.88),
    ("factor 0.5", 3, 120, 0.74, 0.88),
    ("factor 0.0", 8, 80, 0.76, 0.86),
    ("factor 0.2", 8, 80, 0.76, 0.86),
    ("factor 0.35", 8, 80, 0.76, 0.86),
    ("factor 0.5", 8, 80, 0.76, 0.86),
    ("slow 1.7", 8, 80, HALF, FULL),
    ("pace .45", 8, 120, 0.78, FULL),
    ("factor 0.0", 25, 60, 0.77, 0.84),
    ("factor 0.2", 25, 60, 0.77, 0.84),
    ("factor 0.35", 25, 60, 0.77, 0.84),
    ("factor 0.5", 25, 60, 0.77, 0.84),
    ("slow 1.7", 25, 60, HALF, FULL),
    ("slower", 70, 50, 0.77, FULL),
    ("regimes", 70, 70, 0.77, FULL),
    ("month", 70, 70, 0.77, FULL),
    ("trend", 70, 50, 0.77, FULL),
    ("heavy", 60, 70, HALF, FULL),
    ("student", 60, 50, HALF, FULL),
    ("larger", 60, 150, 0.70, FULL),
    ("larger, straight", 60, 80, HALF, FULL),
    ("totals, one rule low", 60, 60, HALF, FULL),
)


def drawn(shop: OtherShop, seed: int, kept: int = KEPT) -> Iterator[tuple[np.ndarray, float]]:
    """Draws of the hours of each board to come, and what it took."""
    learned = fit(shop.log, shop.settings, seed=seed, n_draws=kept)
    for j, (board, hours) in enumerate(zip(shop.coming, shop.hours, strict=True)):
        work, _ = work_of_board(
            learned, known_board(board), "before", shop.settings, np.random.default_rng([seed, j, 2]), DRAWS
        )
        yield draw_hours(learned, work, np.random.default_rng([seed, j]), DRAWS).total, hours


def scored(shop: OtherShop, seed: int, kept: int = KEPT) -> np.ndarray:
    """For each board to come: below, above, interval score and width, over mean hours."""
    rows, mean = [], shop.hours.mean()
    for total, hours in drawn(shop, seed, kept):
        low, high = np.quantile(total, [0.1, 0.9])
        score = high - low + 10 * max(low - hours, 0.0) + 10 * max(hours - high, 0.0)
        rows.append((hours < low, hours > high, score / mean, (high - low) / mean))
    return np.array(rows, dtype=float)


def widths(first: int) -> None:
    """What holds on day one in shops of several kinds, were ranges so many times as wide, on the log scale."""
    print(f"{'times as wide':14s}" + "".join(f"{times:8.2f}" for times in TIMES))
    for case, shops in ON_DAY_ONE:
        held = np.zeros(len(TIMES))
        for seed in range(first, first + shops):
            shop = other_shop(seed, 0, CASES[case])
            for total, hours in drawn(shop, seed):
                low, middle, high = np.log(np.quantile(total, [0.1, 0.5, 0.9]))
                off = np.log(hours) - middle
                held += [(low - middle) * times <= off <= (high - middle) * times for times in TIMES]
        held /= shops * len(shop.hours)
        print(f"{case:14s}" + "".join(f"{part:8.3f}" for part in held))


def study(case: str, boards: int, shops: int, first: int, least: float = HALF, most: float = FULL) -> str:
    """One line of figures; where held lies outside what is wanted, by how much."""
    begun = time.process_time()
    seeds = range(first, first + shops)
    table = np.array([scored(other_shop(seed, boards, CASES[case]), seed).mean(axis=0) for seed in seeds])
    held = 1 - table[:, 0] - table[:, 1]
    below, above, score, width = table.mean(axis=0)
    error = held.std(ddof=1) / np.sqrt(shops)
    missed = max(least - held.mean(), held.mean() - most, 0.0)
    wanted = "" if (least, most) == (HALF, FULL) else f"  wanted {least:.2f} to {most:.2f}"
    return (
        f"{case:22s} {boards:4d} boards {shops:4d} shops  held {held.mean():.3f} ± {error:.3f}  below {below:.3f} above "
        f"{above:.3f}  score {score:.3f} ± {table[:, 2].std(ddof=1) / np.sqrt(shops):.3f}  width {width:.3f}  "
        f"{(time.process_time() - begun) / shops:.2f} s{wanted}"
        + (f", missed by {missed:.3f}" if missed else "")
    )


def against_what_is_wanted(first: int) -> None:
    """Every case, printed as it comes."""
    for case, boards, shops, least, most in WANTED:
        print(study(case, boards, shops, first, least, most))


PARTS = {"all": ("elsewhere", against_what_is_wanted), "widths": ("elsewhere_widths", widths)}


if __name__ == "__main__":
    if sys.argv[1] in PARTS:
        first = int(sys.argv[2]) if len(sys.argv) > 2 else FRESH
        name, run = PARTS[sys.argv[1]]
        with keeping(name, f"{first} up"):
            run(first)
    else:
        case, boards, shops = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
        print(study(case, boards, shops, int(sys.argv[4]) if len(sys.argv) > 4 else 1), flush=True)
