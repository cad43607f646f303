"""The fast normal distribution against the standard library's."""

import math
from dataclasses import replace
from statistics import NormalDist
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.fits import made_fit

from estimator.forecast.draws import Work, _learned_pace, _quantity, chance_below, point_at
from estimator.model.saved_fit import UNPLANNED


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


def test_what_is_learned_of_a_board_s_pace_from_a_finished_stage():
    """Loading .3, noise .4: 1 + .09 / .16 is 1.5625, so that an sd of .8 is left; e times the usual pulls by 1.875."""
    fit = made_fit(loading=0.3, noise=0.4)
    to_do = Work({}, {}, {"strip": math.e * 7.0, "infill": 99.0}, frozenset({"strip"}))
    usual = {name: SimpleNamespace(log_median=np.full(3, math.log(7.0))) for name in ("strip", "infill")}
    place = {name: i for i, name in enumerate(fit.stages)}
    pace = _learned_pace(fit, to_do, usual, place, np.zeros(3, dtype=int))

    assert pace.sd == pytest.approx([0.8] * 3)
    assert pace.mean == pytest.approx([1.875 / 1.5625] * 3)
    assert pace.at(2.0) == pytest.approx([1.2 + 1.6] * 3)
    untold = replace(fit, untold=(("strip", "once"),))
    assert _learned_pace(untold, to_do, usual, place, np.zeros(3, dtype=int)).sd == pytest.approx([1.0] * 3)


def test_of_work_that_nobody_planned_there_is_one_or_none():
    planned, unplanned = Work({}, {}, {}, frozenset()), Work({"strip unplanned": 1.0}, {}, {}, frozenset())

    assert UNPLANNED == "unplanned"
    assert [_quantity(one, "strip", UNPLANNED) for one in (planned, unplanned)] == [0.0, 1.0]
    assert (_quantity(planned, "strip", "once"), _quantity(planned, "strip", "area")) == (1.0, 0.0)
