"""Do the ready-by days of a shop's first boards hold, and what do they hang on?

Run from the top of the project: python tests/studies/study_quiet.py [SHOPS [FIRST_SEED [BOARDS]]]
Invented workshops as they are, with a third of their boards, and with waits that differ from the lent rules only as
shops do (by log-sd .3; answers and artwork by .6), where the invented ones all dry, harden and wait alike, and longer.
The first boards of each, and of the first making as many from the sixtieth on, are forecast on the day they were taken
on: as the program does it, and where waits are as invented also without boards that nobody has asked for yet, and with
foam that is as wet as it looks unless hidden work was drawn with it. Prints how often a board was ready by its day at 9 in 10, by its middle day, and
sooner than 9 in 10, the mean log of the days it took over its middle ones (above 0: later), the pinball score at five
chances, in days, and how many days lie between 1 in 10 and 9 in 10; keeps it in results/quiet.md.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.bench import outlook
from estimator.demo import simulation, stories
from estimator.demo.workshop import DemoShop, make_shop
from estimator.forecast import surprises
from estimator.log.history import History
from estimator.record.backtest.run import STEPS, DateReplay, dates_then

FIRST_SEED = 9201
FEW = (11, 11, 11, 11)  # boards a year
MAKINGS = ("as they are", "a third of the boards", "waits as lent", "a third, waits as lent")
WAYS = ("as it is", "none to come", "as wet as it looks")
LATER = 60  # the first of the later boards
POINTS = (0.1, 0.25, 0.5, 0.75, 0.9)


def lent_waits(seed: int) -> dict[str, Any]:
    """The recipe's waits with the middles and spreads of the lent ranges, moved by what a shop has of its own."""
    foam, gloss, owner, artwork = np.exp(np.random.default_rng([seed, 31]).normal(0, (0.3, 0.3, 0.6, 0.6)))
    a_night = {*simulation.A_NIGHT_AFTER, *simulation.TWO_NIGHTS}
    return {
        "DRYING": ((0.0, 0.0), (8.9 * foam, 0.45), (25.1 * foam, 0.45), (62.0 * foam, 0.45)),
        "WATER_ADDS": (0.01, 0.1),  # the class alone says how long
        "HARDENING_AT_LEAST": 0.0,
        "HARDENING": (5.5 * gloss, 0.47),
        "ANSWER": (3.7 * owner, 1.03),
        "ARTWORK": (6.3 * artwork, 0.9),
        "_nights": lambda stage, *_: int(stage in a_night),
    }


def shop_of(seed: int, making: str) -> DemoShop:
    """A shop of a making; where its waits are as lent, its own rule on them, which is wrong, is left out."""
    lent = making.endswith("waits as lent")
    with ExitStack() as patched:
        if making.startswith("a third"):
            patched.enter_context(mock.patch.object(stories, "JOBS_A_YEAR", FEW))
        if lent:
            patched.enter_context(mock.patch.multiple(simulation, **lent_waits(seed)))
        shop = make_shop(seed)
    rules = tuple(rule for rule in shop.settings.rules if not (lent and rule.own and rule.form == "wait"))
    return replace(shop, settings=replace(shop.settings, rules=rules))


def boards_of(shop: DemoShop, seed: int, first: int, boards: int) -> Iterator[list[float]]:
    """Days until a board was ready, and those forecast at the chances of POINTS."""
    taken = [b for b in shop.log.boards if b.accepted is not None and b.state == "finished"]
    taken.sort(key=lambda b: (b.accepted, b.board))
    replay = DateReplay.of(History(shop.log, shop.settings), seed)
    replay = replace(replay, boards=tuple(taken[first : first + boards]))
    made = [replay.forecasts(*group) for group in replay.groups(replay.boards)]
    for then in dates_then(shop.log, {one.board: one for some in made for one in some}):
        if then.days is not None and len(then.points):
            yield [float(then.days), *(float(then.points[STEPS.index(p)]) for p in POINTS)]


def line(rows: list[list[float]]) -> str:
    """How boards went."""
    days, *points = np.array(rows).T
    low, middle, sure = points[0], points[2], points[4]
    loss = [np.maximum(p * (days - q), (p - 1) * (days - q)) for p, q in zip(POINTS, points, strict=True)]
    return (
        f"{len(days)} boards, by 9 in 10 {np.mean(days <= sure):.3f}, by the middle {np.mean(days <= middle):.3f}, "
        f"sooner than 9 in 10 {np.mean(days < low):.3f}, bias {np.mean(np.log((days + 1) / (middle + 1))):+.3f}, "
        f"score {np.mean(loss):.2f}, days wide {np.mean(sure - low):.0f}"
    )


def main(shops: int = 3, first: int = FIRST_SEED, boards: int = 24) -> None:
    """One line for each making, way of forecasting, and first or later boards."""
    for making in MAKINGS:
        starts = (0, LATER) if making == MAKINGS[0] else (0,)
        for way in WAYS[:1] if making.endswith("as lent") else WAYS:
            with ExitStack() as patched:
                if way == "none to come":
                    patched.enter_context(mock.patch.object(outlook, "comings", return_value=None))
                if way == "as wet as it looks":
                    patched.enter_context(mock.patch.object(surprises, "_grades_more", return_value=0.0))
                for start in starts:
                    rows: list[list[float]] = []
                    for seed in range(first, first + shops):
                        rows += boards_of(shop_of(seed, making), seed, start, boards)
                    print(f"{making}, {way}, from board {start}: {line(rows)}", flush=True)


if __name__ == "__main__":
    with keeping("quiet", f"{sys.argv[2] if len(sys.argv) > 2 else FIRST_SEED} up"):
        main(*[int(word) for word in sys.argv[1:]])
