"""Quantities beyond what the log has seen widen a range, the more the further; those within change nothing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from making.fits import SETTINGS, made_fit

from estimator.forecast import draws
from estimator.forecast.answers import answer
from estimator.forecast.calibration import Stretch
from estimator.forecast.draws import Work, draw_hours
from estimator.forecast.views import _passed, most_seen
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import FINISHED

BOARD = {"area": 2.0, "pieces": 3.0, "colours": 2.0, "brittle": 0.0, "masking": 0.0}
STAGES = tuple(SETTINGS.stages)
PAST = tuple(
    KnownBoard(f"p{i}", kind="major", state=FINISHED, assessed={**BOARD, "area": a}, found={**BOARD, "area": a},
               hours=40.0, taught=("strip", "infill", "spray", "check"))
    for i, a in enumerate((1.0, 2.0, 4.0))
)  # fmt: skip


def told(area, **more):
    fit = made_fit(n=64, unsure=0.1, boards=PAST)
    return answer(fit, KnownBoard("new", kind="major", assessed={**BOARD, "area": area}, **more), SETTINGS)


def test_the_most_seen_is_of_other_boards_whose_hours_tell_of_it():
    silent = replace(PAST[2], board="silent", assessed={**BOARD, "area": 9.0}, found={}, taught=("spray",))
    opened = replace(PAST[0], board="opened", found={**BOARD, "pieces": 5.0})
    fit = made_fit(boards=(*PAST, silent, opened))

    assert most_seen(fit, KnownBoard("new"), SETTINGS) == {"area": 4.0, "pieces": 5.0, "colours": 2.0}
    assert most_seen(made_fit(), KnownBoard("new"), SETTINGS) == {}
    half = replace(PAST[0], assessed={"area": 0.5}, found={})
    assert most_seen(made_fit(boards=(half,)), KnownBoard("new"), SETTINGS) == {"area": 0.5}
    assert most_seen(fit, PAST[2], SETTINGS)["area"] == 2.0


def test_log_hours_of_one_part_spread_by_the_power_times_the_log_of_how_far():
    """In closed form: hours are rate times most times (x / most)^(1 + power), power N(0, .35^2)."""
    n, times = 200_000, np.log(2.5)
    work = Work(
        {"pieces": 10.0}, {"infill": np.ones(n, dtype=bool)}, {}, frozenset(), beyond={"pieces": times}
    )
    hours = draw_hours(made_fit(loading=1e-9, noise=1e-9), work, np.random.default_rng(1), n).total

    assert np.log(hours).std() == pytest.approx(draws.GROWTH_SD * times, rel=0.01)
    assert np.median(hours) == pytest.approx(15.0, rel=0.01)


def test_what_lies_within_is_drawn_to_the_byte_as_without_the_widening(monkeypatch):
    inside = told(4.0)
    monkeypatch.setattr(draws, "GROWTH_SD", 0.0)

    assert told(4.0) == inside
    assert inside.widened == 1.0


@hypothesis_settings(max_examples=15, deadline=None)
@given(st.floats(4.1, 12.0), st.floats(1.05, 3.0))
def test_the_further_beyond_the_wider(area, further):
    near, far = told(area), told(area * further)

    assert 1.0 <= near.widened < far.widened
    assert {s.stage: s for s in near.stages}["spray"] == {s.stage: s for s in far.stages}["spray"]


def test_by_how_much_is_the_ratio_of_widths(monkeypatch):
    wide = told(10.0)
    monkeypatch.setattr(draws, "GROWTH_SD", 0.0)
    sure = told(10.0)

    assert wide.widened == pytest.approx((wide.high - wide.low) / (sure.high - sure.low))
    assert wide.widened > 1.15


def test_a_stage_that_was_passed_by_comes_again_only_where_more_of_it_was_asked_for():
    """Spraying was begun, infilling passed by."""
    board = KnownBoard("a", booked=(("spray", 3.0, False),))
    passed = {
        later: _passed(replace(board, later={"pieces": later}), {"spray"}, SETTINGS) for later in (1.0, 0.0)
    }

    assert "infill" not in passed[1.0]
    assert "infill" in passed[0.0]


def test_the_ratio_of_widths_is_of_ranges_that_are_stretched_alike(monkeypatch):
    fit = made_fit(n=64, unsure=0.1, boards=PAST)
    board = KnownBoard("new", kind="major", assessed={**BOARD, "area": 10.0})

    def said():
        return answer(fit, board, SETTINGS, view="before", stretch=Stretch(1.5, 1.6, "2026-05-01"))

    wide = said()
    monkeypatch.setattr(draws, "GROWTH_SD", 0.0)
    sure = said()
    assert wide.widened == pytest.approx((wide.high - wide.low) / (sure.high - sure.low))
