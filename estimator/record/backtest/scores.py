"""How good ranges and whole forecasts were, and what luck allows. Hours in, hours out; the less the better.

Arrays hold one number a board, shape (n,); quantiles one row a board, shape (n, k).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr, betainc, betaincinv, ndtr, ndtri

from estimator.model.saved_fit import Array


def interval_score(low: ArrayLike, high: ArrayLike, y: ArrayLike, odds: float) -> Array:
    """How wide each range was, and a fine for each hour that the board lay outside it, shape (n,), hours.

    odds: how often the range was to hold, 0 < odds < 1; an hour outside costs 2/(1 - odds) hours: 10 at 8 in 10

    Raises ValueError for ends that cross, a number that is missing, and odds that are none.

    Source: Winkler (1972), J. Am. Stat. Assoc. 67:187-191; Gneiting & Raftery (2007), the same 102:359-378, eq. 43.

    >>> interval_score([10, 10, 10], [20, 20, 20], [15, 25, 8], 0.8).round(9).tolist()
    [10.0, 60.0, 30.0]
    """
    low, high, y = _numbers(low, high, y)
    _chance(odds)
    if (low > high).any():
        raise ValueError("a range ends before it begins")
    return (high - low) + 2 / (1 - odds) * (np.maximum(low - y, 0) + np.maximum(y - high, 0))


def pinball(y: ArrayLike, quantile: ArrayLike, prob: ArrayLike) -> Array:
    """The fine for a point that the board was to stay under with the chance `prob`, in hours.

    An hour above the point costs `prob`, an hour below it 1 - `prob`. Shapes as NumPy makes them fit.

    Raises ValueError for a number that is missing, and for a chance that is none.

    Source: Koenker & Bassett (1978), Econometrica 46:33-50.

    >>> pinball([10, 6], [8, 8], 0.9).round(9).tolist()
    [1.8, 0.2]
    """
    y, quantile, prob = _numbers(y, quantile, prob)
    _chance(prob)
    return np.asarray(np.maximum(prob * (y - quantile), (prob - 1) * (y - quantile)))


def crps_of_quantiles(quantiles: ArrayLike, probs: ArrayLike, y: ArrayLike) -> Array:
    """How far a forecast lay from what came, less half of how far it lies from itself, in hours, shape (n,).

    The continuous ranked probability score E|X - y| - E|X - X'| / 2, from points of the forecast: twice the mean of
    their fines.

    quantiles: shape (n, k), rising along each row; y: shape (n,)
    probs: k even steps from 0 to 1, the outermost half a step from them, (i + ½)/k, or a whole one, i/(k + 1);
        each point counts for the chances nearest to it

    Exact for a forecast that is one number. For normal forecasts, and lognormal ones with log spreads up to 1, too
    high by .2 % at most for one board and by .04 % in the mean of many with 199 whole steps; 3.1 % and 1.7 % with 19.

    Raises ValueError for other steps, rows that fall, and a number that is missing.

    Source: Gneiting & Ranjan (2011), J. Bus. Econ. Stat. 29:411-422.

    >>> crps_of_quantiles([[20.0, 20.0, 20.0]], [0.25, 0.5, 0.75], [24.0]).tolist()
    [4.0]
    """
    step, points, y = _grid(quantiles, probs, y)
    p = np.asarray(probs, dtype=float)
    share = np.full(len(p), step)
    share[[0, -1]] = p[0] + step / 2
    return np.asarray(2 * pinball(y[:, None], points, p) @ share)


def pit(quantiles: ArrayLike, probs: ArrayLike, y: ArrayLike, rng: np.random.Generator) -> Array:
    """The chance of staying under what came, as the forecast saw it beforehand, shape (n,).

    quantiles, probs, y: as for `crps_of_quantiles`, hours above 0
    rng: chooses a chance where several quantiles are the very hours that it took

    Between two quantiles log hours go as a normal law does (exact for lognormal forecasts). What lies beyond all of
    them is put halfway between the outermost chance and 0 or 1. Even over 0 to 1 where forecasts are honest.

    Raises ValueError as `crps_of_quantiles` does, and for hours that are not above 0.

    Source: Dawid (1984), J. R. Stat. Soc. A 147:278-292; Czado, Gneiting & Held (2009), Biometrics 65:1254-1261, for
    the random choice.

    >>> pit([[8.0, 12.0, 18.0]], [0.25, 0.5, 0.75], [12.0], np.random.default_rng(0)).tolist()
    [0.5]
    """
    step, points, y = _grid(quantiles, probs, y)
    if (points <= 0).any() or (y <= 0).any():
        raise ValueError("hours are not above 0")
    n, k = points.shape
    p = np.asarray(probs, dtype=float)
    least, most = p[0] / 2, (1 + p[-1]) / 2
    under, up_to = (points < y[:, None]).sum(axis=1), (points <= y[:, None]).sum(axis=1)

    right = np.clip(under, 0, k - 1)
    left, rows = np.maximum(right - 1, 0), np.arange(n)
    logs, z = np.log(points), ndtri(p)
    room = logs[rows, right] - logs[rows, left]
    share = np.divide(np.log(y) - logs[rows, left], room, out=np.ones(n), where=room > 0)
    between = ndtr(z[left] + share * (z[right] - z[left]))
    chance = np.where(up_to == 0, least, np.where(under == k, most, between))

    # several quantiles are the very hours: anywhere on the steps that they stand for
    first = np.where(under == 0, least, p[right] - step / 2)
    last = np.where(up_to == k, most, p[up_to - 1] + step / 2)
    anywhere = first + rng.uniform(size=n) * (last - first)
    return np.asarray(np.where(up_to - under > 1, anywhere, chance))


def luck_band(of: int, odds: float, level: float = 0.95) -> tuple[int, int]:
    """The fewest and the most of `of` ranges that luck alone lets hold, if each holds with the chance `odds`.

    level: how often luck keeps to the band, at least; what is left is shared by both sides, exactly (binomial law)

    Raises ValueError for a count below 0 and for odds that are none.

    Source: ours; the binomial law's own (1 - level)/2 and (1 + level)/2 quantiles.

    >>> luck_band(20, 0.8), luck_band(0, 0.8)
    ((12, 19), (0, 0))
    """
    _chance(odds, level)
    _count(0, of)
    up_to = bdtr(np.arange(of + 1.0), of, odds)
    up_to[-1] = 1.0
    first, last = np.searchsorted(up_to, [(1 - level) / 2, (1 + level) / 2])
    return int(first), int(last)


def tail_chance(missed: int, of: int, odds: float) -> float:
    """How often honest ranges miss so many boards or more, by luck alone.

    Raises ValueError where more are missed than there were, and for odds that are none.

    >>> [round(tail_chance(missed, of, 0.8), 2) for missed, of in ((3, 10), (4, 10), (7, 20), (9, 20))]
    [0.32, 0.12, 0.09, 0.01]
    """
    _chance(odds)
    _count(missed, of)
    return 1.0 if missed == 0 else float(betainc(missed, of - missed + 1, 1 - odds))


def clopper_pearson(hits: int, of: int, level: float = 0.95) -> tuple[float, float]:
    """How seldom and how often ranges truly hold, by how many held; right at least so often as `level` says.

    Raises ValueError where more held than there were, and for a level that is no chance.

    Source: Clopper & Pearson (1934), Biometrika 26:404-413.

    >>> [round(end, 3) for end in clopper_pearson(9, 20)]
    [0.231, 0.685]
    """
    _chance(level)
    _count(hits, of)
    left = (1 - level) / 2
    low = 0.0 if hits == 0 else float(betaincinv(hits, of - hits + 1, left))
    high = 1.0 if hits == of else float(betaincinv(hits + 1, of - hits, 1 - left))
    return low, high


def bias(actual: ArrayLike, likely: ArrayLike) -> float:
    """The mean log of actual over likely hours: above 0 where boards took longer; .1 is about a tenth longer.

    Raises ValueError for no boards, a number that is missing, and hours that are not above 0.

    >>> round(bias([20.0, 20.0], [20.0, 10.0]), 3)
    0.347
    """
    actual, likely = _numbers(actual, likely)
    if actual.size == 0 or (actual <= 0).any() or (likely <= 0).any():
        raise ValueError("there are no boards, or hours are not above 0")
    return float(np.log(actual / likely).mean())


def _numbers(*values: ArrayLike) -> tuple[Array, ...]:
    """Arrays of one shape; a number that is missing would be scored without a word."""
    arrays = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values))
    if not all(np.isfinite(array).all() for array in arrays):
        raise ValueError("a number is missing or endless")
    return tuple(arrays)


def _grid(quantiles: ArrayLike, probs: ArrayLike, y: ArrayLike) -> tuple[float, Array, Array]:
    """The step of the chances, the quantiles and the hours, all checked."""
    points, p, came = (np.asarray(value, dtype=float) for value in (quantiles, probs, y))
    k, i = len(p), np.arange(len(p))
    if points.ndim != 2 or points.shape != (len(came), k) or k < 2:
        raise ValueError(f"quantiles of shape {points.shape} for {len(came)} boards and {k} chances")
    _numbers(points)
    _numbers(came)
    if (np.diff(points, axis=1) < 0).any():
        raise ValueError("the quantiles of a board fall")
    for step, even in ((1 / k, (i + 0.5) / k), (1 / (k + 1), (i + 1) / (k + 1))):
        if np.abs(p - even).max() < 1e-9:
            return step, points, came
    raise ValueError("chances do not go from 0 to 1 in even steps")


def _chance(*values: Any) -> None:
    """Nothing, where all are chances between never and always."""
    for value in values:
        if not ((np.asarray(value) > 0) & (np.asarray(value) < 1)).all():
            raise ValueError(f"{value} is not between 0 and 1")


def _count(part: int, of: int) -> None:
    """Nothing, where a part is a part of a whole."""
    if not 0 <= part <= of:
        raise ValueError(f"{part} of {of} is no count")
