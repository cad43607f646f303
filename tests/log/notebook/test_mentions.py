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


def worked(stage, back, hours=2.0, until=None, **more):
    """Hours on the board so many days before it was ready; until: how many days before they end."""
    last = None if until is None else READY - until * A_DAY
    return Entry("a", READY - back * A_DAY, stage, hours, until=last, **more)


def test_hours_of_a_stage_are_those_up_to_the_day():
    on = state(ONE, worked("strip", 8, 2.0), worked("strip", 6, 1.5), worked("sand", 6, 4.0))

    assert [on.hours_on("a", "strip", READY - n * A_DAY) for n in (9, 8, 7, 6)] == [0, 2.0, 2.0, 3.5]


def test_what_the_log_has_on_any_of_the_days_is_there_already():
    on = state(ONE, worked("strip", 8, until=6), worked("redo", 4, of="gloss"))

    def there(first, last, stage):
        return len(on.booked("a", READY - first * A_DAY, READY - last * A_DAY, stage))

    assert [there(n, n, "strip") for n in (9, 8, 7, 6, 5)] == [0, 1, 1, 1, 0]
    assert [there(12, 9, "strip"), there(12, 8, "strip"), there(6, 3, "strip"), there(7, 7, "sand")] == [
        0,
        1,
        1,
        0,
    ]
    assert (there(4, 4, "gloss"), there(4, 4, "redo")) == (1, 1)
    assert [len(on.entries_on(READY - n * A_DAY)) for n in (9, 8, 7, 6, 5, 4)] == [0, 1, 1, 1, 0, 1]


def test_days_off_are_known_by_their_days_and_why():
    away = Entry("shop", READY, "", 0.0, note="away, surf")
    on = state(ONE, away)

    assert on.says_away(READY, READY, "away, surf")
    assert not on.says_away(READY, READY, "away")
    assert not on.says_away(READY, READY + A_DAY, "away, surf")
    assert on.entries_on(READY) == ()


@pytest.mark.parametrize(
    ("entries", "stages"),
    [
        ([], ("assess", "clean", "strip")),
        ([worked("strip", 8)], ("strip", "drying", "infill")),
        ([worked("strip", 8, done=True)], ("drying", "infill")),
        ([worked("strip", 8), worked("infill", 6)], ("infill", "stringer", "block", "strip")),
        ([worked("infill", 8), worked("strip", 6, done=True)], ("drying", "stringer", "infill")),
        ([worked("lunch", 8)], ("assess", "clean", "strip")),
        ([worked("redo", 8, of="gloss")], ("gloss", "polish", "owner_change")),
        ([worked("strip", -1)], ("assess", "clean", "strip")),  # which is to come
    ],
)
def test_what_is_in_hand_on_a_board_and_what_comes_next(entries, stages):
    assert state(ONE, *entries).next_stages("a", READY) == stages


def test_work_is_past_a_stage_once_what_comes_only_after_it_is_begun():
    on = state(ONE, worked("gloss", 3))

    assert [on.behind("a", READY - n * A_DAY, "sand") for n in (4, 3)] == [False, True]
    assert not on.behind("a", READY, "gloss")
    assert not on.behind("a", READY, "polish")


def test_of_boards_of_one_name_those_on_the_bench_are_meant_but_where_another_may_begin():
    begun = Board("on", state=ON_BENCH, started=READY - 9 * A_DAY)
    waits = Board("waits", state="waiting", accepted=READY - 9 * A_DAY)
    asked = Board("asked", state="asked", asked=READY - 9 * A_DAY)
    gone = Board("gone", state=FINISHED, ready=READY - 9 * A_DAY)
    older = Board("older", state=FINISHED, ready=READY - 99 * A_DAY)
    on = WorkState([begun, waits, asked, gone, older], [], SETTINGS)

    assert on.likely(["waits", "on"], READY, "gloss") == (("on",), True)
    assert on.likely(["waits", "on"], READY, "strip") == (("on", "waits"), False)
    assert on.likely(["asked", "on"], READY, "strip") == (("on",), True)
    assert on.likely(["asked"], READY, "strip") == (("asked",), True)
    assert on.likely(["gone", "on"], READY, "") == (("on",), True)
    assert on.likely(["older", "gone"], READY, "strip") == (("gone", "older"), False)
