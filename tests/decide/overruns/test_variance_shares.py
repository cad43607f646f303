from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.decide.overruns import variance_shares as shares
from estimator.decide.overruns.variance_shares import adjusted, explained, less_luck, lmg, shapley


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 4), st.integers(0, 1000))
def test_shapley_is_the_mean_gain_over_all_orders(k, seed):
    worth = np.random.default_rng(seed).standard_normal(2**k)
    worth[0] = 0.0
    slow = np.zeros(k)
    orders = list(permutations(range(k)))
    for order in orders:
        inside = 0
        for i in order:
            slow[i] += (worth[inside | 1 << i] - worth[inside]) / len(orders)
            inside |= 1 << i
    assert shapley(worth) == pytest.approx(slow, abs=1e-12)


def test_what_a_set_explains_is_what_least_squares_says():
    rng = np.random.default_rng(0)
    rows = rng.standard_normal((50, 5)) @ rng.standard_normal((5, 5))
    found = explained(np.cov(rows.T)[None], 2)[:, 0]
    whole = rows[:, 3:].sum(axis=1)
    for at in range(8):
        x = np.column_stack([np.ones(50), rows[:, [i for i in range(3) if at >> i & 1]]])
        fitted = x @ np.linalg.lstsq(x, rows[:, 3:], rcond=None)[0]
        plain = [np.cov(fitted[:, j], whole)[0, 1] for j in range(2)]
        assert found[at] == pytest.approx(plain, abs=1e-10)


def test_parts_sum_to_the_whole_and_blocks_change_nothing(monkeypatch):
    rng = np.random.default_rng(1)
    many = np.array([np.cov(rng.standard_normal((30, 6)).T) for _ in range(7)])
    by_part = lmg(many, 3)
    merged = np.array([_merged(one) for one in many])

    assert by_part.sum(axis=-1) == pytest.approx(lmg(merged)[..., 0], abs=1e-12)
    monkeypatch.setattr(shares, "MOST_AT_ONCE", 1)
    assert lmg(many, 3) == pytest.approx(by_part, abs=1e-15)


def _merged(covariance):
    """The three last columns as their sum."""
    to = np.zeros((6, 4))
    to[:3, :3], to[3:, 3] = np.eye(3), 1
    return to.T @ covariance @ to


def test_luck_is_taken_off_each_alike_down_to_the_adjusted_r2():
    free = np.array([[0.4, 0.2, 0.1]])
    assert less_luck(free, 24).sum() == pytest.approx(float(adjusted(np.array(0.7), 24, 3)))
    assert (free - less_luck(free, 24)).round(12).tolist() == [[0.015] * 3]
    assert less_luck(np.array([[0.01, 0.02, 0.01]]), 40).tolist() == [[0.0, 0.0, 0.0]]
    small = less_luck(np.array([[0.4, 0.001, 0.001]]), 30)
    assert small[0, 1:].tolist() == [0.0, 0.0]
    assert small.sum() == pytest.approx(float(adjusted(np.array(0.402), 30, 3)))


def test_with_one_regressor_its_share_is_r2():
    rows = np.random.default_rng(2).standard_normal((20, 2))
    assert lmg(np.cov(rows.T)[None]).item() == pytest.approx(np.corrcoef(rows.T)[0, 1] ** 2)
