"""Boards that looked so, drawn to the side to which they turned out: counted by hand."""

import pytest
from decide.test_looks import DAMP, SETTINGS, boards

from estimator.decide.looks import Look, Looks, Way, looks_of
from estimator.forecast.looks import LookedSo
from estimator.sheets.layouts.looks import (
    MOST_LOOKS,
    LookRow,
    LooksLayout,
    look_rows,
    looks_caption,
    looks_legend,
)

WAYS = (Way("more", 0, 0.0, 0.0, 0.1, 1.0),)


def look(thing, boards, more, less, ways=WAYS):
    """A look at pieces of which so many boards had more, and so many less."""
    return Look(LookedSo("infills", float(thing), "", boards, boards - more - less, more, less), ways)


def order_of(found):
    """Which looks are drawn, by the count that was seen, from the top down."""
    return [int(row.words.partition("looked like ")[2].split(",")[0]) for row in look_rows(found, SETTINGS)]


def test_what_was_less_lies_left_what_was_more_lies_right_and_the_rest_stands():
    """Of eighteen that looked damp one was dry, eight were damp, nine were wet."""
    [row] = look_rows(looks_of(DAMP, SETTINGS), SETTINGS)

    assert row.sides == (-1,) + (0,) * 8 + (1,) * 9


def test_of_more_than_twenty_so_many_are_drawn_as_their_share_is():
    """36 boards: 2 less are 1.1 of twenty, 18 more are 10."""
    [row] = look_rows(looks_of([*DAMP, *DAMP], SETTINGS), SETTINGS)

    assert (row.boards, row.sides) == (36, (-1,) + (0,) * 9 + (1,) * 10)


def test_twenty_boards_are_all_drawn():
    [row] = look_rows(looks_of(boards(1, *[2] * 9, *[1] * 11), SETTINGS), SETTINGS)

    assert (row.boards, row.sides) == (20, (0,) * 11 + (1,) * 9)


def test_those_to_mend_come_first_then_those_of_which_most_were_otherwise():
    """Boards that were otherwise: 1 of 30, 5 of 9, 3 of 8; none of those that looked like three."""
    one, two, three, four = look(1, 30, 1, 0), look(2, 9, 3, 2), look(3, 12, 0, 0), look(4, 8, 0, 3)
    few = look(5, 7, 7, 0, ways=())  # too few boards looked so to speak of them

    assert order_of(Looks((one, two, three, four, few))) == [2, 4, 1]
    assert order_of(Looks((one, two, three, four, few), differently=(four,))) == [4, 2, 1]
    assert look_rows(Looks(), SETTINGS) == ()


def test_of_many_looks_those_are_drawn_of_which_most_were_otherwise():
    many = tuple(look(n, 20, n, 0) for n in range(1, 10))

    assert order_of(Looks(many)) == [9, 8, 7, 6, 5, 4]
    assert MOST_LOOKS == 6


@pytest.mark.parametrize(("count", "many"), [(20, False), (21, True)])
def test_that_not_all_are_drawn_is_said_from_twenty_one_boards_on(count, many):
    rows = [LookRow("", 3, (0,)), LookRow("", count, (0,))]

    assert ("Of more than 20 boards 20 are drawn" in looks_legend(rows)) == many


def test_each_board_has_its_place_in_its_row():
    """A board is 24 pixels long and 24/5.6 wide, and 5 stand between two: what lies left has its foot at its right end."""
    row = LookRow("a sentence", 4, (-1, 0, 1, 1))
    wide = LooksLayout([row], "", 320.0)
    narrow = LooksLayout([row], "", 70.0)

    [[(_, left), (_, stands), (_, right), (_, last)]] = wide.rows[0][1]
    assert (left, stands) == pytest.approx((1.6 + 24, 1.6 + 24 + 5 + 24 / 5.6 / 2))
    assert (right, last) == pytest.approx((1.6 + 24 + 5 + 24 / 5.6 + 5, 1.6 + 24 + 5 + 24 / 5.6 + 5 + 29))
    assert [[side for side, _ in line] for line in narrow.rows[0][1]] == [[-1, 0, 1], [1]]
    assert narrow.rows[0][1][1][0][1] == 1.6


def test_sides_are_said_at_length_where_there_is_room():
    said = [LooksLayout([], "", wide).sides[0] for wide in (700.0, 300.0)]

    assert said == ["lying left: less than it looked", "left: less"]


def test_the_caption_is_every_sentence():
    assert looks_caption([LookRow("One thing.", 8, ()), LookRow("Another.", 9, ())]) == "One thing. Another."
