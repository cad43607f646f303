"""Entries summed to stages: hours, entries, days, and what is finished."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.stage_hours import followers, shop_grain, stage_hours
from estimator.words.records import FINISHED, ON_BENCH, SHOP, Board, Entry
from estimator.words.settings.schema import Stage

STAGES = {
    "strip": Stage("strip"),
    "infill": Stage("infill", after=("strip",)),
    "spray": Stage("spray", after=("infill",)),
    "fins": Stage("fins"),
}


def day(n):
    return dt.date(2026, 3, 1) + dt.timedelta(days=n)


def entry(n, stage, hours, done=None, **more):
    return Entry("b", day(n), stage, hours, done=done, **more)


def summed(*entries, state=ON_BENCH):
    return {
        has.stage: has for has in stage_hours(entries, {"b": Board("b", state=state)}, STAGES).get("b", ())
    }


def done(*entries, state=ON_BENCH):
    return {stage: has.done for stage, has in summed(*entries, state=state).items()}


# ---- hours


@pytest.mark.parametrize("lost", [("b", "strip"), ("b", "")])
def test_a_stage_of_which_rows_cannot_be_read_is_never_done(lost):
    """Its hours are fewer than it took, whatever its rows, later work or the board say; ("b", ""): any of its stages."""
    rows = (entry(1, "strip", 2.0, done=True), entry(2, "infill", 1.0, done=True), entry(3, "fins", 1.0))
    boards = {"b": Board("b", state=FINISHED)}
    found = {has.stage: (has.hours, has.done) for has in stage_hours(rows, boards, STAGES, {lost})["b"]}

    others = lost[1] != ""
    assert found == {"strip": (2.0, False), "infill": (1.0, others), "fins": (1.0, others)}


def test_hours_entries_and_the_middle_day():
    has = summed(entry(9, "strip", 1.5), entry(1, "strip", 2.0), entry(4, "strip", 0.25))["strip"]

    assert (has.hours, has.entries, has.middle, has.grain) == (3.75, 3, day(4), None)


def test_an_entry_over_several_days_lies_in_their_middle():
    assert summed(entry(0, "strip", 9.0, until=day(4)))["strip"].middle == day(2)


def test_the_coarsest_step_of_the_entries_counts():
    has = summed(
        entry(1, "strip", 13.0, grain=6.5), entry(2, "strip", 3.25, grain=3.25), entry(3, "strip", 1.0)
    )

    assert has["strip"].grain == 6.5


def test_stages_stand_in_order_of_work_whatever_the_order_of_the_rows():
    assert list(summed(entry(1, "fins", 1), entry(2, "spray", 1), entry(3, "strip", 1))) == [
        "strip",
        "spray",
        "fins",
    ]


def test_hours_on_no_board_on_a_strange_board_and_of_nothing_are_no_stage():
    rows = [
        Entry(SHOP, day(1), "strip", 3.0),
        Entry("other", day(1), "strip", 3.0),
        entry(1, "strip", 0.0, done=True),
    ]

    assert stage_hours(rows, {"b": Board("b")}, STAGES) == {}


@given(
    st.lists(st.tuples(st.integers(0, 30), st.sampled_from(sorted(STAGES)), st.floats(0.1, 12)), max_size=12)
)
def test_no_hour_is_lost_or_made(rows):
    has = summed(*(entry(n, stage, hours) for n, stage, hours in rows))

    assert sum(h.hours for h in has.values()) == pytest.approx(sum(hours for *_, hours in rows))
    assert sum(h.entries for h in has.values()) == len(rows)


# ---- done


def test_a_stage_is_in_hand_until_something_says_that_it_is_done():
    assert done(entry(1, "strip", 2)) == {"strip": False}


def test_a_stage_is_done_when_marked():
    assert done(entry(1, "strip", 2), entry(2, "strip", 1, True)) == {"strip": True}


def test_a_stage_is_done_when_what_must_come_after_it_near_or_far_has_hours():
    assert done(entry(1, "strip", 2), entry(2, "spray", 1)) == {"strip": True, "spray": False}


def test_a_stage_is_not_done_by_hours_on_one_that_need_not_come_after_it():
    assert done(entry(1, "strip", 2), entry(2, "fins", 1)) == {"strip": False, "fins": False}


def test_a_row_of_no_hours_on_a_later_stage_finishes_nothing():
    assert done(entry(1, "strip", 2), entry(2, "spray", 0)) == {"strip": False}


def test_all_stages_of_a_finished_board_are_done():
    assert done(entry(1, "strip", 2), entry(2, "fins", 1), state=FINISHED) == {"strip": True, "fins": True}


def test_a_denial_holds_against_a_later_stage():
    assert done(entry(1, "strip", 2, False), entry(2, "infill", 1))["strip"] is False


def test_the_last_word_counts_by_day_not_by_row():
    assert done(entry(5, "strip", 2, True), entry(1, "strip", 2, False)) == {"strip": True}
    assert done(entry(1, "strip", 2, True), entry(5, "strip", 2, False)) == {"strip": False}


def test_what_is_done_again_was_done_and_of_one_day_the_row_that_ends_last_counts():
    again = entry(2, "redo", 1, of="strip", again="me")
    assert done(entry(1, "strip", 2), again) == {"strip": True}
    assert done(entry(1, "strip", 2), entry(2, "redo", 1, again="me")) == {"strip": False}
    long, short = entry(1, "strip", 2, True, until=day(4)), entry(1, "strip", 1, False)
    assert done(long, short) == done(short, long) == {"strip": True}
    assert summed(entry(0, "strip", 1), entry(4, "strip", 1))["strip"].middle == day(4)


# ---- order of work


def test_what_comes_after_near_and_far():
    assert followers(STAGES) == {
        "strip": {"infill", "spray"}, "infill": {"spray"}, "spray": frozenset(), "fins": frozenset()
    }  # fmt: skip


def test_two_ways_to_a_stage_and_a_circle_do_no_harm():
    both = {"a": Stage("a"), "b": Stage("b", after=("a",)), "c": Stage("c", after=("a", "b"))}
    circle = {"a": Stage("a", after=("b",)), "b": Stage("b", after=("a",))}

    assert followers(both)["a"] == {"b", "c"}
    assert followers(circle)["a"] == {"a", "b"}


# ---- the step of writing


@pytest.mark.parametrize(
    ("hours", "grain"),
    [
        ([1.0, 2.0, 7.0], 1.0),
        ([1.0, 2.5], 0.5),
        ([1.0, 2.75], 0.25),
        ([1.0, 2.1], 0.0),
        ([], 0.0),
        ([0.0, 0.0], 0.0),
        ([1.0] * 19 + [1.3], 1.0),  # 95 in 100
        ([1.0] * 18 + [1.3], 0.0),
        ([0.0, 1.5], 0.5),  # rows of no hours say nothing of the step
    ],
)
def test_the_step_is_the_largest_that_nearly_all_entries_are_written_in(hours, grain):
    assert shop_grain(hours) == grain
