"""Ranges of shares hold the true shares, in logs made from parts whose true shares can be worked out."""

import numpy as np
import pytest
from making.overruns import drivers, went

from estimator.decide.overruns.parts import THREE
from estimator.decide.overruns.variance_shares import UNEXPLAINED, goes_with, lmg

LOGS, BOARDS, MANY = 40, 60, 20_000


def rows(boards, values):
    parts = [[getattr(b, part) for part in THREE] for b in boards]
    return np.column_stack([[[v[f"d{i}"] for i in range(3)] for v in values], parts])


def true_shares():
    """Of the parts and of the drivers, from so many boards that luck is none."""
    covariance = np.cov(rows(*went(MANY, seed=1)).T)
    whole = covariance[3:, 3:]
    by_driver = lmg(covariance[None], len(THREE))[0].sum(axis=-1)
    return dict(zip(THREE, whole.sum(axis=0) / whole.sum(), strict=True)) | {
        "d0": by_driver[0],
        UNEXPLAINED: 1 - by_driver.sum(),
    }


@pytest.fixture(scope="module")
def stated():
    """Of each log every share of a part, of the driver that tells, and of what is unexplained: how far off, and how wide."""
    true, found = true_shares(), []
    for seed in range(100, 100 + LOGS):
        said = goes_with(*went(BOARDS, seed=seed), drivers())
        named = {s.part: s for s in said.parts} | {s.driver: s for s in said.drivers}
        found.append([(true[n], named[n].share, named[n].low, named[n].high) for n in true])
    return np.array(found)


@pytest.mark.parametrize(
    ("which", "least", "most"),
    [(slice(3), 0.41, 0.57), (slice(3, None), 0.44, 0.61)],
    ids=["parts", "drivers"],
)
def test_shares_hold_and_a_fifth_less_width_would_be_seen(stated, which, least, most):
    """How far off the truth lies, as a share of the way to that end of the range, on average: .485 and .522 here."""
    true, said, low, high = np.moveaxis(stated[:, which], -1, 0)
    off = np.where(true < said, (said - true) / (said - low), (true - said) / (high - said))
    assert 0.78 < (off <= 1).mean() < 0.92
    assert least < off.mean() < most
