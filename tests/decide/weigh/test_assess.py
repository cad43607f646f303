"""A board thought over: what an hour is held against, and what each term is reckoned from, by hand."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.weighings import BOARD, FIT, ROW, SHOP, standing, weighed

from estimator.decide.weigh.assess import weigh
from estimator.decide.weigh.open_first import Finds, draws_of
from estimator.decide.weigh.terms import OPEN_FIRST, Question
from estimator.decide.weigh.worth import Filling
from estimator.words.settings.schema import Workshop


def by_hand(hours, materials, *, lent=False):
    """Draws of a board that is open already."""
    drawn = draws_of(FIT, BOARD, SHOP)
    return replace(
        drawn, hours=np.array(hours, float), materials=np.array(materials, float), made=None, opening=None,
        materials_lent=lent,
    )  # fmt: skip


def asked(price, draws, *, how=None, settings=SHOP, **more):
    return weigh(ROW, Question(price, **more), draws, how or standing(), settings, 0)


def test_an_hour_is_worth_what_enquiries_would_fill_it_with():
    """At 55 an hour by twenty enquiries, with more than four weeks in line; ordinary work pays 40."""
    said = weighed(how=standing(filling=Filling(55.0, 20)))

    assert (said.elsewhere.pay, said.elsewhere.asks, said.wanted.worth) == (55.0, 20, 55.0)
    assert (weighed().elsewhere.pay, weighed().elsewhere.asks) == (40.0, 0)


def test_weeks_in_line_are_hours_in_hand_over_those_of_a_week():
    """58 hours at 29 a week: half of the four weeks that fill a line, so half of what ordinary work pays, 40."""
    said = weighed(how=standing(hours_in_hand=58.0))

    assert (said.elsewhere.weeks, said.elsewhere.pay) == (2.0, 20.0)


@pytest.mark.parametrize(("idle", "worth"), [(0.0, 0.0), (20.0, 20.0), (35.0, 30.0)])
def test_an_idle_hour_is_worth_no_more_than_the_least_that_is_taken(idle, worth):
    settings = replace(SHOP, workshop=replace(SHOP.workshop, idle_hour=idle))

    assert weighed(settings=settings, how=standing(hours_in_hand=0.0)).elsewhere.pay == worth


def test_the_price_that_pays_what_is_wanted_is_that_of_hours_at_it_and_materials():
    """Ten to twelve hours at 42 and a hundred: 604 at even odds."""
    said = asked(900.0, by_hand([10, 11, 12, 13, 14], [100] * 5), odds=0.5)

    assert [one.price_for_target for one in said.terms] == pytest.approx([42 * 12 + 100.0] * 2)
    [fixed, ceiling] = said.terms
    assert (fixed.income, fixed.worth) == pytest.approx((800.0, 800.0 - 40 * 12))
    # by the hour, materials on top: never more than the ceiling
    assert (ceiling.income, ceiling.unpaid) == pytest.approx((42 * 12.0, 0.0))
    # nine in ten cost up to 13.6 hours at 42 and 100, half up to 604: so much above the price lies the ceiling
    most = 900.0 * (42 * 13.6 + 100) / 604
    assert (fixed.ceiling, ceiling.ceiling) == (None, pytest.approx(most))
    assert (fixed.hours_for_target, ceiling.hours_for_target) == pytest.approx((800 / 42, (most - 100) / 42))
    assert (said.mean_hours, said.materials) == (12.0, 100.0)
    assert said.bench_weeks == pytest.approx(12 / 29)


def test_that_materials_are_lent_is_said_only_where_they_are():
    lent, own = (asked(900.0, by_hand([10] * 5, [100] * 5, lent=one)).notes for one in (True, False))
    said = "No finished board tells what materials cost"

    assert [note[: len(said)] for note in lent if note not in own] == [said]


def test_what_was_decided_before_is_said_as_it_was():
    row = replace(ROW, decided="accepted", decided_why="a friend", for_love=True)
    said = weigh(row, Question(900.0), by_hand([10] * 5, [100] * 5), standing(), SHOP, 0).decided

    assert (said.why, said.for_love) == ("a friend", True)
    assert asked(900.0, by_hand([10] * 5, [100] * 5)).decided is None


def test_without_a_calendar_of_hours_no_weeks_are_told():
    bare = replace(
        SHOP, workshop=Workshop(target_pay=42.0), bench=replace(SHOP.bench, hours_by_weekday=(0.0,) * 7)
    )
    said = asked(900.0, by_hand([10] * 5, [100] * 5), settings=bare)

    assert (said.bench_weeks, said.elsewhere.weeks, said.elsewhere.pay) == (None, None, 40.0)


def test_a_board_that_goes_home_once_it_is_open_costs_no_materials():
    """Half go on at 900, the fee in it, with 100 of materials; half take 200 hours, and go home for the fee, 2 at 42."""
    half = np.repeat([0, 1], 500)
    finds = Finds(half, np.array([0.5, 0.5]), np.array([8.0, 198.0]), np.array([100.0, 100.0]), 2.0)
    draws = replace(
        by_hand(np.where(half, 200.0, 10.0), np.full(1000, 100.0)),
        opening=np.full(1000, 2.0),
        made=SimpleNamespace(finds=lambda *_: finds, fit=SimpleNamespace(n_draws=10)),
    )
    sure = replace(SHOP, workshop=replace(SHOP.workshop, requote=((1.0, 1.0), (1.5, 0.5))))
    [said] = asked(900.0, draws, terms=OPEN_FIRST, settings=sure).terms

    assert said.terms == OPEN_FIRST
    assert said.income == pytest.approx((800.0 + 84.0) / 2)
