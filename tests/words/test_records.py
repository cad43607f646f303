"""What records say of themselves: guesses, prices that were told and agreed, names, and what a rule is about."""

import datetime as dt
import math
import pickle

import pytest

from estimator.words.records import (
    IN_HAND,
    TAKEN_ON,
    AgreedPrice,
    Board,
    Entry,
    Log,
    Rule,
    Told,
    price_agreed,
    price_told,
    with_later,
)

MAY = [dt.date(2026, 5, day) for day in range(1, 10)]


def told(price, day, because="quote", board="a"):
    return Told(board, MAY[day], price=price, because=because)


@pytest.mark.parametrize(
    ("tellings", "price"),
    [
        ([], 900.0),
        ([told(None, 3)], 900.0),
        ([told(950.0, 1), told(None, 3)], 950.0),
        ([told(950.0, 1), told(1000.0, 3)], 1000.0),
        ([told(1000.0, 3), told(950.0, 1)], 1000.0),  # by day, however they stand
        ([told(1000.0, 3), told(950.0, 3), told(930.0, 1)], 950.0),  # of one day the last
        ([told(1.0, 5, board="b")], 900.0),
        ([told(0.0, 1)], 0.0),
    ],
)
def test_the_price_that_an_owner_goes_by_is_the_last_that_was_told(tellings, price):
    assert price_told(Board("a", price_quoted=900.0), tellings) == price
    assert price_told(Board("a"), []) is None


@pytest.mark.parametrize(
    ("quoted", "tellings", "agreed"),
    [
        (900.0, [], None),
        (900.0, [told(950.0, 1)], None),
        (900.0, [told(990.5, 1, "asked later")], (900.0, 90.5, 990.5)),
        (900.0, [told(950.0, 1), told(990.5, 2, "asked later")], (950.0, 40.5, 990.5)),
        (900.0, [told(990.5, 2, "asked later"), told(950.0, 1)], (950.0, 40.5, 990.5)),
        (900.0, [told(1000.0, 1, "asked later"), told(1100.0, 2, "hidden work")], (1000.0, 100.0, 1100.0)),
        (900.0, [told(1000.0, 1, "asked later"), told(950.0, 2, "asked later")], (900.0, 50.0, 950.0)),
        (900.0, [told(1000.0, 1, "asked later"), told(900.0, 2, "asked later")], None),
        (900.0, [told(850.0, 1, "asked later")], (900.0, -50.0, 850.0)),
        (None, [told(1000.0, 1, "asked later")], None),
        (900.0, [told(1000.0, 1, "asked later", board="b")], None),
        (900.0, [told(None, 1, "asked later")], None),
    ],
)
def test_a_price_in_its_parts_is_what_was_before_and_what_was_asked_for_since(quoted, tellings, agreed):
    found = price_agreed(Board("a", price_quoted=quoted), tellings)
    assert found == (AgreedPrice(*agreed) if agreed else None)


def test_a_guess_is_the_middle_of_its_range_and_none_without_both_ends():
    assert Board("a", guess_low=20.0, guess_high=80.0).guess == 40.0
    assert Board("a", guess_low=55.0, guess_high=55.0).guess == pytest.approx(55.0)
    assert Board("a", guess_low=20.0).guess is None
    assert Board("a", guess_high=20.0).guess is None


def test_a_board_goes_by_its_short_name_else_by_its_length_else_by_its_number():
    assert Board("26-1", called="red", length_m=2.8956).name == "red"
    assert Board("26-1", length_m=2.8956).name == "9'6 (26-1)"
    assert Board("26-1").name == "26-1"
    assert Board("26-1").known == ""


def test_what_was_asked_for_since_is_on_top_of_what_was_judged_and_may_be_less():
    assert with_later({"logos": 2.0, "area": 1.0}, {"logos": -1.0, "infills": 3.0}) == {
        "logos": 1.0,
        "area": 1.0,
    }
    assert Board("a", assessed={"logos": 2.0}, later={"logos": 1.0}).wanted == {"logos": 3.0}


def test_the_last_day_of_a_log_is_the_last_that_any_of_its_rows_covers():
    rows = (Entry("a", MAY[2], "strip", 3.0, until=MAY[6]), Entry("a", MAY[4], "strip", 3.0))
    assert rows[1].last == MAY[4]
    assert Log(entries=rows).last_entry == MAY[6]
    assert Log().last_entry is None
    sent = pickle.loads(pickle.dumps(Log(boards=(Board("a"),), entries=rows)))
    assert (sent.by_id["a"].board, sent.entries) == ("a", rows)


@pytest.mark.parametrize(
    ("says", "form"),
    [
        ({"stage": "strip"}, "stage"),
        ({"stage": "strip", "per": "area"}, "rate"),
        ({"stage": "strip", "modifier": "wet"}, "factor"),
        ({"stage": "strip", "modifier": "wet", "per": "area"}, "factor"),
        ({"wait": "gloss"}, "wait"),
        ({"span": ("started", "ready")}, "span"),
        ({"about": "chance", "chance": "redo", "stage": "strip"}, "chance"),
        ({}, "board"),
    ],
)
def test_what_a_rule_is_about(says, form):
    assert Rule("r", **says).form == form


def test_how_sure_a_rule_is_and_never_surer_than_the_narrowest():
    """Eight in ten lie within 1.2816 standard deviations: any table of the normal law."""
    rule = Rule("r", low=2.0, high=8.0, odds=0.8)
    assert rule.centre == pytest.approx(math.log(4.0))
    assert rule.spread == pytest.approx(math.log(4.0) / (2 * 1.2815515655))
    assert rule.omega == rule.spread
    assert Rule("r", low=4.0, high=4.1, odds=0.8).omega == 0.15
    assert Rule("r").own
    assert not Rule("r", source="starter").own
    assert not Rule("r", source="shops").own


def test_what_is_taken_on_and_what_is_not_yet_over():
    assert IN_HAND == ("waiting", "on bench", "stopped")
    assert TAKEN_ON == ("finished", "waiting", "on bench", "stopped")
