"""How far the quick fit for looking back is from long chains, by how many rows there are to learn from.

Run from the top of the project: python tests/studies/study_quick.py [SHOPS [ROWS ...]]
Takes simulated shops and invented workshops of 60 to 400 rows; forecasts the next boards, before opening, from the
normal approximation and from short chains, as a look back would, and from chains of 4,096 draws. Prints by rows how far
the points at 5 to 95 in 100 are off, on average and at worst, and how the width at 8 in 10 compares.
"""

from __future__ import annotations

import datetime as dt
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping
from studies.shops import simulate

from estimator.demo.workshop import make_shop
from estimator.forecast.draws import draw_hours
from estimator.forecast.views import work_of_board
from estimator.log.history import History
from estimator.model import fit as fitting
from estimator.model.fit import QUICK_DRAWS, fit, fit_quickly, known_board
from estimator.model.saved_fit import SavedFit
from estimator.record.backtest.replay import DRAWS, board_then
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Settings

ROWS = (60, 100, 150, 200, 250, 400)
COMING = 8
PROBS = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
LONG = 4096
A_WEEK = dt.timedelta(days=7)


def cases(shops: int, wanted: Sequence[int]) -> list[tuple[str, int, Log, Settings, tuple[Board, ...]]]:
    """Logs with about so many rows, and the boards that came next."""
    found = []
    for seed in range(shops):
        shop = simulate(seed, 120, 0, years=4.0, most_boards=120)
        dated = tuple(replace(b, quoted=b.started - A_WEEK) for b in shop.log.boards if b.started)
        invented = make_shop(seed + 1)
        for where, log, settings in (
            ("simulated", replace(shop.log, boards=dated), shop.settings),
            ("invented", invented.log, invented.settings),
        ):
            history = History(log, settings)
            quoted = sorted((b for b in log.boards if b.quoted), key=lambda b: b.quoted or dt.date.min)
            for rows in wanted:
                for n, board in enumerate(quoted):
                    day = (board.quoted or dt.date.min) - dt.timedelta(days=1)
                    done = sum(one.done for of_it in history.worked_on(day).values() for one in of_it)
                    if done >= rows:
                        found.append((where, rows, history.on(day), settings, tuple(quoted[n : n + COMING])))
                        break
    return found


def points(learned: SavedFit, board: Board, settings: Settings) -> np.ndarray:
    """Hours of a board at PROBS, as a look back draws them."""
    work, _ = work_of_board(
        learned, known_board(board_then(board)), "before", settings, np.random.default_rng(2), DRAWS
    )
    return np.quantile(draw_hours(learned, work, np.random.default_rng(3), DRAWS).total, PROBS)


def main() -> None:
    """Errors by kind of shop and rows."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 4
    off: dict[tuple[str, int, str], list[np.ndarray]] = {}
    took: dict[str, float] = {"normal": 0.0, "chains": 0.0}
    for where, rows, log, settings, boards in cases(shops, [int(rows) for rows in sys.argv[2:]] or ROWS):
        long = fit(log, settings, n_draws=LONG)
        for way, quick_rows in (("normal", -1), ("chains", 10**9)):
            fitting.QUICK_ROWS = quick_rows
            begun = time.process_time()
            quick = fit_quickly(log, settings).fit
            took[way] += time.process_time() - begun
            assert quick.n_draws == QUICK_DRAWS
            for board in boards:
                true, said = points(long, board, settings), points(quick, board, settings)
                width = np.log(said[5] / said[1]) / np.log(true[5] / true[1])
                off.setdefault((where, rows, way), []).append(np.append(np.log(said / true), width))
    for (where, rows, way), seen in sorted(off.items()):
        errors, widths = np.abs(np.array(seen)[:, :-1]), np.array(seen)[:, -1]
        print(
            f"{where} {rows:4d} rows, {way}: off by {errors.mean():.4f} on average, "
            f"{np.quantile(errors, 0.95):.4f} in 19 of 20, {errors.max():.4f} at worst; "
            f"width x {widths.mean():.3f}, {widths.min():.3f} to {widths.max():.3f}"
        )
    print({way: round(seconds, 1) for way, seconds in took.items()}, "seconds of fits")


if __name__ == "__main__":
    with keeping("quick", "0 up"):
        main()
