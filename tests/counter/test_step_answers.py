"""What is offered to tell an owner, from a range by hand."""

import datetime as dt
from types import SimpleNamespace

import pytest

from estimator.counter.step_answers import _to_tell
from estimator.forecast.ranges import Price, Ready


def day(n):
    return dt.date(2026, 6, n)


@pytest.mark.parametrize(
    ("price", "ready", "told"),
    [
        (Price(1994.0, 0.8, 42.0), None, {"price": "1990"}),
        (Price(1994.0, 0.8, 0.0), None, {}),  # nothing is wanted an hour
        (None, Ready(day(12), day(19), day(26), tell=day(28)), {"first": "2026-06-12", "last": "2026-06-28"}),
    ],
)
def test_hours_the_price_to_the_ten_and_the_day_to_tell_are_offered(price, ready, told):
    said = SimpleNamespace(low=31.256, high=47.0, price=price, ready=ready)

    assert _to_tell(said) == {"hours": "31-45", **told}
