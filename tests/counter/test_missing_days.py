"""What is still missing before a quarter is counted: days of which nothing is written, and what boards lack."""

import datetime as dt
import json
from types import SimpleNamespace

import pytest

from estimator.counter.missing_days import EmptyDays, Lacking, empty_days, still_missing
from estimator.words.records import Board, Entry, Log, Wait
from estimator.words.settings.schema import Away, Bench, Settings, Workshop

WEEK = Bench(hours_by_weekday=(6.0, 6.0, 6.0, 6.0, 6.0, 0.0, 0.0))
TODAY = dt.date(2026, 6, 12)  # a Friday


def june(n):
    return dt.date(2026, 6, n)


def now(boards=(), entries=(), waits=(), bench=WEEK):
    log = Log(boards=tuple(boards), entries=tuple(entries), waits=tuple(waits))
    return SimpleNamespace(log=log, settings=Settings(bench=bench, workshop=Workshop(currency="mk")))


def days_of(lacks, at, **how):
    return [one.field for one in still_missing(map(json.dumps, lacks), at, TODAY, **how)[0]]


def test_days_between_which_nobody_works_are_one_question():
    """Thursday and Friday, and over the week's end Monday; Wednesday after a day that is written is by itself."""
    empty = [("day", june(n).isoformat()) for n in (10, 4, 8, 5)]
    found, lacking = still_missing(map(json.dumps, empty), now(), TODAY)

    assert found == [
        EmptyDays("day.2026-06-04/2026-06-08", "Thu 4 June to Mon 8 June"),
        EmptyDays("day.2026-06-10", "Wed 10 June"),
    ]
    assert lacking == []
    apart = days_of(empty, now(), apart=True)
    assert apart == ["day.2026-06-04", "day.2026-06-05", "day.2026-06-08", "day.2026-06-10"]


@pytest.mark.parametrize(
    ("written", "left"),
    [
        ({"entries": [Entry("a", june(9), "strip", 2.0)]}, [8, 10]),
        ({"entries": [Entry("a", june(8), "strip", 2.0, until=june(9))]}, [10]),
        ({"entries": [Entry("a", june(9), "strip", 2.0, until=june(10))]}, [8]),
        ({"waits": [Wait("shop", june(8), june(9), "away")]}, [10]),
        ({"waits": [Wait("shop", june(9), None, "away")]}, [8, 10]),
        ({"waits": [Wait("a", june(8), june(10), "drying")]}, [8, 9, 10]),
    ],
)
def test_a_day_is_explained_by_hours_on_it_or_by_being_away_and_by_no_other_wait(written, left):
    asked = [("day", june(n).isoformat()) for n in (8, 9, 10)]

    assert days_of(asked, now(**written), apart=True) == [f"day.2026-06-{n:02}" for n in left]


@pytest.mark.parametrize(
    ("what", "board", "asked"),
    [
        ("price", Board("a", "red", price_quoted=900.0), Lacking("price.a", "a", "Price of red", "decimal")),
        ("price", Board("a", "red", price_charged=0.0), None),
        ("materials", Board("a", "red"), Lacking("materials.a", "a", "Materials for red", "decimal")),
        ("materials", Board("a", "red", materials=0.0), None),
        ("ready", Board("a", "red"), Lacking("ready.a", "a", "The day red was ready", "")),
        ("ready", Board("a", "red", ready=june(1)), None),
        ("ready", Board("a", "red", collected=june(1)), None),
        ("hours", Board("a", "red"), Lacking("", "a", "Hours are missing on red: write them there")),
        (
            "paid",
            Board("a", "red", price_quoted=900.0, deposit=300.0),
            Lacking("paid.a", "a", "Paid today for red; still owed: 600 mk", "decimal"),
        ),
        ("paid", Board("a", "red", price_quoted=900.0, paid=900.0), None),
        ("paid", Board("a", "red", price_quoted=900.0, paid=950.0), None),
        ("paid", Board("a", "red"), None),
        ("price", Board("b", "blue"), None),  # that board is gone
    ],
)
def test_what_a_board_lacks_is_asked_until_it_is_written(what, board, asked):
    days, lacking = still_missing([json.dumps((what, "a"))], now([board]), TODAY)

    assert days == []
    assert lacking == ([asked] if asked else [])


def test_of_a_week_those_days_are_empty_that_are_over_worked_and_unwritten():
    """Monday is written, Tuesday a day away, today not over, Saturday free."""
    at = now(
        entries=[Entry("a", june(8), "strip", 2.0)],
        bench=Bench(WEEK.places, WEEK.hours_by_weekday, away=(Away(june(9), june(9)),)),
    )
    week = [june(n) for n in range(6, 15)]

    assert [one.field for one in empty_days(at, week, TODAY)] == ["day.2026-06-10", "day.2026-06-11"]
    assert empty_days(at, week, TODAY)[0].words == "Wed 10 June"
