"""What a quarter's boards and plumb line show: which are drawn, how they lean, and in which words."""

import datetime as dt
from types import SimpleNamespace

import pytest

from estimator.sheets.layouts.letters import letters_px
from estimator.sheets.layouts.quarter import (
    SWING,
    chart_px,
    drawn_boards,
    hangs_at,
    in_a_row,
    legend,
    legend_lines,
    quarter_title,
    turn_of,
)


def review(count, looked_at=(), *, enough=True, signal=0, back=False, running=False):
    boards = tuple(range(count))
    chart = SimpleNamespace(boards=boards, looked_at=looked_at, enough=enough, signal=signal, back=back)
    quarter = SimpleNamespace(first=dt.date(2026, 7, 1), running=running)
    return SimpleNamespace(chart=chart, quarter=quarter)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"enough": False, "signal": 1}, "Too few boards yet to tell whether hours have changed"),
        ({}, "Hours have stayed as near to what ranges said as luck lets them"),
        ({"back": True}, "Hours have stayed as near to what ranges said as luck lets them"),
        ({"signal": 1}, "Lately boards have taken longer than ranges said, by more than luck"),
        ({"signal": -1}, "Lately boards have taken less than ranges said, by more than luck"),
        ({"signal": 1, "back": True}, "For a while boards took longer than ranges said, by more than luck"),
        ({"signal": -1, "back": True}, "For a while boards took less than ranges said, by more than luck"),
    ],
)
def test_the_title_says_which_way_hours_went_and_whether_they_still_do(more, said):
    assert quarter_title(review(9, **more)) == said


@pytest.mark.parametrize(
    ("count", "looked_at", "more", "first"),
    [
        (1, (0,), {}, "1 board, in the order in which they were ready; those on the thick line are from July to September 2026."),
        (9, (), {}, "9 boards, in the order in which they were ready; none of them from July to September 2026."),
        (9, (8,), {"running": True}, "9 boards, in the order in which they were ready; those on the thick line are from July to September 2026, so far."),
        # the quarter's board is older than the thirty that are drawn
        (40, (3,), {}, "30 boards, in the order in which they were ready; none of them from July to September 2026."),
        (40, (10,), {}, "30 boards, in the order in which they were ready; those on the thick line are from July to September 2026."),
    ],
)  # fmt: skip
def test_the_legend_counts_what_is_drawn_and_says_which_are_of_the_quarter(count, looked_at, more, first):
    assert legend(review(count, looked_at, **more))[0] == first


def test_of_a_plumb_line_is_spoken_where_it_hangs():
    assert [len(legend(review(9, enough=enough))) for enough in (True, False)] == [5, 3]
    assert "plumb line" in legend(review(9))[3]
    assert legend(review(0)) == ()


def test_the_newest_thirty_are_drawn():
    assert drawn_boards(review(31).chart) == tuple(range(1, 31))
    assert drawn_boards(review(30).chart) == tuple(range(30))


@pytest.mark.parametrize(
    ("score", "turn"), [(0.0, 0.0), (1.0, 30.0), (-1.5, -45.0), (3.0, 90.0), (4.0, 90.0), (-7.0, -90.0)]
)
def test_a_board_leans_by_its_score_and_lies_flat_from_three_on(score, turn):
    assert turn_of(score) == pytest.approx(turn)


@pytest.mark.parametrize(
    ("line", "pegs"), [(0.0, 0.0), (0.25, 0.5), (-0.5, -1.0), (1.0, 2.0), (9.0, 2.0), (-1.0, -2.0), (-9.0, -2.0)]
)  # fmt: skip
def test_the_line_hangs_as_far_as_from_peg_to_peg_at_most(line, pegs):
    """Luck ends at half a score: there the pegs stand."""
    assert hangs_at(line, 0.5) == pytest.approx(pegs * SWING)


@pytest.mark.parametrize(("wide", "count"), [(20.0, 1), (96.0, 3), (500.0, 15), (501.0, 12), (616.0, 15)])
def test_so_many_boards_stand_side_by_side(wide, count):
    """Each has 26 pixels and 6 beside them, 34 and 6 from 501 pixels on."""
    assert in_a_row(wide) == count


@pytest.mark.parametrize(
    ("count", "enough", "high"),
    [(9, True, 46 + 114 + 6), (9, False, 46 + 6), (15, True, 166), (16, True, 212), (30, True, 212), (0, True, 6)],
)  # fmt: skip
def test_a_row_of_fifteen_boards_and_a_plumb_line_are_so_high(count, enough, high):
    """A board is 34 long with 6 above and below; the line hangs 84 with a peg of 12 and three times 6 of air."""
    made = review(count, enough=enough)

    assert chart_px(made, 616.0, with_words=False) == high
    lines = legend_lines(made, 616.0)
    assert chart_px(made, 616.0) == pytest.approx(high + 1.4 * letters_px(616.0) * len(lines))
    assert (len(lines) > 0) == (count > 0)
