"""Hours of the week: do ready dates hold where the settings say more hours than are worked?

Run from the top of the project: python tests/studies/study_weeks.py [SHOPS [FIRST_SEED]]
Invented workshops whose settings say the week as it was worked, or 1.3 times as many hours; boards are forecast on the
day they were taken on, by the calendar alone and as the program does it (by the log, once enough weeks tell). Prints
how often boards were ready sooner than their range at 8 in 10, in it and later, and keeps it in results/weeks.md.
Ranges are as drawn, before any stretch.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.bench.calendar import AUTO
from estimator.demo.workshop import make_shop
from estimator.log.history import History, last_day
from estimator.record.backtest.run import DateReplay, dates_then

FIRST_SEED = 8001
TIMES = (1.0, 1.3)  # hours of the week in the settings over those worked
ODDS, PLAIN = 0.8, (1.0, 1.0)
CALENDAR = "calendar"


def sides(seed: int, times: float, by: str, boards: int) -> list[tuple[int, float]]:
    """Of a shop's newest boards: -1 sooner than the range, 0 in it, 1 later; and the days from its low to its high."""
    shop = make_shop(seed)
    bench = shop.settings.bench
    week = tuple(times * hours for hours in bench.hours_by_weekday)
    bench = replace(
        bench,
        hours_by_weekday=week,
        hours_from=by,
        most_hours_a_day_on_one_board=times * bench.most_hours_a_day_on_one_board,
    )
    replay = DateReplay.of(History(shop.log, replace(shop.settings, bench=bench)), seed)
    replay = replace(replay, boards=replay.boards[-boards:])
    made = [replay.forecasts(*group) for group in replay.groups(replay.boards)]
    thens = dates_then(shop.log, {one.board: one for some in made for one in some})
    day = last_day(shop.log)
    assert day is not None
    over = [then for then in thens if then.over <= day]
    found = [(then.side(ODDS, day, PLAIN), then.range(ODDS, PLAIN)) for then in over]
    return [(side, high - low) for side, (low, high) in found if side is not None]


def main(shops: int = 4, first: int = FIRST_SEED, boards: int = 60) -> None:
    """Prints one line for each week and way."""
    for times in TIMES:
        for by in (CALENDAR, AUTO):
            by_shop = [sides(seed, times, by, boards) for seed in range(first, first + shops)]
            some = np.array([one for found in by_shop for one in found])
            held = [np.mean([side == 0 for side, _ in found]) for found in by_shop]
            error = np.std(held, ddof=1) / np.sqrt(shops)
            sooner, inside, later = ((some[:, 0] == side).mean() for side in (-1, 0, 1))
            print(
                f"settings {times:.1f} times the hours, by {by:9s} {len(some):4d} boards of {shops} shops  sooner "
                f"{sooner:.3f}  in the range {inside:.3f} ± {error:.3f}  later {later:.3f}  days wide "
                f"{some[:, 1].mean():.0f}"
            )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("weeks", f"{given[1] if len(given) > 1 else FIRST_SEED} up"):
        main(*given)
