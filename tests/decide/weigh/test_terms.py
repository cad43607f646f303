"""A board under terms: closed forms of lognormal hours, identities, and what must not change."""

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.decide.weigh.terms import (
    CEILING,
    FIXED,
    Wanted,
    at_price,
    beyond,
    hours_at,
    said_of,
    under_ceiling,
    usual_ceiling,
)
from estimator.forecast.answers import price_for

N = 200_000
MIDDLES = np.array([NormalDist().inv_cdf((i + 0.5) / N) for i in range(N)])  # a normal law without luck
HOURS = 66 * np.exp(0.2 * MIDDLES)
MATERIALS = 300 * np.exp(0.15 * np.random.default_rng(1).permutation(MIDDLES))
WANTED = Wanted(target=42.0, floor=30.0, overhead=8.0, worth=40.0)


def fixed(price, hours=HOURS, materials=MATERIALS, wanted=WANTED, **more):
    needed = price_for(wanted.target, hours, materials, 0.8)
    return said_of(
        FIXED,
        at_price(price, hours, materials),
        wanted,
        price=price,
        most=price,
        price_for_target=needed,
        odds=0.8,
        **more,
    )


def ceiling(at, hours=HOURS, materials=MATERIALS, wanted=WANTED):
    outcome = under_ceiling(at, wanted.target, hours, materials)
    return said_of(CEILING, outcome, wanted, price=at, most=at, price_for_target=0.0, odds=0.8, ceiling=at)


def test_chance_of_loss_of_lognormal_hours():
    """Hours LN(ln 20, .3) at 50 an hour against 1,200: the chance of loss is that of passing 24 hours."""
    hours = 20 * np.exp(0.3 * MIDDLES)
    nothing = np.zeros(N)

    said = fixed(1200.0, hours, nothing, replace(WANTED, overhead=50.0))

    assert said.break_even_hours == 24.0
    assert said.chance_of_loss == pytest.approx(1 - NormalDist().cdf(math.log(24 / 20) / 0.3), abs=1e-4)
    assert said.chance_of_loss == pytest.approx(0.271680, abs=1e-4)
    assert said.likely == pytest.approx(60.0, rel=1e-4)
    assert at_price(1200.0, hours, nothing).pay.mean() == pytest.approx(62.7617, rel=1e-4)


def test_what_goes_beyond_a_price_is_the_partial_expectation_of_a_lognormal():
    """E max(cost - price, 0) of a lognormal, in closed form."""
    cost = WANTED.target * HOURS
    price, sigma, mean = 3000.0, 0.2, 42 * 66 * math.exp(0.02)
    d1 = (math.log(mean / price) + sigma**2 / 2) / sigma
    cdf = NormalDist().cdf

    assert beyond(cost, price) == pytest.approx(mean * cdf(d1) - price * cdf(d1 - sigma), rel=1e-3)
    assert ceiling(price, materials=np.zeros(N)).unpaid == pytest.approx(beyond(cost, price))


def test_a_price_that_reaches_the_target_does_so_as_often_as_asked():
    said = fixed(price_for(42.0, HOURS, MATERIALS, 0.8))

    assert said.chance_below_target == pytest.approx(0.2, abs=1e-4)
    assert said.price == said.price_for_target


def test_the_chances_are_those_of_passing_the_hours_that_go_with_them():
    said = fixed(3000.0, materials=np.full(N, 300.0))

    for hours, chance in (
        (said.hours_for_target, said.chance_below_target),
        (said.hours_for_floor, said.chance_below_floor),
        (said.break_even_hours, said.chance_of_loss),
    ):
        assert chance == pytest.approx(np.mean(hours < HOURS), abs=1e-9)
    assert said.hours_for_target < said.hours_for_floor < said.break_even_hours


def test_under_a_ceiling_it_pays_what_is_wanted_until_the_ceiling_is_passed():
    said = ceiling(3000.0)

    assert said.high == pytest.approx(42.0)
    assert said.chance_below_target == pytest.approx(np.mean(42 * HOURS + MATERIALS > 3000.0))
    assert 0.3 < said.chance_below_target < 0.7


def test_a_ceiling_out_of_reach_pays_what_is_wanted_on_every_board():
    said = ceiling(1e9)

    assert said.chance_below_target == 0
    assert said.low == pytest.approx(42.0)
    assert said.worth == pytest.approx(2 * HOURS.mean())


def test_the_usual_ceiling_is_passed_as_often_as_the_price_lets_it():
    cost = 42 * HOURS + MATERIALS
    middle = float(np.median(cost))

    cost = middle + (cost - middle) / 2  # within a quarter
    assert np.mean(cost > usual_ceiling(middle, cost)) == pytest.approx(0.1, abs=1e-4)
    assert usual_ceiling(2 * middle, cost) == pytest.approx(2 * usual_ceiling(middle, cost))
    assert usual_ceiling(500.0, np.zeros(5)) == 500.0


def test_the_usual_ceiling_is_no_more_than_a_quarter_above():
    assert usual_ceiling(1000.0, np.linspace(10.0, 190.0, 50)) == 1250.0


def test_without_overheads_nothing_is_said_of_breaking_even():
    said = fixed(3000.0, wanted=replace(WANTED, overhead=0.0))

    assert said.break_even_hours is None
    assert said.chance_of_loss == 0


def test_broken_promises_are_taken_off_the_worth_alone():
    plain, broken = fixed(3000.0), fixed(3000.0, penalty=120.0)

    assert broken.worth == pytest.approx(plain.worth - 120)
    assert (broken.low, broken.income) == (plain.low, plain.income)


@given(st.floats(0.01, 1000))
def test_in_another_currency_all_money_is_as_many_times_as_much(times):
    hours, materials = HOURS[::1000], MATERIALS[::1000]
    said = fixed(3000.0, hours, materials)
    wanted = Wanted(*(times * v for v in (42.0, 30.0, 8.0, 40.0)))
    other = fixed(times * 3000.0, hours, times * materials, wanted)

    for name in ("low", "likely", "high", "price_for_target", "unpaid", "income", "worth"):
        assert getattr(other, name) == pytest.approx(times * getattr(said, name), rel=1e-9)
    for name in ("chance_below_target", "chance_below_floor", "chance_of_loss", "break_even_hours"):
        assert getattr(other, name) == pytest.approx(getattr(said, name), rel=1e-9)


@given(st.floats(0, 1e5))
def test_as_much_more_on_price_and_materials_changes_nothing_that_is_left(more):
    hours, materials = HOURS[::1000], MATERIALS[::1000]
    said, other = fixed(3000.0, hours, materials), fixed(3000.0 + more, hours, materials + more)

    for name in ("low", "likely", "high", "worth", "income", "unpaid", "break_even_hours"):
        assert getattr(other, name) == pytest.approx(getattr(said, name), rel=1e-6, abs=1e-6)
    assert other.price_for_target == pytest.approx(said.price_for_target + more)
    assert other.chance_below_target == said.chance_below_target


def test_a_higher_price_never_pays_less():
    prices = [2000.0, 2600.0, 3200.0, 4000.0]
    said = [fixed(price) for price in prices]

    assert [s.chance_below_target for s in said] == sorted(
        (s.chance_below_target for s in said), reverse=True
    )
    assert [s.worth for s in said] == sorted(s.worth for s in said)
    assert said[3].worth - said[0].worth == pytest.approx(2000.0)


def test_what_just_breaks_even_is_no_loss_and_what_costs_more_than_it_brings_buys_no_hours():
    """24 and 20 hours at 50 against 1,200; worth 40 an hour elsewhere they are 240 and 400, so 320 give or take 80."""
    said = fixed(1200.0, np.array([24.0, 20.0]), np.zeros(2), replace(WANTED, overhead=50.0))

    assert (said.chance_of_loss, said.break_even_hours) == (0.0, 24.0)
    assert (said.worth, said.error) == pytest.approx((320.0, 80 / 2**0.5))
    assert (said.hours_for_target, said.hours_for_floor) == pytest.approx((1200 / 42, 40.0))
    assert hours_at(50.0, -100.0) == 0.0
