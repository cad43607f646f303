"""Materials by draw: as written, by what a unit costs, by the hour; and what a price pays."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.fits import SETTINGS, made_fit, work

from estimator.forecast.answers import _guess_alone, _money, _unsplit, materials_of, price_for
from estimator.model.materials import lent_per_hour
from estimator.model.saved_fit import KnownBoard, Materials
from estimator.words.settings.schema import Workshop

DRIVERS = ("once", "area", "pieces", "colours")
COSTS = np.array([30.0, 55.0, 8.0, 40.0])
KNOWN = Materials(
    drivers=DRIVERS,
    log_cost=np.log(COSTS),
    root=np.zeros((4, 4)),
    luck=0.0,
    free=0.0,
    per_hour=(math.log(5.0), 0.0),
    boards=31,
)
UNSURE = replace(KNOWN, root=0.2 * np.eye(4), luck=0.15, per_hour=(math.log(5.0), 0.2))
BOARD = KnownBoard("26-014")
VALUES = {"area": 2.0, "pieces": 3.0, "colours": 1.0}
HOURS = 20 * np.exp(0.3 * np.random.default_rng(3).standard_normal(20_000))


def money(learned, values=VALUES, board=BOARD, hours=HOURS, settings=SETTINGS, seed=7):
    fit = replace(made_fit(), materials=learned)
    rng = np.random.default_rng(seed)
    return materials_of(fit, board, work(values, ("strip",), n=len(hours)), hours, settings, rng)


def test_what_is_written_is_what_it_costs():
    written = money(UNSURE, board=replace(BOARD, materials=240.0))

    assert written.shape == HOURS.shape
    assert set(written) == {240.0}
    assert set(money(None, board=replace(BOARD, materials=0.0))) == {0.0}


def test_known_costs_make_what_a_hand_adds_up():
    assert money(KNOWN) == pytest.approx(np.full(20_000, 30 + 2 * 55 + 3 * 8 + 40))


def test_what_is_not_known_of_a_board_is_taken_draw_by_draw():
    pieces = np.random.default_rng(1).integers(0, 6, 20_000).astype(float)

    assert money(KNOWN, {**VALUES, "pieces": pieces}) == pytest.approx(180.0 + 8.0 * pieces)


def test_the_mean_of_unsure_costs_is_the_likeliest():
    few = money(replace(UNSURE, luck=0.0))

    assert few.mean() == pytest.approx(204.0, rel=0.01)
    together = np.zeros((4, 4))
    together[0] = [0.2, 0.3, 0.1, 0.0]  # the cost of a board alone is unsure, by three causes
    assert money(replace(KNOWN, root=together)).mean() == pytest.approx(204.0, abs=1.2)
    assert np.median(money(UNSURE)) == pytest.approx(204.0, rel=0.02)


def test_luck_goes_with_the_whole():
    lucky = money(replace(KNOWN, luck=0.15))

    assert np.log(lucky / 204.0).std() == pytest.approx(0.15, rel=0.03)
    assert np.corrcoef(lucky, HOURS)[0, 1] == pytest.approx(0.0, abs=0.03)


def test_two_boards_drawn_alike_differ_by_their_work_alone():
    more = money(UNSURE, {**VALUES, "colours": 2.0}) - money(UNSURE)
    more_again = money(UNSURE, {**VALUES, "colours": 3.0}) - money(UNSURE, {**VALUES, "colours": 2.0})

    assert (more > 0).all()
    assert more == pytest.approx(more_again)
    assert np.median(more) == pytest.approx(40.0, rel=0.05)


def test_so_many_boards_take_none():
    some = money(replace(UNSURE, free=0.3))

    assert np.mean(some == 0) == pytest.approx(0.3, abs=0.01)
    assert np.array_equal(some[some > 0], money(UNSURE)[some > 0])


@pytest.mark.parametrize("values", [{}, {"area": 2.0, "pieces": 3.0}])
def test_where_not_all_is_known_it_goes_by_the_hours_of_the_draw(values):
    assert money(KNOWN, values) == pytest.approx(5.0 * HOURS)
    assert np.log(money(UNSURE, values) / HOURS).std() == pytest.approx(0.2, rel=0.03)


def test_where_no_board_tells_the_lent_share_of_the_price_does():
    share = money(None) / (money(None) + SETTINGS.workshop.target_pay * HOURS)

    assert np.quantile(share, [0.1, 0.9]) == pytest.approx([0.08, 0.20], abs=0.003)
    assert np.median(money(None) / HOURS) == pytest.approx(math.exp(lent_per_hour(40.0)[0]), rel=0.02)


def test_without_a_board_and_a_wanted_pay_there_is_nothing_to_go_by():
    free = replace(SETTINGS, workshop=Workshop(target_pay=0.0))

    assert set(money(None, settings=free)) == {0.0}
    assert money(KNOWN, settings=free) == pytest.approx(np.full(20_000, 204.0))


def test_the_same_start_makes_the_same_money():
    assert np.array_equal(money(UNSURE), money(UNSURE))
    assert not np.array_equal(money(UNSURE), money(UNSURE, seed=8))


# ---- the price


def test_a_price_pays_as_often_as_it_says():
    spent = money(UNSURE)
    for odds in (0.5, 0.8, 0.95):
        price = price_for(42.0, HOURS, spent, odds)
        assert np.mean((price - spent) / HOURS >= 42.0) == pytest.approx(odds, abs=1e-3)


@given(
    st.floats(0, 500),
    st.lists(st.tuples(st.floats(0.1, 500), st.floats(0, 5000)), min_size=1, max_size=30),
    st.floats(0.5, 0.95),
)
def test_a_price_grows_with_what_is_wanted_and_how_surely(target, boards, odds):
    hours, spent = np.array(boards).T
    price = price_for(target, hours, spent, odds)

    assert price >= price_for(target, hours, spent, odds - 0.1) - 1e-9
    assert price <= price_for(target + 1, hours, spent, odds) + 1e-9
    assert price_for(target, hours, spent + 10, odds) == pytest.approx(price + 10)
    assert price_for(2 * target, hours, 2 * spent, odds) == pytest.approx(2 * price)
    assert min(target * hours + spent) - 1e-9 <= price <= max(target * hours + spent) + 1e-9


def test_as_many_boards_as_the_log_has_take_no_materials_at_all_whatever_is_known_of_them():
    """A quarter of past boards took none: a quarter of the draws is nought, the rest is by the unit or by the hour."""
    free = replace(KNOWN, free=0.25)
    by_unit, by_hour = money(free), money(free, {"area": 2.0})

    assert (by_unit == 0).mean() == pytest.approx(0.25, abs=0.01)
    assert by_unit[by_unit > 0] == pytest.approx(204.0)
    assert (by_hour == 0).mean() == pytest.approx(0.25, abs=0.01)
    assert by_hour[by_hour > 0] == pytest.approx(5.0 * HOURS[by_hour > 0])


def test_materials_that_are_written_are_not_lent_and_without_any_pay_wanted_nothing_lent_is_said():
    hours, bare = np.full(9, 10.0), made_fit()
    nothing = work({}, (), n=9)
    wanted = replace(SETTINGS, workshop=Workshop(target_pay=40.0))

    def said(board, settings=wanted, fit=bare):
        return _money(fit, board, nothing, hours, settings, 0.8, 0)

    cost, price = said(replace(BOARD, materials=50.0))
    assert (cost.lent, cost.likely, price.for_target) == (False, 50.0, 450.0)
    assert said(BOARD)[0].lent
    unpaid = replace(SETTINGS, workshop=Workshop(target_pay=0.0))
    assert said(BOARD, unpaid) == (None, None)
    assert said(replace(BOARD, materials=50.0), unpaid)[0].likely == 50.0
    assert not said(BOARD, unpaid, replace(bare, materials=KNOWN))[0].lent


@pytest.mark.parametrize(
    ("state", "hours", "unsplit"),
    [("finished", 12.0, 5.0), ("finished", 6.0, 0.0), ("finished", None, 0.0), ("on bench", 12.0, 0.0)],
)
def test_hours_of_a_total_that_no_stage_has(state, hours, unsplit):
    done = work({}, (), booked={"strip": 4.0, "spray": 3.0}, n=2)
    assert _unsplit(KnownBoard("a", state=state, hours=hours), done) == unsplit


@pytest.mark.parametrize(
    ("more", "alone"),
    [
        ({}, True),
        ({"guess": None}, False),
        ({"kind": "minor"}, False),
        ({"length_m": 2.0}, False),
        ({"booked": (("strip", 1.0, False),)}, False),
        ({"assessed": {"area": 2.0}}, False),
        ({"assessed": {"brittle": 0.0}}, False),
        ({"assessed": {"unheard of": 2.0}}, True),
    ],
)
def test_a_guess_stands_alone_where_nothing_else_is_known(more, alone):
    assert _guess_alone(replace(KnownBoard("a", guess=20.0), **more), SETTINGS) is alone
