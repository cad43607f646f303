from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.drawn import boards_of, middles_of, words_in
from making.promises import AWAY, DANGER, KEPT, LONG, OVER, TODAY, UNTOLD, aways, promise, promises

from estimator.sheets.drawing.style import BROKEN, ON_PAPER, figure
from estimator.sheets.figures.ready_dates import draw_ten_on_calendar, save_ten_on_calendar
from estimator.sheets.layouts.promises import ten_caption

FAR = promise(9, 400, 480, 430, 0.3)


def on_paper(board, wide=320, high=420, **more):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_ten_on_calendar(axes, board, TODAY, ON_PAPER, **more)
    return axes


def saved(board, wide, **more):
    """The whole picture, unsaved."""
    seen = []

    def keep(drawn, path, *, says):
        seen.append(drawn)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("estimator.sheets.drawing.style.save", keep)
        save_ten_on_calendar(Path("a.svg"), board, TODAY, wide_px=wide, **more)
    return seen[0]


def test_ten_boards_stand_where_they_would_be_ready():
    assert middles_of(on_paper(DANGER)) == pytest.approx([(day - TODAY).days for day in DANGER.points])
    assert all(patch.get_linestyle() == BROKEN for patch in boards_of(on_paper(DANGER)))


def test_the_bracket_holds_eight_of_them_and_the_outer_two_are_hatched():
    axes = on_paper(DANGER)
    (rack,) = [line for line in axes.lines if len(line.get_xdata()) == 4]
    assert list(rack.get_xdata()) == [8, 8, 40, 40]
    assert "guessed: 8 of these 10" in words_in(axes)
    centres = []
    for hatch in axes.collections:
        path, transform = hatch.get_clip_path().get_transformed_path_and_affine()
        box = transform.transform_path(path).transformed(axes.transData.inverted()).get_extents()
        centres.append(box.intervalx.mean())
    assert centres == pytest.approx([(DANGER.points[0] - TODAY).days, (DANGER.points[-1] - TODAY).days])


def test_the_day_told_is_a_plumb_line_and_boards_beyond_it_are_counted():
    axes = on_paper(DANGER)
    assert words_in(axes)[-3:-1] == ["told by Tue 13 October", "9 of 10 would be late"]
    (line,) = [line for line in axes.lines if set(line.get_xdata()) == {12.0} and max(line.get_ydata()) > 60]
    assert min(line.get_ydata()) == 10
    assert not [word for word in words_in(on_paper(UNTOLD)) if "told" in word or "late" in word]


@pytest.mark.parametrize(("board", "way"), [(OVER, -1), (replace(KEPT, told=promise(1, 0, 1, 300).told), 1)])
def test_a_day_told_that_is_over_or_far_off_is_pointed_to(board, way):
    axes = on_paper(board)
    (head,) = [patch for patch in axes.patches if len(patch.get_path().vertices) == 4]
    tip, back = head.get_path().vertices[:2, 0]
    assert (tip - back) * way > 0
    assert ("that day is over" in words_in(axes)) == (way < 0)


def test_the_tape_begins_today_unless_the_boards_would_lose_their_room():
    near = on_paper(KEPT)
    assert [list(line.get_xdata()) for line in near.lines if line.get_label() == "_today"] == [[0.0, 0.0]]
    assert "today, Thu 1 October 2026" in words_in(near)
    far = on_paper(FAR)
    left, right = far.get_xlim()
    assert 300 < left < 400
    assert (480 - 400) / (right - left) >= 0.49
    assert "today, Thu 1 October 2026, lies further left" in words_in(far)


def test_days_before_today_stand_at_today():
    behind = on_paper(promise(1, -8, 9, 4, 0.8))
    assert min(middles_of(behind)) == pytest.approx(0, abs=1e-9)
    assert len(boards_of(behind)) == 10


def test_days_away_are_hatched_out_and_named():
    axes = on_paper(DANGER, away=AWAY)
    assert len(axes.collections) == 4  # two boards, the tape, the key
    assert "days away" in words_in(axes)
    assert "days away" not in words_in(on_paper(DANGER))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(promises(most=1).filter(bool), aways, st.sampled_from([320, 360, 480, 640, 1200]))
def test_words_never_collide_and_boards_never_overlap(collisions, boards, away, wide):
    drawn = saved(boards[0], wide, away=away)
    assert collisions(drawn) == []
    (axes,) = drawn.axes
    boxes = [patch.get_window_extent() for patch in boards_of(axes)]
    assert len(boxes) == 10
    for i, a in enumerate(boxes):
        assert a.x0 >= 11.9
        assert a.x1 <= wide - 11.9
        for b in boxes[i + 1 :]:
            across, up = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert across < 0.01 or up < 0.01
    (rack,) = [line for line in axes.lines if len(line.get_xdata()) == 4]
    left, right = axes.get_xlim()
    assert left < min(rack.get_xdata()) <= max(rack.get_xdata()) < right


@pytest.mark.parametrize("at", range(0, 60, 4))
def test_the_line_never_strikes_the_words_on_the_bracket(collisions, at):
    board = replace(DANGER, told=promise(1, 0, 1, at).told)
    assert collisions(on_paper(board, 320).get_figure()) == []


def test_axes_too_low_or_too_narrow_are_refused_with_the_cure():
    with pytest.raises(ValueError, match=r"too low by .* make it higher"):
        on_paper(DANGER, 640, 150)
    with pytest.raises(ValueError, match="at least 320 pixels"):
        on_paper(DANGER, 150)


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_board_gives_the_same_bytes_and_carries_its_caption(tmp_path, ending):
    board = replace(DANGER, called=LONG)
    for name in "ab":
        save_ten_on_calendar(tmp_path / f"{name}.{ending}", board, TODAY, away=AWAY)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()
    if ending == "svg":
        text = (tmp_path / "a.svg").read_text("utf-8")
        assert f"<title>{ten_caption(board, TODAY, AWAY)}</title>" in text


@pytest.mark.parametrize(("at", "seen"), [(95, True), (140, True), (200, False), (60, False)])
def test_a_day_told_is_on_the_tape_where_the_boards_keep_half_of_it(at, seen):
    axes = on_paper(promise(1, 100, 130, at, 0.5))
    left, right = axes.get_xlim()
    assert (left < at < right) == seen
    assert (130 - 100) / (right - left) >= 0.49
    assert bool([line for line in axes.lines if set(line.get_xdata()) == {float(at)}]) == seen


def test_the_bracket_is_on_the_tape_even_where_it_is_wider_than_the_boards():
    axes = on_paper(replace(DANGER, points=(DANGER.ready.likely,) * 10))
    left, right = axes.get_xlim()
    assert left < 8
    assert right > 40
    assert middles_of(axes) == pytest.approx([24] * 10)


def test_the_title_stands_only_where_asked():
    with_, bare = (saved(DANGER, 640, **how) for how in ({}, {"titled": False}))
    assert [len(drawn.texts) for drawn in (with_, bare)] == [1, 0]
