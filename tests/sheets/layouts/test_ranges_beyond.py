"""Boards that stand beyond the outermost known points go on at the slope of the last two, on the normal scale."""

from statistics import NormalDist

import pytest

from estimator.sheets.layouts.ranges import RangeDrawing

NORMAL = NormalDist()


def straight(odds, at, middle=60.0, sd=8.0):
    """A drawing whose points are those of a normal law, known at the given chances."""

    def point(p):
        return middle + sd * NORMAL.inv_cdf(p)

    miss = (1 - odds) / 2
    return RangeDrawing({f"{p:.2f}": point(p) for p in at}, point(miss), middle, point(1 - miss), odds), point


@pytest.mark.parametrize(
    ("odds", "at"),
    [(0.9, (0.05, 0.25, 0.5, 0.75, 0.95)), (0.5, (0.25, 0.4, 0.6, 0.75)), (0.8, (0.1, 0.3, 0.7, 0.9))],
)
def test_of_a_normal_law_they_stand_where_it_has_them(odds, at):
    drawing, point = straight(odds, at)
    count = len(drawing.places)
    assert (0.5 / count) < min(at)
    assert drawing.places == pytest.approx([point((i + 0.5) / count) for i in range(count)])


def test_each_end_goes_on_at_its_own_slope():
    """Known at 10, 50 and 90 %: 50, 60 and 90. The outermost of ten, at 5 and 95 %, go on by 10 and by 30 a z of 1.28."""
    drawing = RangeDrawing({}, 50.0, 60.0, 90.0, 0.8)
    z1, z2 = NORMAL.inv_cdf(0.9), NORMAL.inv_cdf(0.95)
    assert drawing.places[0] == pytest.approx(60 - 10 * z2 / z1)
    assert drawing.places[-1] == pytest.approx(60 + 30 * z2 / z1)


def test_hours_do_not_go_below_none():
    assert RangeDrawing({}, 0.5, 20.0, 30.0, 0.8).places[0] == 0.0
