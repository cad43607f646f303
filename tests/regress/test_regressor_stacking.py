"""Shares of forms and the stretch, from figures worked by hand and by a general search."""

import numpy as np
import pytest
from scipy import optimize
from scipy.stats import norm

from estimator.regress.regressor import shares_of, stretch_of


def test_shares_are_where_a_general_search_finds_them():
    density = np.random.default_rng(0).normal(size=(30, 2))
    before = np.array([3.0, 1.0])

    def cost(share):
        both = np.log(np.exp(density) @ [share, 1 - share]).sum()
        return -both - 2 * (0.75 * np.log(share) + 0.25 * np.log(1 - share))

    found = optimize.minimize_scalar(cost, bounds=(1e-6, 1 - 1e-6), method="bounded", options={"xatol": 1e-9})
    assert shares_of(density, before, 2.0)[0] == pytest.approx(found.x, abs=1e-5)


def test_forms_that_say_the_same_keep_what_they_had():
    assert shares_of(np.zeros((9, 2)), np.array([3.0, 1.0]), 4.0) == pytest.approx([0.75, 0.25])


def test_a_form_that_always_says_more_takes_all_but_what_was_lent():
    density = np.column_stack([np.zeros(50), np.full(50, -20.0)])
    assert shares_of(density, np.ones(2), 2.0) == pytest.approx([51 / 52, 1 / 52], abs=1e-4)


def test_ranges_that_held_as_they_should_are_hardly_stretched():
    assert stretch_of((np.arange(400) + 0.5) / 400) == pytest.approx((1, 1), abs=0.01)


def test_the_stretch_by_hand():
    z = np.array([-2.0, -1.0, 0.5, 1.0])
    low, high = stretch_of(norm.cdf(z))
    assert low == pytest.approx(np.sqrt((30 + 2 * 5.0) / 34))
    assert high == pytest.approx(np.sqrt((30 + 2 * 1.25) / 34))


def test_the_stretch_has_limits():
    assert stretch_of(np.full(500, 0.5)) == (0.8, 0.8)
    assert stretch_of(np.array([0.0, 1.0] * 300)) == (1.6, 1.6)
