"""A year under another habit, in words."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.decide.otherwise import Habit, OneBoard, Otherwise, UnderHabit
from estimator.said.otherwise import _more, _when, habit_words, otherwise_parts
from estimator.said.parts import Heading, Table
from estimator.words.settings.schema import Kind, Settings, Workshop

SHOP = Settings(
    workshop=Workshop(currency="mk"), kinds={"minor": Kind("minor", label="Small repair"), "odd": Kind("odd")}
)


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (9.0, "Half of the boards would have been ready 9 days earlier or more."),
        (-9.0, "Half of the boards would have been ready 9 days later or more."),
        (-1.0, "Half of the boards would have been ready 1 day later or more."),
        (0.5, "Half of the boards would have been ready no earlier and half no later."),
    ],
)
def test_earlier_and_later_are_told_apart(days, said):
    assert _when(days) == said


@pytest.mark.parametrize(("many", "said"), [(2, "2 more"), (-2, "2 fewer"), (0, "none more")])
def test_more_and_fewer_are_told_apart(many, said):
    assert _more(many) == said


@pytest.mark.parametrize(
    ("habit", "said"),
    [
        (Habit(places=1), "1 board on the go at once"),
        (Habit(small_on=0), "small repairs on Mondays only"),
        (Habit(days=(1,)), "work on Tue"),
        (Habit(days=(0, 2)), "work on Mon and Wed"),
        (Habit(none="minor"), "no more of “Small repair”"),
        (Habit(none="odd"), "no more of “odd”"),
        (Habit(none="gone"), "no more of “gone”"),
    ],
)
def test_a_habit_in_words(habit, said):
    assert habit_words(habit, SHOP) == said
    assert habit_words(Habit(none="minor")) == "no more of “minor”"


def june(n):
    return dt.date(2026, 6, n)


def board(n, replayed=1, otherwise=9):
    return OneBoard(f"b{n}", f"gun {n}", june(2), june(3) if n else None, june(replayed), june(otherwise))


UNDER = UnderHabit(
    Habit(places=2), 21, 22, 31, -1, 2, 5_210.0, 4_830.0, 0.3, 0.0, (board(0), board(1, otherwise=4)), ()
)
YEAR = Otherwise(dt.date(2025, 6, 2), june(1), 31, 27, None, None, 8, 3, 3)


def said(**more):
    parts = otherwise_parts(replace(YEAR, **more), SHOP)
    return [part.text if isinstance(part, Heading) else part for part in parts]


def test_how_near_the_replay_comes_is_said_first():
    assert said()[:2] == [
        "Last year, worked otherwise",
        ("Your log ends with the hours of Mon 1 June 2026. The year up to then, from Mon 2 June 2025 on, is worked once more as it was, with "
        "the hours, waits and days at work in your log: 27 of 31 boards come out ready within a week of the day on which they were."),
    ]  # fmt: skip
    assert said()[2].startswith("None of 8 other habits would have kept more days for no less pay, ")


@pytest.mark.parametrize(("near", "told"), [(24, True), (23, False)])
def test_below_three_in_four_nothing_is_said_of_another_habit(near, told):
    """Of 31 boards 23¼ are three in four."""
    lines = said(near=near, asked=UNDER)

    assert any(str(line).startswith("That is fewer than 3 in 4") for line in lines) != told
    assert ("2 boards on the go at once" in lines) == told


@pytest.mark.parametrize(("at_once", "told"), [(2, False), (3, False), (4, True)])
def test_more_at_once_in_the_log_than_in_the_settings_is_said(at_once, told):
    lines = [line for line in said(at_once=at_once) if str(line).startswith("Your settings have 3 boards")]

    assert len(lines) == told


def test_what_a_habit_would_have_changed():
    lines = said(asked=UNDER)
    assert lines[2:7] == [
        "2 boards on the go at once",
        "Days told that would have been kept: 21 of 31, where as it was 22 are. With other luck: 1 fewer to 2 more, 8 times in 10.",
        "Boards ready within the year would have brought, less materials, 5,210 mk instead of 4,830 mk.",
        "Half of the boards would have been ready no earlier and half no later.",
        "No board would have been ready more than 7 days later.",
    ]
    table = next(part for part in lines if isinstance(part, Table))
    assert table.rows == (
        ("gun 0", "", "Tue 2 Jun", "Mon 1 Jun", "Tue 9 Jun"),
        ("gun 1", "Wed 3 Jun", "Tue 2 Jun", "Mon 1 Jun", "Thu 4 Jun"),
    )
    same = said(asked=replace(UNDER, pay=4_830.9))
    assert same[4] == "Boards ready within the year would have brought, less materials, the same."


@pytest.mark.parametrize(
    ("many", "end"), [(1, "gun 1 (8 days)."), (8, "gun 8 (8 days)."), (9, "gun 8 (8 days) and 1 more.")]
)
def test_boards_that_a_habit_hurts_are_named(many, end):
    hurt = tuple(board(n) for n in range(1, many + 1))
    line = next(
        line
        for line in said(suggested=replace(UNDER, hurt=hurt))
        if str(line).startswith("Ready more than 7 days later: gun 1")
    )

    assert line.endswith(end)


def test_one_that_would_have_been_better_is_said_to_be_and_one_asked_for_comes_before_it():
    assert said(suggested=UNDER)[2:4] == [
        "Of 8 other habits one would have been better:",
        "2 boards on the go at once",
    ]
    asked = replace(UNDER, habit=Habit(strip_first=True))
    assert said(suggested=UNDER, asked=asked)[2] == "Each board stripped as soon as it comes"
