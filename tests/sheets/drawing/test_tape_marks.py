import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.colors import to_hex

from estimator.sheets.drawing.style import BROKEN, ON_PAPER, figure
from estimator.sheets.drawing.tape import BOB, draw_bracket, draw_rack, hang_plumb, point_beyond
from estimator.sheets.layouts.letters import points, width_px
from estimator.sheets.layouts.tape import CLEAR, FigureLayout

SCALE = FigureLayout(20.0, 120.0, 400)
places = st.floats(20, 120)


def on_paper():
    axes = figure(400, 100).add_axes((0, 0, 1, 1))
    axes.set(xlim=(SCALE.left, SCALE.right), ylim=(0, 100))
    return axes


@given(places)
def test_pixels_and_amounts_are_each_others_inverse(at):
    assert SCALE.amount(SCALE.px(at)) == pytest.approx(at)
    assert SCALE.seen(at)
    assert (SCALE.px(20.0), SCALE.px(120.0)) == (0, 400)
    assert not SCALE.seen(19.9)
    assert not SCALE.seen(120.1)


@given(places, st.none() | places, st.booleans())
def test_words_on_the_rail_stay_on_the_figure_and_clear_of_the_plumb_line(at, plumb, slanted):
    ways = (("guessed: 8 of these 10",), ("guessed:", "8 of these 10"))
    lines, middle = SCALE.beside(plumb, at, ways, slanted=slanted)
    half = max(width_px(line, SCALE.letters, slanted=slanted) for line in lines) / 2
    assert half - 1e-6 <= SCALE.px(middle) <= 400 - half + 1e-6
    if plumb is not None:
        assert abs(SCALE.px(middle) - SCALE.px(plumb)) >= half + CLEAR - 1e-6
    wanted = min(max(SCALE.px(at), half + CLEAR), 400 - half - CLEAR)
    if plumb is None or abs(SCALE.px(plumb) - wanted) >= half + CLEAR:
        assert SCALE.px(middle) == pytest.approx(wanted)


def test_words_that_have_no_room_are_refused_with_the_cure():
    with pytest.raises(ValueError, match="at least 320 pixels"):
        FigureLayout(0, 1, 100).beside(0.5, 0.5, [("longer than a hundred pixels",)], slanted=False)


@pytest.mark.parametrize("pencil", [True, False])
def test_a_bracket_ends_where_it_should_with_its_tick_at_the_middle_one(pencil):
    axes = on_paper()
    draw_bracket(axes, (30, 50, 90), 40, pencil=pencil, palette=ON_PAPER)
    line, low, high, middle = axes.lines
    assert list(line.get_xdata()) == [30, 90]
    assert [set(mark.get_xdata()) for mark in (low, high, middle)] == [{30}, {90}, {50}]
    assert [mark.get_ydata()[1] > 40 for mark in (low, high, middle)] == [True, True, False]
    assert (line.get_linestyle() == "--") == pencil
    assert to_hex(line.get_color()).upper() == (ON_PAPER.pencil if pencil else ON_PAPER.ink)


def test_a_rack_stands_on_the_tape_with_its_peg_at_the_middle_one():
    axes = on_paper()
    draw_rack(axes, (30, 50, 90), 60, pencil=True, palette=ON_PAPER)
    posts, peg = axes.lines
    assert list(zip(posts.get_xdata(), posts.get_ydata(), strict=True)) == [
        (30, 0),
        (30, 60),
        (90, 60),
        (90, 0),
    ]
    assert set(peg.get_xdata()) == {50}
    assert peg.get_ydata()[0] == 60
    width = points(1.0)
    assert posts._dash_pattern[1] == pytest.approx([part * width for part in BROKEN[1]])


def test_a_plumb_line_hangs_straight_with_the_tip_of_its_bob_at_the_foot():
    axes = on_paper()
    hang_plumb(axes, SCALE, 70, (90, 5), ON_PAPER.oxide)
    (line,), (bob,) = axes.lines, axes.patches
    assert list(line.get_xdata()) == [70, 70]
    assert max(line.get_ydata()) == 90
    corners = bob.get_path().vertices
    assert corners[:, 1].min() == 5
    assert corners[corners[:, 1].argmin(), 0] == 70
    assert SCALE.px(corners[:, 0].max()) - SCALE.px(corners[:, 0].min()) == pytest.approx(2 * BOB)
    assert to_hex(bob.get_facecolor()).upper() == ON_PAPER.oxide


@pytest.mark.parametrize(("at", "way"), [(300, 1), (-5, -1)])
def test_an_arrowhead_points_to_what_lies_beyond(at, way):
    axes = on_paper()
    point_beyond(axes, SCALE, at, 50, ON_PAPER.ink)
    tip, back, _ = axes.patches[0].get_path().vertices[:3, 0]
    assert (tip - back) * way > 0
    assert SCALE.seen(tip)
