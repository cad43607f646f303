"""How the restorer's own guesses went, on finished boards: the guess written before, and the hours that it took."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from estimator.record.scores import clopper_pearson, luck_band
from estimator.record.track_record import ENOUGH, Calibration
from estimator.words.records import Board

ODDS = 0.8  # what a guessed low and high are taken to promise
QUARTER = 0.25  # of the guess: a board within it came out about as guessed
FEWEST = 5  # guesses below which nothing is usual, and equal ones may be chance
HALF_HOUR = 0.5  # hours in the step to which a copied guess equals the board's
HAIR = 1e-9  # hours, for sums of thirds of an hour

COMMON_FINDING = (0.9, 0.6, 0.7)
"""Experts' ranges that are to hold the first share of times hold from the second to the third, in software work.

Source: M. Jørgensen, K. H. Teigen & K. Moløkken (2004), Better sure than safe? Over-confidence in judgement based
software development effort prediction intervals, J. Systems & Software 70:79-93. That such ranges are much too
narrow stands in its abstract; the two shares are from memory.
"""


def calibration_of(boards: Sequence[Board], hours: Mapping[str, float | None]) -> Calibration:
    """How the restorer's own guesses went, on the boards of which all hours are known.

    boards: of the log; hours: by board all that it took, of finished boards of which none are missing

    A guess that was remembered afterwards, or that has no quote date, is left out and counted. The usual ratio and
    its 10 and 90 % need five guesses, `too_narrow` eight ranges; both are quantiles that the next board stays under
    as often as they say (k-th of n: k/(n + 1)), as far as so few can tell.

    Source: ours; for quantiles, Weibull's positions: Hyndman & Fan (1996), Am. Stat. 50:361-365, type 6.

    >>> import datetime as dt
    >>> day = dt.date(2026, 3, 2)
    >>> boards = [Board(str(n), quoted=day, guess_low=20, guess_high=20, state="finished") for n in range(5)]
    >>> found = calibration_of(boards, {"0": 18, "1": 22, "2": 24, "3": 26, "4": 30})
    >>> found.of, round(found.usual, 9), found.within
    (5, 1.2, 3)
    """
    over = [b for b in boards if b.finished and b.guess and hours.get(b.board)]
    before = [b for b in over if not b.from_memory]
    judged = [b for b in before if b.quoted is not None]
    rows = [(b.guess, b.guess_low, b.guess_high, hours[b.board], b.total_grain or 0) for b in judged]
    guess, low, high, took, grain = np.array(rows, dtype=float).reshape(-1, 5).T
    ratio = np.log(took / guess)
    usual: list[float | None] = [None, None, None]
    if len(judged) >= FEWEST:
        usual = np.exp(np.quantile(ratio, [0.1, 0.5, 0.9], method="weibull")).tolist()

    ranged = high > low
    n = int(ranged.sum())
    held = int((ranged & (low - HAIR <= took) & (took <= high + HAIR)).sum())
    off = np.abs(ratio[ranged]) / np.log(high[ranged] / guess[ranged])  # in half widths, on the log scale

    # a guess of 3 days may well equal 3 days
    equal = ~ranged & (np.abs(took - guess) <= HALF_HOUR / 2 + HAIR) & (grain <= HALF_HOUR)
    copied = int(equal.sum())
    return Calibration(
        of=len(judged),
        usual=usual[1],
        low=usual[0],
        high=usual[2],
        within=int((np.abs(took - guess) <= QUARTER * guess + HAIR).sum()),
        ranges=n,
        held=held,
        band=luck_band(n, ODDS) if n else None,
        truly=clopper_pearson(held, n) if n else None,
        too_narrow=float(np.quantile(off, ODDS, method="weibull")) if n >= ENOUGH else None,
        copied=copied,
        suspicious=copied >= FEWEST and 2 * copied > len(judged),
        from_memory=len(over) - len(before),
        undated=len(before) - len(judged),
    )
