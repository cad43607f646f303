"""Draws of a board that is thought over: its range's own, and mean hours that agree with them lot by lot."""

import math
from dataclasses import replace
from statistics import NormalDist
from types import SimpleNamespace

import numpy as np
import pytest
from making.fits import EFFECTS, RATES, SETTINGS, made_fit
from making.weighings import BOARD, FIT, SHOP

from estimator.decide.weigh.open_first import Offer, _from_range, chances_of, draws_of, mean_hours
from estimator.forecast.answers import answer, price_for
from estimator.forecast.calibration import Stretch
from estimator.forecast.draws import draw_hours
from estimator.forecast.views import work_of_board
from estimator.model.saved_fit import UNPLANNED, KnownBoard, Materials
from estimator.words.errors import NoAnswerError
from estimator.words.settings.schema import Stage

OFFER = Offer(1150.0, 200.0, True, 40.0, 42.0, SHOP.workshop.requote)


def test_hours_are_those_of_the_range():
    draws, said = draws_of(FIT, BOARD, SHOP), answer(FIT, BOARD, SHOP)

    assert np.quantile(draws.hours, [0.1, 0.5, 0.9]) == pytest.approx([said.low, said.likely, said.high])
    assert draws.hours.shape == draws.materials.shape == draws.opening.shape


def test_finds_hold_all_hours_and_all_materials():
    draws = draws_of(FIT, BOARD, SHOP)
    finds = draws.finds

    assert finds.opening + finds.share @ finds.rest == pytest.approx(draws.hours.mean())
    assert finds.share @ finds.materials == pytest.approx(draws.materials.mean())
    assert len(finds.share) == 2  # 2 pieces as they look, or 8


def test_a_stretch_is_in_the_finds_too():
    draws = draws_of(FIT, BOARD, SHOP, stretch=Stretch(1.0, 1.6, "2026-09-30"))

    plain = draws_of(FIT, BOARD, SHOP)
    assert draws.hours.mean() > 1.02 * plain.hours.mean()
    more = draws.hours.mean() / plain.hours.mean()
    assert draws.finds.opening == pytest.approx(more * plain.finds.opening)
    assert draws.finds.rest == pytest.approx(more * plain.finds.rest)
    assert draws.finds.opening + draws.finds.share @ draws.finds.rest == pytest.approx(draws.hours.mean())


def test_the_error_is_that_of_rates_too():
    sure = made_fit(n=200, unsure=0.001, chances={"stain": (1.0, 9.0)}, boards=FIT.boards)

    assert 0 < draws_of(sure, BOARD, SHOP).error(OFFER) < 0.9 * draws_of(FIT, BOARD, SHOP).error(OFFER)


def test_a_board_that_has_no_glass_to_strip_is_not_opened():
    settings = replace(SHOP, drivers={q: replace(d, known="asked") for q, d in SHOP.drivers.items()})
    settings = replace(settings, modifiers={q: replace(m, known="asked") for q, m in SHOP.modifiers.items()})

    assert draws_of(FIT, BOARD, settings).finds is None


def test_hours_of_opening_are_summed_in_order_of_work():
    """In another order the last digit may be another; that of a set hangs on the process."""
    before = draws_of(FIT, BOARD, SHOP).made.before

    assert before == tuple(stage for stage in FIT.stages if stage in before)


def test_materials_that_no_board_tells_of_are_lent():
    assert draws_of(FIT, BOARD, SHOP).materials_lent
    assert not draws_of(FIT, replace(BOARD, materials=200.0), SHOP).materials_lent


def told(free=0.0):
    """A fit whose past boards tell of materials, a share of them that they took none."""
    materials = Materials(
        ("once", "area", "pieces", "colours"),
        np.log([30.0, 55.0, 8.0, 40.0]),
        0.2 * np.eye(4),
        0.2,
        free,
        (1.6, 0.2),
        31,
    )
    return replace(FIT, materials=materials)


def test_the_price_is_the_one_that_its_range_says():
    draws = draws_of(told(), BOARD, SHOP, seed=3)

    assert draws.said.price.for_target == price_for(42.0, draws.hours, draws.materials, 0.8)


def test_a_board_of_which_a_guess_alone_is_known_has_the_materials_of_its_range():
    guessed = KnownBoard("26-041", state="asked", guess=30.0)
    written = draws_of(told(), replace(guessed, materials=240.0), SHOP)
    some = draws_of(told(free=0.4), guessed, SHOP)

    assert set(written.materials) == {240.0}
    assert np.mean(some.materials == 0) == pytest.approx(0.4, abs=0.02)
    assert some.said.price.for_target == pytest.approx(
        price_for(42.0, some.hours, some.materials, 0.8), rel=0.01
    )


def test_a_board_without_work_is_refused_in_words():
    stages = {"infill": SETTINGS.stages["infill"]}
    settings = replace(SHOP, stages=stages, modifiers={})
    fit = made_fit(settings=settings, rates={("infill", "pieces"): 1.5}, effects={}, n=20)

    with pytest.raises(NoAnswerError, match="There is nothing to do on red nine-four"):
        draws_of(fit, replace(BOARD, assessed={"pieces": 0.0}), settings)


def means_and_draws(board, *, chances, rates=RATES):
    """By stage mean hours in closed form and by draws."""
    fit = made_fit(rates=rates, effects=EFFECTS, n=300, unsure=0.15, chances=chances)
    n = 60_000
    work, _ = work_of_board(fit, board, "before", SETTINGS, np.random.default_rng(1), n)
    means = mean_hours(fit, work.values, chances_of(fit, work, SETTINGS), SETTINGS, n)
    drawn = draw_hours(fit, work, np.random.default_rng(2), n)
    return {
        s: (float(means[s].mean()), float(h.mean())) for s, h in zip(drawn.stages, drawn.hours, strict=True)
    }


@pytest.mark.parametrize("told", [None, 0.0, 1.0])
def test_stages_that_happen_sometimes_count_as_often_as_they_do(told):
    assessed = dict(BOARD.assessed) if told is None else {**BOARD.assessed, "stain": told}
    both = means_and_draws(replace(BOARD, assessed=assessed), chances={"stain": (2.0, 6.0)})

    for closed, drawn in both.values():
        assert closed == pytest.approx(drawn, rel=0.03)
    assert ("stain" in both) == (told != 0.0)


def test_unplanned_work_counts_as_often_as_it_comes():
    board = replace(BOARD, assessed={**BOARD.assessed, "pieces": 0.0})
    rates = {**RATES, ("infill", UNPLANNED): 3.0}
    both = means_and_draws(board, chances={"infill": (3.0, 7.0), "stain": (1.0, 9.0)}, rates=rates)

    assert both["infill"][0] == pytest.approx(both["infill"][1], rel=0.04)
    assert both["infill"][0] == pytest.approx(0.3 * 3.0 * np.exp((0.2**2 + 0.3**2) / 2), rel=0.15)


def test_hours_of_a_guess_lie_on_one_line_through_the_points_of_its_range_and_beyond_them():
    """Points of a lognormal of middle 20 and spread .3: every one of the draws is that law's own."""
    normal = NormalDist()
    points = {str(p): 20 * math.exp(0.3 * normal.inv_cdf(p)) for p in (0.05, 0.25, 0.5, 0.75, 0.95)}
    hours = _from_range(SimpleNamespace(quantiles=points))

    n = len(hours)
    law = [20 * math.exp(0.3 * normal.inv_cdf((i + 0.5) / n)) for i in range(n)]
    assert hours == pytest.approx(law)
    assert hours[0] < points["0.05"] < points["0.95"] < hours[-1]


def test_opening_up_takes_what_comes_before_it_too():
    """Cleaning, two hours on average, comes before stripping; it is part of opening the board up."""
    stages = {"clean": Stage("clean"), **SHOP.stages}
    stages["strip"] = replace(stages["strip"], after=("clean",))
    settings = replace(SHOP, stages=stages)
    rates = {("clean", "once"): 2.0, **RATES}
    fit = made_fit(
        settings, rates, EFFECTS, n=200, unsure=0.05, chances={"stain": (1.0, 9.0)}, boards=FIT.boards
    )
    draws = draws_of(fit, BOARD, settings)

    assert draws.made.before == ("clean", "strip")
    strip = draws_of(FIT, BOARD, SHOP).finds.opening
    assert draws.finds.opening == pytest.approx(strip + 2 * math.exp((0.2**2 + 0.3**2) / 2), rel=0.05)
    assert draws.opening.mean() == pytest.approx(draws.finds.opening, rel=0.03)
    assert draws.shows == ("pieces",)


def test_a_board_that_may_come_to_nothing_has_a_few_minutes_so_that_pay_an_hour_can_be_told():
    """What sometimes happens, seven times in ten, is all there is to do."""
    settings = replace(SHOP, stages={"stain": SETTINGS.stages["stain"]}, drivers={}, modifiers={})
    fit = made_fit(settings, {("stain", "once"): 2.0}, {}, n=100, chances={"stain": (70.0, 30.0)})
    draws = draws_of(fit, KnownBoard("26-050", state="asked"), settings)

    assert draws.hours.min() == 0.05
    assert np.mean(draws.hours == 0.05) == pytest.approx(0.3, abs=0.03)


def test_a_board_that_is_begun_is_not_opened_first():
    begun = replace(BOARD, state="on bench", booked=(("strip", 1.0, False),))

    assert draws_of(FIT, begun, SHOP).finds is None
    assert draws_of(FIT, BOARD, SHOP).finds is not None
