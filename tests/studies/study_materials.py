"""Materials of boards not seen, on invented workshops of other seeds: by what boards were learned from, five ways.

Run from the top of the project: python tests/studies/study_materials.py [SHOPS]
Prints the pinball loss over all chances, as a share of mean materials, and how many in 100 lie in ranges at 8 in 10.
Quantities are taken as found; what is compared is what is made of them.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator import HoursRegressor
from estimator.demo.recipe import Dice
from estimator.demo.stories import draw_money
from estimator.demo.workshop import make_shop
from estimator.forecast.answers import materials_of
from estimator.forecast.draws import Work
from estimator.model.fit import fit_quickly
from estimator.model.materials import amounts_of, costing, learn_materials
from estimator.model.saved_fit import KnownBoard

FIRST_SEED = 301
LEARNED = (0, 3, 5, 8, 12, 25, 60, 100)
BOARDS, N_DRAWS = 60, 4000
CHANCES = np.linspace(0.05, 0.95, 19)


def one(seed: int) -> dict[tuple[int, str], tuple[float, float]]:
    """By boards learned and way: loss and share held."""
    shop = make_shop(seed, coming=BOARDS)
    fitted = fit_quickly(shop.log, shop.settings).fit
    drivers = costing(shop.settings)
    told = [b for b in fitted.boards if b.state == "finished" and b.materials and b.hours]
    told = [b for b in told if all(d in b.turned_out for d in drivers[1:])]
    np.random.default_rng(seed).shuffle(told)
    prices = {b.board: b.price_quoted for b in shop.log.boards}
    jobs = [shop.truth[b.board] for b in shop.coming]
    money = [draw_money(Dice(seed, "study", i), job) for i, job in enumerate(jobs)]
    spent = np.array([m.materials for m in money], dtype=float)
    hours = [sum(job.hours.values()) for job in jobs]
    new = np.array([amounts_of(drivers, job.found) for job in jobs])[:, 1:]
    found = {}
    for n in LEARNED:
        past = told[:n]
        if len(past) < n:
            continue
        known = replace(fitted, boards=tuple(past), materials=None)
        known = replace(known, materials=learn_materials(known, shop.settings))
        ways = {"ours": [], "by the hour": []}
        for job, took in zip(jobs, hours, strict=True):
            for way, values in (("ours", job.found), ("by the hour", {})):
                draws = materials_of(
                    known,
                    KnownBoard(""),
                    Work(values, {}, {}, frozenset()),
                    np.full(N_DRAWS, took),
                    shop.settings,
                    np.random.default_rng([seed, 5]),
                )
                ways[way].append(np.quantile(draws, CHANCES))
        if n >= 5:
            X = np.array([amounts_of(drivers, b.turned_out) for b in past])[:, 1:]
            y = np.array([b.materials for b in past])
            ways["HoursRegressor"] = list(HoursRegressor().fit(X, y).predict_quantiles(new, CHANCES))
            shares = np.array([b.materials / prices[b.board] for b in past if prices[b.board]])
            ways["share of price"] = [m.price * np.quantile(shares, CHANCES) for m in money]
            kinds = [[b.materials for b in past if b.kind == job.kind] for job in jobs]
            ways["middle of the sort"] = [np.quantile(k or list(y), CHANCES) for k in kinds]
        for way, points in ways.items():
            q = np.array(points)
            off = spent[:, None] - q
            loss = 2 * np.maximum(CHANCES * off, (CHANCES - 1) * off).mean() / spent.mean()
            found[n, way] = float(loss), float(((q[:, 1] <= spent) & (spent <= q[:, -2])).mean())
    return found


def main() -> None:
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 8
    rows = defaultdict(list)
    for seed in range(FIRST_SEED, FIRST_SEED + shops):
        for at, scores in one(seed).items():
            rows[at].append(scores)
    print(f"{shops} workshops, {BOARDS} boards each")
    for (n, way), scores in sorted(rows.items()):
        loss, held = np.mean(scores, axis=0)
        print(f"{n:4d} learned  {way:20s} {loss:.3f}  holds {100 * held:.0f} in 100")


if __name__ == "__main__":
    with keeping("materials", "301 up"):
        main()
