"""What the invented workshop's owners pay for, by hand."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from estimator.demo.recipe import CHANGE, REDO, WATER, Dice, draw_job
from estimator.demo.stories import draw_money


def extra(surprise, *, charged, logos=0.0):
    """What is paid for five hours more than were seen, 240 at 48 an hour, and for so many logos more."""
    job = draw_job(Dice(1, "job"), 0.0)
    found = {**job.assessed, "logos": job.assessed["logos"] + logos}
    job = replace(
        job,
        surprise=surprise,
        found=found,
        later={},
        usual_seen={"strip": 10.0},
        usual={"strip": 9.0, "logos": 6.0},
    )
    even = SimpleNamespace(times=lambda *_: 1.0, happens=lambda _chance: charged)
    return draw_money(even, job).extra


@pytest.mark.parametrize("charged", [True, False])
def test_what_an_owner_asked_for_since_is_paid_in_full(charged):
    """A logo more takes 22 times 1.25 in materials, charged at 1.15 of that: 31.6, and 240 for the hours."""
    assert extra(CHANGE, charged=charged) == 240.0
    assert extra(CHANGE, charged=charged, logos=1.0) == 270.0


def test_of_what_was_wrong_under_the_glass_three_fifths_are_paid_where_it_is_charged_and_else_nothing():
    assert extra(WATER, charged=True) == 140.0  # .6 of 240, to the nearest ten
    assert extra(WATER, charged=False) == 0.0


@pytest.mark.parametrize("charged", [True, False])
def test_nobody_pays_for_what_was_done_again_nor_where_nothing_went_wrong(charged):
    assert extra(REDO, charged=charged) == 0.0
    assert extra("", charged=charged) == 0.0
