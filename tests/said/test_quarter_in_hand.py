"""Where a board stands is the same word on every page."""

from dataclasses import replace

import pytest

from estimator.bench.jobs import BENCH, PLACES, QUEUE, RACK
from estimator.decide.quarter.work_in_hand import WorkInHand
from estimator.said.quarter_page_two import stands
from estimator.words.labels import label
from estimator.words.records import ON_BENCH, STOPPED

DRYING = WorkInHand("26-020", "sky", "", ON_BENCH, 4.0, None, None, None, None, late=False, on=RACK)


def test_a_board_that_dries_is_on_the_rack_in_the_quarter_too():
    assert stands(DRYING) == "on the rack"


@pytest.mark.parametrize("place", [BENCH, RACK, QUEUE])
def test_the_quarter_says_it_as_the_bench_does(place):
    assert stands(replace(DRYING, on=place)) == label(PLACES[place])


def test_without_a_bench_its_state_is_said():
    assert stands(replace(DRYING, on="", state=STOPPED)) == label("state stopped")
