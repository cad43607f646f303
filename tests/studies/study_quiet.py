"""Do ready-by days hold, and by how much are they too late, in shops with little work in line?

Run from the top of the project: python tests/studies/study_quiet.py [SHOPS [FIRST_SEED [BOARDS]]]
Invented workshops as they are, with a third of their boards, and with a quarter of their hours for a third of their
boards; the boards on the bench are worked on as they come to hand, or the one taken on first comes first. The first
boards of each are forecast on the day they were taken on, as the program does it, and with the boards left out that
nobody has asked for yet. Prints how often a board was ready by its day at 9 in 10, by its middle day, and by how many
days the day at 9 in 10 lies behind that on which it was ready, at the middle; keeps it in results/quiet.md.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from unittest import mock

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.bench import outlook
from estimator.demo import simulation, stories
from estimator.demo.recipe import Dice
from estimator.demo.workshop import DemoShop, make_shop
from estimator.log.history import History, last_day
from estimator.record.backtest.run import STEPS, DateReplay, dates_then

FIRST_SEED = 9001
FEW = (11, 11, 11, 11)  # boards a year
MAKINGS = {
    "as they are": (None, 1),
    "a third of the boards": (FEW, 1),
    "and a quarter of the hours": (FEW, 4),
}
TURNS = ("as they come to hand", "first taken on first")


def shop_of(seed: int, jobs: tuple[int, ...] | None, part: int, turns: str) -> DemoShop:
    """A shop with so many boards a year and such a part of the hours."""
    by_day, shuffled = stories.quarters_by_day, Dice.shuffled

    def in_turn(dice: Dice, courses: list[simulation.Course]) -> list[simulation.Course]:
        if courses and isinstance(courses[0], simulation.Course):
            return sorted(courses, key=lambda course: course.plan.accepted)
        return shuffled(dice, courses)

    with ExitStack() as patched:
        if jobs is not None:
            patched.enter_context(mock.patch.object(stories, "JOBS_A_YEAR", jobs))
        if part != 1:
            fewer = lambda dice: {day: round(q / part) for day, q in by_day(dice).items()}  # noqa: E731
            patched.enter_context(mock.patch.object(stories, "quarters_by_day", fewer))
        if turns == TURNS[1]:
            patched.enter_context(mock.patch.object(Dice, "shuffled", in_turn))
        shop = make_shop(seed)
    bench = shop.settings.bench
    week = tuple(hours / part for hours in bench.hours_by_weekday)
    return replace(shop, settings=replace(shop.settings, bench=replace(bench, hours_by_weekday=week)))


def boards_of(shop: DemoShop, seed: int, boards: int) -> Iterator[tuple[float, float, float]]:
    """Days until a board was ready, its middle day and that at 9 in 10, of the first boards that are ready."""
    replay = DateReplay.of(History(shop.log, shop.settings), seed)
    taken = [b for b in shop.log.boards if b.accepted is not None and b.state == "finished"]
    taken.sort(key=lambda b: (b.accepted, b.board))
    replay = replace(replay, boards=tuple(taken[:boards]))
    made = [replay.forecasts(*group) for group in replay.groups(replay.boards)]
    thens = dates_then(shop.log, {one.board: one for some in made for one in some})
    assert last_day(shop.log) is not None
    for then in thens:
        if then.days is not None and len(then.points):
            middle, sure = (float(then.points[STEPS.index(p)]) for p in (0.5, 0.9))
            yield float(then.days - then.wished), middle, sure


def main(shops: int = 3, first: int = FIRST_SEED, boards: int = 24) -> None:
    """One line for each making, turn and way of forecasting."""
    for name, (jobs, part) in MAKINGS.items():
        for turns in TURNS:
            for way in ("with boards to come", "without"):
                rows: list[tuple[float, float, float]] = []
                with ExitStack() as patched:
                    if way == "without":
                        patched.enter_context(mock.patch.object(outlook, "comings", return_value=None))
                    for seed in range(first, first + shops):
                        rows += boards_of(shop_of(seed, jobs, part, turns), seed, boards)
                days, middle, sure = np.array(rows).T
                error = (0.9 * 0.1 / len(days)) ** 0.5
                print(
                    f"{name}, {turns}, {way}: {len(days)} boards, ready by 9 in 10 held {np.mean(days <= sure):.3f} "
                    f"± {error:.3f}, by the middle {np.mean(days <= middle):.3f}, days to spare "
                    f"{np.median(sure - days):.0f} of {np.median(days):.0f}",
                    flush=True,
                )


if __name__ == "__main__":
    with keeping("quiet", "as given, else 9001 up"):
        main(*[int(word) for word in sys.argv[1:]])
