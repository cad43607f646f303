"""Whose dates move by days away, and by a board that is put first."""

import datetime as dt

import pytest

from estimator.bench.promises import Dates
from estimator.decide.weigh.promise_impact import Moved
from estimator.said.day_moves import absence_words, first_words
from estimator.words.settings.schema import Away

TODAY = dt.date(2026, 6, 9)


def june(n):
    return dt.date(2026, 6, n)


def moved(name, to, chances=(None, None), frm=20):
    return Moved(
        name, name, Dates(june(1), june(2), june(frm)), Dates(june(1), june(2), june(to)), june(15), *chances
    )


@pytest.mark.parametrize(
    ("last", "said"),
    [
        (TODAY, "Not in today."),
        (june(10), "Not in till Wed 10 June 2026."),
        (june(8), "Not in till Mon 8 June 2026."),
    ],
)
def test_till_when_nobody_is_in(last, said):
    assert list(absence_words(Away(june(8), last), [], TODAY)) == [said, "Nobody's date moves by a day."]


def test_a_board_that_goes_first_is_said_with_its_day_and_chance_and_the_others_with_what_it_costs_them():
    gains = moved("red", 12, (0.4, 0.9))
    said = list(first_words(["red"], [moved("blue", 22), gains], TODAY))
    assert said == [
        "Red goes first: ready by Fri 12 June; in time 9 times in 10 (4 times in 10 before).",
        "Blue is two days later; no date of it is told yet.",
    ]
    assert list(first_words(["red"], [moved("red", 5)], TODAY)) == [
        "Red goes first: ready by Tue 9 June.",
        "It costs the others no day.",
    ]
    same = list(first_words(["red"], [moved("red", 12, (0.9, 0.91))], TODAY))
    assert same[0] == "Red goes first: ready by Fri 12 June; in time 9 times in 10 (as before)."
    assert len(list(first_words(["red", "blue"], [gains, moved("blue", 21)], TODAY))) == 3


def test_a_board_that_goes_first_is_said_with_the_day_to_tell():
    after = Dates(june(1), june(2), june(12), june(15))
    one = Moved("red", "red", Dates(june(1), june(2), june(20)), after, june(15))

    assert next(iter(first_words(["red"], [one], TODAY))) == "Red goes first: ready by Mon 15 June."
