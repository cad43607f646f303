import math
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.drawn import boards_of, middles_of, words_in
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import PathPatch

from estimator.sheets.drawing.style import BROKEN, IN_PRINT, ON_PAPER, figure
from estimator.sheets.figures.range import RangeDrawing, alt_text, draw_range, save_range

NORMAL = NormalDist()


def shaped(median, below, above, odds, **more):
    """A drawing with its own spread on each side of the middle."""

    def at(p):
        z = NORMAL.inv_cdf(p)
        return median * math.exp((below if z < 0 else above) * z)

    miss = (1 - odds) / 2
    keys = {f"{p / 100:.2f}": at(p / 100) for p in range(5, 100, 5)}
    return RangeDrawing(keys, at(miss), median, at(1 - miss), odds, **more)


@st.composite
def drawings(draw):
    """Narrow and wide, skewed, tiny and huge; guesses far off; past boards at equal hours."""
    median = draw(st.sampled_from([0.5, 9.0, 66.0, 900.0]) | st.floats(0.5, 900))
    spread = st.sampled_from([0.0, 0.001, 0.2]) | st.floats(0, 1.0)
    factor = st.sampled_from([1.0, 0.02, 30.0]) | st.floats(0.3, 3)
    names = st.sampled_from(
        ["the red nine-four", "x", "a name that goes on and on, as some owners' names do"]
    )
    return shaped(
        median,
        draw(spread),
        draw(spread),
        draw(st.sampled_from([0.5, 0.6, 0.7, 0.8, 0.9, 0.95])),
        guess=draw(st.none() | factor.map(lambda f: f * median)),
        alike=tuple(draw(st.lists(st.tuples(names, factor.map(lambda f: f * median)), max_size=4))),
        plumb=draw(
            st.none()
            | st.tuples(
                factor.map(lambda f: f * median),
                st.sampled_from(
                    ["pays $42 an hour up to here", "told", "not over this without asking you first"]
                ),
            )
        ),
        pencil=draw(st.booleans()),
    )


def on_paper(drawing, wide=320, high=520, palette=ON_PAPER):
    sheet = figure(wide, high, palette)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_range(axes, drawing, palette)
    return axes


A_RANGE = shaped(66, 0.18, 0.18, 0.8)
IN_PENCIL = shaped(
    66,
    0.18,
    0.2,
    0.8,
    guess=52.0,
    alike=(("the red nine-four", 71.0), ("the club board", 83.0), ("its sister", 71.0)),
    plumb=(80.0, "pays 42 an hour up to here"),
    pencil=True,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawings(), st.sampled_from([320, 360, 480, 640, 1200]))
def test_words_never_collide(collisions, drawing, wide):
    assert collisions(on_paper(drawing, wide).get_figure()) == []


@settings(max_examples=30, deadline=None)
@given(drawings(), st.sampled_from([320, 1200]))
def test_boards_stand_where_they_land_never_on_one_another_and_never_fewer(drawing, wide):
    axes = on_paper(drawing, wide)
    assert middles_of(axes) == pytest.approx(list(drawing.places), rel=1e-9, abs=1e-9)
    boxes = [patch.get_window_extent() for patch in boards_of(axes)]
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            across = min(a.x1, b.x1) - max(a.x0, b.x0)
            up = min(a.y1, b.y1) - max(a.y0, b.y0)
            assert across < 0.01 or up < 0.01
    feet = [patch.get_path().get_extents().y0 for patch in boards_of(axes)]
    assert min(feet) == 0
    assert all(box.x0 >= 0 and box.x1 <= wide for box in boxes)


def test_the_axis_says_hours_and_holds_all_boards():
    axes = on_paper(A_RANGE)
    assert axes.get_xlabel() == "hours"
    left, right = axes.get_xlim()
    assert left < A_RANGE.places[0] < A_RANGE.places[-1] < right
    assert [label.get_text() for label in axes.get_xticklabels()] == ["50", "60", "70", "80", "90"]


def test_a_small_figure_has_fewer_numbers_but_not_fewer_boards():
    small, large = on_paper(A_RANGE, 320), on_paper(A_RANGE, 1200)
    assert len(small.get_xticks()) < len(large.get_xticks())
    assert len(boards_of(small)) == len(boards_of(large)) == 10


def test_the_bracket_stands_at_both_ends_and_says_what_it_holds():
    axes = on_paper(A_RANGE)
    (bracket,) = [line for line in axes.lines if len(line.get_xdata()) == 4]
    assert list(bracket.get_xdata()) == [A_RANGE.low, A_RANGE.low, A_RANGE.high, A_RANGE.high]
    assert bracket.get_ydata()[0] == 0
    assert bracket.get_ydata()[1] > max(patch.get_path().get_extents().y1 for patch in boards_of(axes))
    assert words_in(axes) == ["8 of these 10"]


def test_soonest_and_latest_are_hatched_and_no_other():
    axes = on_paper(A_RANGE)
    centres = []
    for hatch in axes.collections:
        path, transform = hatch.get_clip_path().get_transformed_path_and_affine()
        box = transform.transform_path(path).transformed(axes.transData.inverted()).get_extents()
        centres.append(box.intervalx.mean())
    assert centres == pytest.approx([A_RANGE.places[0], A_RANGE.places[-1]])
    assert not on_paper(shaped(66, 0.2, 0.2, 0.8, hatch=False)).collections


def test_at_nineteen_in_twenty_the_outer_halves_are_hatched():
    drawing = shaped(66, 0.2, 0.2, 0.95)
    axes = on_paper(drawing)
    assert len(boards_of(axes)) == 20
    assert words_in(axes) == ["19 of these 20"]
    edges = []
    for hatch in axes.collections:
        path, transform = hatch.get_clip_path().get_transformed_path_and_affine()
        edges.append(transform.transform_path(path).transformed(axes.transData.inverted()).get_extents())
    assert edges[0].x1 == pytest.approx(drawing.low, abs=0.01)
    assert edges[1].x0 == pytest.approx(drawing.high, abs=0.01)


def test_a_finished_board_stands_alone_without_bracket_or_hatch(collisions):
    axes = on_paper(RangeDrawing({}, 71.2, 71.2, 71.2, 0.8, guess=52.0))
    assert len(boards_of(axes)) == 1
    assert "all booked: 71" in words_in(axes)
    assert not axes.collections
    assert not [line for line in axes.lines if len(line.get_xdata()) == 4]
    assert collisions(axes.get_figure()) == []


def test_pencil_is_broken_slanted_and_says_guessed():
    axes = on_paper(IN_PENCIL)
    assert all(patch.get_linestyle() == BROKEN for patch in boards_of(axes))
    (words,) = [text for text in axes.texts if "of these" in text.get_text()]
    assert words.get_text() == "guessed: 8 of these 10"
    assert "Italic" in words.get_fontproperties().get_file()
    ink = on_paper(A_RANGE)
    assert all(patch.get_linestyle() in {"-", "solid"} for patch in boards_of(ink))
    assert not any("Italic" in text.get_fontproperties().get_file() for text in ink.texts)


def test_the_plumb_line_hangs_from_its_words_and_counts():
    axes = on_paper(IN_PENCIL)
    assert "pays 42 an hour up to here" in words_in(axes)
    assert "2 of 10 would be past it" in words_in(axes)
    verticals = [line for line in axes.lines if set(line.get_xdata()) == {80.0}]
    assert len(verticals) == 1
    assert max(verticals[0].get_ydata()) > 100


@pytest.mark.parametrize("pencil", [True, False])
@pytest.mark.parametrize("at", [45, 52.4, 56, 60, 63, 66, 69, 72, 76, 80, 83.1, 90])
def test_the_line_never_strikes_the_words_on_the_bracket(collisions, at, pencil):
    drawing = shaped(66, 0.18, 0.18, 0.8, plumb=(at, "told"), pencil=pencil)
    assert collisions(on_paper(drawing, 320).get_figure()) == []


def test_past_boards_are_strokes_below_the_tape_even_at_equal_hours():
    axes = on_paper(IN_PENCIL)
    strokes = [line for line in axes.lines if line.get_label() == "_alike"]
    assert sorted(float(line.get_xdata()[0]) for line in strokes) == pytest.approx([71, 71, 83])
    assert all(max(line.get_ydata()) < -30 for line in strokes)
    at_71 = [set(line.get_ydata()) for line in strokes if math.isclose(line.get_xdata()[0], 71)]
    assert at_71[0] != at_71[1]
    assert len([line for line in axes.lines if line.get_label() == "_key"]) == 1
    assert not [line for line in on_paper(A_RANGE).lines if line.get_label() == "_key"]
    caption = " ".join(words for words in words_in(axes) if words != "you said 52")
    assert "like it: the red nine-four 71, its sister 71, the club board 83" in caption


def test_his_own_guess_is_a_notch_or_an_arrow_off_the_tape():
    notch = next(
        p for p in on_paper(IN_PENCIL).patches if not isinstance(p, PathPatch) and p.get_xy()[0][0] == 52
    )
    assert notch.get_xy()[0][1] > notch.get_xy()[1][1]
    far = on_paper(shaped(66, 0.1, 0.1, 0.8, guess=400.0))
    assert "you said 400" in words_in(far)
    (arrow,) = [patch for patch in far.patches if not isinstance(patch, PathPatch)]
    corners = arrow.get_xy()
    assert corners[0][0] == max(corners[:, 0])  # it points to the right, where 400 is
    assert far.get_xlim()[1] < 400


def test_in_print_all_is_black_on_white():
    axes = on_paper(IN_PENCIL, palette=IN_PRINT)
    canvas = FigureCanvasAgg(axes.get_figure())
    canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3].astype(int)
    assert (pixels.max(axis=-1) - pixels.min(axis=-1)).max() == 0  # no colour at all
    assert pixels.min() == 0
    assert (pixels == 255).mean() > 0.8


def test_axes_too_low_or_too_narrow_are_refused_with_the_cure():
    with pytest.raises(ValueError, match=r"too low by .* make it higher"):
        on_paper(IN_PENCIL, 320, 200)
    with pytest.raises(ValueError, match="at least 320 pixels"):
        on_paper(IN_PENCIL, 120, 900)


@pytest.mark.parametrize("ending", ["svg", "png"])
@pytest.mark.parametrize("wide", [320, 1200])
def test_the_same_drawing_gives_the_same_bytes(tmp_path, ending, wide):
    for name in "ab":
        save_range(
            tmp_path / f"{name}.{ending}", IN_PENCIL, title="Eight of ten: 55 to 80 hours", wide_px=wide
        )
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_a_saved_picture_carries_its_sentence(tmp_path):
    save_range(tmp_path / "a.svg", IN_PENCIL, title="Eight of ten")
    assert f"<title>{alt_text(IN_PENCIL)}</title>" in (tmp_path / "a.svg").read_text("utf-8")


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawings(), st.sampled_from([320, 640, 1200]))
def test_a_saved_picture_is_as_high_as_it_needs(collisions, drawing, wide):
    seen = []

    def keep(drawn, path, *, says):
        seen.append(drawn)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("estimator.sheets.drawing.style.save", keep)
        save_range(Path("a.svg"), drawing, title="Eight of ten boards like it", wide_px=wide)
    assert collisions(seen[0]) == []
    top = max(path.get_path().get_extents().y1 for path in boards_of(seen[0].axes[0]))
    assert 20 < top <= 140


def test_past_boards_beyond_either_end_of_the_tape_are_pointed_to_and_no_others():
    far = shaped(66, 0.1, 0.1, 0.8, alike=(("near", 70.0), ("far", 400.0), ("quick", 1.0)))
    axes = on_paper(far)
    tips = [patch.get_xy()[0][0] for patch in axes.patches if not isinstance(patch, PathPatch)]
    left, right = axes.get_xlim()

    assert len([line for line in axes.lines if line.get_label() == "_alike"]) == 1
    assert tips == pytest.approx(
        [right, left], abs=0.01 * (right - left)
    )  # in the order in which they are named
