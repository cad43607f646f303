"""How honest ready dates are, on invented shops: each board taken on, forecast from what was known on that day.

Run from the top of the project: python tests/studies/study_dates.py [SHOPS [FIRST SEED [FILE]]]
Goes through one shop after the other, as slowly as `record` does for the first time, and adds the forecasts of each to
FILE as soon as they are there: a study that was cut off goes on where it was, and one of as many shops as FILE holds
is read from it at once. Without FILE nothing is kept.

Prints by shop, for all boards and by sort of job how often boards were ready sooner than their range at 8 in 10, in it
and later, and the mean log of the days they took over the likeliest (above 0: later). Boards are judged once the last
of their forecast days is over, ready or not. Then what a stretch of dates makes of the same ranges, learned from what was
over when each board was taken on, by how many boards "no stretch" counts for: of the forecasts as they are, and where
these are said too tight, too wide or too early. The interval score (in days, the less the better) is a multiple of that
without a stretch.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.demo.workshop import make_shop
from estimator.forecast.calibration import stretched_days
from estimator.log.history import History, last_day
from estimator.model.saved_fit import Array
from estimator.record.backtest.replay import Forecast, forecasts_from_json, forecasts_to_json
from estimator.record.backtest.run import STEPS, WEIGHT, DateReplay, DatesThen, dates_then, landed_of
from estimator.record.backtest.scores import interval_score
from estimator.words.records import Log

Shop = tuple[Log, dict[str, Forecast]]
ODDS, PLAIN = 0.8, (1.0, 1.0)
WEIGHTS = (15.0, 30.0, WEIGHT, 120.0)
SAID: dict[str, Callable[[Array], Array]] = {
    "as they are": lambda days: days,
    "said at .6 of their width": lambda days: stretched_days(days, days[STEPS.index(0.5)], 0.6, 0.6),
    "said at 1.4 of their width": lambda days: stretched_days(days, days[STEPS.index(0.5)], 1.4, 1.4),
    "said a fifth too early": lambda days: np.ceil(0.8 * days),
}


def shops_of(seeds: Sequence[int], file: Path | None) -> Iterator[tuple[int, Shop]]:
    """Each shop's log and forecasts by board; those in the file as they are, the others made and added to it."""
    known = {}
    if file is not None and file.exists():
        for line in file.read_text("utf-8").splitlines():
            kept = json.loads(line)
            known[kept["seed"]] = forecasts_from_json(json.dumps(kept["forecasts"]))
    for seed in seeds:
        shop = make_shop(seed)
        if seed not in known:
            replay = DateReplay.of(History(shop.log, shop.settings))
            made = [replay.forecasts(*group) for group in replay.groups(replay.boards)]
            known[seed] = {forecast.board: forecast for some in made for forecast in some}
            if file is not None:
                text = json.dumps({"seed": seed, "forecasts": json.loads(forecasts_to_json(known[seed]))})
                with file.open("a", encoding="utf-8") as end:
                    end.write(f"{text}\n")
        yield seed, (shop.log, known[seed])


def judged(
    shop: Shop, said: Callable[[Array], Array] = SAID["as they are"]
) -> tuple[list[DatesThen], dt.date]:
    """The boards of a shop, forecast as one says it, and the last day of its log."""
    log, forecasts = shop
    moved = {
        name: replace(one, hours=tuple(said(np.array(one.hours)).tolist()))
        for name, one in forecasts.items()
        if one.hours
    }
    return dates_then(log, moved), last_day(log) or dt.date.max


def line(name: str, thens: Sequence[DatesThen], day: dt.date) -> str:
    """How some boards went, in one line."""
    if not thens:
        return f"{name}: no boards"
    sides = np.array([then.side(ODDS, day, PLAIN) for then in thens], dtype=float)
    sooner, inside, later = ((sides == side).mean() for side in (-1, 0, 1))
    logs = [np.log((t.days + 1) / (t.points[STEPS.index(0.5)] + 1)) for t in thens if t.days is not None]
    return (
        f"{name}: {len(thens)} boards, sooner {sooner:.3f}, in the range {inside:.3f}, "
        f"later {later:.3f}, bias {np.mean(logs):+.3f}"
    )


def stretches(name: str, shops: Sequence[Shop]) -> Iterator[str]:
    """What a stretch of each weight makes of the ranges of all shops."""
    scores: dict[float, list[float]] = defaultdict(list)
    sides: dict[float, list[int]] = defaultdict(list)
    for shop in shops:
        thens, day = judged(shop, SAID[name])
        landed = landed_of(thens)
        for then in (one for one in thens if one.over <= day and one.days is not None):
            for weight in (0.0, *WEIGHTS):
                factors = then.factors(landed, weight) if weight else PLAIN
                low, high = then.range(ODDS, factors)
                scores[weight].append(float(interval_score(low, high, then.days, ODDS)))
                sides[weight].append(then.side(ODDS, day, factors) or 0)
    for weight, seen in sides.items():
        sooner, inside, later = ((np.array(seen) == side).mean() for side in (-1, 0, 1))
        said = f"weight {weight:g}" if weight else "no stretch"
        times = np.mean(scores[weight]) / np.mean(scores[0.0])
        yield (
            f"{name}, {said}: sooner {sooner:.3f}, in the range {inside:.3f}, later {later:.3f}, score {times:.4f}"
        )


def main() -> None:
    """Every shop, then all boards together, then the stretch."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    file = Path(sys.argv[3]) if len(sys.argv) > 3 else None
    by_kind, whole, some, until = defaultdict(list), [], [], dt.date.min
    for seed, shop in shops_of(range(first, first + shops), file):
        thens, day = judged(shop)
        over = [then for then in thens if then.over <= day]
        print(line(f"shop {seed}", over, day), flush=True)
        whole.append(shop)
        some += over
        until = max(until, day)
        for then in over:
            by_kind[then.board.kind].append(then)
    print(line("all", some, until))
    for kind, thens in sorted(by_kind.items()):
        print(line(kind or "no sort", thens, until))
    for name in SAID:
        for said in stretches(name, whole):
            print(said)


if __name__ == "__main__":
    with keeping("dates", "as given, else 0 up"):
        main()
