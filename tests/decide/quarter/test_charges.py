"""What one more of each thing should bring, against a fit whose rates are known."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from estimator.decide.quarter.charges import charges_of
from estimator.model.saved_fit import KnownBoard, Materials, SavedFit
from estimator.words.records import FINISHED, Accepted, Rule
from estimator.words.settings.schema import Driver, Settings, Stage, Workshop

N = 4000
PARTS = (("strip", "once"), ("strip", "area"), ("spray", "once"), ("spray", "colours"), ("sand", "area"))
RATES = (2.0, 4.0, 3.0, 10.0, 1.5)
SETTINGS = Settings(
    workshop=Workshop(target_pay=40.0),
    drivers={"area": Driver("area", unit="m2"), "colours": Driver("colours")},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "spray": Stage("spray", drivers=("once", "colours")),
        "sand": Stage("sand", drivers=("area",)),
    },
)


def fitted(loading=0.0, noise=0.0, unsure=0.0, **more):
    rng = np.random.default_rng(1)
    boards = tuple(
        KnownBoard(str(n), state=FINISHED, found={"area": 1.0, "colours": float(n % 2)}) for n in range(6)
    )
    return SavedFit(
        as_of="2026-10-01",
        stages=("strip", "spray", "sand"),
        parts=PARTS,
        conditions=(),
        log_rate=np.log(RATES) + unsure * rng.standard_normal((N, len(PARTS))),
        effect=np.zeros((N, 0)),
        loading=np.full((N, 3), loading),
        noise=np.full((N, 3), noise),
        lean=np.zeros(N),
        scale=np.ones(N),
        boards=boards,
        **more,
    )


def by_name(fit, rules=()):
    return {charge.driver: charge for charge in charges_of(fit, SETTINGS, rules)}


def test_where_nothing_is_left_to_luck_it_is_plain_arithmetic():
    """A square metre takes 4 hours to strip and 1.5 to sand: 220 at 40 an hour. A colour takes 10: 400, and 3 hours
    once to set up. No stage is done on every board, so nothing is charged for every board."""
    found = by_name(fitted())

    assert list(found) == ["area", "colours"]
    area, colours = found["area"], found["colours"]
    assert (area.hours.low, area.hours.likely, area.hours.high) == pytest.approx((5.5, 5.5, 5.5))
    assert area.charge.likely == pytest.approx(220.0)
    assert (area.set_up, area.materials, area.unit) == (pytest.approx(2.0), None, "m2")
    assert colours.charge.likely == pytest.approx(400.0)
    assert colours.set_up == pytest.approx(3.0)
    assert (area.boards, colours.boards) == (6, 3)


def test_charging_the_middle_would_pay_too_little():
    """Hours are lopsided: with a spread of .5 the mean is exp(.125) times the middle."""
    found = by_name(fitted(loading=0.3, noise=0.4))["colours"]

    assert found.mean_hours == pytest.approx(10 * math.exp(0.125))
    assert found.charge.likely == pytest.approx(400 * math.exp(0.125))
    assert found.hours.likely == pytest.approx(10.0, rel=0.03)
    z = 1.2816 * 0.5
    assert (found.hours.low, found.hours.high) == pytest.approx(
        (10 * math.exp(-z), 10 * math.exp(z)), rel=0.05
    )


def test_boards_are_of_one_pace_in_all_stages():
    """With the pace alone at work, five and a half hours spread as one stage would."""
    found = by_name(fitted(loading=0.3))["area"]
    z = 1.2816 * 0.3
    assert (found.hours.low, found.hours.high) == pytest.approx(
        (5.5 * math.exp(-z), 5.5 * math.exp(z)), rel=0.04
    )


def test_materials_come_on_top():
    drivers = ("once", "area", "colours")
    learned = Materials(drivers, np.log([30.0, 50.0, 40.0]), np.zeros((3, 3)), 0.0, 0.0, (0.0, 1.0), boards=6)
    found = by_name(fitted(materials=learned))

    assert found["area"].materials == pytest.approx(50.0)
    assert found["area"].charge.likely == pytest.approx(270.0)
    lucky = by_name(fitted(materials=replace(learned, luck=0.4)))
    assert lucky["colours"].materials == pytest.approx(40.0 * math.exp(0.08))
    free = by_name(fitted(materials=replace(learned, free=0.25)))  # a quarter of boards take none at all
    assert free["colours"].materials == pytest.approx(30.0)


def test_an_accepted_range_stands_in_for_the_log():
    rule = Rule("colour", stage="spray", per="colours", low=8.0, high=20.0, odds=0.8)
    on = replace(rule, accepted=Accepted(10.0, 14.4, dt.date(2026, 9, 1), 20))

    assert not by_name(fitted(), (rule,))["colours"].accepted
    found = by_name(fitted(), (on,))["colours"]
    assert found.accepted
    assert (found.hours.low, found.hours.likely, found.hours.high) == pytest.approx(
        (10.0, 12.0, 14.4), rel=0.03
    )
    sd = math.log(14.4 / 10) / 2 / 1.28155
    assert found.mean_hours == pytest.approx(12 * math.exp(sd**2 / 2), rel=1e-6)


CLEANED_FIRST = replace(SETTINGS, stages={"clean": Stage("clean"), **SETTINGS.stages})


def cleaned_first():
    """A fit that has a stage before the others which every board has."""
    return replace(
        fitted(),
        stages=("clean", "strip", "spray", "sand"),
        parts=(("clean", "once"), *PARTS),
        log_rate=np.log(np.tile((1.0, *RATES), (N, 1))),
        loading=np.zeros((N, 4)),
        noise=np.zeros((N, 4)),
    )


def test_what_nobody_tells_is_left_out_and_what_happens_on_every_board_is_last():
    untold = by_name(fitted(untold=(("spray", "colours"),)))
    assert list(untold) == ["area"]
    found = [(c.driver, c.charge.likely) for c in charges_of(cleaned_first(), CLEANED_FIRST, ())]
    assert found == [
        ("area", pytest.approx(220.0)),
        ("colours", pytest.approx(400.0)),
        ("once", pytest.approx(40.0)),
    ]


def test_only_an_accepted_range_of_hours_for_every_board_stands_in():
    accepted = Accepted(10.0, 14.4, dt.date(2026, 9, 1), 20)
    rule = Rule("colour", stage="spray", per="colours", low=8.0, high=20.0, odds=0.8, accepted=accepted)

    for other in (
        replace(rule, when={"area": (2.0, 9.0)}),  # of some boards
        replace(rule, per=""),  # of the whole stage
        replace(rule, modifier="colours", per=""),
        replace(rule, accepted=None),
    ):
        assert not by_name(fitted(), (other,))["colours"].accepted
    assert by_name(fitted(), (rule,))["colours"].accepted
    assert not by_name(fitted(), (rule,))["area"].accepted


def test_boards_that_tell_are_finished_ones_that_had_any():
    fit = fitted()
    others = (
        KnownBoard("open", state="on bench", found={"area": 1.0, "colours": 1.0}),
        KnownBoard("judged", state=FINISHED, assessed={"area": 2.0, "colours": 0.0}),
        KnownBoard("bare", state=FINISHED),
    )
    found = by_name(replace(fit, boards=(*fit.boards, *others)))

    assert (found["area"].boards, found["colours"].boards) == (7, 3)


def test_what_rests_on_rules_of_thumb_is_marked_unless_its_own_range_is_accepted():
    rule = Rule(
        "metre",
        stage="sand",
        per="area",
        low=1.0,
        high=2.0,
        odds=0.8,
        accepted=Accepted(1.0, 2.0, dt.date(2026, 9, 1), 20),
    )
    sand = by_name(fitted(by_rules=("sand",)))

    assert (sand["area"].by_rules, sand["colours"].by_rules) == (True, False)
    assert not by_name(fitted(by_rules=("sand",)), (rule,))["area"].by_rules


def test_materials_that_are_not_sure_cost_on_average_what_they_cost():
    """The likeliest cost is 50; the mean of its law is taken, not the middle, whatever is left open."""
    drivers = ("once", "area", "colours")
    learned = Materials(drivers, np.log([30.0, 50.0, 40.0]), 0.6 * np.eye(3), 0.0, 0.0, (0.0, 1.0), boards=6)

    assert by_name(fitted(materials=learned))["area"].materials == pytest.approx(50.0, rel=0.03)


def test_what_every_board_takes_has_no_set_up_beside_it_and_is_told_by_all_finished_boards():
    fit = replace(cleaned_first(), boards=(*fitted().boards, KnownBoard("open", state="on bench")))
    once = charges_of(fit, CLEANED_FIRST, ())[-1]

    assert (once.driver, once.set_up, once.boards, once.unit) == ("once", 0.0, 6, "")
