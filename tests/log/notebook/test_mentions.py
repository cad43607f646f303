"""How far boards are on a day: on the day on which one was ready it still had hours, on the next it has none."""

import datetime as dt
from dataclasses import replace

import pytest
from making.notebooks import SETTINGS

from estimator.log.notebook.mentions import WorkState
from estimator.words.records import DECLINED, FINISHED, ON_BENCH, WITHDRAWN, Board, Entry

READY = dt.date(2026, 6, 10)
A_DAY = dt.timedelta(days=1)
ONE = Board("a", state=FINISHED, asked=READY - 40 * A_DAY, started=READY - 9 * A_DAY, ready=READY)


def state(board, *entries):
    return WorkState([board], entries, SETTINGS)


def test_a_board_has_hours_up_to_the_day_on_which_it_was_ready():
    on = state(ONE)

    assert [on.over("a", READY + n * A_DAY) for n in (-1, 0, 1)] == [False, False, True]
    assert [on.there("a", READY + n * A_DAY) for n in (-1, 0, 1)] == [True, True, False]


@pytest.mark.parametrize(
    ("state_", "over"), [(FINISHED, True), (DECLINED, True), (WITHDRAWN, True), (ON_BENCH, False)]
)
def test_without_that_day_its_state_says_so(state_, over):
    assert state(replace(ONE, ready=None, state=state_)).over("a", READY) is over


def test_nobody_works_on_a_board_before_he_was_asked():
    on = state(ONE)

    assert not on.there("a", READY - 41 * A_DAY)
    assert on.there("a", READY - 40 * A_DAY)


def test_it_is_begun_from_its_first_hours_on_or_as_its_row_says():
    hours = Entry("a", READY - 12 * A_DAY, "strip", 2.0)

    assert [state(ONE).begun("a", READY - n * A_DAY) for n in (10, 9, 8)] == [False, True, True]
    assert [state(ONE, hours).begun("a", READY - n * A_DAY) for n in (13, 12)] == [False, True]
