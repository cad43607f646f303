"""How often the running mean of a quarter gives a false alarm, and how soon a true one, on simulated shops.

Run from the top of the project: python tests/studies/study_control.py [SHOPS [FIRST WORD OF A CASE]]
Each shop has 120 boards in four years. A false alarm is a stretch of boards on which the mean lies outside its limits,
in a shop in which nothing has changed. Prints how many there were in four years, with what scores the boards landed,
and how many boards it took where all hours from the ninetieth board on came to 1.3 times as many.
"""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping
from studies.shops import simulate
from studies.study_record import CASES, hours_of, quoted

from estimator.decide.quarter.control_chart import mean_limit, weighted_means
from estimator.record.backtest.replay import Replay
from estimator.record.backtest.track import track_record

CHANGED_FROM, CHANGED_BY = 90, 1.3


def scores_of(case: dict[str, object], seed: int) -> tuple[list[float], list[float]]:
    """The scores of a shop's boards in the order of finish, and where hours change and forecasts do not know it yet."""
    shop = simulate(seed, 120, 0, years=4.0, **case)
    found = []
    for changed in (False, True):
        log = quoted(shop.log)
        if changed:
            late = {board.board for board in log.boards[CHANGED_FROM:]}
            log = replace(
                log,
                entries=tuple(
                    replace(e, hours=e.hours * CHANGED_BY) if e.board in late else e for e in log.entries
                ),
            )
        replay = Replay.of(log, shop.settings, log.boards, seed)
        forecasts = {
            forecast.board: forecast
            for day, boards in replay.groups(replay.boards)
            for forecast in replay.forecasts(day, boards)
        }
        day = (log.last_entry or dt.date.min) + dt.timedelta(days=1)
        took = hours_of(replace(shop, log=log))
        record = track_record(log, shop.settings, forecasts, took, today=day, seed=seed)
        found.append([score for _, _, score in record.landed])
    return found[0], found[1]


def alarms(scores: list[float]) -> tuple[int, int]:
    """How often the mean left its limits, and on how many boards it lay outside."""
    beyond = np.abs(weighted_means(scores)) > mean_limit()
    return int(beyond[0]) + int((beyond[1:] & ~beyond[:-1]).sum()), int(beyond.sum())


def until(scores: list[float]) -> float:
    """How many boards after the change the mean first lay above its upper limit; the boards left where it never did."""
    line = weighted_means(scores)[CHANGED_FROM:]
    above = np.flatnonzero(line > mean_limit())
    return float(above[0] + 1) if above.size else float("nan")


def main() -> None:
    """Every case."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    wanted = sys.argv[2] if len(sys.argv) > 2 else ""
    for name, case in CASES.items():
        if not name.startswith(wanted):
            continue
        seen = Parallel(n_jobs=-1)(delayed(scores_of)(case, seed) for seed in range(shops))
        same = [alarms(scores) for scores, _ in seen]
        apart = [float(np.corrcoef(scores[:-1], scores[1:])[0, 1]) for scores, _ in seen]
        took = np.array([until(scores) for _, scores in seen])
        spread = np.mean([np.std(scores) for scores, _ in seen])
        print(
            f"{name}, {shops} shops: {np.mean([n for n, _ in same]):.2f} false alarms in four years of 30 boards, "
            f"none in {np.mean([n == 0 for n, _ in same]):.2f} of shops; scores spread {spread:.3f}, neighbours "
            f"correlate {np.mean(apart):+.3f}\n"
            f"  hours x {CHANGED_BY}: told in {np.mean(np.isfinite(took)):.2f} of shops within 30 boards, "
            f"after {np.nanmedian(took):.0f} boards (middle)",
            flush=True,
        )


if __name__ == "__main__":
    with keeping("control", "0 up"):
        main()
