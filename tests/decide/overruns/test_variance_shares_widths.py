"""How wide the ranges of shares are: worked out by hand, with the factors that simulated shops asked for.

The factors 1.25 (of a part) and 1.1 (of a driver) are what it took to hold 8 in 10 in the simulated shops of
`tests/studies/study_overruns.py`; here they are pinned, so that a range never gets narrower by chance.
"""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from making.overruns import drivers, went
from scipy import stats

from estimator.decide.overruns.parts import THREE
from estimator.decide.overruns.variance_shares import OVERRUN, UNEXPLAINED, goes_with, less_luck, lmg

N, K = 40, 3
BOARDS, VALUES = went(N)
PARTS = np.array([[getattr(b, part) for part in THREE] for b in BOARDS])
X = np.array([[v[f"d{i}"] for i in range(K)] for v in VALUES])
T = float(stats.t.ppf(0.9, N - K - 1))


@pytest.fixture(scope="module")
def found():
    return goes_with(BOARDS, VALUES, drivers())


def jackknife(values):
    """B. Efron & R. J. Tibshirani (1993), An Introduction to the Bootstrap, section 11.2."""
    values = np.asarray(values)
    return math.sqrt((len(values) - 1) / len(values) * ((values - values.mean()) ** 2).sum())


def test_a_part_s_range_is_a_quarter_wider_than_its_slope_s(found):
    """The slope of the part by the whole with its HC3 range, a quarter wider, even on the log of share over rest."""
    whole = sm.add_constant(PARTS.sum(axis=1))
    seen = 0
    for j, share in enumerate(found.parts):
        ols = sm.OLS(PARTS[:, j], whole).fit(cov_type="HC3", use_t=True)
        wide = 1.25 * float(stats.t.ppf(0.9, N - 2) * ols.bse[1])
        assert share.share == pytest.approx(ols.params[1])
        assert 0.02 < share.share < 0.98
        steep = wide / (share.share * (1 - share.share))
        middle = math.log(share.share / (1 - share.share))
        for end, side, by_hand in ((share.low, -1, middle - steep), (share.high, 1, middle + steep)):
            if abs(end - share.share) < 2 * wide - 1e-12:
                assert math.log(end / (1 - end)) == pytest.approx(by_hand)
                seen += 1
            else:
                assert end == pytest.approx(share.share + side * 2 * wide)
    assert seen >= 5


EVERY = np.ones(N, dtype=bool)
WITHOUT = [np.arange(N) != j for j in range(N)]


def by_part(keep):
    """LMG shares by driver and part."""
    return lmg(np.cov(np.column_stack([X, PARTS])[keep].T)[None], len(THREE))[0]


def cells(keep):
    """The same, less what each driver gains by luck alone."""
    plain = by_part(keep).sum(axis=-1)
    return by_part(keep) * (less_luck(plain[None], keep.sum())[0] / plain)[:, None]


def test_a_driver_s_range_on_a_part_is_a_tenth_wider_than_its_jackknife_s(found):
    at, without = cells(EVERY), np.array([cells(keep) for keep in WITHOUT])
    by_name = {(s.driver, s.part): s for s in found.shares}
    for i in range(K):
        for j, part in enumerate(THREE):
            said, wide = by_name[f"d{i}", part], 1.1 * T * jackknife(without[:, i, j])
            assert said.share == pytest.approx(at[i, j], abs=1e-12)
            assert said.high - said.share == pytest.approx(wide, rel=1e-6, abs=1e-12)
            assert said.share - said.low == pytest.approx(wide, rel=1e-6, abs=1e-12)
    assert by_name["d0", "guess"].high - by_name["d0", "guess"].share > 0.05


def plain(keep):
    """Each driver's share before it is cut off at nought: its LMG share less what luck alone gives each."""
    shares = by_part(keep).sum(axis=-1)
    return shares - (1 - shares.sum()) / (keep.sum() - K - 1)


def test_a_driver_s_range_in_all_is_a_tenth_wider_on_its_root(found):
    free, without = plain(EVERY), np.array([plain(keep) for keep in WITHOUT])
    (first,) = [s for s in found.drivers if (s.driver, s.part) == ("d0", OVERRUN)]
    root = math.sqrt(free[0])
    wide = 1.1 * T * jackknife(without[:, 0]) / (2 * root)
    assert first.low == pytest.approx((root - wide) ** 2, rel=1e-6)
    assert first.high == pytest.approx(min((root + wide) ** 2, 1.0), rel=1e-6)
    assert first.high < 1

    (rest,) = [s for s in found.drivers if s.driver == UNEXPLAINED]
    wide = 1.1 * T * jackknife(without.sum(axis=1))
    assert rest.low == pytest.approx(max(min(rest.share, 1 - free.sum() - wide), 0.0), rel=1e-6)
    assert rest.high == pytest.approx(min(max(rest.share, 1 - free.sum() + wide), 1.0), rel=1e-6)
    assert 0 < rest.low < rest.high < 1
