"""How long boards stood, as rows, checks and gaps tell it: 2 March 2026 is a Monday, a day has 6 hours."""

import datetime as dt
import math

import pytest

from estimator.bench.wait_cases import WaitCase, WaitCases, drying_stage, has_wait
from estimator.words.records import FINISHED, ON_BENCH, SHOP, WITHDRAWN, Board, Entry, Log, Wait
from estimator.words.settings.schema import Bench, Modifier, Settings, Stage

MONDAY = dt.date(2026, 3, 2)
SETTINGS = Settings(
    bench=Bench(hours_by_weekday=(6, 6, 6, 6, 5, 0, 0)),
    modifiers={"wetness": Modifier("wetness", stages=("drying",), grades=("dry", "wet"))},
    stages={
        "clean": Stage("clean"),
        "strip": Stage("strip", after=("clean",)),
        "drying": Stage("drying", after=("strip",), on="rack", wait_by={"wetness": ((0, 0), (5, 16))}),
        "infill": Stage("infill", after=("drying",), wait_days=(0.5, 1)),
        "logos": Stage("logos", after=("drying",), needs=("artwork",)),
        "gloss": Stage("gloss", after=("infill", "logos"), wait_days=(3, 10)),
        "polish": Stage("polish", after=("gloss",)),
        "redo": Stage("redo", after=("strip",)),
    },
)


def day(n):
    return MONDAY + dt.timedelta(days=n)


def booked(stage, n, hours=2.0, board="a", **more):
    return Entry(board, day(n), stage, hours, **more)


def cases(entries=(), waits=(), boards=None, settings=SETTINGS):
    boards = boards or (Board("a", state=ON_BENCH), Board("b", state=ON_BENCH))
    return WaitCases(Log(boards=tuple(boards), entries=tuple(entries), waits=tuple(waits)), settings)


def stood(fewest, most, first=0, until=None, board="a", sure=True):
    return WaitCase(board, day(first), fewest, most, None if until is None else day(until), sure)


# ---- rows


def test_a_row_with_both_ends_is_exact():
    told = cases(waits=[Wait("a", day(0), day(8), "owner"), Wait("a", day(0), day(9), "artwork")])
    assert list(told.for_cause("owner")) == [stood(8, 8, until=8)]


def test_an_open_row_stands_still_from_the_last_day_that_is_written():
    told = cases([booked("infill", 12, board="b")], [Wait("a", day(2), None, "owner")])
    assert list(told.for_cause("owner")) == [stood(11, math.inf, first=2)]


@pytest.mark.parametrize(
    ("cause", "stage", "still"),
    [
        ("owner", "strip", False),  # something was done: the answer came, nobody knows when
        ("artwork", "strip", True),  # only logos need the artwork
        ("artwork", "logos", False),
        ("drying", "drying", True),
        ("drying", "infill", False),
    ],
)
def test_an_open_row_is_over_once_what_had_to_wait_for_it_was_worked(cause, stage, still):
    told = cases([booked(stage, 5)], [Wait("a", day(0), None, cause)])
    assert list(told.for_cause(cause)) == ([stood(6, math.inf)] if still else [])
    before = cases([booked(stage, 0), booked("strip", 5, board="b")], [Wait("a", day(0), None, cause)])
    assert list(before.for_cause(cause)) == [stood(6, math.inf)]


@pytest.mark.parametrize("state", [FINISHED, WITHDRAWN])
def test_an_open_row_on_a_board_that_went_tells_nothing(state):
    told = cases([booked("strip", 0)], [Wait("a", day(0), None, "owner")], [Board("a", state=state)])
    assert list(told.for_cause("owner")) == []


# ---- checks


@pytest.mark.parametrize(
    ("checks", "found"),
    [
        ([(3, "still wet", None), (7, "Still wet ", None), (12, "dry", None)], (8, 12)),
        ([(12, "dry", None)], (1, 12)),
        ([(3, "still wet", None), (7, "", True), (12, "dry", None)], (4, 7)),
        ([(0, "dry", None)], (0, 0)),
        ([(2, "dry", None), (5, "still wet", None)], (1, 2)),
    ],
)
def test_drying_ends_between_two_checks(checks, found):
    entries = [booked("drying", n, 0.25, note=note, done=done) for n, note, done in checks]
    ends = next(n for n, note, done in checks if note == "dry" or done)
    row = [Wait("a", day(0), None, "drying")]
    assert list(cases(entries, row).for_cause("drying")) == [stood(*found, until=ends)]
    closed = [Wait("a", day(0), day(9), "drying")]
    assert list(cases([booked("strip", 0), *entries], closed).for_cause("drying")) == [stood(9, 9, until=9)]
    # without a row it begins with the last hours before it
    begun = [booked("clean", -1), booked("strip", -1), booked("strip", 0)]
    assert list(cases(begun + entries).for_cause("drying")) == [stood(*found, until=ends)]
    assert list(cases(begun + entries).after("drying")) == [stood(*found, until=ends)]


def test_checks_before_the_row_are_of_another_time():
    entries = [booked("drying", -9, 0.25, note="dry"), booked("drying", 6, 0.25, note="dry")]
    told = cases(entries, [Wait("a", day(0), None, "drying")])
    assert list(told.for_cause("drying")) == [stood(1, 6, until=6)]


def test_a_board_on_the_rack_that_no_check_found_dry_stands_still():
    entries = [booked("strip", 0), booked("drying", 4, 0.25, note="still wet")]
    told = cases(entries, [Wait("a", day(0), None, "drying")])
    assert list(told.for_cause("drying")) == [stood(5, math.inf)]
    assert list(cases(entries).for_cause("drying")) == []  # nothing says that it was hung up to dry


# ---- gaps: gloss on Monday, polish on a later day


def gap(polish, *others, **more):
    return list(cases([booked("gloss", 0), booked("polish", polish), *others], **more).after("gloss"))


def test_a_gap_tells_where_hours_were_left_on_the_working_day_before():
    assert gap(3, booked("strip", 2, 4.5, board="b")) == [stood(3, 3, until=3, sure=False)]
    assert gap(3, booked("strip", 2, 4.6, board="b")) == []  # three quarters of 6 h: he was busy
    assert gap(3) == []  # of an empty day nobody knows whether he was there


def test_hours_on_no_board_count_as_booked():
    busy = Entry(SHOP, day(2), "", 2.0, note="sweeping")
    assert len(gap(3, booked("strip", 2, 4.0, board="b"))) == 1
    assert len(gap(3, booked("strip", 2, 2.5, board="b"), busy)) == 1
    assert gap(3, booked("strip", 2, 4.0, board="b"), busy) == []


def test_over_a_weekend_it_may_have_ended_on_any_of_the_days():
    assert gap(7, booked("strip", 4, 3.0, board="b")) == [stood(5, 7, until=7, sure=False)]


def test_a_day_explained_as_not_worked_is_no_working_day():
    away = Entry(SHOP, day(2), "", 0.0, note="did not work", until=day(3))
    assert gap(4, booked("strip", 1, 3.0, board="b"), away) == [stood(2, 4, until=4, sure=False)]


def test_on_the_next_day_the_day_of_the_stage_itself_tells():
    assert gap(1) == [stood(1, 1, until=1, sure=False)]
    assert gap(1, booked("strip", 0, 3.0, board="b")) == []


def test_work_on_the_same_day_tells_nothing_of_the_wait():
    assert gap(0) == []
    assert gap(0, booked("strip", -3, 3.0, board="b")) == []


@pytest.mark.parametrize(("first", "until"), [(1, 2), (0, None), (-3, 1)])
def test_a_gap_in_which_it_stood_for_something_else_is_not_used(first, until):
    slack = booked("strip", 2, 3.0, board="b")
    row = Wait("a", day(first), None if until is None else day(until), "parts")
    assert gap(3, slack, waits=[row]) == []
    assert len(gap(3, slack, waits=[Wait("a", day(-3), day(0), "parts")])) == 1
    assert len(gap(3, slack, waits=[Wait("a", day(3), day(5), "parts")])) == 1


def test_what_follows_must_not_have_waited_for_another_stage_too():
    entries = [
        booked("infill", 0),
        booked("logos", 1),
        booked("gloss", 3),
        booked("strip", 2, 3.0, board="b"),
    ]
    assert list(cases(entries).after("infill")) == []  # the logos were done later
    told = [stood(3, 3, until=3, sure=False)]
    entries[1] = booked("logos", 0)
    assert list(cases(entries).after("infill")) == []  # or on the same day, nobody knows which was last
    entries[1] = booked("logos", -1)
    assert list(cases(entries).after("infill")) == told
    entries[1] = booked("polish", 3)  # what follows together does not hold itself up
    assert list(cases(entries).after("infill")) == told


def test_what_is_done_meanwhile_on_other_stages_does_not_end_it():
    entries = [booked("infill", 0), booked("redo", 1), booked("gloss", 3), booked("redo", 2, 3, board="b")]
    assert list(cases(entries).after("infill")) == [stood(3, 3, until=3, sure=False)]


# ---- the end of the log


def test_ready_on_a_later_day_ends_the_last_wait():
    boards = [Board("a", state=FINISHED, ready=day(9))]
    assert list(cases([booked("gloss", 2)], boards=boards).after("gloss")) == [stood(7, 7, first=2, until=9)]
    boards = [Board("a", state=FINISHED, ready=day(2))]
    assert list(cases([booked("gloss", 2)], boards=boards).after("gloss")) == []


def test_a_board_that_was_left_standing_with_hours_to_spare_stands_still():
    entries = [booked("gloss", 0), booked("strip", 4, 3.0, board="b")]
    assert list(cases(entries).after("gloss")) == [stood(5, math.inf, sure=False)]
    entries = [booked("gloss", 0), booked("strip", 4, 5.0, board="b")]
    assert list(cases(entries).after("gloss")) == []
    assert list(cases([booked("gloss", 0)]).after("gloss")) == []  # of the last day nothing follows
    entries = [booked("polish", 0), booked("strip", 4, 3.0, board="b")]
    assert list(cases(entries).after("polish")) == []  # nothing comes after it
    row = [Wait("a", day(1), None, "owner")]
    assert list(cases([booked("gloss", 0), booked("strip", 4, 3.0, board="b")], row).after("gloss")) == []


# ---- rows of curing


def test_a_row_of_curing_is_of_the_stage_that_ended_last():
    entries = [booked("infill", 0), booked("gloss", 3), booked("polish", 9, 6.0)]
    told = cases(entries, [Wait("a", day(3), day(8), "curing"), Wait("a", day(0), day(1), "curing")])
    assert list(told.after("gloss")) == [stood(5, 5, first=3, until=8)]
    assert list(told.after("infill")) == [stood(1, 1, until=1)]


# ---- settings


def test_which_stage_is_the_drying():
    assert drying_stage(SETTINGS) == "drying"
    rack = Stage("hang", on="rack", wait_days=(2, 9))
    graded = Stage("strip", wait_by={"wetness": ((0, 0), (5, 16))})
    plain = Stage("gloss", wait_days=(3, 10))
    assert drying_stage(Settings(stages={s.name: s for s in (plain, graded, rack)})) == "hang"
    assert drying_stage(Settings(stages={s.name: s for s in (plain, graded)})) == "strip"
    assert drying_stage(Settings(stages={"gloss": plain})) == ""
    assert has_wait(plain)
    assert has_wait(graded)
    assert not has_wait(Stage("sand", wait_by={"wetness": ((0, 0), (0, 0))}))


def test_nothing_written_tells_nothing():
    told = cases()
    assert [list(told.after(stage)) for stage in SETTINGS.stages] == [[]] * len(SETTINGS.stages)
    assert list(told.for_cause("drying")) == []


def test_in_a_year_without_a_day_of_work_there_is_no_working_day_before():
    """It looks back for a year; the day is none on which there were hours to spare, so a gap tells nothing."""
    shut = Settings(bench=Bench(hours_by_weekday=(0.0,) * 7), stages=SETTINGS.stages)
    told = cases([booked("gloss", 0), booked("polish", 3), booked("strip", 2, 3.0, board="b")], settings=shut)

    assert list(told.after("gloss")) == []


def test_what_was_worked_on_later_beside_it_tells_nothing_of_a_last_wait():
    """The gloss coat was the last of its line, but something was done again before the board was ready."""
    boards = [Board("a", state=FINISHED, ready=day(9))]
    assert list(cases([booked("gloss", 0), booked("redo", 3)], boards=boards).after("gloss")) == []


def test_a_row_of_curing_is_of_what_sets_and_not_of_what_was_done_between():
    told = cases([booked("gloss", 3), booked("redo", 4)], [Wait("a", day(4), day(9), "curing")])
    assert list(told.after("gloss")) == [stood(5, 5, first=4, until=9)]
