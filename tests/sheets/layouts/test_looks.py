"""Boards that looked so, drawn to the side to which they turned out: counted by hand."""

from decide.test_looks import DAMP, SETTINGS

from estimator.decide.looks import looks_of
from estimator.sheets.layouts.looks import look_rows


def test_what_was_less_lies_left_what_was_more_lies_right_and_the_rest_stands():
    """Of eighteen that looked damp one was dry, eight were damp, nine were wet."""
    [row] = look_rows(looks_of(DAMP, SETTINGS), SETTINGS)

    assert row.sides == (-1,) + (0,) * 8 + (1,) * 9


def test_of_more_than_twenty_so_many_are_drawn_as_their_share_is():
    """36 boards: 2 less are 1.1 of twenty, 18 more are 10."""
    [row] = look_rows(looks_of([*DAMP, *DAMP], SETTINGS), SETTINGS)

    assert (row.boards, row.sides) == (36, (-1,) + (0,) * 9 + (1,) * 10)
