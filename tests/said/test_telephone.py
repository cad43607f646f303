"""What is said when an owner rings: one day with the odds that this very day has, and what became of the one told."""

import datetime as dt
from dataclasses import replace

import pytest
from making.promises import DANGER, KEPT, TODAY, UNTOLD, promise

from estimator.said.telephone import not_yet, to_read_aloud, told_rows, without_dates
from estimator.words.records import Board, Told
from estimator.words.settings.schema import Settings, Stage


@pytest.mark.parametrize(
    ("made", "odds"),
    [
        (replace(KEPT, ready=replace(KEPT.ready, tell=KEPT.told.last)), "19 in 20"),  # the day told stands
        (DANGER, "9 times in 10"),  # another day is to be told
        (UNTOLD, "9 times in 10"),
    ],
)
def test_the_day_is_said_with_its_own_odds(made, odds):
    first, *_ = not_yet(made, Settings(), TODAY)

    assert first.startswith("Not yet. Ready by ")
    assert first.endswith(f", {odds}.")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (2, "You told them by Sat 3 October: kept about even (5 in 10)."),
        (0, "You told them by Thu 1 October: kept about even (5 in 10)."),
        (-1, "You told them by Wed 30 September: 1 day ago."),
        (-3, "You told them by Mon 28 September: 3 days ago."),
    ],
)
def test_a_day_is_over_from_the_day_after_on(told, said):
    board = promise(1, 4, 9, told=told, chance=0.5)

    assert not_yet(board, Settings(), TODAY)[-1] == said


def test_the_day_to_say_is_the_later_end_and_never_over():
    assert to_read_aloud(promise(1, 4, 9), TODAY).startswith("“By Sat 10 October.")
    assert to_read_aloud(promise(1, -9, -4), TODAY).startswith("“By Thu 1 October.")


@pytest.mark.parametrize(
    ("board", "said"),
    [
        (Board("a", state="asked"), "Asked."), (Board("a", state="waiting"), "In line."), (Board("a", state="on bench"), "On the go."),
        (Board("a", state="stopped"), "Stopped, waiting for an answer."), (Board("a", state="declined"), "I said no."), (Board("a", state="withdrawn"), "Owner dropped it."),
        (Board("a", state="finished"), "Ready."), (Board("a", state="finished", ready=dt.date(2026, 9, 3)), "Ready since Thu 3 September."),
        (Board("a", state="finished", ready=dt.date(2025, 9, 3), collected=dt.date(2025, 9, 9)), "Fetched on Tue 9 September 2025."),
    ],
)  # fmt: skip
def test_where_a_board_is_by_its_own_row(board, said):
    assert without_dates(board, TODAY) == said


def test_of_a_day_long_ago_without_a_day_to_look_from_the_year_is_that_day_s_own():
    assert (
        without_dates(Board("a", state="finished", ready=dt.date(2025, 9, 3)), None)
        == "Ready since Wed 3 September."
    )


SHOP = Settings(stages={"gloss": Stage("gloss", label="Gloss coat")})


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, ["Next: gloss coat; about 12 hours of work to go."]),
        ({"hours_left": 0.0}, ["Next: gloss coat."]),
        (
            {"why": "foam is drying", "from_day": TODAY + dt.timedelta(4)},
            ["Foam is drying until about Mon 5 October; about 12 hours of work after that."],
        ),
        ({"why": "foam is drying"}, ["Foam is drying; about 12 hours of work after that."]),
        (
            {"why": "it has to harden", "hours_left": 0.0, "from_day": TODAY + dt.timedelta(1)},
            ["It has to harden until about Fri 2 October."],
        ),
        ({"next_stage": "", "hours_left": 0.0}, []),
    ],
)
def test_what_comes_next_or_what_it_stands_for(more, said):
    assert not_yet(promise(1, 4, 9, **more), SHOP, TODAY)[1:-1] == said


def test_when_the_day_was_told_is_that_of_the_last_such_telling():
    board = promise(1, 4, 9, told=18, chance=0.5)
    told = [
        Told("26-001", dt.date(2026, 9, n), last=last)
        for n, last in ((1, board.told.last), (3, board.told.last), (8, TODAY))
    ]

    assert (
        not_yet(board, SHOP, TODAY, told)[-1]
        == "You told them by Mon 19 October, on Thu 3 September: kept about even (5 in 10)."
    )
    assert (
        not_yet(board, SHOP, TODAY, told[2:])[-1]
        == "You told them by Mon 19 October: kept about even (5 in 10)."
    )


def test_the_odds_of_the_day_told_are_said_only_where_that_day_is_the_one_to_say():
    same = promise(1, 4, 9, told=9, chance=0.62)
    assert not_yet(same, SHOP, TODAY)[0] == "Not yet. Ready by Sat 10 October, 6 times in 10."
    assert (
        not_yet(promise(1, 4, 9, told=9), SHOP, TODAY)[0]
        == "Not yet. Ready by Sat 10 October, 9 times in 10."
    )
    assert (
        not_yet(promise(1, 4, 9, told=8, chance=0.62), SHOP, TODAY)[0]
        == "Not yet. Ready by Sat 10 October, 9 times in 10."
    )


def test_tellings_stand_in_a_row_each_the_first_first():
    told = [
        Told("a", dt.date(2026, 9, 8), 41.0, 70.0, 2180.0, last=dt.date(2027, 1, 4), because="late"),
        Told("a", dt.date(2026, 5, 4), None, 70.0),
    ]
    assert told_rows(told, "mk", TODAY).rows == (
        ("Mon 4 May", "", "", "", ""),
        ("Tue 8 September", "Mon 4 January 2027", "2,180 mk", "between 40 and 70 hours", "late"),
    )
    assert told_rows([], "mk", TODAY) is None


def test_a_day_to_say_that_is_over_is_today_and_days_told_are_said_from_today():
    late = promise(1, -9, -4, told=0, chance=0.3)
    assert not_yet(late, Settings(), TODAY)[0] == "Not yet. Ready by Thu 1 October, 3 times in 10."
    told = [Told("a", dt.date(2025, 9, 8), last=dt.date(2025, 12, 4))]
    assert told_rows(told, "", TODAY).rows[0][:2] == ("Mon 8 September 2025", "Thu 4 December 2025")
    assert told_rows(told, "", None).rows[0][:2] == ("Mon 8 September", "Thu 4 December")


def test_a_board_that_was_fetched_is_said_so_though_nobody_wrote_when_it_was_ready():
    assert (
        without_dates(Board("a", state="finished", collected=dt.date(2026, 9, 9)), TODAY)
        == "Fetched on Wed 9 September."
    )
