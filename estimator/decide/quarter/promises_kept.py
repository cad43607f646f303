"""Whether what owners were told came true, for the boards of a quarter, and what luck alone would have let hold."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from estimator.bench.outlook import told_dates
from estimator.bench.promises import SURE
from estimator.decide.quarter.pay import Made
from estimator.log.edits import first_tellings, of_dates
from estimator.model.saved_fit import Array
from estimator.record.backtest.track_record import ODDS
from estimator.words.json_form import JsonForm
from estimator.words.records import Log

SPAN = ODDS[1]  # of hours told without odds
LUCK = 0.95  # how often luck keeps to its band


@dataclass(frozen=True, slots=True)
class Kept(JsonForm):
    """How many of what owners were first told came true.

    odds: what each was to hold with, on average; None without any
    band: the fewest and the most that luck alone allows, 19 times in 20, each told with its own odds
    chance: that luck alone lets so few hold; missed: the boards of which it did not, by name
    """

    held: int
    of: int
    odds: float | None
    band: tuple[int, int]
    chance: float
    missed: tuple[str, ...]


def counted(sides: Sequence[tuple[str, bool, float]]) -> Kept:
    """The count of a set of promises: name, whether it held, and its odds.

    >>> kept = counted([("a", True, 0.9), ("b", False, 0.8)])
    >>> kept.held, kept.of, round(kept.chance, 2)
    (1, 2, 0.28)
    """
    held = sum(good for _, good, _ in sides)
    up_to = np.minimum(np.cumsum(so_many([odds for _, _, odds in sides])), 1.0)
    up_to[-1] = 1.0
    fewest, most = np.searchsorted(up_to, [(1 - LUCK) / 2, (1 + LUCK) / 2])
    return Kept(
        held=held,
        of=len(sides),
        odds=math.fsum(odds for _, _, odds in sides) / len(sides) if sides else None,
        band=(int(fewest), int(most)),
        chance=float(up_to[held]),
        missed=tuple(name for name, good, _ in sides if not good),
    )


def so_many(odds: Sequence[float]) -> Array:
    """The chance that 0, 1, 2 ... of promises hold, each by its own odds and all by luck alone, shape (n + 1,).

    The Poisson binomial law, by one promise after another.

    >>> so_many([0.5, 0.5]).tolist()
    [0.25, 0.5, 0.25]
    """
    chances = np.ones(1)
    for one in odds:
        chances = np.convolve(chances, [1 - one, one])
    return chances


def hours_kept(log: Log, made: Sequence[Made]) -> Kept:
    """Whether the hours first told came true; boards of which hours are missing cannot be held against theirs."""
    first = first_tellings(log.told)
    sides = []
    for one in made:
        told = first.get(one.board)
        if told is None or told.hours_low is None or told.hours_high is None or not one.whole:
            continue
        good = told.hours_low <= one.hours <= told.hours_high
        sides.append((one.name, good, told.odds or SPAN))
    return counted(sides)


def dates_kept(log: Log, made: Sequence[Made]) -> Kept:
    """Whether boards were ready no later than the last date of the first telling, which is to hold 9 times in 10.

    Odds that were told with a date alone are that date's own. Boards without a day on which they were ready, or the
    owner fetched them, are left out.
    """
    dates = told_dates(log.told, [log.by_id[one.board] for one in made if one.dated])
    own = _odds_of_dates(log)
    return counted(
        [
            (one.name, one.ended <= dates[one.board].first_last, own.get(one.board, SURE))
            for one in made
            if one.board in dates
        ]
    )


def _odds_of_dates(log: Log) -> Mapping[str, float]:
    """By board the odds that a date was first told with, where they were told with no hours beside it."""
    first = first_tellings(log.told, of_dates)
    return {board: told.odds for board, told in first.items() if told.odds and told.hours_high is None}
