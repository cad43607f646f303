"""Boards made ready, as the log has them: which day, which hours, which price; and the groups that they fall into."""

import datetime as dt

import pytest

from estimator.decide.quarter.pay import hours_of, made_ready, of_span, pay_of, short_of
from estimator.words.records import DECLINED, FINISHED, WITHDRAWN, Board, Entry, Log
from estimator.words.settings.schema import Modifier, Settings, Stage

DAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    modifiers={"wetness": Modifier("wetness")}, stages={"strip": Stage("strip"), "sand": Stage("sand")}
)


def on(n):
    return DAY + dt.timedelta(n)


def board(name="a", **more):
    return Board(
        name, **{"state": FINISHED, "ready": on(9), "price_quoted": 900.0, "materials": 100.0, **more}
    )


def one(entries=(), **more):
    log = Log((board(**more),), tuple(entries))
    (made,) = made_ready(log, SETTINGS, hours_of(log, SETTINGS))
    return made


def rows(*hours):
    return [Entry("a", on(n), "strip", much) for n, much in enumerate(hours)]


def test_hours_are_the_larger_of_the_total_and_the_rows_whole_or_not():
    assert [(made.hours, made.whole) for made in (one(), one(rows(3.0, 4.0)), one(total_hours=30.0))] == [
        (0.0, False), (7.0, True), (30.0, True)
    ]  # fmt: skip
    both = board(total_hours=30.0)
    (missing,) = made_ready(Log((both,), tuple(rows(3.0))), SETTINGS, {"a": None})
    assert (missing.hours, missing.whole) == (30.0, False)
    (missing,) = made_ready(Log((both,), tuple(rows(33.0))), SETTINGS, {})
    assert (missing.hours, missing.whole) == (33.0, False)


def test_hours_of_a_board_some_of_whose_rows_could_not_be_read_are_not_whole():
    log = Log(
        (board(), board("b", total_hours=30.0), board("c")),
        tuple(rows(3.0)),
        partial=(("a", "strip"), ("b", "")),
    )
    assert hours_of(log, SETTINGS) == {"a": None, "b": 30.0, "c": None}


@pytest.mark.parametrize(
    ("more", "ended", "dated"),
    [
        ({}, 9, True),
        ({"collected": on(12)}, 9, True),
        ({"ready": None, "collected": on(12)}, 12, True),
        ({"ready": None, "paid_on": on(3)}, 3, False),
        ({"ready": None}, 1, False),  # its last hours
    ],
)
def test_the_day_on_which_it_was_ready(more, ended, dated):
    made = one(rows(3.0, 4.0), **more)
    assert (made.ended, made.dated) == (on(ended), dated)


def test_only_finished_boards_with_a_day_in_the_order_in_which_they_were_ready():
    boards = (board("z"), board("b", ready=on(5)), board("a"), board("n", state=DECLINED), board("w", state=WITHDRAWN),
              board("o", state="on bench"), board("u", ready=None))  # fmt: skip
    made = made_ready(Log(boards), SETTINGS, {})

    assert [each.board for each in made] == ["b", "a", "z"]
    assert [each.board for each in of_span(made, (on(5), on(8)))] == ["b"]
    assert [each.board for each in of_span(made, (on(6), on(9)))] == ["a", "z"]


def test_the_price_is_what_was_charged_less_what_was_given_back_and_a_remembered_guess_is_none():
    guessed = {"guess_low": 20.0, "guess_high": 20.0}

    assert (one(**guessed).price, one(**guessed).guess) == (900.0, 20.0)
    charged = one(price_charged=1000.0, paid=1000.0, returned=40.0, from_memory=True, **guessed)
    assert (charged.price, charged.guess, charged.brought) == (960.0, None, 860.0)
    assert one(price_quoted=None).brought is one(materials=None).brought is None


@pytest.mark.parametrize(
    ("colours", "group"),
    [
        (0.0, "no colour"),
        (0.5, "one colour"),
        (1.0, "one colour"),
        (1.5, "two colours or more"),
        (4.0, "two colours or more"),
    ],
)
def test_colours_are_counted_up_to_two(colours, group):
    assert one(found={"spray_colours": colours}).groups["spray_colours"] == group


@pytest.mark.parametrize(("wet", "group"), [(0.0, "no"), (0.4, "no"), (0.6, "yes"), (3.0, "yes")])
def test_a_condition_without_grades_is_there_or_not(wet, group):
    assert one(found={"wetness": wet}).groups["wetness"] == group


def test_pay_is_of_boards_of_which_all_is_known_and_sums_are_of_all():
    """20 hours and 800, 10 and 500; a third without materials, a fourth whose hours are missing."""
    entries = [Entry(name, DAY, "strip", hours) for name, hours in (("a", 20.0), ("b", 10.0), ("c", 5.0))]
    boards = (board("a"), board("b", price_quoted=600.0), board("c", materials=None), board("d"))
    log = Log(boards, tuple(entries))
    pay = pay_of(made_ready(log, SETTINGS, hours_of(log, SETTINGS)))

    assert (pay.boards, pay.hours, pay.income, pay.materials) == (4, 35.0, 3300.0, 300.0)
    assert (pay.counted, pay.counted_hours, pay.counted_income, pay.brought) == (2, 30.0, 1500.0, 1300.0)
    assert (pay.all, pay.median, pay.low, pay.high) == (1300 / 30, 45.0, 41.0, 49.0)
    nothing = pay_of([])
    assert (nothing.boards, nothing.all, nothing.median) == (0, None, None)


def test_what_was_short_is_of_boards_with_a_guess_and_all_their_money():
    """20 hours on a guess of 16 at 42: 168 too many; 800 for 16 hours wanted 672: 128 more than that."""
    guessed = {"guess_low": 16.0, "guess_high": 16.0}
    entries = [Entry(name, DAY, "strip", hours) for name, hours in (("a", 20.0), ("b", 10.0), ("c", 5.0))]
    boards = (board("a", **guessed), board("b"), board("c", materials=None, **guessed))
    log = Log(boards, tuple(entries))
    made = made_ready(log, SETTINGS, hours_of(log, SETTINGS))
    short = short_of(made, 42.0)

    assert (short.boards, short.from_hours, short.from_price) == (1, 168.0, -128.0)
    assert short.total == pytest.approx(40.0)
    assert short_of(made[1:], 42.0) is None
