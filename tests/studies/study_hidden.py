"""Hidden work: do ranges before opening hold in shops that nobody's model made, by how lightly hidden work is taken?

Run from the top of the project: python tests/studies/study_hidden.py [SHOPS [FIRST_SEED [PAST]]]
Shops of `making.hidden_work` with so many boards in the log and twenty to come, of which few, some or many hide work.
Prints how many ranges at 8 in 10 hold, both sides, the mean standard normal point at which boards land (above 0: they
take more than said), the interval score over mean hours and CRPS over hours; as the program is, and with a board on
which nothing was hidden counting for other numbers of boards. Keeps it in results/hidden.md.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from scipy.special import ndtri

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from making.hidden_work import hiding_shop
from studies.results import keeping

from estimator.forecast import surprises
from estimator.forecast.views import drawn_board
from estimator.model.fit import fit, known_board

FIRST_SEED, COMING, DRAWS = 6001, 20, 2000
SHARES = {"few hide work": -0.1, "some": 0.1, "many": 0.3}
HANDS = (surprises.LIGHT_HAND, 10.0, 5.0, 2.0)


def crps(hours: float, draws: np.ndarray) -> float:
    """Continuous ranked probability score of draws (Gneiting & Raftery 2007, eq. 21)."""
    n = len(draws)
    return float(
        np.abs(draws - hours).mean() - ((2 * np.arange(1, n + 1) - n - 1) * np.sort(draws)).sum() / n**2
    )


def scored(seed: int, past: int, share: float) -> np.ndarray:
    """By hand and board: below, above, point, interval score over mean hours, CRPS over hours."""
    settings, log, coming, took = hiding_shop(seed, past, COMING, share)
    learned, rows = fit(log, settings, seed=seed, n_draws=256), []
    for hand in HANDS:
        surprises.LIGHT_HAND = hand
        for j, (board, hours) in enumerate(zip(coming, took, strict=True)):
            _, drawn, _ = drawn_board(
                learned, known_board(board), "before", settings, seed=seed + 1000 * j, n_draws=DRAWS
            )
            low, high = np.quantile(drawn.total, [0.1, 0.9])
            score = high - low + 10 * max(low - hours, 0.0) + 10 * max(hours - high, 0.0)
            point = ndtri(((drawn.total < hours).sum() + 0.5) / (DRAWS + 1))
            rows.append(
                (hours < low, hours > high, point, score / np.mean(took), crps(hours, drawn.total) / hours)
            )
    surprises.LIGHT_HAND = HANDS[0]
    return np.array(rows, dtype=float).reshape(len(HANDS), COMING, -1)


def main(shops: int = 60, first: int = FIRST_SEED, past: int = 40) -> None:
    """Prints one line for each sort of shop and hand."""
    print(f"{shops} shops, {past} boards in the log, {COMING} to come; ± between shops")
    for name, share in SHARES.items():
        table = np.array([scored(seed, past, share) for seed in range(first, first + shops)]).mean(axis=2)
        for i, hand in enumerate(HANDS):
            below, above, point, score, loss = table[:, i].mean(axis=0)
            held = 1 - table[:, i, 0] - table[:, i, 1]
            print(
                f"{name:14s} nothing hidden counts for {hand:4.0f}  held {held.mean():.3f} ± "
                f"{held.std(ddof=1) / shops**0.5:.3f}  below {below:.3f} above {above:.3f}  point {point:+.3f}  score "
                f"{score:.3f}  CRPS {loss:.4f}"
            )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("hidden", f"{given[1] if len(given) > 1 else FIRST_SEED} up"):
        main(*given)
