"""How honest the track record and its stretch are, on simulated shops whose truth is known.

Run from the top of the project: python tests/studies/study_record.py [SHOPS [FIRST WORD OF A CASE]]
Each shop has 120 boards in four years, each quoted a week before it is worked, and 40 more to come. Prints, by case,
how often ranges held at 5, 8 and 9.5 in 10 as they would have been shown, in how many shops all three lie within what
luck allows, the interval score with the stretch over that without it, and how the boards to come went.
"""

from __future__ import annotations

import datetime as dt
import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping
from studies.shops import SimulatedShop, simulate
from studies.study_ranges import work_of

from estimator.forecast.calibration import stretched
from estimator.forecast.draws import draw_hours
from estimator.model.fit import fit
from estimator.record.backtest.replay import GRID, Forecast, Replay
from estimator.record.backtest.track import stretched_points, track_record
from estimator.record.backtest.track_record import TrackRecord
from estimator.words.records import Log

CASES = {
    "calibrated": {},
    "30 % drift in 4 years": {"drift": math.log(1.3)},
    "Student-t(3) noise": {"student": True},
    "hidden condition in 1 of 8": {"hidden": True},
}
UNDERSTATED = 1.5


def quoted(log: Log) -> Log:
    """The boards, each quoted a week before it was worked."""
    week = dt.timedelta(days=7)
    return replace(
        log, boards=tuple(replace(b, quoted=b.started - week if b.started else None) for b in log.boards)
    )


def hours_of(shop: SimulatedShop) -> dict[str, float]:
    """All hours of each board."""
    took: dict[str, float] = {}
    for entry in shop.log.entries:
        took[entry.board] = took.get(entry.board, 0.0) + entry.hours
    return took


def understated(forecast: Forecast) -> Forecast:
    """The same forecast, said to spread by only two thirds of what it does."""
    points = stretched_points(forecast.hours, GRID, (1 / UNDERSTATED, 1 / UNDERSTATED))
    return replace(forecast, hours=tuple(points.tolist()))


def one(case: dict[str, object], seed: int) -> dict[str, object]:
    """A shop's record, the record had the spread been understated, and how 40 boards to come went."""
    shop = simulate(seed, 120, 40, years=4.0, **case)
    log = quoted(shop.log)
    replay = Replay.of(log, shop.settings, log.boards, seed)
    forecasts = {
        forecast.board: forecast
        for day, boards in replay.groups(replay.boards)
        for forecast in replay.forecasts(day, boards)
    }
    day = (log.last_entry or dt.date.min) + dt.timedelta(days=1)
    took = hours_of(shop)
    record = track_record(log, shop.settings, forecasts, took, today=day, seed=seed)
    narrow = {name: understated(forecast) for name, forecast in forecasts.items()}
    worse = track_record(log, shop.settings, narrow, took, today=day, seed=seed)
    learned = fit(log, shop.settings, seed=seed)
    totals = [
        draw_hours(learned, work_of(shop, j), np.random.default_rng([seed, j]), 4000).total
        for j in range(len(shop.coming))
    ]
    moved = [stretched(t, float(np.median(t)), *record.stretch) for t in totals]
    return {
        "held": [count.held / count.of for count in record.shown.held],
        "within": all(count.within for count in record.shown.held),
        "cost": _ratio(record),
        "gain": _ratio(worse),
        "next": float(np.mean([_inside(t, y) for t, y in zip(moved, shop.hours, strict=True)])),
        "stretch": record.stretch,
    }


def _inside(total: np.ndarray, hours: float) -> bool:
    """Whether so many hours lie in the range at 8 in 10."""
    low, high = np.quantile(total, [0.1, 0.9])
    return bool(low <= hours <= high)


def _ratio(record: TrackRecord) -> float:
    """Interval score with the stretch over that without it."""
    assert record.shown.interval_score is not None
    assert record.raw.interval_score is not None
    return record.shown.interval_score / record.raw.interval_score


def main() -> None:
    """Every case."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    wanted = sys.argv[2] if len(sys.argv) > 2 else ""
    for name, case in CASES.items():
        if not name.startswith(wanted):
            continue
        seen = Parallel(n_jobs=-1)(delayed(one)(case, seed) for seed in range(shops))
        held = np.array([s["held"] for s in seen])
        cost, gain = np.array([s["cost"] for s in seen]), np.array([s["gain"] for s in seen])
        coming = np.array([s["next"] for s in seen])
        factors = np.array([s["stretch"] for s in seen])
        print(
            f"{name}, {shops} shops: held {held[:, 0].mean():.3f} {held[:, 1].mean():.3f} {held[:, 2].mean():.3f}, "
            f"all three within luck in {np.mean([s['within'] for s in seen]):.2f}\n"
            f"  stretch {factors[:, 0].mean():.3f} low, {factors[:, 1].mean():.3f} high; interval score x "
            f"{cost.mean():.4f} on average, x {np.quantile(cost, 0.95):.4f} at worst in 19 of 20 shops; "
            f"where the spread is understated x 1.5: x {gain.mean():.3f}\n"
            f"  records {np.quantile(held[:, 1], 0.05):.2f} to {np.quantile(held[:, 1], 0.95):.2f}; "
            f"the next 40 boards: held {coming.mean():.3f}",
            flush=True,
        )


if __name__ == "__main__":
    with keeping("record", "0 up"):
        main()
