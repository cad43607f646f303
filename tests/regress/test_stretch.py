"""How wide ranges should have been, from where boards landed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.regress.stretch import learn_stretch


def test_no_board_moves_nothing():
    assert learn_stretch([]) == (1.0, 1.0)


def test_by_hand():
    # (30 + 2 x (1 + 4)) / 33 below, (30 + 2 x .25) / 33 above
    assert learn_stretch([-1.0, -2.0, 0.5]) == pytest.approx(((40 / 33) ** 0.5, (30.5 / 33) ** 0.5))


@pytest.mark.parametrize("spread", [0.9, 1.0, 1.25, 1.5])
def test_many_boards_show_by_how_much_ranges_were_too_narrow(spread):
    z = spread * np.random.default_rng(4).standard_normal(40_000)
    # what lies beyond three standard deviations counts as three
    seen = np.sqrt(np.mean(np.minimum(np.abs(z), 3.0) ** 2))
    assert learn_stretch(z) == pytest.approx((seen, seen), rel=0.02)


def test_each_side_is_moved_by_its_own_misses():
    z = np.random.default_rng(5).standard_normal(4000)
    low, high = learn_stretch(np.where(z > 0, 1.4 * z, z))
    assert low == pytest.approx(1.0, abs=0.04)
    assert high == pytest.approx(1.38, abs=0.04)


def test_thirty_boards_that_say_nothing_else_move_half_of_the_way():
    # 30 boards whose squares come to 2 on average: halfway between 1 and 2
    assert learn_stretch([2**0.5, -(2**0.5)] * 15) == pytest.approx((1.5**0.5, 1.5**0.5))


@given(st.lists(st.floats(-50, 50), max_size=60))
def test_it_stays_within_its_bounds_and_turns_with_its_sides(z):
    low, high = learn_stretch(z)
    assert 0.8 <= low <= 1.6
    assert 0.8 <= high <= 1.6
    assert learn_stretch([-one for one in z]) == pytest.approx((high, low), rel=1e-12)
    assert learn_stretch(z[::-1]) == pytest.approx((low, high))
