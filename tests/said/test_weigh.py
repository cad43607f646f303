"""Pay as a count of boards, by hand."""

from estimator.decide.weigh.terms import TermsSaid
from estimator.said.weigh import ten_pay


def terms(name, **more):
    """Terms that pay under what is wanted 3 times in 10, under the least 1 time in 10, and lose seldom."""
    plain = {
        "low": 31.2,
        "likely": 42.4,
        "high": 55.0,
        "quantiles": {},
        "chance_below_target": 0.3,
        "chance_below_floor": 0.1,
        "chance_of_loss": 0.02,
        "price_for_target": 2600.0,
        "break_even_hours": None,
        "hours_for_target": 50.0,
        "hours_for_floor": 70.0,
        "unpaid": 20.0,
        "income": 2000.0,
        "worth": 100.0,
        "error": 1.0,
        "price": 2400.0,
    }
    return TermsSaid(name, **(plain | more))


def test_under_a_ceiling_it_is_said_how_often_that_is_passed():
    said = "Up to the ceiling it pays what you want; it goes over, and pays less, 3 times in 10."

    assert ten_pay(terms("ceiling", ceiling=2900.0), 0.8) == said


def test_at_a_fixed_price_the_range_and_the_middle_are_said_with_their_odds():
    ten = "Of ten boards like this, eight pay 31 to 55 an hour, before rent, "

    assert ten_pay(terms("fixed"), 0.8) == f"{ten}one pays less, one more; half pay more than 42."
    assert "the others less or more, 9 times in 10; half" in ten_pay(terms("fixed"), 0.9)
