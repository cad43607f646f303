"""Day one: ranges from lent rules alone, for the boards of invented workshops, as they turned out.

Run from the top of the project: python tests/studies/study_day_one.py [SHOPS]
Prints how many ranges at 8 in 10 hold, both sides, and how wide they are (high over low).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[2])]

from estimator.demo.workshop import make_shop
from estimator.forecast.answers import answer
from estimator.log.starter import starter_text
from estimator.model.fit import fit
from estimator.words.records import Log
from estimator.words.settings.reader import parse_settings


def day_one(seed: int) -> np.ndarray:
    """Low, high, hours and kind's number of each whole finished board of a shop, ranged from lent rules."""
    settings, problems = parse_settings(starter_text())
    assert not problems
    shop = make_shop(seed)
    rules_alone = fit(Log(), settings)
    whole = {b.board: b for b in fit(shop.log, shop.settings, n_draws=16).boards if b.hours}
    rows = []
    for board in whole.values():
        told = answer(rules_alone, board, settings, view="finished")
        rows.append([told.low, told.high, board.hours, list(settings.kinds).index(board.kind)])
    return np.array(rows)


if __name__ == "__main__":
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    rows = np.concatenate([day_one(seed) for seed in range(1, shops + 1)])
    kinds = list(parse_settings(starter_text())[0].kinds)
    print(
        f"{'kind':10s} {'boards':>6s} {'held':>6s} {'below':>6s} {'above':>6s} {'high÷low: middle, most':>24s}"
    )
    for name, of in [("all", rows), *((k, rows[rows[:, 3] == i]) for i, k in enumerate(kinds))]:
        low, high, took, _ = of.T
        print(
            f"{name:10s} {len(of):6d} {np.mean((low <= took) & (took <= high)):6.3f} {np.mean(took < low):6.3f} "
            f"{np.mean(took > high):6.3f} {np.median(high / low):12.2f} {np.max(high / low):11.2f}"
        )
