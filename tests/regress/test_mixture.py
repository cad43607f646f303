"""Mixtures of Student's t against a statistics library and against each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from estimator.regress.mixture import NOTHING, Mixture, joined

numbers = arrays(float, (2, 3), elements=st.floats(-20, 20))
sizes = arrays(float, (2, 3), elements=st.floats(0.01, 20))
added = st.sampled_from([0.0, 0.5, 3.0])
probs = arrays(float, 4, elements=st.floats(1e-4, 1 - 1e-4))


def mixture(weight, place, scale, spare):
    return Mixture.of(weight / weight.sum(axis=1, keepdims=True), place, scale, spare)


@given(sizes, numbers, sizes, st.floats(1, 50), probs)
def test_quantiles_turn_chances_round(weight, place, scale, spare, chances):
    told = mixture(weight, place, scale, spare)
    points = told.quantiles(chances)

    for j, p in enumerate(chances):
        assert told.chance_below(points[:, j]) == pytest.approx([p, p], abs=1e-8)
    assert (np.diff(points[:, np.argsort(chances)], axis=1) >= 0).all()


@given(sizes, numbers, sizes, st.floats(3, 50), probs, added)
def test_quantiles_with_hours_added(weight, place, scale, spare, chances, hours):
    told = mixture(weight, place, scale, spare).with_added(hours)
    points = told.quantiles(chances)
    least = np.log(hours) - NOTHING if hours else -np.inf  # below, there is nothing left

    for j, p in enumerate(chances):
        below = told.chance_below(points[:, j])
        assert np.all((np.abs(below - p) < 1e-8) | ((points[:, j] < least + 25) & (below > p - 1e-8)))
    assert (np.diff(points[:, np.argsort(chances)], axis=1) >= 0).all()


def test_hours_added_are_taken_off_again():
    plain = Mixture.of(np.ones((1, 1)), 2.0, 0.3, 7.0)
    told = plain.with_added(2.0)
    chances = np.array([0.1, 0.5, 0.9])

    assert np.exp(told.quantiles(chances)) == pytest.approx(np.exp(plain.quantiles(chances)) - 2.0)
    assert np.exp(told.draws(9, np.random.default_rng(1))) == pytest.approx(
        np.maximum(np.exp(plain.draws(9, np.random.default_rng(1))) - 2.0, 0.0), abs=1e-7
    )


def test_the_density_is_how_fast_chances_grow():
    told = mixture(np.array([[1.0, 2.0]]), np.array([[0.5, 1.0]]), np.array([[0.4, 0.2]]), 6.0).with_added(
        1.0
    )
    at, step = np.array([0.3]), 1e-6
    slope = (told.chance_below(at + step) - told.chance_below(at - step)) / (2 * step)

    assert np.exp(told.log_density(at)) == pytest.approx(slope, rel=1e-6)


def test_one_part_is_students_t():
    told = Mixture.of(np.ones((1, 1)), 2.0, 0.5, 7.0)
    t = stats.t(7, 2.0, 0.5)

    assert told.quantiles(np.array([0.9, 0.05]))[0] == pytest.approx(t.ppf([0.9, 0.05]))
    assert told.log_density(np.array([2.8])) == pytest.approx([t.logpdf(2.8)])
    assert told.chance_below(np.array([2.8])) == pytest.approx([t.cdf(2.8)])


def test_draws_fall_as_chances_say():
    told = mixture(np.array([[1.0, 3.0]]), np.array([[0.0, 4.0]]), np.array([[1.0, 0.5]]), 5.0)
    drawn = told.draws(40_000, np.random.default_rng(1))

    for p in (0.1, 0.3, 0.8):
        assert (drawn < told.quantiles(np.array([p]))).mean() == pytest.approx(p, abs=0.01)


def test_joined_mixtures_keep_their_shares():
    low, high = (Mixture.of(np.ones((1, 1)), place, 0.1, 9.0) for place in (0.0, 10.0))
    both = joined([low, high], [0.2, 0.8])

    assert both.chance_below(np.array([5.0])) == pytest.approx([0.2])


def test_many_rows_are_answered_in_blocks(monkeypatch):
    rng = np.random.default_rng(0)
    told = mixture(rng.random((50, 3)), rng.normal(size=(50, 3)), rng.random((50, 3)) + 0.1, 4.0)
    whole = told.quantiles(np.array([0.2, 0.7]))
    monkeypatch.setattr("estimator.regress.mixture.BLOCK", 30)

    assert told.quantiles(np.array([0.2, 0.7])) == pytest.approx(whole, abs=1e-8)
