"""How far what is foretold of twenty boards more is from what comes when they are written.

Run from the top of the project: python tests/studies/study_more_boards.py [SHOPS [FIRST_SEED]]
Invented shops of several makings, each with its rules of thumb: from so many boards of the log it is foretold how near
a usual job will be told with twenty more; then the twenty that the shop really did next are written, and the same job
is asked again. Prints how near it is told before, what was foretold and what came, in hours, and the ratio of the two
on the log scale: its mean over shops, with the standard error, its spread from shop to shop, and how often what was
foretold was within a fifth of what came. Kept in results/more_boards.md.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.elsewhere import Makings, other_shop
from studies.results import keeping
from studies.shops import simulate

from estimator.model.fit import fit
from estimator.record.more_boards import DRAWS, MORE, half_width, how_near, usual_job
from estimator.words.records import Log
from estimator.words.settings.schema import Kind, Settings

FIRST_SEED = 41001
BOARDS = (10, 20)  # in the log when it is foretold
MOST = max(BOARDS) + MORE
FIFTH = 1.2
KIND = "usual"


@dataclass(frozen=True)
class Diary:
    """A shop's settings with one sort of job, and its boards in order of time."""

    settings: Settings
    log: Log


def own(seed: int, **made: float | bool) -> Diary:
    """A shop as the model believes shops to be."""
    shop = simulate(seed, MOST, 1, years=2.0, **made)
    return _of_one_sort(shop.settings, shop.log)


def other(seed: int, made: Makings) -> Diary:
    """A shop made otherwise."""
    shop = other_shop(seed, MOST, made, 1)
    return _of_one_sort(shop.settings, shop.log)


MAKINGS: dict[str, Callable[[int], Diary]] = {
    "as believed": own,
    "as believed, totals": lambda seed: own(seed, totals_only=True),
    "as believed, slower by a quarter": lambda seed: own(seed, drift=0.22),
    "elsewhere": lambda seed: other(seed, Makings(totals=True)),
    "elsewhere, hours by stage": lambda seed: other(seed, Makings()),
    "elsewhere, a factor of its own": lambda seed: other(seed, Makings(totals=True, factor_sd=0.35)),
    "elsewhere, boards much alike": lambda seed: other(seed, Makings(totals=True, pace=0.1, luck=0.2)),
    "elsewhere, boards far apart": lambda seed: other(seed, Makings(totals=True, pace=0.45)),
    "elsewhere, now and then a bad one": lambda seed: other(seed, Makings(totals=True, noise="contaminated")),
    "elsewhere, a rule three times too low": lambda seed: other(seed, Makings(totals=True, too_low=3.0)),
}


def _of_one_sort(settings: Settings, log: Log) -> Diary:
    """The shop with every board of one sort, which usually has what its boards have in the middle."""
    usual = {}
    for name in settings.drivers:
        amounts = [board.assessed[name] for board in log.boards]
        low, high = np.quantile(np.array(amounts, dtype=float), (0.1, 0.9))
        usual[name] = (float(low), float(high))
    boards = tuple(replace(board, kind=KIND, found=board.found or board.assessed) for board in log.boards)
    kinds = {KIND: Kind(KIND, usual=usual)}
    return Diary(replace(settings, kinds=kinds), replace(log, boards=boards))


def first_of(log: Log, many: int) -> Log:
    """The log with its first boards alone."""
    boards = log.boards[:many]
    names = {board.board for board in boards}
    return replace(log, boards=boards, entries=tuple(one for one in log.entries if one.board in names))


def foretold_and_came(shop: Diary, many: int, seed: int) -> tuple[float, float, float]:
    """How near a usual job is told by so many boards, by twenty more as foretold, and by the twenty that came."""
    log, settings = first_of(shop.log, many), shop.settings
    near = how_near(log, settings, settings.rules, seed=seed)
    assert near.within is not None
    assert near.then is not None
    now = fit(log, settings, seed=seed, rules=settings.rules, n_draws=DRAWS)
    usual = usual_job(now, log.boards, settings, seed)
    assert usual is not None
    more = fit(first_of(shop.log, many + MORE), settings, seed=seed, rules=settings.rules, n_draws=DRAWS)
    return near.within, near.then, half_width(more, usual[1], settings, seed)


def line(name: str, many: int, found: Iterable[tuple[float, float, float]]) -> str:
    """One line of figures."""
    before, foretold, came = np.array(list(found)).T
    ratio = np.log(foretold / came)
    error = ratio.std(ddof=1) / np.sqrt(len(ratio))
    near = (np.abs(ratio) <= np.log(FIFTH)).mean()
    return (
        f"{name:38s} {many:3d} boards {len(ratio):4d} shops  told to within {before.mean():5.1f}  foretold "
        f"{foretold.mean():5.1f}  came {came.mean():5.1f}  log ratio {ratio.mean():+.3f} ± {error:.3f}, from shop to "
        f"shop {ratio.std(ddof=1):.3f}  within a fifth {near:.2f}  nearer by {1 - np.exp(-np.log(before / came).mean()):.2f}"
    )


def main(shops: int = 4, first: int = FIRST_SEED) -> None:
    """One line for each making and number of boards, then all of them together."""
    begun, whole = time.process_time(), dict[int, list[tuple[float, float, float]]]()
    for number, (name, make) in enumerate(MAKINGS.items()):
        seeds = range(first + number * shops, first + (number + 1) * shops)
        made: Sequence[Diary] = [make(seed) for seed in seeds]
        for many in BOARDS:
            found = [foretold_and_came(shop, many, seed) for shop, seed in zip(made, seeds, strict=True)]
            whole.setdefault(many, []).extend(found)
            print(line(name, many, found))
    for many, found in whole.items():
        print(line("all", many, found))
    print(f"{time.process_time() - begun:.0f} s of one core")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("more_boards", f"{given[1] if len(given) > 1 else FIRST_SEED} up"):
        main(*given)
