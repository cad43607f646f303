"""Who has how much of a whole: Shapley values, and of a variance the shares that regressors have (LMG).

The share of a regressor is the gain of explained variance when it comes in, over all orders in which regressors can
come in. Where the whole is a sum of parts, explained covariance of each part with the whole is split the same way:
over parts the shares sum to the regressor's own, over regressors with what is left to the part's own.

Sources: R. H. Lindeman, P. F. Merenda & R. Z. Gold (1980), Introduction to Bivariate and Multivariate Analysis, p. 119;
U. Grömping (2006), J. Statistical Software 17(1); L. S. Shapley (1953), Contributions to the Theory of Games 2:307-317.
"""

from __future__ import annotations

from math import comb

import numpy as np

from estimator.model.saved_fit import Array

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
