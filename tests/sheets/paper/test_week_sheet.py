import datetime as dt
from dataclasses import replace

import pytest
from making.promises import TODAY, morning, promise
from making.sheets import FORTY, SETTINGS, of_week

from estimator.bench.promises import Touch
from estimator.sheets.paper.week_sheet import MOST, monday_of, shortened, this_week, week_sheet
from estimator.words.settings.schema import Away, Stage

BENCH = promise(1, 4, 9, 18, 0.97)
RACK = promise(2, 8, 40, on="rack", why="the foam is drying")
LINE, LATER = promise(3, 5, 9, on="queue"), promise(4, 5, 9, on="queue")
NAMES = ("name", "place", "next", "told")


def test_boards_across_by_where_they_are_and_those_in_line_that_have_a_place():
    data = of_week(LATER, LINE, RACK, BENCH, touch=(Touch("26-003", "board 3", "assess", "a place is free"),))

    assert [one["name"] for one in data["columns"]] == ["board 1", "board 2", "board 3"]
    assert [one["place"] for one in data["columns"]] == ["on the go", "on the rack", "in line"]
    assert data["columns"][0] == dict(
        zip(NAMES, ("board 1", "on the go", "next: gloss coat", "told by Mon 19 Oct"), strict=True)
    )
    assert data["columns"][1]["next"] == "next: gloss coat, the foam is drying"
    assert data["shop"] == "No board"


def test_days_down_with_the_free_ones_known():
    data = of_week(BENCH)

    assert [f"{one['day']} {one['date']}" for one in data["days"]] == [
        *("Mon 28 Sep", "Tue 29 Sep", "Wed 30 Sep", "Thu 1 Oct", "Fri 2 Oct", "Sat 3 Oct", "Sun 4 Oct")
    ]
    assert [one["free"] for one in data["days"]] == [False] * 5 + [True] * 2
    assert data["title"] == "Week of Mon 28 September 2026"


def test_places_without_a_board_are_left_to_be_named():
    assert [one["name"] for one in of_week(BENCH)["columns"]] == ["board 1", "", ""]
    assert [one["name"] for one in week_sheet(SETTINGS, today=TODAY)["columns"]] == ["", "", ""]


def test_more_boards_than_columns_are_named():
    data = of_week(*(promise(n, 4, 9) for n in range(MOST + 5)))

    assert len(data["columns"]) == MOST
    assert data["more"] == "No room for board 8, board 9, board 10 and 2 more: use another sheet."
    assert of_week(BENCH)["more"] == ""


def test_stages_are_listed_where_there_is_room():
    assert of_week(BENCH)["stages"].startswith("Look it over, Clean and trace, ")
    assert of_week(BENCH, settings=FORTY)["stages"] == ""


@pytest.mark.parametrize(
    ("today", "monday"),
    [
        ("2026-10-01", "2026-09-28"),
        ("2026-10-02", "2026-09-28"),
        ("2026-10-03", "2026-10-05"),
        ("2026-10-05", "2026-10-05"),
    ],
)
def test_the_week_is_today_s_or_the_next_where_nothing_of_it_is_left(today, monday):
    assert monday_of(dt.date.fromisoformat(today), SETTINGS) == dt.date.fromisoformat(monday)


def test_a_week_away_after_this_one_is_not_skipped_to():
    away = (Away(dt.date(2026, 10, 3), dt.date(2026, 10, 30)),)
    settings = replace(SETTINGS, bench=replace(SETTINGS.bench, away=away))

    assert monday_of(dt.date(2026, 10, 3), settings) == dt.date(2026, 9, 28)


def test_boards_stand_by_place_then_by_the_day_they_are_ready():
    boards = [
        promise(1, 4, 9),
        promise(2, 6, 8),
        promise(3, 0, 5, on="rack"),
        promise(4, 1, 7, on="rack"),
        promise(5, 3, 4, on="queue"),
        promise(6, 2, 9, on="queue"),
        promise(7, 2, 3, on="queue"),
    ]
    here = this_week(morning(*boards, able=("26-006", "26-005")))

    assert [one.board for one in here] == ["26-002", "26-001", "26-003", "26-004", "26-005", "26-006"]


def test_a_column_says_the_day_that_was_told_last_and_what_a_board_stands_for():
    told = replace(BENCH.told, first_last=TODAY)
    over = replace(BENCH, told=told, next_stage="", why="waiting for the owner")
    head, *_ = of_week(over)["columns"]

    assert head == dict(zip(NAMES, ("board 1", "on the go", "", "told by Mon 19 Oct"), strict=True))
    assert of_week(RACK)["columns"][0]["told"] == ""


@pytest.mark.parametrize(
    ("letters", "name"), [(35, "x" * 35), (36, "x" * 36), (37, "x" * 35 + "…"), (90, "x" * 35 + "…")]
)
def test_a_name_of_thirty_six_letters_fits(letters, name):
    assert shortened("x" * letters) == name


@pytest.mark.parametrize(
    ("boards", "more"),
    [
        (MOST, ""),
        (MOST + 1, "No room for board 8: use another sheet."),
        (MOST + 3, "No room for board 8, board 9, board 10: use another sheet."),
        (MOST + 4, "No room for board 8, board 9, board 10 and 1 more: use another sheet."),
    ],
)
def test_all_boards_without_a_column_are_counted(boards, more):
    data = of_week(*(promise(n, 4, 9) for n in range(boards)))

    assert (len(data["columns"]), data["more"]) == (MOST, more)


def test_as_many_columns_as_there_are_places_or_boards():
    """The workshop has three places on the bench."""
    counts = [len(of_week(*(promise(n, 4, 9) for n in range(boards)))["columns"]) for boards in range(6)]

    assert counts == [3, 3, 3, 3, 4, 5]


def test_days_that_are_given_off_are_free():
    away = (Away(dt.date(2026, 9, 29), dt.date(2026, 9, 30)),)
    settings = replace(SETTINGS, bench=replace(SETTINGS.bench, away=away))

    assert [one["free"] for one in of_week(BENCH, settings=settings)["days"]] == [
        *(False, True, True, False, False, True, True)
    ]


def test_stages_are_left_out_beyond_five_hundred_letters():
    names = [
        replace(SETTINGS, stages={"a": Stage("a", label="x" * more), "b": Stage("b", label="y" * 400)})
        for more in (98, 99)
    ]

    assert [len(of_week(settings=settings)["stages"]) for settings in names] == [500, 0]
