"""Pay of a sort of job against what is wanted, and pay of this year against last: how far off is what is said of it?

Run from the top of the project: python tests/studies/study_pay_levels.py [SORTS [SEED]]
Sorts whose pay an hour lies off what is wanted by a log-sd of .1, .2, .3 or .5, with so many boards of uneven size and
luck of .35. Prints the root mean square error of what is told, on the log scale: as seen, drawn in as changes from year
to year are (.1), and as levels are (.3); how often a sort said to pay too little 9 times in 10 does; and what of the
rise that would truly do is told. Then changes of pay from year to year: how many of those said to be sure 9 times in 10
go that way. Keeps it in results/pay_levels.md.
"""

from __future__ import annotations

import datetime as dt
import math
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.decide.quarter.pay import USUAL_CHANGE, USUAL_LEVEL, Made, below, between, log_pays, shrunk

WANTED, LUCK, SURE = 40.0, 0.35, 0.9
APART, BOARDS = (0.1, 0.2, 0.3, 0.5), (5, 15, 40)
YEARLY = (5, 10, 20)
DAY = dt.date(2026, 8, 3)


def boards(rng: np.random.Generator, pay: float, n: int) -> list[Made]:
    """So many boards of uneven size that pay so much an hour, all their hours together, in the long run."""
    hours = rng.uniform(10, 90, n)
    each = pay * np.exp(LUCK * rng.standard_normal(n) - LUCK**2 / 2)
    rows = zip(hours.tolist(), each.tolist(), strict=True)
    return [Made(str(i), "", "", DAY, h, True, p * h, 0.0) for i, (h, p) in enumerate(rows)]


def levels(sorts: int, seed: int) -> Iterator[str]:
    """One line for each way that sorts differ and each number of boards."""
    for apart in APART:
        for n in BOARDS:
            rng = np.random.default_rng([seed, n, round(100 * apart)])
            true = apart * rng.standard_normal(sorts)
            seen, yearly, level, right = [], [], [], []
            for t in true.tolist():
                group = log_pays({"": boards(rng, WANTED * math.exp(t), n)})[""]
                told = below(group, WANTED)
                assert told is not None
                seen.append(told.raw)
                yearly.append(shrunk(told.raw, math.sqrt(group.square), USUAL_CHANGE).shrunk)
                level.append(told.shrunk)
                if told.raw < 0 and told.how_sure >= SURE:
                    right.append((t < 0, math.expm1(-told.shrunk), math.expm1(-t)))
            off = [float(np.sqrt(np.mean((np.array(one) - true) ** 2))) for one in (seen, yearly, level)]
            sure = np.array(right, dtype=float).reshape(-1, 3)
            told_of = sure[:, 1].mean() / sure[:, 2].mean()
            yield (
                f"sorts {apart:.1f} apart, {n:2d} boards  off as seen {off[0]:.3f}, by .1 {off[1]:.3f}, by "
                f"{USUAL_LEVEL:g} {off[2]:.3f}  said to pay too little {len(sure):4d} of {sorts}, rightly "
                f"{sure[:, 0].mean():.3f}, rise told over the true one {told_of:.2f}"
            )


def changes(sorts: int, seed: int) -> Iterator[str]:
    """One line for each number of boards a year."""
    for n in YEARLY:
        rng = np.random.default_rng([seed, n, 7])
        right = []
        for t in (USUAL_CHANGE * rng.standard_normal(sorts)).tolist():
            logs = log_pays({"now": boards(rng, WANTED * math.exp(t), n), "before": boards(rng, WANTED, n)})
            change = between(logs["now"], logs["before"])
            if change is not None and change.how_sure >= SURE:
                right.append((change.shrunk > 0) == (t > 0))
        yield f"changes, {n:2d} boards a year  said to be sure {len(right):4d} of {sorts}, rightly {np.mean(right):.3f}"


def main(sorts: int = 4000, seed: int = 1) -> None:
    """Prints all lines."""
    for line in (*levels(sorts, seed), *changes(sorts, seed)):
        print(line)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("pay_levels", str(given[1] if len(given) > 1 else 1)):
        main(*given)
