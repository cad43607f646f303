"""Textbook decisions, run through the code that weighs a board."""

import math

import numpy as np
import pytest

from estimator.decide.weigh.open_first import Offer, finds_of, opening_first
from estimator.decide.weigh.terms import Wanted, at_price, beyond, said_of


class TestGoferbroke:
    """F. S. Hillier & G. J. Lieberman, Introduction to Operations Research, the Goferbroke Co. prototype example.

    Drill for 700 with oil and -100 without, or sell for 90; oil 1 in 4. A survey for 30 is favourable with oil 6 in 10,
    without 2 in 10. Selling is what else one can do; so a hole is a board priced at 610 over it, that is free with oil
    and takes 800 hours at 1 an hour without; the survey is what opening it up shows.
    """

    # 20 cases by chance: oil .25, of them .6 favourable; dry .75, of them .2 favourable
    OIL = np.array([True] * 5 + [False] * 15)
    FAVOURABLE = np.array([True] * 3 + [False] * 2 + [True] * 3 + [False] * 12)
    HOURS = np.where(OIL, 0.0, 800.0)
    SELL = 90.0

    def opened(self, shown, cost=0.0):
        seen = finds_of(np.column_stack([shown]), self.HOURS, np.zeros(20), np.full(20, cost))
        return opening_first(seen, Offer(610.0, 0.0, True, 1.0, 1.0, ((1.0, 1.0),)))

    def test_without_experimentation(self):
        assert self.SELL + self.opened(np.zeros(20)).now == pytest.approx(100.0)

    def test_perfect_information(self):
        told = self.opened(self.OIL)

        assert self.SELL + told.first == pytest.approx(242.5)
        assert told.value == pytest.approx(142.5)
        assert told.seeing == pytest.approx(142.5)

    def test_the_survey(self):
        told = self.opened(self.FAVOURABLE)

        assert told.share.tolist() == pytest.approx([0.7, 0.3])
        assert told.times.tolist() == [0.0, 1.0]  # sell where it is unfavourable, else drill
        assert self.SELL + told.first == pytest.approx(153.0)
        assert told.value == pytest.approx(53.0)

    def test_the_survey_at_its_cost(self):
        """The survey is paid for first, and is no part of what drilling costs: its hours count before either."""
        told = self.opened(self.FAVOURABLE, cost=30.0)

        assert self.SELL + told.first == pytest.approx(123.0)

    def test_posterior_chances(self):
        favourable = finds_of(np.column_stack([self.FAVOURABLE]), self.HOURS, np.zeros(20), np.zeros(20))

        assert 1 - favourable.rest / 800 == pytest.approx([1 / 7, 1 / 2])


def test_expected_excess_of_a_lognormal():
    """J. C. Hull, Options, Futures, and Other Derivatives, the Black-Scholes example: S 42, K 40, r .1, σ .2, T .5.

    The price of the call, 4.76, is the discounted mean excess over 40; of the put, .81, the mean that is missing.
    """
    n = 400_000
    from statistics import NormalDist

    normal = NormalDist()
    z = np.array([normal.inv_cdf((i + 0.5) / n) for i in range(n)])
    worth = 42 * np.exp((0.1 - 0.2**2 / 2) * 0.5 + 0.2 * math.sqrt(0.5) * z)
    discount = math.exp(-0.1 * 0.5)

    assert discount * beyond(worth, 40.0) == pytest.approx(4.76, abs=0.005)
    assert discount * beyond(-worth, -40.0) == pytest.approx(0.81, abs=0.005)


@pytest.mark.parametrize(("markup", "margin"), [(0.25, 0.20), (0.50, 1 / 3), (1.00, 0.50)])
def test_markup_and_margin(markup, margin):
    """Identities of cost accounting: a markup on cost of 25, 50, 100 % is a margin of 20, 33.3, 50 % of the price."""
    hours = np.full(4, 20.0)
    price = 40 * 20 * (1 + markup)
    said = said_of(
        "fixed",
        at_price(price, hours, np.zeros(4)),
        Wanted(40.0, 0.0, 40.0, 40.0),
        price=price,
        most=price,
        price_for_target=0.0,
        odds=0.8,
    )

    assert said.worth / price == pytest.approx(margin)
    assert said.break_even_hours == pytest.approx(20 * (1 + markup))


def test_mean_pay_of_lognormal_hours():
    """E[1/H] E[H] = exp(σ²) for lognormal hours: mean pay is above the pay of the mean hours."""
    from statistics import NormalDist

    z = np.array([NormalDist().inv_cdf((i + 0.5) / 100_000) for i in range(100_000)])
    hours = 20 * np.exp(0.3 * z)
    pay = at_price(1.0, hours, np.zeros(100_000)).pay

    assert pay.mean() * hours.mean() == pytest.approx(math.exp(0.09), rel=1e-3)
