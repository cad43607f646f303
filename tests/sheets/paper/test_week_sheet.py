import datetime as dt
from dataclasses import replace

import pytest
from making.promises import TODAY, promise
from making.sheets import FORTY, SETTINGS, of_week

from estimator.bench.promises import Touch
from estimator.sheets.paper.week_sheet import MOST, monday_of, week_sheet
from estimator.words.settings.schema import Away

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
