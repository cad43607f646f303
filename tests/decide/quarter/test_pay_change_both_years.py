"""Two years differ by the luck of both."""

import math
from statistics import NormalDist

import pytest

from estimator.decide.quarter.pay import LogPay, between, shrunk


def test_a_change_has_the_standard_error_of_both_years():
    """.2 apart with squared errors of .01 and .03, so of .2 together: a fifth of it is kept, as true changes have .1."""
    now, before = LogPay(3.9, 4.0, 0.01, 9), LogPay(3.7, 3.6, 0.03, 4)
    change = between(now, before)

    kept = 0.1**2 / (0.1**2 + 0.04)
    assert change.raw == pytest.approx(0.2)  # of the logs, not of all together
    assert change.shrunk == pytest.approx(0.2 * kept)
    assert change.above == pytest.approx(NormalDist().cdf(0.2 * kept / (math.sqrt(kept) * 0.2)))
    back = between(before, now)
    assert (back.raw, back.shrunk, back.above) == pytest.approx((-0.2, -0.2 * kept, 1 - change.above))


@pytest.mark.parametrize(("now", "before", "told"), [(2, 2, True), (1, 9, False), (9, 1, False)])
def test_two_boards_on_either_side_are_enough(now, before, told):
    assert (between(LogPay(3.9, 4.0, 0.01, now), LogPay(3.7, 3.6, 0.03, before)) is not None) is told


def test_what_luck_has_no_part_in_is_sure():
    assert [(one.shrunk, one.above, one.how_sure) for one in (shrunk(0.2, 0.0), shrunk(-0.2, 0.0))] == [
        (0.2, 1.0, 1.0), (-0.2, 0.0, 1.0)
    ]  # fmt: skip
