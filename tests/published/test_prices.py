"""The price that pays, beside printed numbers and identities of prices."""

import math

import numpy as np
import pytest
from scipy import stats

from estimator.forecast.answers import price_for
from estimator.model.materials import SHARE, lent_per_hour

N = 200_001
EVENLY = (np.arange(N) + 0.5) / N  # a draw for each chance
NOTHING = np.zeros(N)


def test_the_newsvendors_order():
    """Steven Nahmias, Production and Operations Analysis, Mac's newsstand: mean 11.73, sd 4.74, .50 short, .15 over.

    The ratio is .77; the table of the book gives z = .74 for it and 15.24. Unrounded it is 15.220.
    """
    needed = stats.norm(11.73, 4.74).ppf(EVENLY)
    ratio = 0.50 / (0.50 + 0.15)

    assert round(ratio, 2) == 0.77
    assert price_for(1.0, needed, NOTHING, ratio) == pytest.approx(15.220, abs=0.001)
    assert price_for(1.0, needed, NOTHING, stats.norm.cdf(0.74)) == pytest.approx(15.24, abs=0.005)
    assert price_for(0.5, needed, needed / 2, ratio) == pytest.approx(15.220, abs=0.001)


def test_a_price_is_lost_as_often_as_a_lognormal_law_says():
    """Hours lognormal about 20 with log-sd .3 at 50 an hour: 1,200 is too little with chance .271680."""
    hours = stats.lognorm(0.3, scale=20.0).ppf(EVENLY)

    assert price_for(50.0, hours, NOTHING, 1 - 0.271680) == pytest.approx(1200.0, abs=0.1)


@pytest.mark.parametrize(("markup", "margin"), [(0.25, 0.20), (0.50, 1 / 3), (1.00, 0.50)])
def test_a_margin_of_materials_is_their_markup_on_labour(markup, margin):
    """A markup of 25, 50, 100 in 100 is a margin of 20, 33 1/3, 50 in 100: an identity of any price."""
    hours = np.full(9, 20.0)
    price = price_for(40.0, hours, markup * 40.0 * hours, 0.8)

    assert 1 - 40.0 * 20.0 / price == pytest.approx(margin)


def test_the_lent_share_of_a_price_is_its_markup_too():
    mean, sd = lent_per_hour(40.0)
    for share, z in zip(SHARE, (-1.2815516, 1.2815516), strict=True):
        assert math.exp(mean + z * sd) / 40.0 == pytest.approx(share / (1 - share), rel=1e-6)


def test_paid_for_what_it_costs():
    """Price 1,800, materials 240, 39 hours: 40 an hour. Common practice, no source."""
    assert price_for(40.0, np.array([39.0]), np.array([240.0]), 0.8) == 1800.0
