"""A quantity that was found is known: five pieces on the bench are five, whatever past boards hid."""

from dataclasses import replace

import numpy as np
import pytest
from making.fits import SETTINGS, made_fit

from estimator.forecast.views import work_of_board
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import FINISHED, ON_BENCH

JUDGED = {"area": 2.0, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 1.0, "stain": 0.0}
PAST = tuple(
    KnownBoard(
        f"p{n}",
        kind="major",
        state=FINISHED,
        assessed=JUDGED,
        found={"pieces": 2.0 + 6 * (n % 3 == 0), "brittle": float(n % 2)},
        hours=30.0,
    )
    for n in range(12)
)
FIT = made_fit(boards=PAST)
BOARD = KnownBoard(
    "b", kind="major", state=ON_BENCH, assessed=JUDGED, found={"pieces": 5.0}, booked=(("check", 0.5, True),)
)


def drawn(board, quantity, view="now"):
    work, _ = work_of_board(FIT, board, view, SETTINGS, np.random.default_rng(1), 4000)
    return set(np.unique(work.values[quantity]).tolist())


def test_what_was_found_is_so_in_every_draw():
    assert drawn(BOARD, "pieces") == {5.0}


def test_what_was_not_found_yet_may_still_turn_out_otherwise():
    assert drawn(BOARD, "brittle") == {0.0, 1.0}  # beside the pieces, that were
    assert drawn(replace(BOARD, found={}), "pieces") == {2.0, 8.0}
    assert drawn(replace(BOARD, found={}, worked_out=("pieces",)), "pieces") == {
        2.0
    }  # by what it follows from


def test_a_stage_that_is_done_has_shown_what_it_shows():
    done = replace(BOARD, found={}, booked=(("strip", 6.0, True),))
    assert drawn(done, "pieces") == {2.0}
    assert drawn(replace(done, booked=(("strip", 6.0, False),)), "pieces") == {2.0, 8.0}


@pytest.mark.parametrize("view", ["opened", "finished"])
def test_a_board_seen_open_has_what_was_found(view):
    assert drawn(BOARD, "pieces", view) == {5.0}


def test_from_before_opening_what_was_found_since_is_not_known():
    assert drawn(BOARD, "pieces", "before") == {2.0, 8.0}
