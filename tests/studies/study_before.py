"""Boards forecast before opening: invented workshops of other seeds, so many boards learned, the next forty forecast.

Run from the top of the project: python tests/studies/study_before.py [SHOPS [LEARNED [FIRST_SEED]]]
Prints how many ranges at 8 in 10 hold, both sides, interval score and CRPS over hours, with surprises and without,
how wide the three views are, and how far shops differ; keeps it in results/before.md.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from unittest import mock

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.demo.workshop import make_shop
from estimator.forecast import views
from estimator.forecast.draws import draw_hours
from estimator.model.fit import fit
from estimator.words.records import ON_BENCH

N_DRAWS = 4000
FIRST_SEED = 201
VIEWS = ("before", "no surprises", "opened", "finished")


def crps(hours: float, draws: np.ndarray) -> float:
    """Continuous ranked probability score of draws (Gneiting & Raftery 2007, eq. 21)."""
    n = len(draws)
    return float(
        np.abs(draws - hours).mean() - ((2 * np.arange(1, n + 1) - n - 1) * np.sort(draws)).sum() / n**2
    )


def one(seed: int, learned: int) -> list[list[float]]:
    """For each board forecast and each view: CRPS, below, above, interval score and width, over its hours."""
    shop = make_shop(seed)
    truth = {b.board: b for b in fit(shop.log, shop.settings, n_draws=16).boards}
    ended = sorted((b for b in shop.log.boards if b.finished and b.ready), key=lambda b: b.ready)
    day = ended[learned - 1].ready
    known = tuple(
        replace(b, state=ON_BENCH, found={}, total_hours=None) if b.ready and b.ready > day else b
        for b in shop.log.boards
        if (b.quoted or b.asked or day) <= day
    )
    names = {b.board for b in known}
    log = replace(
        shop.log,
        boards=known,
        entries=tuple(e for e in shop.log.entries if e.last <= day and e.board in names),
    )
    told = fit(log, shop.settings, as_of=day, seed=seed)
    rows = []
    for board in [b for b in ended[learned:] if truth[b.board].hours and (b.quoted or b.asked) > day][:40]:
        row: list[float] = []
        for view in VIEWS:
            drawn = (
                mock.patch.object(views, "surprised", return_value={})
                if view == "no surprises"
                else mock.MagicMock()
            )
            with drawn:
                of = "before" if view == "no surprises" else view
                work, _ = views.work_of_board(
                    told, truth[board.board], of, shop.settings, np.random.default_rng([seed, 2]), N_DRAWS
                )
            hours = truth[board.board].hours
            total = draw_hours(told, work, np.random.default_rng([seed, 3]), N_DRAWS).total
            low, high = np.quantile(total, [0.1, 0.9])
            score = high - low + 10 * max(low - hours, 0.0) + 10 * max(hours - high, 0.0)
            row += [
                crps(hours, total) / hours,
                hours < low,
                hours > high,
                score / hours,
                (high - low) / hours,
            ]
        rows.append(row)
    return rows


def main(shops: int = 20, learned: int = 80, first: int = FIRST_SEED) -> None:
    """Prints one line for each view."""
    found = Parallel(n_jobs=-1)(delayed(one)(seed, learned) for seed in range(first, first + shops))
    table = np.array([row for rows in found for row in rows]).reshape(-1, len(VIEWS), 5)
    by_shop = np.array([np.mean(rows, axis=0) for rows in found if rows]).reshape(-1, len(VIEWS), 5)
    print(f"{len(table)} boards of {shops} shops, {learned} learned; ± between shops")
    print(
        f"{'view':14s} {'CRPS÷h':>7s} {'held':>6s} {'±':>6s} {'below':>6s} {'above':>6s} {'score÷h':>8s} {'width÷h':>8s}"
    )
    for i, view in enumerate(VIEWS):
        c, below, above, score, width = table[:, i].mean(axis=0)
        error = (by_shop[:, i, 1] + by_shop[:, i, 2]).std(ddof=1) / len(by_shop) ** 0.5
        print(
            f"{view:14s} {c:7.4f} {1 - below - above:6.3f} {error:6.3f} {below:6.3f} {above:6.3f} {score:8.3f} {width:8.3f}"
        )
    change = table[:, 0, 0] - table[:, 1, 0]
    print(
        f"CRPS with surprises less without: {change.mean():.5f}, standard error {change.std() / len(change) ** 0.5:.5f}"
    )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    first = given[2] if len(given) > 2 else FIRST_SEED
    with keeping("before", f"{first} up"):
        main(*given)
