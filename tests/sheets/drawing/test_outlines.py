from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.sheets.drawing.outlines import draw_board, draw_lying, outline
from estimator.sheets.drawing.style import BROKEN, ON_PAPER, figure
from estimator.sheets.layouts.standing import SLIM, stand

PLACES = st.lists(st.floats(0, 1200), min_size=1, max_size=20).map(sorted)


def axes_200():
    axes = figure(200, 100).add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, 200), ylim=(0, 100))
    return axes


@given(PLACES, st.floats(30, 200))
def test_no_outline_lies_on_another_and_none_is_left_out(at_px, zone):
    standing = stand(at_px, zone)
    assert len(standing.rows) == len(at_px)
    assert standing.top <= zone + 1e-6
    assert standing.high == pytest.approx(SLIM * standing.wide)
    for row in set(standing.rows):
        here = [at for at, r in zip(at_px, standing.rows, strict=True) if r == row]
        assert all(b - a >= standing.wide - 1e-9 for a, b in pairwise(here))
    feet = sorted({standing.foot(i) for i in range(len(at_px))})
    assert all(b - a >= standing.high - 1e-9 for a, b in pairwise(feet))


def test_boards_with_room_stand_in_one_row_on_the_tape():
    standing = stand([30.0 * i for i in range(10)], 100)
    assert standing.rows == (0,) * 10
    assert standing.high == pytest.approx(100)


def test_boards_in_one_place_stand_one_above_the_other():
    assert stand([50.0] * 10, 108).rows == tuple(range(10))


def test_an_outline_is_slim_symmetric_and_stands_on_its_foot():
    path = outline(10.0, 5.0, 12.0, 60.0)
    points = path.cleaned(curves=False, simplify=False).vertices[:-1]
    assert points[:, 1].min() == pytest.approx(5)
    assert points[:, 1].max() == pytest.approx(65)
    assert (points[:, 0].min() + points[:, 0].max()) / 2 == pytest.approx(10)
    widest = points[np.argmax(points[:, 0]), 1]
    assert 5 + 0.4 * 60 < widest < 5 + 0.6 * 60
    assert path.contains_point((10, 30))
    assert not path.contains_point((10 + 6.5, 30))


def test_half_an_outline_ends_at_the_stringer():
    right = outline(10.0, 0.0, 12.0, 60.0, (1,)).get_extents()
    left = outline(10.0, 0.0, 12.0, 60.0, (-1,)).get_extents()
    assert (right.x0, right.x1) == pytest.approx((10, 16))
    assert (left.x0, left.x1) == pytest.approx((4, 10))


def test_pencil_is_broken_and_ink_is_whole():
    axes = axes_200()
    pencil = draw_board(axes, 50, 0, (12, 60), pencil=True, palette=ON_PAPER)
    ink = draw_board(axes, 80, 0, (12, 60), pencil=False, palette=ON_PAPER)
    assert pencil.get_linestyle() == BROKEN
    assert ink.get_linestyle() in {"solid", "-"}
    assert ink.get_linewidth() > pencil.get_linewidth()


def test_hatch_stays_on_its_side():
    axes = axes_200()
    draw_board(axes, 50, 0, (12, 60), pencil=False, palette=ON_PAPER)
    assert axes.collections == [] or not list(axes.collections)
    draw_board(axes, 80, 0, (12, 60), pencil=False, palette=ON_PAPER, hatched=(1,))
    (hatch,) = axes.collections
    path, transform = hatch.get_clip_path().get_transformed_path_and_affine()
    box = transform.transform_path(path).get_extents()
    assert (box.x0, box.x1) == pytest.approx((80, 86))


@pytest.mark.parametrize(("way", "left", "right"), [(1, 60, 116), (-1, 4, 60)])
def test_a_lying_board_is_the_standing_one_turned_over_on_the_floor_and_the_right_one_is_hatched(
    way, left, right
):
    axes = axes_200()
    patch = draw_lying(axes, 60, 20, 56, way, palette=ON_PAPER)
    box = patch.get_path().get_extents()
    assert (box.x0, box.x1, box.y0, box.y1) == pytest.approx((left, right, 20, 20 + 56 / SLIM))
    assert len(axes.collections) == (way == 1)
    for hatch in axes.collections:
        lines = np.array(hatch.get_segments())
        assert np.diff(lines[:, 0, 0]).max() <= 5
        assert lines[..., 0].min() <= left
        assert lines[..., 0].max() >= right
    (stringer,) = axes.lines
    assert sorted(stringer.get_xdata()) == [left, right]
