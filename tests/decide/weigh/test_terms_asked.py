"""What is asked of a board: which price, which ceiling, and what is no question."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.decide.weigh.terms import Question, question_of
from estimator.words.errors import UsageError
from estimator.words.records import DECLINED, FINISHED, ON_BENCH, WITHDRAWN, Board, Told

DAY = dt.date(2026, 5, 4)
BOARD = Board("a", "red", price_quoted=1800.0)


def told(day, price=None, terms="", board="a"):
    return Told(board, DAY + dt.timedelta(day), price=price, terms=terms)


def test_the_price_is_the_one_named_else_told_last_else_quoted():
    told_two = (told(9, 2100.0), told(2, 1900.0), told(20, 700.0, board="b"))

    assert question_of(BOARD, None) == Question(1800.0, from_log=True)
    assert question_of(BOARD, None, told=told_two) == Question(2100.0, from_log=True)
    assert question_of(BOARD, 1500.0, told=told_two) == Question(1500.0, from_log=False)


def test_all_else_is_taken_as_it_is_named():
    asked = question_of(BOARD, 1500.0, "a price with a range", 0.0, 0.0, 0.9)

    assert asked == Question(1500.0, "ceiling", 0.0, 0.0, 0.9)


def test_the_ceiling_told_last_stands_with_the_price_of_the_log_alone():
    """Told 2,500 first and 2,300 since; the 900 is of another board, and the last row says nothing of terms."""
    rows = (
        told(9, terms="ceiling 2300"),
        told(2, terms="ceiling 2500"),
        told(12),
        told(20, terms="ceiling 900", board="b"),
    )

    assert question_of(BOARD, None, told=rows).ceiling == 2300.0
    assert question_of(BOARD, None, ceiling=2400.0, told=rows).ceiling == 2400.0
    assert question_of(BOARD, 1500.0, told=rows).ceiling is None
    assert question_of(BOARD, None, told=(*rows, told(15, terms="fixed"))).ceiling is None


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"price": 0.0}, "A price of nothing pays nothing"),
        ({"price": -1.0}, "A price of -1 is no money to ask"),
        ({"price": float("inf")}, "A price of inf is no money to ask"),
        ({"price": 900.0, "ceiling": -1.0}, "A ceiling of -1 is no money to ask"),
        ({"price": 900.0, "strip_fee": -1.0}, "A fee for opening up of -1 is no money to ask"),
        ({"price": 900.0, "strip_fee": float("nan")}, "A fee for opening up of nan is no money to ask"),
        ({"price": 900.0, "terms": "by the hour"}, "are no terms"),
    ],
)
def test_money_that_cannot_be_and_terms_that_there_are_not_are_refused(more, why):
    with pytest.raises(UsageError, match=why):
        question_of(BOARD, **more)


def test_without_a_price_nothing_is_weighed():
    with pytest.raises(UsageError, match="No price is named for red, and none is in the log"):
        question_of(replace(BOARD, price_quoted=None), None)


@pytest.mark.parametrize(
    ("state", "started", "over"),
    [
        (FINISHED, None, True),
        (FINISHED, DAY, True),
        (WITHDRAWN, DAY, True),  # given back half done
        (WITHDRAWN, None, False),  # its owner dropped it before anything was done, and may come again
        (DECLINED, None, False),
        (ON_BENCH, DAY, False),
    ],
)
def test_a_board_that_is_over_is_no_question(state, started, over):
    board = replace(BOARD, state=state, started=started)
    if over:
        with pytest.raises(UsageError, match="there is nothing left to decide"):
            question_of(board, 900.0)
    else:
        assert question_of(board, 900.0).price == 900.0
