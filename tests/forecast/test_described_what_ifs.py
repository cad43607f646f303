import math
from dataclasses import replace

import pytest
from making.fits import SETTINGS, made_fit

from estimator.forecast.described import what_ifs
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import NoAnswerError
from estimator.words.settings.schema import Driver, Settings, Stage

CALM = made_fit(loading=0.0, noise=1e-9)  # no luck: hours are what the rates say
BOARD = KnownBoard("b", assessed={"area": 1.4, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0})


def hours(board, fit=CALM, **more):
    return {one.name: one.hours for one in what_ifs(fit, board, SETTINGS, **more)}


def test_each_change_adds_what_the_rates_say_largest_first():
    found = hours(BOARD, most=9)

    assert found == pytest.approx(
        {
            "colours": 8.0,
            "masking": 12.0 * math.expm1(0.2),
            "stain": 2.0,
            "brittle": (1.0 + 3.0 * 1.4) * math.expm1(0.3),
            "pieces": 1.5,
            "area": 3.0 * 0.25 * 1.4,
        },
        rel=1e-6,
    )
    assert list(found.values()) == sorted(found.values(), reverse=True)
    assert list(hours(BOARD)) == ["colours", "masking", "stain", "brittle"]


def test_the_first_of_a_thing_counts_only_where_opening_may_show_it():
    none = replace(BOARD, assessed={**BOARD.assessed, "pieces": 0.0, "colours": 0.0})
    found = hours(none, most=9)

    assert found["pieces"] == pytest.approx(1.5)
    assert "colours" not in found
    assert "pieces" not in hours(
        replace(none, kind="minor"), most=9
    )  # that sort of job does not ask for them


def test_a_grade_that_is_not_known_is_tried_at_its_worst():
    (one,) = [
        one
        for one in what_ifs(
            CALM, replace(BOARD, assessed={**BOARD.assessed, "masking": 1.0}), SETTINGS, most=9
        )
        if one.name == "masking"
    ]
    assert (one.was, one.value) == (1.0, 2.0)
    unknown = {name: value for name, value in BOARD.assessed.items() if name != "brittle"}
    boards = tuple(
        KnownBoard(f"p{n}", state="finished", assessed=BOARD.assessed, found={"brittle": 0.0})
        for n in range(6)
    )
    fit = made_fit(loading=0.0, noise=1e-9, boards=boards)
    worst = next(
        one
        for one in what_ifs(fit, replace(BOARD, assessed=unknown), SETTINGS, most=9)
        if one.name == "brittle"
    )
    assert (worst.was, worst.value) == (None, 2.0)


def test_what_is_finished_is_no_what_if():
    begun = replace(BOARD, state="on bench", booked=(("strip", 5.0, True), ("spray", 12.0, True)), hours=17.0)

    assert set(hours(begun, most=9)) == {"stain"}  # letting in was passed by: spraying comes after it


def test_what_was_worked_out_from_the_outline_is_no_what_if():
    assert "area" not in hours(replace(BOARD, worked_out=("area",)), most=9)


def test_luck_is_the_same_for_all():
    lucky = made_fit(n=50, unsure=0.1)

    assert what_ifs(lucky, BOARD, SETTINGS, seed=3) == what_ifs(lucky, BOARD, SETTINGS, seed=3)
    assert min(hours(BOARD, lucky, most=9).values()) > 0


def test_a_board_that_cannot_be_told_is_refused():
    with pytest.raises(NoAnswerError):
        what_ifs(CALM, KnownBoard("b"), SETTINGS)


def test_what_cannot_be_told_of_is_passed_over_and_the_rest_is_tried():
    """Nothing tells how long letting in takes; there is nothing to let in so far."""
    untold = made_fit(loading=0.0, noise=1e-9, untold=(("infill", "pieces"),))
    none = replace(BOARD, assessed={**BOARD.assessed, "pieces": 0.0})

    assert set(hours(none, untold, most=9)) == {"area", "colours", "brittle", "masking", "stain"}


def test_each_change_is_of_the_board_as_one_looks_at_it():
    """Before opening of what was judged, though more was found; a stain that was judged not to come may come."""
    board = replace(BOARD, assessed={**BOARD.assessed, "stain": 0.0}, found={"colours": 3.0})
    tried = {one.name: (one.was, one.value) for one in what_ifs(CALM, board, SETTINGS, most=9)}

    assert tried["colours"] == (1.0, 2.0)
    assert tried["stain"] == (0.0, 1.0)
    stained = replace(BOARD, assessed={**BOARD.assessed, "stain": 1.0})
    assert "stain" not in hours(stained, most=9)


def test_less_than_a_quarter_of_an_hour_is_not_said():
    small = replace(BOARD, assessed={**BOARD.assessed, "area": 0.3})  # 3 hours times .075
    assert "area" not in hours(small, most=9)


@pytest.mark.parametrize(("sides", "tried"), [(1.0, 2.0), (1.5, 2.0), (2.0, None)])
def test_a_board_has_two_sides_at_most(sides, tried):
    settings = Settings(
        drivers={
            "sides": Driver("sides", known="strip"),
            "glass": Driver("glass", unit="m2", source="outline", times="sides"),
        },
        stages={"strip": Stage("strip", drivers=("glass", "sides"))},
    )
    fit = made_fit(settings, {("strip", "glass"): 3.0, ("strip", "sides"): 1.0}, {}, loading=0.0, noise=1e-9)
    board = KnownBoard(
        "b",
        length_m=2.8,
        width_m=0.55,
        assessed={"sides": sides, "glass": sides * 1.2},
        worked_out=("glass",),
    )
    values = {one.name: one.value for one in what_ifs(fit, board, settings)}

    assert values == ({} if tried is None else {"sides": tried})
