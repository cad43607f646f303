"""Problems that several rows show together."""

import datetime as dt

import pytest

from estimator.log.checks import day_shares
from estimator.words.records import Entry

HOURS = "board,date,until,stage,hours\n"
ALL_DONE = "A,2026-03-02,,clean,2\nA,2026-03-03,,strip,4\nA,2026-03-04,,infill,2\n"


def told_of(read, boards, hours, **others):
    found = read(boards=boards, hours=HOURS + hours, **others)
    assert len(found.log.entries) == hours.count("\n")  # a row that is doubted is loaded all the same
    return found.problems


def test_work_that_has_no_hours_on_a_finished_board_is_asked_after(read):
    boards = (
        "board,state,assessed_face_area,found_infills,assessed_logos,found_redo\nA,finished,1.2345,3,1,yes\n"
    )
    cure = "Book the hours, or a row of 0 h where it was not done."
    ask = "has no hours (not written or not done?), and"
    assert told_of(read, boards, "A,2026-03-02,,clean,2\nA,2026-03-04,,logo,0\n") == [
        f"boards.csv, line 2: infill {ask} found_infills is 3. {cure}",
        f"boards.csv, line 2: redo {ask} found_redo is 1. {cure}",
    ]


@pytest.mark.parametrize(
    "boards",
    [
        "board,state,found_infills\nA,on bench,3\n",  # not finished
        "board,state,found_infills,total_hours\nA,finished,3,20\n",  # the total holds them
        "board,state,found_infills\nA,finished,0\n",
        "board,state,assessed_infills\nA,finished,?\n",
    ],
)
def test_what_is_known_to_be_elsewhere_or_nothing_is_not_asked_after(read, boards):
    assert told_of(read, boards, "A,2026-03-02,,clean,2\n") == []


def test_a_finished_board_without_any_hours_is_not_asked_after_stage_by_stage(read):
    assert told_of(read, "board,state,found_infills\nA,finished,3\n", "") == []


def test_hours_where_there_was_nothing_to_do(read):
    boards = "board,assessed_infills,found_infills,assessed_logos,found_redo\nA,2,0,?,\nB,,,0,no\n"
    hours = "A,2026-03-02,,infill,0\nA,2026-03-03,,infill,1\nA,2026-03-04,,infill,2\nA,2026-03-04,,logo,2\nB,2026-03-05,,redo,2\nB,2026-03-05,,infill,1\n"
    move = "or move the hours to another stage."
    assert told_of(read, boards, hours) == [
        f'hours.csv, line 3: "infill": found_infills is 0 but 3 h booked. Write how much there was in found_infills, {move}',
        f'hours.csv, line 6: "redo": found_redo is 0 but 2 h booked. Write how much there was in found_redo, {move}',
        f'hours.csv, line 7: "infill": assessed_infills is 0 but 1 h booked. Write how much there was in found_infills, {move}',
    ]


def test_hours_before_the_start_and_after_the_board_went(read):
    boards = "board,started,collected\nA,2026-03-03,2026-03-31\n"
    hours = "A,2026-03-02,,look,1\nA,2026-03-02,,strip,2\nA,2026-03-30,2026-04-02,strip,2\nA,2026-04-02,,strip,0\n"
    cure = "Correct the one date or the other."
    assert told_of(read, boards, hours) == [
        f"hours.csv, line 3: hours on 2026-03-02, before the board is started (2026-03-03). {cure}",
        f"hours.csv, line 4: hours on 2026-04-02, after the board is collected (2026-03-31). {cure}",
    ]


def test_a_wait_that_begins_when_the_board_has_gone(read):
    boards = "board,started,collected\nA,2026-03-03,2026-03-31\nB,,\n"
    waits = "board,from,until,for\nA,2026-04-02,,parts\nA,2026-03-31,2026-04-09,owner\nB,2026-04-02,,parts\n"
    found = read(boards=boards, waits=waits)
    assert found.problems == [
        (
            "waits.csv, line 2: a wait from 2026-04-02 on, after the board is collected (2026-03-31). "
            "Correct the one date or the other."
        )
    ]
    assert len(found.log.waits) == 3


def test_a_day_has_24_hours_on_all_boards_and_the_shop_together(read):
    hours = (
        "A,2026-03-02,,strip,10\nB,2026-03-02,,strip,10\nshop,2026-03-02,,,4.5\n"
        "A,2026-03-03,2026-03-06,strip,48\nB,2026-03-06,,strip,12.5\nB,2026-03-04,,strip,12\n"
    )
    cure = "Book them over several days with until, or put the sum in total_hours."
    assert told_of(read, "board\nA\nB\n", hours) == [
        f"hours.csv, line 4: 2026-03-02 has 24.5 h in all (line 2, line 3, line 4). {cure}",
        f"hours.csv, line 6: 2026-03-06 has 24.5 h in all (line 5, line 6). {cure}",
    ]


@pytest.mark.parametrize(("days", "share"), [(1, 8.0), (400, 0.02), (401, None)])
def test_hours_are_spread_evenly_over_their_days_up_to_four_hundred(days, share):
    first = dt.date(2026, 1, 1)
    last = first + dt.timedelta(days=days - 1)
    shares = day_shares(Entry("A", first, "strip", 8.0, until=last))
    assert shares == ([] if share is None else [(first + dt.timedelta(days=n), share) for n in range(days)])


def test_a_row_over_half_a_life_is_no_endless_work(read):
    assert told_of(read, "board\nA\n", "A,1951-01-01,2026-01-01,strip,4\n" * 3) == []


def test_hours_where_several_things_make_the_work_and_none_of_them_was_there(read, shop):
    from dataclasses import replace

    from estimator.words.settings.schema import Stage

    both = replace(
        shop, stages={**shop.stages, "logo": Stage("logo", drivers=("logos", "infills"), after=("infill",))}
    )
    boards = "board,assessed_infills,assessed_logos,found_logos\nA,0,1,0\nB,0,?,\nC,1,0,\n"
    found = read(
        settings=both,
        boards=boards,
        hours=HOURS + "A,2026-03-02,,logo,2\nB,2026-03-02,,logo,2\nC,2026-03-02,,logo,2\n",
    )
    assert found.problems == [
        (
            'hours.csv, line 2: "logo": found_logos and assessed_infills are 0 but 2 h booked. Write how much there was in '
            "found_logos and found_infills, or move the hours to another stage."
        )
    ]


@pytest.mark.parametrize(
    ("row", "noted"),
    [
        ("A,finished,900,,,50", False),
        ("A,finished,,,40,50", True),
        ("A,finished,,,50,50", False),
        ("A,finished,,60,,50", False),
        ("A,finished,,,,50", True),
    ],
)
def test_no_more_is_given_back_than_was_paid(read, row, noted):
    found = read(boards=f"board,state,price_charged,deposit,paid,returned\n{row}\n")
    said = [note for note in found.notes if "given back" in note]
    assert bool(said) is noted
