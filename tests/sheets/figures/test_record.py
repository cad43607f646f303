from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.drawn import boards_of, words_in
from making.records import IN_HAND, NONE_YET, QUICK, RECORD, SLOW, board
from matplotlib.backends.backend_agg import FigureCanvasAgg

from estimator.sheets.drawing.style import BROKEN, IN_PRINT, figure
from estimator.sheets.figures.record import draw_record, save_record
from estimator.sheets.layouts.record import TALLEST, in_rows, record_caption

OPEN = {"hours": None, "side": None, "so_far": 30.0}
LONG = "the one that somebody's uncle left under a house in the year of the long rain"
SORTS = ({}, SLOW, QUICK, IN_HAND, OPEN, {**SLOW, "called": LONG}, {**OPEN, "called": LONG})


def of_boards(*boards):
    return replace(RECORD, boards=tuple(boards))


def on_paper(record, wide=640, high=1200, **more):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_record(axes, record, **more)
    return axes


def boxes_of(axes):
    return [patch.get_path().get_extents() for patch in boards_of(axes)]


def saved(record, wide):
    """The whole picture, unsaved."""
    seen = []

    def keep(drawn, path, *, says):
        seen.append(drawn)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("estimator.sheets.drawing.style.save", keep)
        save_record(Path("a.svg"), record, wide_px=wide)
    return seen[0]


def test_boards_stand_that_landed_inside_and_lie_to_the_side_that_they_missed():
    axes = on_paper(of_boards(board(0), board(1, **SLOW), board(2), board(3, **QUICK), board(4, **OPEN)))
    boxes = boxes_of(axes)

    assert [box.height > box.width for box in boxes] == [True, False, True, False, True]
    assert [box.x0 for box in boxes] == sorted(box.x0 for box in boxes)  # in order of quote date
    floor = boxes[0].y0
    assert [box.y0 for box in boxes] == pytest.approx([floor] * 5)
    assert {round(max(box.height, box.width), 6) for box in boxes} == {TALLEST}
    posts = [
        line.get_xdata()[0]
        for line in axes.lines
        if line.get_ydata()[1] == pytest.approx(floor + 1.6 * TALLEST / 5.6)
    ]
    assert posts[0] < boxes[1].x0  # it fell to the right of its post: it took longer
    assert posts[1] > boxes[3].x1  # and this one to the left: it was quicker
    assert len(posts) == 2
    hatches = [lines.get_paths()[0].get_extents() for lines in axes.collections]
    assert len(hatches) == 1  # what took longer is hatched, and no other: the two sides are told apart
    assert hatches[0].x0 < boxes[1].x1


def test_the_nose_points_away_from_where_it_stood():
    axes = on_paper(of_boards(board(1, **SLOW), board(3, **QUICK)))
    for patch, way in zip(boards_of(axes), (1, -1), strict=True):
        x, y = patch.get_path().cleaned(curves=False).vertices[:-1].T
        right, left = y[x > x.max() - 0.5], y[x < x.min() + 0.5]
        nose, foot = (right, left) if way == 1 else (left, right)
        assert np.ptp(foot) > 2 * np.ptp(nose)  # a board's foot is square


def test_what_is_open_is_pencil_with_the_word_and_what_has_happened_is_ink():
    axes = on_paper(of_boards(board(0), board(1, **OPEN), board(2, **SLOW)))

    assert [patch.get_linestyle() == BROKEN for patch in boards_of(axes)] == [False, True, False]
    (word,) = [text for text in axes.texts if "still open" in text.get_text()]
    assert word.get_text() == "still open, in pencil: moss seven-four"
    assert "Italic" in word.get_fontproperties().get_file()
    assert sum("Italic" in text.get_fontproperties().get_file() for text in axes.texts) == 1


def test_misses_are_numbered_and_named_in_order_and_the_others_are_not():
    axes = on_paper(RECORD)
    words = words_in(axes)
    assert [word for word in words if word.isdigit()] == ["1", "2", "3", "4", "1", "2", "3", "4"]
    assert "plum six-two took 97 hours, longer than 55 to 80: wet foam" in words
    assert "brick eight-two took 81 hours, longer than 55 to 80: the owner" in words
    assert not any("sand" in word for word in words)
    lying = [box for box in boxes_of(axes) if box.width > box.height]
    numbers = [text.get_position()[0] for text in axes.texts if text.get_text().isdigit()][:4]
    assert numbers == pytest.approx([(box.x0 + box.x1) / 2 for box in lying])
    assert max(text.get_position()[1] for text in axes.texts if text.get_text().isdigit()) < lying[0].y0


def test_the_two_sides_say_which_is_which():
    for wide, said in (
        (640, ("lying left: quicker than said", "lying right, hatched: took longer")),
        (320, ("lying left: quicker", "lying right: longer")),
    ):
        left, right = (text for text in on_paper(RECORD, wide).texts if text.get_text().startswith("lying"))
        assert (left.get_text(), right.get_text()) == said
        assert left.get_position()[0] < 1
        assert right.get_position()[0] == pytest.approx(wide - 24)
        assert right.get_ha() == "right"
    assert not any(word.startswith("lying") for word in words_in(on_paper(of_boards(board(1), board(2)))))


def test_the_count_stands_under_the_row_and_above_the_names():
    axes = on_paper(RECORD)
    at = {text.get_text(): text.get_position()[1] for text in axes.texts}
    count = at["16 of 20 landed inside; luck alone allows 12 to 19."]
    assert (
        min(box.y0 for box in boxes_of(axes))
        > count
        > at["plum six-two took 97 hours, longer than 55 to 80: wet foam"]
    )


def test_no_more_than_the_last_boards_are_drawn():
    assert len(boards_of(on_paper(RECORD))) == 21  # twenty that count, and one still open
    assert len(boards_of(on_paper(RECORD, most=5))) == 6
    assert not boards_of(on_paper(NONE_YET))


sorts = st.lists(st.sampled_from(SORTS), max_size=30)


@given(sorts, st.floats(280, 1200))
def test_boards_stay_in_order_in_rows_that_fit_and_can_be_seen(kinds, room):
    boards = [board(n, **kind) for n, kind in enumerate(kinds)]
    high, rows = in_rows(boards, room)
    assert [b for row in rows for b in row] == boards
    assert all(sum(high if b.side else high / 5.6 for b in row) < room for row in rows)
    assert not boards or 44 <= high <= TALLEST


def test_a_usual_record_is_one_row_on_a_page_and_two_on_a_phone():
    boards = [board(n, **(SLOW if n % 5 == 2 else {})) for n in range(20)]
    assert [len(in_rows(boards, room)[1]) for room in (616, 296)] == [1, 2]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sorts, st.sampled_from([320, 360, 480, 640, 1200]))
def test_words_never_collide_and_no_board_lies_on_another(collisions, kinds, wide):
    axes = on_paper(of_boards(*(board(n, **kind) for n, kind in enumerate(kinds))), wide, 2600)
    assert collisions(axes.get_figure()) == []
    boxes = [patch.get_window_extent() for patch in boards_of(axes)]
    words = [text.get_window_extent() for text in axes.texts]
    for i, a in enumerate(boxes):
        assert a.x0 >= 12
        assert a.x1 <= wide - 12 + 0.01
        assert not any(a.overlaps(b) for b in [*boxes[i + 1 :], *words])


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sorts, st.sampled_from([320, 640, 1200]), st.booleans())
def test_the_whole_picture_is_as_high_as_it_needs(collisions, kinds, wide, nearer):
    boards = tuple(board(n, **kind) for n, kind in enumerate(kinds))
    drawn = saved(replace(RECORD, boards=boards, rivals=RECORD.rivals if nearer else ()), wide)
    assert collisions(drawn) == []
    whole, row, *rest = drawn.axes
    assert len(rest) == nearer
    assert row.get_position().y1 == pytest.approx(whole.get_position().y1)
    assert drawn.axes[-1].get_position().y0 == pytest.approx(whole.get_position().y0)


def test_axes_too_low_or_too_narrow_are_refused_with_the_cure():
    with pytest.raises(ValueError, match=r"too low by .* make it higher"):
        on_paper(RECORD, 640, 150)
    with pytest.raises(ValueError, match="at least 320 pixels"):
        on_paper(RECORD, 200)


def test_in_print_all_is_black_on_white():
    sheet = figure(640, 600, IN_PRINT)
    draw_record(sheet.add_axes((0.02, 0.02, 0.96, 0.96)), RECORD, IN_PRINT)
    canvas = FigureCanvasAgg(sheet)
    canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3].astype(int)
    assert (pixels.max(axis=-1) - pixels.min(axis=-1)).max() == 0  # no colour at all
    assert pixels.min() == 0
    assert (pixels == 255).mean() > 0.8


@pytest.mark.parametrize("ending", ["svg", "png"])
@pytest.mark.parametrize("wide", [320, 640])
def test_the_same_record_gives_the_same_bytes(tmp_path, ending, wide):
    for name in "ab":
        save_record(tmp_path / f"{name}.{ending}", RECORD, wide_px=wide)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_a_saved_picture_has_a_stringer_and_carries_its_caption(tmp_path):
    save_record(tmp_path / "a.svg", RECORD)
    assert f"<title>{record_caption(RECORD)}</title>" in (tmp_path / "a.svg").read_text("utf-8")
    rules = saved(RECORD, 640).artists
    assert [line.get_xdata()[0] * 640 for line in rules] == pytest.approx([3.0, 5.5])
    assert all(list(line.get_ydata()) == [0, 1] for line in rules)
