"""What an owner is told who agreed to what he asked for since; and which move of a date is worth a word."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.bench.promises import Dates
from estimator.decide.weigh.promise_impact import Added, InHand, Moved, ReadyThen, _moves, telling_of
from estimator.forecast.ranges import Cost, Price, Spread
from estimator.words.records import Board, Told

DAY = dt.date(2026, 6, 1)
BOARD = Board("a", price_quoted=900.0)


def dates(*days, tell=None):
    plain = Dates(*(DAY + dt.timedelta(n) for n in days))
    return plain if tell is None else replace(plain, tell=DAY + dt.timedelta(tell))


READY = ReadyThen(dates(3, 4, 6), dates(8, 12, 15, tell=17), Spread(4.0, 5.0, 9.0))
ADDED = Added(
    {"logos": 2.0}, 0.9, Spread(6.0, 8.0, 11.0), Spread(23.6, 30.0, 36.4), Cost(40.0, 50.0, 60.0),
    Price(396.0, 0.9, 40.0), ready=READY,
)  # fmt: skip
LESS = replace(ADDED, hours=Spread(-9.0, -7.0, -5.0))


def test_it_is_the_hours_the_days_and_the_price_of_the_whole_board_then():
    """900 quoted, and 396 more to the nearest ten: 1,300."""
    assert telling_of(ADDED, BOARD, DAY, [], None) == Told(
        "a",
        DAY,
        hours_low=24.0,
        hours_high=36.0,
        price=1300.0,
        first=DAY + dt.timedelta(8),
        last=DAY + dt.timedelta(17),
        odds=0.9,
        because="asked later",
        paid_by="owner",
    )


@pytest.mark.parametrize(
    ("said", "price", "told", "now"),
    [
        (ADDED, 250.55, (), 1150.55),  # what was agreed
        (ADDED, 0.0, (), 900.0),
        (ADDED, None, (Told("a", DAY, price=1000.0),), 1400.0),  # on top of the price told last
        (LESS, 250.0, (), 650.0),  # less is asked for: it comes off
        (replace(LESS, hours=Spread(-9.0, -7.0, 0.5)), 250.0, (), 1150.0),  # it may be more
        (replace(ADDED, price=Price(396.0, 0.9, 0.0)), None, (), None),  # nothing is wanted an hour
    ],
)
def test_the_price_is_the_one_before_and_what_was_agreed_on_top(said, price, told, now):
    assert telling_of(said, BOARD, DAY, told, price).price == now


def test_no_price_and_no_days_are_told_where_there_are_none():
    told = telling_of(replace(ADDED, ready=None), replace(BOARD, price_quoted=None), DAY, [], 250.0)

    assert (told.price, told.first, told.last) == (None, None, None)


@pytest.mark.parametrize(
    ("days", "chances", "worth"),
    [
        (2, (None, None), False),
        (3, (None, None), True),
        (-3, (None, None), True),
        (0, (0.7, 0.66), False),
        (0, (0.7, 0.6), True),
        (0, (0.6, 0.7), True),
    ],
)
def test_three_days_or_a_twentieth_of_a_chance_either_way_are_worth_a_word(days, chances, worth):
    assert Moved("a", "", dates(9, 9, 9), dates(9, 9, 9 + days) if days > 0 else dates(6, 6, 9 + days), DAY,
                 *chances).worth_a_word is worth  # fmt: skip


@pytest.mark.parametrize(
    ("after", "moves"),
    [((2, 5, 9), False), ((3, 5, 9), True), ((2, 6, 9), True), ((2, 5, 10), True), ((1, 5, 9), True)],
)
def test_a_promise_moves_where_any_of_its_days_does(after, moves):
    assert _moves(Moved("a", "", dates(2, 5, 9), dates(*after))) is moves


def test_where_no_dates_can_be_given_the_hours_in_hand_are_told_and_why():
    from decide.test_day_moves import two
    from making.hands import with_bench

    from estimator.model.saved_fit import KnownBoard

    never = with_bench(hours_by_weekday=(0.0,) * 7)
    found = InHand.beside(two(settings=never), KnownBoard("b"), DAY)

    assert (found.hours, found.moved) == (12.0, None)
    assert "never finished" in found.no_dates
