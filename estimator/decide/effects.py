"""What goes with what: slopes by least squares, with ranges that hold where boards differ in luck.

Source: J. S. Long & L. H. Ervin (2000), The American Statistician 54:217-224, for HC3 in small samples; S. Holm (1979),
Scandinavian J. Statistics 6:65-70.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from estimator.model.saved_fit import Array

ODDS = 0.8  # that a range holds
STILL = 1e-9  # of the largest sd: a column with less does not move


@dataclass(frozen=True)
class Slopes:
    """Slopes of each outcome by each regressor, all at once, (k, m); p_adjusted: for looking at all of them.

    low, high: the slopes' ranges, 8 times in 10; of an outcome that does not move all are 0, with p 1
    """

    slope: Array
    low: Array
    high: Array
    p_adjusted: Array


def slopes(x: Array, outcomes: Array, doubt: Array | None = None) -> Slopes:
    """How outcomes change with regressors, each with the others held still.

    x: (n, k), no column a sum of others; outcomes: (n, m); n > k + 2
    doubt: (draws, n, m), how far outcomes may lie from what is said; the slopes of these add to the ranges

    Spread may differ from row to row (HC3). Holm's p-values hold over all slopes, however they hang together: where no
    regressor tells anything, the least of them is below .05 in one log of twenty.
    """
    import statsmodels.api as sm
    from scipy.stats import t
    from statsmodels.stats.multitest import multipletests

    k = x.shape[1]
    plain = np.zeros((k, outcomes.shape[1]))
    slope, low, high, p = plain.copy(), plain.copy(), plain.copy(), np.ones_like(plain)
    design = sm.add_constant(x, has_constant="add")
    more = plain if doubt is None else (np.linalg.pinv(design)[1:] @ doubt).var(axis=0)
    law = t(len(x) - k - 1)
    moves = outcomes.std(axis=0)
    looked_at = np.flatnonzero(moves > STILL * max(moves.max(initial=0.0), STILL))
    for j in looked_at:
        fitted = sm.OLS(outcomes[:, j], design).fit(cov_type="HC3", use_t=True)
        slope[:, j] = fitted.params[1:]
        spread = np.sqrt(fitted.bse[1:] ** 2 + more[:, j])
        wide = law.ppf((1 + ODDS) / 2) * spread
        low[:, j], high[:, j] = slope[:, j] - wide, slope[:, j] + wide
        p[:, j] = 2 * law.sf(np.abs(slope[:, j]) / spread)
    if looked_at.size:
        p[:, looked_at] = multipletests(p[:, looked_at].ravel(), method="holm")[1].reshape(k, -1)
    return Slopes(slope, low, high, p)
