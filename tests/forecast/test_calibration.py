"""A whole answer moved out from its middle, as past ranges went."""

import numpy as np
import pytest
from making.fits import SETTINGS, made_fit

from estimator.forecast.answers import answer
from estimator.forecast.calibration import UNSTRETCHED, Stretch, stretched, stretched_days
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import ON_BENCH

FIT = made_fit(n=200, unsure=0.15)
VALUES = {"area": 2.0, "pieces": 3.0, "colours": 2.0, "brittle": 1.0, "masking": 1.0}
WIDER = Stretch(1.2, 1.5, "2026-09-30")


def told(stretch=UNSTRETCHED, **options):
    return answer(FIT, KnownBoard("b", assessed=VALUES), SETTINGS, stretch=stretch, **options)


def test_each_side_moves_by_its_own_factor_and_the_middle_stays():
    plain, moved = told(), told(WIDER)
    assert moved.likely == pytest.approx(plain.likely, rel=1e-5)
    assert np.log(moved.likely / moved.low) == pytest.approx(1.2 * np.log(plain.likely / plain.low), rel=1e-3)
    assert np.log(moved.high / moved.likely) == pytest.approx(
        1.5 * np.log(plain.high / plain.likely), rel=1e-3
    )
    assert (moved.stretch, moved.stretch_day) == ((1.2, 1.5), "2026-09-30")
    assert moved.as_dict()["stretch"] == {"low": 1.2, "high": 1.5, "day": "2026-09-30"}


def test_every_point_and_chance_moves_too():
    plain, moved = told(), told(WIDER)
    points = np.array(list(plain.quantiles.values()))
    assert list(moved.quantiles.values()) == pytest.approx(
        stretched(points, plain.likely, 1.2, 1.5), rel=1e-3
    )
    far = plain.high * 1.1
    assert told(WIDER, over=[far]).over[f"{far:g}"] > told(over=[far]).over[f"{far:g}"]


def test_stages_move_with_the_total_and_reasons_still_add_up():
    plain, moved = told(), told(WIDER)
    assert sum(r.hours for r in moved.reasons) == pytest.approx(moved.likely)
    assert [s.stage for s in moved.stages] == [s.stage for s in plain.stages]
    for was, now in zip(plain.stages, moved.stages, strict=True):
        assert now.high >= was.high * 0.999
        assert now.likely == pytest.approx(was.likely, rel=0.05)


def test_a_board_in_hand_is_not_stretched_by_a_record_of_boards_not_begun():
    board = KnownBoard("b", state=ON_BENCH, assessed=VALUES, booked=(("strip", 9.0, True),))
    plain, moved = (answer(FIT, board, SETTINGS, stretch=s) for s in (UNSTRETCHED, WIDER))
    assert plain.view == "now"
    assert (moved.low, moved.high, moved.stretch) == (plain.low, plain.high, (1.0, 1.0))


def test_no_stretch_changes_nothing():
    assert told(Stretch(1.0, 1.0, "2026-01-01")).quantiles == told().quantiles


def test_draws_of_no_work_stay_at_nothing():
    assert stretched(np.array([0.0, 10.0, 40.0]), 20.0, 2.0, 1.0).tolist() == [0.0, 5.0, 40.0]


DAYS = np.arange(1.0, 2000.0)


@pytest.mark.parametrize("middle", [1.0, 2.0, 37.0, 1500.0])
@pytest.mark.parametrize("factors", [(1.0, 1.0), (0.8, 1.6), (1.6, 0.8), (1.05, 1.05)])
def test_whole_days_stay_whole_and_in_order_and_their_middle_where_it_is(middle, factors):
    moved = stretched_days(DAYS, middle, *factors)
    assert (moved == np.rint(moved)).all()
    assert (np.diff(moved) >= 0).all()
    assert moved.min() >= 1
    assert moved[int(middle) - 1] == middle
    if factors == (1.0, 1.0):
        assert (moved == DAYS).all()


def test_days_are_neither_late_nor_soon_for_being_whole():
    exact = 20.5 * np.exp(0.4 * np.random.default_rng(2).standard_normal(200_000))
    moved = np.ceil(stretched(exact, 20.5, 1.3, 1.3))
    whole = stretched_days(np.ceil(exact), 21.0, 1.3, 1.3)
    assert np.mean(whole - moved) == pytest.approx(0, abs=0.05)
    for day in (10, 40):
        assert np.mean(whole <= day) == pytest.approx(np.mean(moved <= day), abs=0.02)
