"""The fast normal distribution against the standard library's."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.forecast.draws import chance_below, point_at


def test_chances_and_points_are_those_of_the_standard_library():
    z = np.linspace(-6, 6, 1237)
    chances = np.array([NormalDist().cdf(v) for v in z.tolist()])

    assert chance_below(z) == pytest.approx(chances, abs=1e-6)
    assert point_at(chances) == pytest.approx(z, abs=1e-5)


def test_published_points():
    """W. F. Sheppard (1903), Biometrika 2:174-190, and every table since (from memory): the usual points."""
    assert point_at(np.array([0.9, 0.95, 0.975, 0.995])) == pytest.approx(
        [1.2816, 1.6449, 1.9600, 2.5758], abs=5e-5
    )


@given(st.floats(allow_nan=False, allow_infinity=True), st.floats(allow_nan=False, allow_infinity=True))
def test_a_chance_never_falls_and_stays_a_chance(a, b):
    low, high = chance_below(np.sort([a, b]))

    assert 0 <= low <= high <= 1


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_point_never_falls_and_stays_a_number(a, b):
    low, high = point_at(np.sort([a, b]))

    assert -8 <= low <= high <= 8


def test_the_far_tail_keeps_its_shape():
    """What is left beyond five sd: the mean excess of a normal there is about .187 sd (Mills' ratio)."""
    beyond = 1 - (1 - chance_below(np.array([5.0]))) * (np.arange(1, 4000) / 4000)
    excess = (point_at(beyond) - 5).mean()
    exact = NormalDist().pdf(5) / (1 - NormalDist().cdf(5)) - 5

    assert excess == pytest.approx(exact, rel=0.01)
