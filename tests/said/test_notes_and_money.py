"""What came in and went out, in words."""

import pytest

from estimator.log.money import InAndOut, MoneySums
from estimator.said.notes_and_money import money_parts


@pytest.mark.parametrize(
    ("came_in", "out", "said"),
    [
        (1275.0, 487.5, "In 1,275 mk, out 487.50 mk: 787.50 mk left."),
        (1275.0, 1987.72, "In 1,275 mk, out 1,987.72 mk: 712.72 mk more went out than came in."),
        (500.0, 500.0, "In 500 mk, out 500 mk: 0 mk left."),
    ],
)
def test_what_is_left_or_what_more_went_out(came_in, out, said):
    whole = InAndOut("", came_in, out)
    sums = MoneySums(None, None, whole, (InAndOut("rent", came_in, out),), (), whole, ())

    assert said in money_parts(sums, {}, "mk")
