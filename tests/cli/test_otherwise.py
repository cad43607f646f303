"""`estimator otherwise` on the invented workshop."""

import json

import pytest

from estimator.cli.options import SharedOptions
from estimator.cli.otherwise import read_places
from estimator.decide.otherwise import Habit
from estimator.words.errors import UsageError


def test_the_invented_workshop_says_how_near_it_comes_and_what_a_place_more_would_do(run, demo_folder):
    said = run("otherwise", "--places", "4", "--shop", demo_folder).stdout
    kept = json.loads(run("otherwise", "--places", "4", "--shop", demo_folder, "--json").stdout)

    assert said.startswith(
        "Last year, worked otherwise\nYour log ends with the hours of Wed 30 September 2026. The year up to then, from "
        "Wed 1 October 2025 on, is worked once more as it was"
    )
    assert f"{kept['near']} of {kept['boards']} boards come out ready within a week" in said
    assert "\n\n4 boards on the go at once\nDays told that would have been kept: " in said
    assert kept["asked"]["habit"]["places"] == 4
    assert kept["near"] >= 0.75 * kept["boards"]


def test_without_an_option_a_few_habits_are_tried(run, demo_folder):
    kept = json.loads(run("otherwise", "--shop", demo_folder, "--json").stdout)
    assert kept["asked"] is None
    assert kept["tried"] == 8


def test_what_is_no_day_or_no_sort_is_refused(run, demo_folder):
    day = run("otherwise", "--small-on", "someday", "--shop", demo_folder, exit_code=2)
    sort = run("otherwise", "--none", "gun", "--shop", demo_folder, exit_code=2)
    assert "'someday' is no day of the week. Write it as Mon or Sun." in day.stderr
    assert "'gun' was no sort of job in that year. There were: major, minor, partial." in sort.stderr


@pytest.mark.parametrize("places", ["0", "21", "2.5", "-1", "four", "9" * 5000])
def test_what_is_no_number_of_places_is_refused_in_words(run, tmp_path, places):
    error = run("otherwise", "--places", places, "--shop", tmp_path, exit_code=2).stderr
    assert error.startswith('--places: "')
    assert error.endswith('" is no number of boards. Write a whole number from 1 to 20.\n')


@pytest.mark.parametrize("places", [1, 20])
def test_from_one_to_twenty_places_can_be_tried(places):
    assert read_places(str(places)) == places


def test_a_workshop_without_hours_has_no_year(run, tmp_path):
    run("new", tmp_path / "own")
    said = run("otherwise", "--shop", tmp_path / "own", exit_code=1)
    assert "no hours are written down" in said.stderr


@pytest.mark.parametrize(
    ("words", "habit"),
    [
        ((), None),
        (("--places", "4"), Habit(4, False, None, (), "")),
        (("--strip-first",), Habit(None, True, None, (), "")),
        (("--small-on", "Mon"), Habit(None, False, 0, (), "")),
        (("--days", "Mon,Wed"), Habit(None, False, None, (0, 2), "")),
        (("--none", "minor"), Habit(None, False, None, (), "minor")),
    ],
)
def test_each_option_is_its_part_of_the_habit(run, tmp_path, monkeypatch, words, habit):
    asked = []

    class Asked:
        problems = ()

        def otherwise(self, one):
            asked.append(one)
            raise UsageError("Asked.", "So far.")

    monkeypatch.setattr(SharedOptions, "open_shop", lambda _: Asked())
    run("otherwise", *words, "--shop", tmp_path, exit_code=2)
    assert asked == [habit]
