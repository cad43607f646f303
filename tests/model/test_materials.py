"""What materials cost: found again where boards were made by known costs, and what is said where few tell."""

import math
from dataclasses import replace

import numpy as np
import pytest
from making.fits import RATES, SETTINGS, made_fit
from scipy.optimize import minimize

from estimator.model.materials import (
    EACH_SD,
    LUCK,
    LUCK_WORTH,
    _hours_of_a_unit,
    _share,
    costing,
    expected_uses,
    learn_materials,
    lent_per_hour,
)
from estimator.model.saved_fit import KnownBoard, fit_from_json
from estimator.words.records import DECLINED, FINISHED, ON_BENCH, WITHDRAWN, Board, Log
from estimator.words.settings.schema import Stage, Workshop

COSTS = {"once": 30.0, "area": 55.0, "pieces": 8.0, "colours": 40.0}
DRIVERS = tuple(COSTS)


def quantities(rng):
    return {
        "area": round(rng.uniform(0.3, 2.5), 2),
        "pieces": float(rng.integers(0, 6)),
        "colours": float(rng.integers(0, 4)),
    }


def spent(values):
    return COSTS["once"] + sum(COSTS[name] * much for name, much in values.items())


def boards(n, seed=0, luck=0.0, times=1.0):
    rng = np.random.default_rng(seed)
    made = []
    for i in range(n):
        values = quantities(rng)
        cost = times * spent(values) * math.exp(luck * rng.standard_normal())
        made.append(KnownBoard(f"n{i}", state=FINISHED, assessed=values, hours=12.0 + i, materials=cost))
    return tuple(made)


def learned(*some, settings=SETTINGS):
    return learn_materials(made_fit(boards=some), settings)


def said(told, values):
    """The likeliest materials of a board, before the half that a logarithm's spread takes off."""
    return sum(math.exp(c) * values.get(d, 1.0) for c, d in zip(told.log_cost, told.drivers, strict=True))


# ---- what is found again


def test_costs_that_boards_were_made_by_are_found_again():
    told = learned(*boards(60))

    assert told.drivers == DRIVERS == costing(SETTINGS)
    assert told.boards == 60
    for seed in range(5):
        values = quantities(np.random.default_rng(100 + seed))
        assert said(told, values) == pytest.approx(spent(values), rel=0.05)
    assert np.exp(told.log_cost) == pytest.approx(list(COSTS.values()), rel=0.15)


def test_luck_of_boards_is_found_again():
    told = learned(*boards(200, luck=0.15))

    assert told.luck == pytest.approx(0.15, rel=0.15)


@pytest.mark.parametrize(("none", "of", "share"), [(1, 1, 0.2), (2, 2, 1 / 3), (0, 5, 0.0), (6, 60, 0.09375)])
def test_boards_that_took_none_never_tell_for_sure_that_the_next_takes_none(none, of, share):
    """Four boards that took some are lent: of one board that took none, one of five."""
    some = [replace(b, materials=0.0) if i < none else b for i, b in enumerate(boards(of))]

    assert learned(*some).free == pytest.approx(share)


def test_more_boards_leave_less_open():
    few, many = learned(*boards(8, luck=0.1)), learned(*boards(80, luck=0.1))

    assert ((many.root**2).sum(axis=1) < (few.root**2).sum(axis=1)).all()


def test_it_is_the_least_of_what_is_weighed_up_worked_out_slowly():
    """The same sum of squares by a general minimiser, and its curvature by differences of slopes."""
    some = boards(9, luck=0.2)
    told = learned(*some)
    amounts = np.array([[1.0, *b.assessed.values()] for b in some])
    log_spent = np.log([b.materials for b in some])
    mean, sd = lent_per_hour(40.0)
    hours = {"once": RATES["check", "once"]}
    for (_, driver), rate in RATES.items():
        if driver != "once":
            hours[driver] = hours.get(driver, 0.0) + rate
    before = np.log([hours[d] for d in told.drivers]) + mean
    precision = np.linalg.inv(EACH_SD**2 * np.eye(4) + sd**2)

    def whole(costs):
        return amounts @ np.exp(costs)

    rest = log_spent - np.log(whole(told.log_cost))
    slopes = np.array(
        [
            (np.log(whole(told.log_cost + step)) - np.log(whole(told.log_cost - step))) / 2e-6
            for step in 1e-6 * np.eye(4)
        ]
    ).T

    def taken(variance):
        told_of = slopes.T @ slopes / variance
        return np.trace(np.linalg.solve(told_of + precision, told_of))

    variance = LUCK**2  # luck's own, by plain repetition at these costs
    for _ in range(500):
        variance = (LUCK_WORTH * LUCK**2 + rest @ rest) / (LUCK_WORTH + 9 - taken(variance))
    spare = LUCK_WORTH + 9 - taken(variance)
    assert told.luck == pytest.approx(math.sqrt(variance * spare / (spare - 2)), rel=1e-3)

    def weighed(costs):
        off = costs - before
        return ((log_spent - np.log(whole(costs))) ** 2).sum() / variance + off @ precision @ off

    found = minimize(
        weighed, before, method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10, "maxiter": 9000}
    )
    assert told.log_cost == pytest.approx(found.x, abs=2e-3)
    spread = np.linalg.inv(slopes.T @ slopes / variance + precision)
    assert told.root @ told.root.T == pytest.approx(spread, rel=5e-3, abs=1e-5)


# ---- few boards, and none


def test_without_a_board_that_tells_nothing_is_learned():
    assert learned() is None
    assert learned(KnownBoard("a", state=FINISHED, assessed=quantities(np.random.default_rng(0)))) is None
    assert learned(*(replace(b, state=WITHDRAWN) for b in boards(3))) is None
    assert learned(*(replace(b, state=DECLINED) for b in boards(3))) is None


def test_boards_that_tell_nothing_are_left_out_and_counted():
    some = boards(5)
    told = learned(
        *some,
        replace(some[0], board="x", materials=None),
        replace(some[1], board="y", assessed={"area": 1.0}),
        replace(some[2], board="z", state=ON_BENCH, materials=None),
    )

    assert (told.boards, told.without, told.unknown) == (5, 1, 1)
    assert np.array_equal(told.log_cost, learned(*some).log_cost)


def test_one_board_alone_moves_all_costs_the_same_way():
    values = {"area": 1.0, "pieces": 2.0, "colours": 1.0}
    usual = KnownBoard("a", state=FINISHED, assessed=values, hours=20.0, materials=100.0)
    dear, cheap = learned(replace(usual, materials=200.0)), learned(replace(usual, materials=50.0))

    assert (dear.log_cost > cheap.log_cost).all()
    assert said(cheap, values) < said(learned(usual), values) < said(dear, values)


def test_no_materials_at_all_are_a_value():
    some = boards(20)
    plain = learned(*some)
    third = learned(*some, *(replace(b, board=f"{b.board} again", materials=0.0) for b in some[:10]))
    all_free = learned(*(replace(b, materials=0.0) for b in some))

    assert (plain.free, third.free, all_free.free) == (0.0, pytest.approx(10 / 34), pytest.approx(20 / 24))
    assert third.boards == 30
    assert np.array_equal(third.log_cost, plain.log_cost)
    assert third.luck == plain.luck
    assert np.isfinite(all_free.log_cost).all()
    nobody_paid = replace(SETTINGS, workshop=Workshop(target_pay=0.0))
    assert learned(*(replace(b, materials=0.0) for b in some), settings=nobody_paid).free == 1.0


def test_a_driver_that_no_board_ever_had_keeps_the_share_of_its_hours():
    some = tuple(replace(b, assessed={**b.assessed, "colours": 0.0}) for b in boards(40))
    some = tuple(replace(b, materials=spent(b.assessed)) for b in some)
    told = learned(*some)
    cost = dict(zip(told.drivers, np.exp(told.log_cost), strict=True))

    # eight hours a colour, by the share that hours of area and pieces have, within a factor of two
    share = (cost["area"] * 1.3 + cost["pieces"] * 2.5) / (3.0 * 1.3 + 1.5 * 2.5)
    assert 0.5 < cost["colours"] / (8.0 * share) < 2


def test_of_a_driver_whose_hours_nothing_tells_a_unit_costs_the_middle_of_the_others():
    some = tuple(replace(b, assessed={**b.assessed, "colours": 0.0}) for b in boards(3))
    fit = made_fit(boards=some, rates={**RATES, ("spray", "colours"): 1.0}, untold=(("spray", "colours"),))
    told, plain = learn_materials(fit, SETTINGS), learn_materials(replace(fit, untold=()), SETTINGS)
    cost, as_told = (dict(zip(t.drivers, np.exp(t.log_cost), strict=True)) for t in (told, plain))

    assert cost["colours"] / as_told["colours"] == pytest.approx(1.5, rel=0.01)  # of .5, 1.5 and 3 hours


# ---- whatever money is called


@pytest.mark.parametrize("target", [40.0, 0.0])
def test_money_in_another_coin_is_the_same_money(target):
    pay = replace(SETTINGS, workshop=Workshop(target_pay=target))
    coins = replace(SETTINGS, workshop=Workshop(target_pay=100 * target))
    one, other = learned(*boards(12), settings=pay), learned(*boards(12, times=100.0), settings=coins)

    assert other.log_cost - one.log_cost == pytest.approx(math.log(100), abs=1e-4)
    assert other.per_hour[0] - one.per_hour[0] == pytest.approx(math.log(100), abs=1e-4)
    assert (other.luck, other.per_hour[1]) == pytest.approx((one.luck, one.per_hour[1]), rel=1e-4)


def test_the_order_of_boards_changes_nothing():
    some = boards(15, luck=0.2)
    one, other = learned(*some), learned(*reversed(some))

    assert one.log_cost == pytest.approx(other.log_cost, abs=1e-6)
    assert one.root == pytest.approx(other.root, abs=1e-6)


def test_where_no_pay_is_wanted_boards_alone_tell():
    free = replace(SETTINGS, workshop=Workshop(target_pay=0.0))
    told = learned(*boards(60), settings=free)

    assert np.exp(told.log_cost) == pytest.approx(list(COSTS.values()), rel=0.2)


# ---- an hour's materials


def test_an_hours_materials_go_from_the_lent_share_to_the_shops_own():
    some = tuple(replace(b, hours=b.materials / 3.0) for b in boards(100))
    lent = lent_per_hour(40.0)
    few, many = learned(*some[:2]).per_hour, learned(*some).per_hour

    assert abs(many[0] - math.log(3.0)) < abs(few[0] - math.log(3.0)) < abs(lent[0] - math.log(3.0))
    assert many[0] == pytest.approx(math.log(3.0), abs=0.05)
    assert few[1] > many[1]


def test_the_share_of_a_price_that_is_lent_holds_eight_times_in_ten():
    mean, sd = lent_per_hour(42.0)
    an_hour = np.exp(mean + sd * np.random.default_rng(1).standard_normal(100_000))
    share = an_hour / (an_hour + 42.0)

    assert np.mean((share >= 0.08) & (share <= 0.20)) == pytest.approx(0.8, abs=0.005)
    assert np.mean(share < 0.08) == pytest.approx(0.1, abs=0.005)


# ---- kept


def test_it_is_kept_with_the_fit():
    fit = made_fit(boards=boards(6))
    fit = replace(fit, materials=learn_materials(fit, SETTINGS))
    back = fit_from_json(fit.to_json()).materials

    assert back.drivers == fit.materials.drivers
    assert back.log_cost == pytest.approx(fit.materials.log_cost, abs=1e-5)
    assert back.root == pytest.approx(fit.materials.root, abs=1e-5)
    assert (back.luck, back.per_hour) == (fit.materials.luck, fit.materials.per_hour)
    assert (back.boards, back.without, back.unknown) == (6, 0, 0)
    assert fit_from_json(made_fit().to_json()).materials is None


def test_an_hours_materials_of_one_more_board_by_hand():
    """Lent: a log mean of 1, sd .5, worth five boards; three boards at 2, 2 and 4: (5 + 8) / 8 = 1.625."""
    mean, sd = _share(np.array([2.0, 2.0, 4.0]), (1.0, 0.5))
    squares = 5 * (0.25 + 0.625**2) + 2 * 0.375**2 + 2.375**2

    assert mean == pytest.approx(1.625)
    assert sd == pytest.approx(math.sqrt(squares / 8 * (1 + 1 / 8)))
    assert _share(np.zeros(0), (1.0, 0.5)) == pytest.approx((1.0, math.sqrt(0.25 * (1 + 1 / 5))))


def test_what_boards_are_expected_to_use_goes_by_what_boards_tell_else_by_hours_of_work():
    """Of boards in hand and of finished ones; of one whose amounts are not known nothing is expected."""
    some = boards(40)
    values = {"area": 1.0, "pieces": 2.0, "colours": 1.0}
    others = (
        KnownBoard("open", state="on bench", assessed=values),
        KnownBoard("blank", state=FINISHED, assessed={"area": 1.0}),
    )

    def uses(*known):
        log = Log(tuple(Board(b.board, materials=b.materials) for b in known))
        return expected_uses(made_fit(boards=known), log, SETTINGS)

    told = uses(*some, *others)
    assert set(told) == {*(b.board for b in some), "open"}
    assert told["open"] == pytest.approx(30 + 55 + 16 + 40, rel=0.05)
    hours = uses(*others)
    assert hours == {"open": pytest.approx(0.5 + 3.0 + 2 * 1.5 + 8.0)}  # set-up of every board: the check


def test_hours_of_a_unit_are_those_of_all_stages_that_it_goes_into():
    """A square metre is stripped in 3 hours and sanded in 2; a board of which hours are missing counts its usual ones."""
    stages = {**SETTINGS.stages, "sand": Stage("sand", drivers=("area",))}
    settings = replace(SETTINGS, stages=stages)
    fit = made_fit(settings, {**RATES, ("sand", "area"): 2.0})

    assert _hours_of_a_unit(fit, DRIVERS, settings).tolist() == pytest.approx([0.5, 5.0, 1.5, 8.0])
    values = {"area": 2.0, "pieces": 4.0, "colours": 1.0}
    one = KnownBoard("a", state=FINISHED, assessed=values, hours=None, materials=90.0)
    usual = 0.5 + 2 * 5.0 + 4 * 1.5 + 8.0
    told = learn_materials(replace(fit, boards=(one,)), settings).per_hour
    assert told == pytest.approx(_share(np.log([90.0 / usual]), lent_per_hour(settings.workshop.target_pay)))
