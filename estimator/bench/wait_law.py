"""How long a board may stand: draws of a lognormal law that past cases, lent ranges and rules of thumb tell."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from estimator.forecast.normal import chance_below, point_at
from estimator.model.saved_fit import Array

N_DRAWS = 1000
GRADES_APART = 0.2  # log-sd of one grade's middle about what all grades share [invented]
SPREAD_UNSURE = 0.4  # log-sd of the spread about the one that the lent range has [invented]
NARROWEST = 0.1  # log-sd of days
SEEN_WRONG = 0.05  # how often hours left mean something else than that nothing was ready, by odds [measured]
FREEDOM = 3.0  # of the Student-t by which a rule may be plainly wrong
LEAST_CHANCE = 1e-7
FARTHEST = 5.0  # sd: a board that stands for longer than any law allows goes on from there
POINTS, SPREADS, SHIFTS = 121, 21, 121


@dataclass(frozen=True)
class WaitLaw:
    """Days that a board stands, so that what comes next may begin so many days later, rounded up.

    log_median, log_sd: (n_draws,), draws of what the log and the rules leave open; a log median of minus
    infinity is no wait. cases: how many times that a board stood it rests on
    """

    log_median: Array
    log_sd: Array
    cases: int = 0

    def draw(self, rng: np.random.Generator, n: int) -> Array:
        """So many draws of days, (n,): the luck of one board in each.

        Draw i uses the law's own draw i, so that boards which stand by the same law share what is not known of it.
        """
        i = np.arange(n) % len(self.log_median)
        days: Array = np.exp(self.log_median[i] + self.log_sd[i] * rng.standard_normal(n))
        return days

    def draw_given(self, so_far: float, rng: np.random.Generator, n: int) -> Array:
        """So many draws of the days still to come, (n,), of a board that is known to have stood so long and not done.

        so_far: days; law draws under which it would hardly have stood so long count for less. Above 0 for certain,
        unless there is no wait at all.

        >>> law = WaitLaw(np.log([20.0]), np.array([0.4]))
        >>> left = law.draw_given(25.0, np.random.default_rng(1), 1000)
        >>> bool(left.min() > 0), int(np.median(left))
        (True, 5)
        """
        waits = np.isfinite(self.log_median)
        if so_far <= 0 or not waits.any():
            return self.draw(rng, n)
        median, sd = self.log_median[waits], np.maximum(self.log_sd[waits], 1e-3)
        start = np.minimum((np.log(so_far) - median) / sd, FARTHEST)
        lasts = chance_below(-start)
        pick = rng.choice(len(median), n, p=lasts / lasts.sum())
        z = -point_at(lasts[pick] * (1 - rng.random(n)))
        days: Array = so_far * np.expm1(sd[pick] * np.maximum(z - start[pick], 1e-9))
        return days


def no_wait(n_draws: int = N_DRAWS) -> WaitLaw:
    """The law of a board that does not stand.

    >>> no_wait().draw(np.random.default_rng(0), 2).tolist()
    [0.0, 0.0]
    """
    return WaitLaw(np.full(n_draws, -np.inf), np.zeros(n_draws))


@dataclass(frozen=True)
class Lent:
    """What is held of days before any are seen. centre: their log median; spread: their log-sd."""

    centre: float
    spread: float

    @classmethod
    def between(cls, low: float, high: float) -> Lent:
        """A range at 8 in 10; a low end of 0 is taken as a tenth of the high one.

        >>> lent = Lent.between(5, 16)
        >>> round(math.exp(lent.centre), 1), round(lent.spread, 2)
        (8.9, 0.45)
        """
        low = max(low, high / 10)
        z = NormalDist().inv_cdf(0.9)
        return cls((math.log(low) + math.log(high)) / 2, math.log(high / low) / (2 * z))


@dataclass(frozen=True)
class Said:
    """A rule of thumb on the days. centre: the log median that it says; sd: how unsure that is.

    grades: places of the laws that it speaks of, all at once
    """

    centre: float
    sd: float
    grades: tuple[int, ...]


@dataclass(frozen=True)
class Seen:
    """Times that boards stood by one law, each (n,): more than `over` days and at most `most`, infinite where it
    stands still. sure: False where it is only gathered from hours that nobody booked.
    """

    over: Array
    most: Array
    sure: Array

    @classmethod
    def of(cls, cases: Sequence[tuple[float, float, bool]]) -> Seen:
        """From (over, most, sure), case by case."""
        over, most, sure = np.array(cases, dtype=float).reshape(len(cases), 3).T
        return cls(over, most, sure)


def learn(
    lent: Sequence[Lent],
    seen: Sequence[Seen],
    said: Sequence[Said] = (),
    *,
    shops_apart: float,
    rng: np.random.Generator,
    n_draws: int = N_DRAWS,
) -> list[WaitLaw]:
    """The laws of waits that differ by grade, one for each lent range.

    The log median of a grade is its lent one, a shift that all grades share (normal with log-sd `shops_apart`), and
    its own (normal). Rules of thumb speak of the shift through the mean of their grades, as a Student-t. The
    posterior stands on a grid: shift, then middle and spread of each grade, whose cases are censored to whole days.
    """
    reach = max([4 * shops_apart, *(abs(_offset(a, b)) + 1 for a, b in zip(lent, seen, strict=True))])
    shifts = np.linspace(-reach, reach, SHIFTS)
    chance = -0.5 * (shifts / shops_apart) ** 2
    for rule in said:
        middle = float(np.mean([lent[g].centre for g in rule.grades]))
        sd = np.hypot(rule.sd, GRADES_APART / len(rule.grades) ** 0.5)
        chance = chance - (FREEDOM + 1) / 2 * np.log1p(((rule.centre - middle - shifts) / sd) ** 2 / FREEDOM)
    grids = [_Grid.of(a, b, shifts, reach) for a, b in zip(lent, seen, strict=True)]
    chance = chance + sum((grid.evidence for grid in grids), np.zeros(SHIFTS))
    shift = _drawn(np.broadcast_to(_normed(chance, axis=0), (n_draws, SHIFTS)), rng)
    return [grid.law(shift, rng, len(cases.over)) for grid, cases in zip(grids, seen, strict=True)]


def _offset(lent: Lent, seen: Seen) -> float:
    """How far the middle of the cases lies from the lent one, in logs."""
    if not len(seen.over):
        return 0.0
    middle = np.where(np.isfinite(seen.most), (np.maximum(seen.over, 0) + seen.most) / 2, seen.over + 1)
    return float(np.median(np.log(np.maximum(middle, 0.1)))) - lent.centre


@dataclass(frozen=True)
class _Grid:
    """The posterior of one grade's middle and spread on a grid.

    middles (POINTS,), spreads (SPREADS,); table (POINTS, SPREADS): log density of cases and spread
    given (POINTS, SHIFTS): log density of the middle for each shift; evidence (SHIFTS,)
    """

    middles: Array
    log_spreads: Array
    table: Array
    given: Array
    evidence: Array

    @classmethod
    def of(cls, lent: Lent, seen: Seen, shifts: Array, reach: float) -> _Grid:
        """The grid about a lent range, wide enough for every shift."""
        middles = lent.centre + np.linspace(-reach - 0.5, reach + 0.5, POINTS)
        usual = np.log(max(lent.spread, NARROWEST))
        log_spreads = usual + SPREAD_UNSURE * np.linspace(-3, 3, SPREADS)
        table = -0.5 * ((log_spreads - usual) / SPREAD_UNSURE) ** 2 + np.zeros((POINTS, 1))
        below = {
            bound: chance_below((np.log(bound) - middles[:, None]) / np.exp(log_spreads))
            for bound in {*seen.over.tolist(), *seen.most.tolist()} - {0.0, np.inf}
        } | {0.0: 0.0, np.inf: 1.0}
        for (over, most, sure), times in Counter(
            zip(seen.over.tolist(), seen.most.tolist(), seen.sure.tolist(), strict=True)
        ).items():
            wrong = 0.0 if sure else SEEN_WRONG * below[over]
            table = table + times * np.log(np.maximum(below[most] - below[over] + wrong, LEAST_CHANCE))
        of_middle = np.logaddexp.reduce(table, axis=1)[:, None]
        about = (middles[:, None] - lent.centre - shifts) / GRADES_APART
        given = of_middle - 0.5 * about**2
        return cls(middles, log_spreads, table, given, np.logaddexp.reduce(given, axis=0))

    def law(self, shift: NDArray[np.intp], rng: np.random.Generator, cases: int) -> WaitLaw:
        """Draws of middle and spread, for draws of the shift by its place; spread evenly within a cell."""
        i = _drawn(_normed(self.given, axis=0).T[shift], rng)
        j = _drawn(_normed(self.table, axis=1)[i], rng)
        within = rng.random((2, len(shift))) - 0.5
        return WaitLaw(
            self.middles[i] + within[0] * (self.middles[1] - self.middles[0]),
            np.exp(self.log_spreads[j] + within[1] * (self.log_spreads[1] - self.log_spreads[0])),
            cases,
        )


def _normed(logs: Array, axis: int) -> Array:
    """Logs as shares that sum to 1 along an axis."""
    shares = np.exp(logs - logs.max(axis=axis, keepdims=True))
    normed: Array = shares / shares.sum(axis=axis, keepdims=True)
    return normed


def _drawn(shares: Array, rng: np.random.Generator) -> NDArray[np.intp]:
    """For each row of shares one place, drawn as often as its share says, evenly over the rows."""
    n = len(shares)
    even = (rng.permutation(n) + rng.random(n)) / n
    below = shares.cumsum(axis=1)
    places: NDArray[np.intp] = (even[:, None] * below[:, -1:] > below).sum(axis=1)
    return places
