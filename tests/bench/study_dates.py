"""How honest ready dates are, on invented shops: each board taken on, forecast from what was known on that day.

Run from the top of the project: python tests/bench/study_dates.py [SHOPS [FIRST SEED]]
Prints how often boards were ready sooner than their range at 8 in 10, in it and later, and the mean log of the days
they took over the likeliest (above 0: later), by shop, for all boards and by sort of job.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[2])]

from estimator.log.demo import make_shop
from estimator.record.replay_dates import STEPS, DateReplay

Went = tuple[
    str, int, float
]  # sort of job; -1 sooner, 0 in the range, 1 later; log of days over the likeliest
LOW, LIKELY, HIGH = (STEPS.index(p) for p in (0.1, 0.5, 0.9))


def one(seed: int) -> list[Went]:
    """How each board of a shop went."""
    shop = make_shop(seed)
    replay = DateReplay.of(shop.log, shop.settings)
    went: list[Went] = []
    for day, boards in replay.groups(replay.boards):
        for forecast, board in zip(replay.forecasts(day, boards), boards, strict=True):
            if not forecast.hours or board.ready is None or board.accepted is None:
                continue
            days = (board.ready - board.accepted).days
            low, likely, high = (forecast.hours[i] for i in (LOW, LIKELY, HIGH))
            side = -1 if days < low else int(days > high)
            went.append((board.kind, side, float(np.log((days + 1) / (likely + 1)))))
    return went


def line(name: str, went: Sequence[Went]) -> str:
    """How some boards went, in one line."""
    if not went:
        return f"{name}: no boards"
    sides = np.array([side for _, side, _ in went])
    sooner, inside, later = ((sides == side).mean() for side in (-1, 0, 1))
    bias = np.mean([far for *_, far in went])
    return (
        f"{name}: {len(went)} boards, sooner {sooner:.3f}, in the range {inside:.3f}, "
        f"later {later:.3f}, bias {bias:+.3f}"
    )


def main() -> None:
    """Every shop, then all boards together."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    seeds = range(first, first + shops)
    by_shop = Parallel(n_jobs=-1)(delayed(one)(seed) for seed in seeds)
    by_kind = defaultdict(list)
    for seed, went in zip(seeds, by_shop, strict=True):
        print(line(f"shop {seed}", went))
        for board in went:
            by_kind[board[0]].append(board)
    print(line("all", [board for went in by_shop for board in went]))
    for kind, went in sorted(by_kind.items()):
        print(line(kind or "no sort", went))


if __name__ == "__main__":
    main()
