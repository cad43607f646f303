"""The batten of a quarter's money: where its pieces begin and end, to the pixel, by hand."""

import pytest

from estimator.decide.quarter.review import QuarterMoney
from estimator.sheets.layouts.money import money_pieces


@pytest.mark.parametrize(
    ("money", "end", "pieces"),
    [
        # of a thousand pixels: what came in is longer than what went out
        ((1000, 100, 300, 600), 1000, [(0, 100, "materials 100 mk"), (100, 400, "rent and power 300 mk"), (400, 1000, "left 600 mk")]),
        # what went out is longer: it ends at the edge, and what is missing lies between
        ((400, 100, 700, -400), 500, [(0, 125, "materials 100 mk"), (125, 1000, "rent and power 700 mk"), (500, 1000, "short 400 mk")]),
        ((500, 200, 300, 0), 1000, [(0, 400, "materials 200 mk"), (400, 1000, "rent and power 300 mk"), (1000, 1000, "left 0 mk")]),
        ((0, 0, 500, -500), 0, [(0, 0, "materials 0 mk"), (0, 1000, "rent and power 500 mk"), (0, 1000, "short 500 mk")]),
        ((0, 0, 0, 0), 0, [(0, 0, "materials 0 mk"), (0, 0, "rent and power 0 mk"), (0, 0, "left 0 mk")]),
    ],
)  # fmt: skip
def test_pieces_lie_end_to_end_and_what_is_missing_lies_beyond_what_came_in(money, end, pieces):
    found, made = money_pieces(QuarterMoney(*map(float, money)), "mk", 1002.0)

    assert found == pytest.approx(end)
    assert [one.words for one in made] == [words for *_, words in pieces]
    assert [(one.left, one.right) for one in made] == [pytest.approx((a, b)) for a, b, _ in pieces]
    assert [one.short for one in made] == [words.startswith("short") for *_, words in pieces]


def test_each_number_stands_under_the_middle_of_its_piece_and_none_on_another():
    _, made = money_pieces(QuarterMoney(1000.0, 100.0, 300.0, 600.0), "", 1002.0)
    _, close = money_pieces(QuarterMoney(1000.0, 1.0, 1.0, 998.0), "", 1002.0)

    assert [one.number_at for one in made] == pytest.approx([50, 250, 700])
    assert [one.number_at for one in close] == pytest.approx([8, 24, 501])  # letters of sixteen pixels
