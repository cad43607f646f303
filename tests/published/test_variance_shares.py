"""Shares of variance and of worth against printed ones."""

from itertools import combinations

import numpy as np
import pytest

from estimator.decide.overruns.variance_shares import explained, lmg, shapley

# U. Grömping (2006), J. Statistical Software 17(1): lmg of fertility on the five other columns; their sum is R²
SWISS = {
    "Agriculture": 0.0570912207681,
    "Examination": 0.1711730289002,
    "Education": 0.2601346786244,
    "Catholic": 0.1055701503735,
    "Infant.Mortality": 0.1127659229265,
}
SWISS_R2 = 0.706735001593

# R. Azen & D. V. Budescu (2003), Psychological Methods 8:129-148, four predictors: correlations, and what each adds on
# average to none, one, two and three others; to three digits
AZEN = np.array(
    [
        [1.0, 0.8, 0.1, 0.3, 0.6],
        [0.8, 1.0, 0.1, 0.1, 0.3],
        [0.1, 0.1, 1.0, 0.5, 0.4],
        [0.3, 0.1, 0.5, 1.0, 0.5],
        [0.6, 0.3, 0.4, 0.5, 1.0],
    ]
)
AZEN_BY_LEVEL = [
    [0.360, 0.090, 0.160, 0.250],
    [0.300, 0.074, 0.095, 0.152],
    [0.263, 0.069, 0.063, 0.073],
    [0.246, 0.071, 0.061, 0.010],
]
AZEN_IN_ALL = [0.29218, 0.07586, 0.09491, 0.12140]

# the same authors' example of school marks by social standing, wit and drive, as tests of an R package quote it
MARKS = np.array([[1, 0.3, 0.41, 0.33], [0.3, 1, 0.16, 0.57], [0.41, 0.16, 1, 0.5], [0.33, 0.57, 0.5, 1]])
MARKS_R2 = [0.0, 0.1089, 0.3249, 0.3526813, 0.25, 0.2687823, 0.4964080, 0.4964735]
MARKS_SHARES = [0.044082, 0.265895, 0.186496]


def test_shares_of_fertility_are_the_printed_ones(published):
    table = published("swiss")
    rows = np.column_stack([*(table[name] for name in SWISS), table["Fertility"]])
    shares = lmg(np.cov(rows.T)[None])[0, :, 0]

    assert shares == pytest.approx(list(SWISS.values()), abs=1e-10)
    assert shares.sum() == pytest.approx(SWISS_R2, abs=1e-10)


def test_what_predictors_add_at_each_level_is_the_printed_table():
    worth = explained(AZEN[None])[:, 0, 0]
    for size, printed in enumerate(AZEN_BY_LEVEL):
        for i in range(4):
            others = [sum(1 << j for j in some) for some in combinations({0, 1, 2, 3} - {i}, size)]
            added = np.mean([worth[s | 1 << i] - worth[s] for s in others])
            assert added == pytest.approx(printed[i], abs=6e-4)
    assert lmg(AZEN[None])[0, :, 0] == pytest.approx(AZEN_IN_ALL, abs=1e-5)
    assert lmg(AZEN[None])[0, :, 0].sum() == pytest.approx(0.58435, abs=1e-5)


def test_r2_of_every_set_follows_from_correlations():
    assert explained(MARKS[None])[:, 0, 0] == pytest.approx(MARKS_R2, abs=1e-7)
    assert lmg(MARKS[None])[0, :, 0] == pytest.approx(MARKS_SHARES, abs=1e-6)


def test_the_glove_game():
    # common textbook example, no single source: two left gloves and one right, a pair is worth 1
    worth = np.array([len({0, 1} & set(who)) > 0 and 2 in who for who in subsets(3)], dtype=float)
    assert shapley(worth) == pytest.approx([1 / 6, 1 / 6, 4 / 6], abs=1e-15)


def subsets(k):
    return [[i for i in range(k) if at >> i & 1] for at in range(2**k)]
