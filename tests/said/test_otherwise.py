"""A year under another habit, in words."""

import pytest

from estimator.said.otherwise import _more, _when


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
