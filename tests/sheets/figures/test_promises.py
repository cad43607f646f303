import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.drawn import boards_of, words_in
from making.mornings import EMPTY, MORNING
from making.promises import (
    AWAY,
    DANGER,
    KEPT,
    LONG,
    OVER,
    SORTS,
    TODAY,
    UNTOLD,
    aways,
    morning,
    promise,
    promises,
)
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex

from estimator.sheets.drawing.style import IN_PRINT, ON_PAPER, figure
from estimator.sheets.figures.promises import draw_promises, save_promises
from estimator.sheets.layouts.promises import MANY, promises_caption, row_words
from estimator.words.dates import A_DAY

FORTY = tuple(
    promise(
        n, n, 3 * n + 5, (7 * n) % 90 if n % 4 else None, n % 10 / 10, called=LONG if n == 5 else f"board {n}"
    )
    for n in range(40)
)


def on_paper(day, wide=640, high=1600, palette=ON_PAPER, **more):
    sheet = figure(wide, high, palette)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_promises(axes, day, palette, **more)
    return axes


def written(axes):
    """The lines of words from the top down, each with all that stands on it."""
    lines = {}
    for text in axes.texts:
        x, y = text.get_position()
        lines.setdefault(round(y, 3), []).append((x, text.get_text()))
    return [" ".join(words for _, words in sorted(line)) for _, line in sorted(lines.items(), reverse=True)]


def rows_of(axes):
    """From the top down, of every row where its boards stand, and the height of its tape."""
    feet = sorted((line.get_ydata()[0] for line in axes.lines if line.get_label() == "_row"), reverse=True)
    found = []
    for foot, above in zip(feet, [math.inf, *feet], strict=False):
        boxes = [patch.get_path().get_extents() for patch in boards_of(axes)]
        stand = sorted(float(box.intervalx.mean()) for box in boxes if foot - 1e-6 <= box.y0 < above)
        found.append((stand, foot))
    return found


def above_the_tape(line):
    return min(line.get_ydata()) > 0


def plumbs_of(axes):
    """From the top down, where plumb lines hang in the rows, and their colours."""
    bobs = [patch for patch in axes.patches if len(patch.get_path().vertices) == 6]
    at = [(patch.get_path().vertices, to_hex(patch.get_facecolor()).upper()) for patch in bobs]
    at = [(v[v[:, 1].argmin(), 0], v[:, 1].min(), colour) for v, colour in at if v[:, 1].min() >= 0]
    return sorted(at, key=lambda one: -one[1])


def beyond_of(axes):
    """Arrowheads in the rows: where their tips are and their colours."""
    heads = [patch for patch in axes.patches if len(patch.get_path().vertices) == 4]
    return [
        (patch.get_path().vertices[0, 0], to_hex(patch.get_facecolor()).upper())
        for patch in heads
        if patch.get_path().vertices[:, 1].min() > 0
    ]


def strokes_of(axes):
    return [line.get_xdata()[0] for line in axes.lines if line.get_label() == "_told"]


def saved(day, wide, **more):
    """The whole picture, unsaved."""
    seen = []

    def keep(drawn, path, *, says):
        seen.append(drawn)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("estimator.sheets.drawing.style.save", keep)
        save_promises(Path("a.svg"), day, wide_px=wide, **more)
    return seen[0]


def test_ten_boards_stand_where_each_will_be_ready_in_order_of_the_day_told():
    rows = rows_of(on_paper(SORTS))
    days = [[(day - TODAY).days for day in board.points] for board in (OVER, DANGER, KEPT, UNTOLD)]
    assert [row[0] for row in rows] == [pytest.approx(one) for one in days]
    assert [len(row[0]) for row in rows] == [10] * 4


def test_no_board_stands_on_another_and_none_before_today():
    soon = promise(1, -6, 2, 30, 0.9)
    for day in (SORTS, morning(soon), morning(*FORTY)):
        axes = on_paper(day, high=6000)
        boxes = sorted((p.get_path().get_extents() for p in boards_of(axes)), key=lambda b: (b.y0, b.x0))
        for one, other in pairwise(boxes):
            assert one.y1 <= other.y0 or one.y0 >= other.y1 or one.x1 <= other.x0
        assert min(stand[0] for stand, _ in rows_of(axes) if stand) >= 0


def test_the_day_told_hangs_as_a_plumb_line_in_its_own_row_alone():
    axes = on_paper(SORTS)
    plumbs, rows = plumbs_of(axes), rows_of(axes)
    assert [at for at, _, _ in plumbs] == [12, 18]  # of the second row and of the third
    lines = [
        line for line in axes.lines if set(line.get_xdata()) in ({12.0}, {18.0}) and above_the_tape(line)
    ]
    lines = [line for line in lines if line.get_zorder() == 4]  # boards stand below it
    assert len(lines) == 2
    for (_, tip, _), line, row in zip(plumbs, lines, rows[1:3], strict=True):
        assert tip == pytest.approx(row[1])
        assert row[1] < min(line.get_ydata()) < max(line.get_ydata()) < row[1] + 62  # nothing joins rows


def test_nothing_joins_rows_and_nothing_is_filled_along_the_tape():
    axes = on_paper(morning(*FORTY), high=6000)
    tall = [line for line in axes.lines if np.ptp(line.get_ydata()) > 60]
    assert not tall
    across = [np.ptp(patch.get_path().vertices[:, 0]) for patch in axes.patches]
    pixel = np.ptp(axes.get_xlim()) / 616
    assert max(across) <= 8 * pixel + 1e-9  # bobs and arrowheads; no bar


def test_a_day_that_is_over_is_pointed_to_and_named():
    axes = on_paper(SORTS)
    ((tip, colour),) = beyond_of(axes)
    assert tip < 0
    assert colour == ON_PAPER.oxide
    assert "by Mon 28 September: that day is over; say" in words_in(axes)
    assert "the day you told is over" in words_in(axes)
    assert "the day you told is over" not in words_in(on_paper(morning(KEPT)))


def test_what_is_guessed_is_broken_and_slanted_and_what_was_told_is_neither():
    axes = on_paper(SORTS)
    rails = [line for line in axes.lines if line.get_linestyle() == "--"]
    assert rails == []  # boards so small are in pencil by their colour
    assert {to_hex(patch.get_edgecolor()).upper() for patch in boards_of(axes)} == {ON_PAPER.pencil}
    slanted = {text.get_text() for text in axes.texts if "Italic" in text.get_fontproperties().get_file()}
    assert slanted == {
        "by Wed 21 October: 9 times in 10",
        "1 time in 10;",
        "by Tue 10 November: 9 times in 10",
        "19 in 20",
        "by Wed 30 December: 9 times in 10",
        "guessed:",
    }


def test_red_is_for_whom_to_ring_alone_and_stands_with_the_word():
    axes = on_paper(SORTS)
    red = [text.get_text() for text in axes.texts if to_hex(text.get_color()).upper() == ON_PAPER.oxide]
    assert red == ["ring:", "ring:"]
    assert [colour for _, _, colour in plumbs_of(axes)] == [ON_PAPER.oxide, ON_PAPER.ink]
    calm = on_paper(morning(KEPT, UNTOLD))
    assert not [text for text in calm.texts if "ring" in text.get_text()]
    drawn = [to_hex(mark.get_color()).upper() for mark in [*calm.texts, *calm.lines]]
    assert ON_PAPER.oxide not in drawn
    assert ON_PAPER.oxide not in {to_hex(patch.get_facecolor()).upper() for patch in calm.patches}


@pytest.mark.parametrize("wide", [320, 640])
def test_every_row_says_its_name_its_place_and_its_words_at_any_width(wide):
    said = " ".join(written(on_paper(SORTS, wide))).replace(" rack ring", " rack; ring")
    for board, place in (
        (OVER, "on the rack"),
        (DANGER, "on the rack"),
        (KEPT, "on the go"),
        (UNTOLD, "in line"),
    ):
        assert f"{board.name}, {place}" in said
        assert row_words(board, TODAY) in said
    at = [said.index(f"{board.name},") for board in (OVER, DANGER, KEPT, UNTOLD)]
    assert at == sorted(at)


def test_the_words_of_a_row_stand_right_above_its_marks():
    axes = on_paper(SORTS)
    lines = {text.get_position()[1] for text in axes.texts if text.get_position()[1] > 0}
    for _, level in rows_of(axes):
        gap = min(y - level for y in lines if y > level)
        assert 20 < gap < 80


def test_the_tape_begins_today_and_ends_with_the_last_day():
    axes = on_paper(SORTS)
    (today,) = [line for line in axes.lines if line.get_label() == "_today"]
    left, right = axes.get_xlim()
    assert list(today.get_xdata()) == [0.0, 0.0]
    assert left == pytest.approx(-10 / 616 * (right - left))
    assert right == pytest.approx(90 + 10 / 616 * (right - left))
    assert "today, Thu 1 October 2026" in words_in(axes)
    late = on_paper(morning(promise(1, 4, 9, 200, 0.99)))
    assert late.get_xlim()[1] > 200


@settings(deadline=None, max_examples=40)
@given(promises(), st.sampled_from([320, 640]))
def test_every_day_told_is_on_the_tape_however_long_it_is(boards, wide):
    axes = on_paper(morning(*boards), wide, 5000)
    told = [p.told.last for p in boards if p.told and p.told.last >= TODAY]
    assert strokes_of(axes) == sorted({(day - TODAY).days for day in told})
    assert sorted(at for at, _, _ in plumbs_of(axes)) == sorted((day - TODAY).days for day in told)
    left, right = axes.get_xlim()
    assert all(left < at < right for at in strokes_of(axes))
    assert len(beyond_of(axes)) == sum(p.told is not None and p.told.last < TODAY for p in boards)


@settings(deadline=None, max_examples=40)
@given(promises())
def test_boards_stand_on_their_tape_and_never_before_today(boards):
    axes = on_paper(morning(*boards), high=5000)
    found = rows_of(axes)
    assert len(found) == len(boards)
    assert sum(len(stand) for stand, _ in found) == 10 * len(boards)
    assert all(-1e-6 <= stand[0] <= stand[-1] for stand, _ in found)


def test_ticks_thin_out_over_years_but_days_told_do_not():
    years = morning(
        promise(1, 10, 900, 700, 0.8), promise(2, 300, 2000, 3000, 0.9), promise(3, 1, 5, 12, 0.9)
    )
    axes = on_paper(years, 320)
    ticks = [line for line in axes.lines if line.get_label() == "_tick"]
    assert len(ticks) < 60
    assert strokes_of(axes) == [12, 700, 3000]
    assert "2030" in words_in(axes)


def test_days_away_are_hatched_and_in_the_key():
    axes = on_paper(SORTS, away=AWAY)
    assert "days away" in words_in(axes)
    assert len(axes.collections) == 2  # on the tape and in the key
    plain = on_paper(SORTS)
    assert not plain.collections
    assert "days away" not in words_in(plain)


def test_a_long_list_has_its_tape_at_the_head_too():
    few, many = (on_paper(morning(*FORTY[:n]), high=3000) for n in (MANY - 1, MANY))
    assert sum(text == "October" for text in words_in(few)) == 1
    assert sum(text == "October" for text in words_in(many)) == 2
    edges = [line.get_ydata()[0] for line in many.lines if line.get_label() == "_today"]
    assert min(edges) == 0
    assert max(edges) > max(row[1] for row in rows_of(many))


def test_without_a_board_there_is_no_tape():
    axes = on_paper(EMPTY)
    assert words_in(axes) == ["today, Tue 9 June 2026"]
    assert not axes.lines
    assert not axes.patches


def test_boards_without_a_date_and_a_log_that_lags_are_told():
    words = words_in(on_paper(replace(MORNING, log_up_to=MORNING.today - 5 * A_DAY)))
    assert "no date can be given: ink seven-two" in words
    assert "today, Tue 9 June 2026; your log tells up to Thu 4 June" in words


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(promises(), aways, st.sampled_from([320, 360, 480, 640, 1200]))
def test_words_never_collide_and_the_picture_is_as_high_as_it_needs(collisions, boards, away, wide):
    drawn = saved(morning(*boards), wide, away=away)
    assert collisions(drawn) == []
    (axes,) = drawn.axes
    lowest = min(text.get_window_extent().y0 for text in axes.texts)
    assert 8 <= lowest <= 32


@pytest.mark.parametrize("count", [0, 1, 3, 12, 40])
@pytest.mark.parametrize("wide", [320, 640])
def test_few_boards_and_many_are_drawn(collisions, count, wide):
    drawn = saved(morning(*FORTY[:count]), wide, away=AWAY)
    assert collisions(drawn) == []
    assert len(rows_of(drawn.axes[0])) == count


def test_axes_too_low_are_refused_with_the_cure():
    with pytest.raises(ValueError, match=r"too low for 4 boards: make it higher"):
        on_paper(SORTS, 640, 200)


def test_in_print_all_is_black_on_white():
    axes = on_paper(SORTS, high=700, palette=IN_PRINT, away=AWAY)
    canvas = FigureCanvasAgg(axes.get_figure())
    canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3].astype(int)
    assert (pixels.max(axis=-1) - pixels.min(axis=-1)).max() == 0  # no colour at all
    assert pixels.min() == 0
    assert (pixels == 255).mean() > 0.8
    assert words_in(axes).count("ring:") == 2


@pytest.mark.parametrize("ending", ["svg", "png"])
@pytest.mark.parametrize("wide", [320, 640])
def test_the_same_morning_gives_the_same_bytes(tmp_path, ending, wide):
    for name, boards in (("a", SORTS.promises), ("b", tuple(reversed(SORTS.promises)))):
        save_promises(tmp_path / f"{name}.{ending}", morning(*boards), wide_px=wide, away=AWAY)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_a_saved_picture_has_a_stringer_its_title_and_its_caption(tmp_path):
    save_promises(tmp_path / "a.svg", SORTS, away=AWAY)
    assert f"<title>{promises_caption(SORTS, AWAY)}</title>" in (tmp_path / "a.svg").read_text("utf-8")
    drawn = saved(SORTS, 640)
    assert [line.get_xdata()[0] * 640 for line in drawn.artists] == pytest.approx([3.0, 5.5])
    assert [text.get_text() for text in drawn.texts] == ["2 of 3 days told are in danger or over: ring"]
    assert math.isclose(drawn.get_size_inches()[0] * 96, 640)


def test_the_plumb_line_hangs_at_the_day_told_last_not_first():
    again = replace(DANGER, told=replace(DANGER.told, first_last=TODAY + 5 * A_DAY))
    assert [at for at, _, _ in plumbs_of(on_paper(morning(again)))] == [12]
