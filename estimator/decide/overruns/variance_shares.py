"""How much of what differs between boards goes with each part and driver: LMG shares, robust slopes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import comb

import numpy as np

from estimator.decide.overruns.parts import THREE, BoardOverrun
from estimator.model.saved_fit import Array, Ints
from estimator.words.settings.schema import Settings

MOST_AT_ONCE = 4_000_000  # numbers held together
SAME = 1e-9  # of its variance: with less of its own a regressor adds nothing to others


def shapley(worth: Array) -> Array:
    """Each player's share of what all together are worth, shape (k, ...).

    worth: (2^k, ...), what each coalition is worth, player i in it where bit i of the index is set; none is worth 0

    Two hold left gloves and one a right glove, and a pair is worth 1:

    >>> shapley(np.array([0, 0, 0, 0, 0, 1, 1, 1.0])).round(3).tolist()
    [0.167, 0.167, 0.667]
    """
    coalitions = np.arange(len(worth))
    k = len(worth).bit_length() - 1
    sizes = np.bitwise_count(coalitions)
    weights = np.array([1 / (k * comb(k - 1, size)) for size in range(k)])
    shares = []
    for i in range(k):
        without = coalitions[coalitions >> i & 1 == 0]
        gained = worth[without | 1 << i] - worth[without]
        shares.append(np.tensordot(weights[sizes[without]], gained, axes=1))
    return np.array(shares).reshape(k, *worth.shape[1:])


def explained(covariance: Array, parts: int = 1) -> Array:
    """What each set of regressors explains of the covariance of each part with the sum of parts.

    covariance: (n, k + parts, k + parts), n of them, regressors first; shape (2^k, n, parts), sets as for `shapley`

    With one part these are explained variances; of correlations, R². What is a sum of others adds nothing to them.
    """
    k = covariance.shape[-1] - parts
    left = covariance[None]
    for i in range(k):
        rest, pivot = left[..., 1:, 1:], left[..., :1, :1]
        tells = pivot > SAME * covariance[:, i, i][:, None, None]
        across = left[..., 1:, :1] * left[..., :1, 1:]
        told = np.divide(across, pivot, out=np.zeros_like(across), where=tells)
        left = np.concatenate([rest, rest - told])
    return np.asarray((covariance[:, k:, k:] - left).sum(axis=-1))


def lmg(covariance: Array, parts: int = 1) -> Array:
    """Each regressor's share of the variance of the sum of parts, by part, shape (n, k, parts); R² is their sum.

    covariance: as for `explained`
    """
    k = covariance.shape[-1] - parts
    at_once = max(1, MOST_AT_ONCE // (2**k * (parts + 1) ** 2))
    found = []
    for first in range(0, len(covariance), at_once):
        some = covariance[first : first + at_once]
        whole = some[:, k:, k:].sum(axis=(1, 2))
        found.append(np.moveaxis(shapley(explained(some, parts)), 0, 1) / whole[:, None, None])
    return np.concatenate(found)


def adjusted(r2: Array, n: int, k: int) -> Array:
    """R² less what k regressors explain of n rows by luck alone; never below nought.

    Source: H. Theil (1961), Economic Forecasts and Policy, 2nd ed., p. 213.

    >>> float(adjusted(np.array(0.5), 31, 5))
    0.4
    """
    return np.maximum(1 - (1 - r2) * (n - 1) / (n - k - 1), 0.0)


def less_luck(shares: Array, n: int) -> Array:
    """Shares of regressors less what each gains by luck alone, none below nought; their sum is the adjusted R².

    shares: (m, k), LMG shares of one fit a row, to n rows

    Each of k regressors that tell nothing gains (1 - R²)/(n - k - 1) on average; taken off each, the sum of the k is
    the adjusted R² exactly. Scaled down alike instead, those that tell much would pay for those that tell nothing.

    >>> less_luck(np.array([[0.3, 0.18, 0.02]]), 54).round(3).tolist()
    [[0.29, 0.17, 0.01]]
    """
    k = shares.shape[1]
    r2 = shares.sum(axis=1)
    plain = np.maximum(shares - ((1 - r2) / (n - k - 1))[:, None], 0.0)
    whole = plain.sum(axis=1)
    times = np.divide(adjusted(r2, n, k), whole, out=np.zeros_like(whole), where=whole > 0)
    return np.asarray(plain * times[:, None])


ODDS = 0.8  # that a range holds
NAMED = 0.05  # chance of a wrong name where nothing tells anything
STILL = 1e-9  # of the largest sd: a column with less does not move


@dataclass(frozen=True)
class RobustSlopes:
    """Slopes of each outcome by each regressor, all at once, (k, m); p_adjusted: for looking at all of them.

    low, high: the slopes' ranges, 8 times in 10; of an outcome that does not move all are 0, with p 1
    """

    slope: Array
    low: Array
    high: Array
    p_adjusted: Array


def could_find(n: int, k: int, m: int) -> float:
    """The share of an outcome's variance with which a regressor would be found 8 times in 10 among k of m outcomes.

    n: rows. By the first of Holm's levels, for a slope that shows on that outcome alone. Source: J. Cohen (1988),
    Statistical Power Analysis, chapter 9 (f² = share / (1 - share), here by Student's t; from memory).

    >>> round(could_find(120, 12, 4), 2), round(could_find(30, 3, 4), 2)
    (0.16, 0.41)
    """
    from scipy.stats import t

    freedom = n - k - 1
    away = float(t.ppf(1 - NAMED / (2 * k * m), freedom) + t.ppf(ODDS, freedom)) ** 2
    hc3 = (1 - (k + 1) / n) ** 2  # what standard errors that hold for uneven spread cost in small logs
    return away / (away + n * hc3)


def slopes(x: Array, outcomes: Array, doubt: Array | None = None) -> RobustSlopes:
    """How outcomes change with regressors, each with the others held still.

    x: (n, k), no column a sum of others; outcomes: (n, m); n > k + 2
    doubt: (draws, n, m), how far outcomes may lie from what is said; the slopes of these add to the ranges

    Spread may differ from row to row (HC3). Holm's p-values hold over all slopes, however they hang together: where no
    regressor tells anything, the least of them is below .05 in one log of twenty.
    """
    from scipy.stats import t
    from statsmodels.regression.linear_model import OLS
    from statsmodels.stats.multitest import multipletests
    from statsmodels.tools.tools import add_constant

    k = x.shape[1]
    plain = np.zeros((k, outcomes.shape[1]))
    slope, low, high, p = plain.copy(), plain.copy(), plain.copy(), np.ones_like(plain)
    design = add_constant(x, has_constant="add")
    more = plain if doubt is None else (np.linalg.pinv(design)[1:] @ doubt).var(axis=0)
    law = t(len(x) - k - 1)
    moves = outcomes.std(axis=0)
    looked_at = np.flatnonzero(moves > STILL * max(moves.max(initial=0.0), STILL))
    for j in looked_at:
        fitted = OLS(outcomes[:, j], design).fit(cov_type="HC3", use_t=True)
        slope[:, j] = fitted.params[1:]
        spread = np.sqrt(fitted.bse[1:] ** 2 + more[:, j])
        wide = law.ppf((1 + ODDS) / 2) * spread
        low[:, j], high[:, j] = slope[:, j] - wide, slope[:, j] + wide
        p[:, j] = 2 * law.sf(np.abs(slope[:, j]) / spread)
    if looked_at.size:
        p[:, looked_at] = multipletests(p[:, looked_at].ravel(), method="holm")[1].reshape(k, -1)
    return RobustSlopes(slope, low, high, p)


OVERRUN, UNEXPLAINED = "overrun", "unexplained"
FEW = 8  # boards, from which on anything is said of shares
FEWEST, FOR_EACH = 30, 10  # boards for any driver at all, and for each
AT_A_LEVEL = 5  # boards on each side of some level of a driver
MOST_DRIVERS = 12
ALIKE = 0.9  # R² of a driver by others, from which on it cannot be told from them
ALONE = 0.95  # leverage, from which on one board alone tells a driver from others
GROUPS = 200  # at most, of boards left out in turn
LEAST = 0.01  # share, below which the spread of its root cannot be told
EDGE = 0.02  # share of a part
TAILS = 1.25  # times as wide: hidden work is seldom and large, so that few boards show too little of it
WIDER = 1.1  # times as wide, a driver's range, by what held in simulated shops
NOTHING = 1e-12  # variance


@dataclass(frozen=True, slots=True)
class Share:
    """A share of the variance of log overrun, with its range, 8 times in 10.

    driver: a driver or condition, or UNEXPLAINED; empty where a part is meant whole
    part: guess, surprise or pace; OVERRUN where a driver is meant in all
    """

    driver: str
    part: str
    share: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Effect:
    """What one unit or grade more of a driver goes with, on a part of log overrun, the other drivers held still."""

    driver: str
    part: str
    effect: float
    low: float
    high: float
    p_adjusted: float


@dataclass(frozen=True, slots=True)
class TooFew:
    """A driver of which too few boards tell: how many there are that tell it apart, and how many in all would do."""

    driver: str
    boards: int
    would_do: int


@dataclass(frozen=True)
class GoesWith:
    """What goes with going over.

    parts: shares of the three parts; drivers: of each driver, and unexplained; both sum to 1
    shares: of each driver, and unexplained, by part; they sum to 1 in all, over drivers to the parts', over parts to
    the drivers'
    alike: drivers that cannot be told from another, and from which
    could_find: the share of the whole with which a driver is named 8 times in 10, where it shows on no part alone
    """

    parts: tuple[Share, ...] = ()
    drivers: tuple[Share, ...] = ()
    shares: tuple[Share, ...] = ()
    effects: tuple[Effect, ...] = ()
    too_few: tuple[TooFew, ...] = ()
    alike: Mapping[str, str] = field(default_factory=dict)
    could_find: float | None = None


def goes_with(
    boards: Sequence[BoardOverrun],
    values: Sequence[Mapping[str, float]],
    settings: Settings,
    doubt: Array | None = None,
) -> GoesWith:
    """What goes with going over.

    values: each board's drivers and conditions as they turned out; doubt: as in `BoardOverruns`
    """
    n = len(boards)
    outcomes = np.array([[getattr(board, part) for part in THREE] for board in boards]).reshape(n, len(THREE))
    columns, too_few, alike = chosen(values, settings, n)
    if n < FEW or outcomes.sum(axis=1).var() < NOTHING:
        return GoesWith(too_few=too_few, alike=alike)
    x = np.column_stack([np.empty((n, 0)), *columns.values()])
    doubt = np.zeros((1, *outcomes.shape)) if doubt is None else doubt
    parts = _parts(outcomes, doubt)
    drivers, shares = _shares(list(columns), x, outcomes, doubt, parts)
    return GoesWith(
        parts,
        drivers,
        shares,
        _effects(list(columns), x, outcomes, doubt),
        too_few,
        alike,
        could_find(n, len(columns), len(THREE) + 1) if columns else None,
    )


def chosen(
    values: Sequence[Mapping[str, float]], settings: Settings, n: int
) -> tuple[dict[str, Array], tuple[TooFew, ...], dict[str, str]]:
    """The drivers and conditions that so many boards can tell of, those that they cannot, and those just like others.

    Chosen without a look at any hours: conditions and what can hide come first, then what tells most boards apart. An
    area that follows from a number of faces goes by that number. Nothing is said of what was the same on all boards.
    """
    names = [
        name
        for name in (*settings.drivers, *settings.modifiers)
        if not (name in settings.drivers and settings.drivers[name].times in settings.drivers)
    ]
    columns = {name: np.array([of.get(name, np.nan) for of in values], dtype=float) for name in names}
    sides = {name: _smaller_side(column) for name, column in columns.items()}

    def order(name: str) -> tuple[bool, int]:
        known = (settings.drivers.get(name) or settings.modifiers[name]).known
        return (name in settings.drivers and known == "asked", -sides[name])

    kept: dict[str, Array] = {}
    too_few: list[TooFew] = []
    alike: dict[str, str] = {}
    for name in sorted((name for name in names if sides[name]), key=order):
        rank = len(kept) + sum(few.boards >= AT_A_LEVEL for few in too_few) + 1
        would_do = max(FEWEST, FOR_EACH * rank)
        column = np.nan_to_num(columns[name], nan=np.nanmean(columns[name]))
        own = _own(column, kept)
        if sides[name] < AT_A_LEVEL:
            would_do = max(FEWEST, math.ceil(n * AT_A_LEVEL / sides[name]))
            too_few.append(TooFew(name, sides[name], max(would_do, n + 1)))
        elif kept and own @ own < (1 - ALIKE) * n * column.var() and n > len(kept) + 2:
            alike[name] = _most_like(column, kept)
        elif _leverage([*kept.values(), column]) > ALONE:
            too_few.append(TooFew(name, 1, n * AT_A_LEVEL))
        elif n < would_do or rank > MOST_DRIVERS:
            too_few.append(TooFew(name, sides[name], max(would_do, n + 1)))
        else:
            kept[name] = column
    return kept, tuple(too_few), alike


def _smaller_side(column: Array) -> int:
    """Boards on the smaller side of the level that parts the column most evenly; 0 where all known are the same."""
    known = column[~np.isnan(column)]
    above = [int((known > level).sum()) for level in np.unique(known)]
    return max((min(over, len(known) - over) for over in above), default=0)


def _own(column: Array, kept: Mapping[str, Array]) -> Array:
    """What of a driver the kept ones do not tell, board by board."""
    others = np.column_stack([np.ones(len(column)), *kept.values()])
    return np.asarray(column - others @ np.linalg.lstsq(others, column, rcond=None)[0])


def _leverage(columns: Sequence[Array]) -> float:
    """The most that one board weighs in a fit on the columns, and all boards alike."""
    axes = np.linalg.qr(np.column_stack([np.ones(len(columns[0])), *columns]))[0]
    return float((axes**2).sum(axis=1).max())


def _most_like(column: Array, kept: Mapping[str, Array]) -> str:
    """The kept driver that goes most closely with another."""
    return max(kept, key=lambda name: abs(np.corrcoef(column, kept[name])[0, 1]))


def _parts(outcomes: Array, doubt: Array) -> tuple[Share, ...]:
    """Each part's share: its covariance with the whole over the whole's variance, that is, its slope by the whole."""
    by = slopes(outcomes.sum(axis=1, keepdims=True), outcomes, doubt)
    return tuple(
        Share("", part, share, *_between(share, TAILS * (high - low) / 2))
        for part, share, low, high in zip(
            THREE, by.slope[0].tolist(), by.low[0].tolist(), by.high[0].tolist(), strict=True
        )
    )


def _between(share: float, wide: float) -> tuple[float, float]:
    """The range of a part's share, even on the log of share over rest; on itself where it is next to nought or all.

    wide: of the share itself, to one side; no end lies more than two of it away
    """
    if not EDGE < share < 1 - EDGE:
        return share - wide, share + wide
    middle, steep = math.log(share / (1 - share)), wide / (share * (1 - share))
    low, high = (1 / (1 + math.exp(side * steep - middle)) for side in (1, -1))
    return max(low, share - 2 * wide), min(high, share + 2 * wide)


def _shares(
    names: Sequence[str], x: Array, outcomes: Array, doubt: Array, parts: Sequence[Share]
) -> tuple[tuple[Share, ...], tuple[Share, ...]]:
    """Each driver's share and what is left unexplained, in all and by part."""
    if not names:
        cells = [Share(UNEXPLAINED, one.part, one.share, one.low, one.high) for one in parts]
        return (Share(UNEXPLAINED, OVERRUN, 1.0, 1.0, 1.0),), tuple(cells)
    n, k = x.shape
    together = np.column_stack([x, outcomes])
    at, free = _split(_covariance(together)[None], k, n)
    left_out = _groups(outcomes.sum(axis=1))
    some, some_free = _split(_without(together, left_out), k, n - n // len(left_out))
    t = WIDER * _quantile(min(n - k - 1, len(left_out) - 1))
    unsure = np.array([_covariance(np.column_stack([x, outcomes + off])) for off in doubt])
    spread = t * np.sqrt(_jackknife(some) ** 2 + _split(unsure, k, n)[0].var(axis=0))
    root_spread = t * _jackknife(some_free)
    drivers, shares = [], []
    for i, name in enumerate((*names, UNEXPLAINED)):
        whole = min(float(at[0, i].sum()), 1.0)
        if name == UNEXPLAINED:
            wide, rest = t * float(_jackknife(some_free.sum(axis=1))), 1 - float(free[0].sum())
            low, high = max(min(whole, rest - wide), 0.0), min(max(whole, rest + wide), 1.0)
            drivers.append(Share(name, OVERRUN, whole, low, high))
        else:
            drivers.append(
                Share(name, OVERRUN, whole, *_around(whole, float(free[0, i]), float(root_spread[i])))
            )
        for j, part in enumerate(THREE):
            cell, wide = float(at[0, i, j]), float(spread[i, j])
            shares.append(Share(name, part, cell, cell - wide, cell + wide))
    return tuple(drivers), tuple(shares)


def _split(covariance: Array, k: int, n: int) -> tuple[Array, Array]:
    """Shares by driver and part, unexplained last, (m, k + 1, 3), and drivers' before a cut at nought, (m, k)."""
    by_part = lmg(covariance, len(THREE))
    plain = by_part.sum(axis=-1)
    free = plain - ((1 - plain.sum(axis=1)) / (n - k - 1))[:, None]
    scaled = np.divide(less_luck(plain, n), plain, out=np.zeros_like(plain), where=plain > NOTHING)
    cells = by_part * scaled[..., None]
    whole = covariance[:, k:, k:]
    parts = whole.sum(axis=-1) / whole.sum(axis=(1, 2))[:, None]
    return np.concatenate([cells, (parts - cells.sum(axis=1))[:, None]], axis=1), free


def _around(share: float, free: float, spread: float) -> tuple[float, float]:
    """A driver's range, even on its root, as a share spreads the more the larger it is.

    free: the share before it was cut off at nought; spread: of that, to one side
    """
    root = math.sqrt(max(free, LEAST))
    wide = spread / (2 * root)
    low = 0.0 if free < 2 * LEAST else max(root - wide, 0.0) ** 2
    return min(low, share), min(max((root + wide) ** 2, share), 1.0)


def _covariance(rows: Array) -> Array:
    """The covariance of columns."""
    return np.atleast_2d(np.cov(rows.T))


def _groups(overrun: Array) -> list[Ints]:
    """Which boards are left out in turn: one at a time, or every so many by how far they went over."""
    order = np.argsort(overrun, kind="stable")
    m = min(len(order), GROUPS)
    return [order[i::m] for i in range(m)]


def _without(rows: Array, groups: Sequence[Ints]) -> Array:
    """The covariance without each group."""
    return np.array([_covariance(np.delete(rows, group, axis=0)) for group in groups])


def _jackknife(some: Array) -> Array:
    """The standard error of what was worked out without each group in turn.

    Source: B. Efron & R. J. Tibshirani (1993), An Introduction to the Bootstrap, chapter 11.
    """
    m = len(some)
    return np.asarray(np.sqrt((m - 1) / m * ((some - some.mean(axis=0)) ** 2).sum(axis=0)))


def _quantile(freedom: int) -> float:
    """How many standard errors the range reaches to one side."""
    from scipy.stats import t

    return float(t.ppf((1 + ODDS) / 2, freedom))


def _effects(names: Sequence[str], x: Array, outcomes: Array, doubt: Array) -> tuple[Effect, ...]:
    """What goes with one more of each driver, on the whole and on each part."""
    if not names:
        return ()
    whole = np.column_stack([outcomes.sum(axis=1), outcomes])
    found = slopes(x, whole, np.concatenate([np.zeros_like(doubt[..., :1]), doubt], axis=2))
    return tuple(
        Effect(
            name,
            part,
            *(float(of[i, j]) for of in (found.slope, found.low, found.high, found.p_adjusted)),
        )
        for i, name in enumerate(names)
        for j, part in enumerate((OVERRUN, *THREE))
    )
