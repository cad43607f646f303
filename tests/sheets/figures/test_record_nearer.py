from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.records import NONE_YET, RECORD, RIVALS
from matplotlib.colors import to_hex
from matplotlib.patches import Polygon

from estimator.sheets.drawing.style import ON_PAPER, figure
from estimator.sheets.figures.record import draw_nearer, nearer_px


def on_paper(record, wide=640):
    inner = wide - 24
    high = nearer_px(record, inner) + 24
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, inner / wide, 1 - 24 / high))
    draw_nearer(axes, record)
    return axes


def notches(axes, whose):
    """The tips of the notches, those of the key last."""
    found = [patch for patch in axes.patches if patch.get_label() == f"_{whose}"]
    return [patch.get_xy()[0][0] for patch in found], found


def test_two_notches_for_each_other_way_stand_at_its_hours_and_at_ours():
    axes = on_paper(RECORD)
    ours, filled = notches(axes, "ours")
    theirs, hollow = notches(axes, "theirs")

    assert ours[:-1] == [rival.our_off for rival in RIVALS]
    assert theirs[:-1] == [rival.off for rival in RIVALS]
    assert {to_hex(patch.get_facecolor()).upper() for patch in filled} == {ON_PAPER.ink}
    assert {to_hex(patch.get_facecolor()).upper() for patch in hollow} == {ON_PAPER.paper}
    assert all(patch.get_xy()[0][1] < patch.get_xy()[1][1] for patch in filled)  # ours points down
    assert all(patch.get_xy()[0][1] > patch.get_xy()[1][1] for patch in hollow)
    rows = [patch.get_xy()[0][1] for patch in filled[:-1]]
    assert rows == sorted(rows, reverse=True)
    assert min(rows) > 0
    lines = [line for line in axes.lines if line.get_ydata()[0] in rows]
    assert [tuple(line.get_xdata()) for line in lines] == [(rival.our_off, rival.off) for rival in RIVALS]


def test_the_tape_says_what_it_counts_and_begins_at_nought():
    axes = on_paper(RECORD, 320)
    assert axes.get_xlabel() == "hours off on average"
    assert axes.get_xticks()[0] == 0
    words = [text.get_text() for text in axes.texts]
    assert words[-2:] == ["these ranges", "the other way"]
    assert "These ranges have been no nearer than plain regression" in " ".join(words)
    assert "Your own guess: 9 hours off;" in words


def test_too_few_boards_are_not_drawn_at_all():
    few = replace(RECORD, rivals=tuple(replace(rival, of=7) for rival in RIVALS))
    assert nearer_px(few, 616) == nearer_px(NONE_YET, 616) == 0
    with pytest.raises(ValueError, match="nothing yet to hold ranges against"):
        draw_nearer(figure(640, 300).add_axes((0, 0, 1, 1)), few)
    with pytest.raises(ValueError, match="make it higher"):
        draw_nearer(figure(640, 200).add_axes((0, 0, 1, 1)), RECORD)


hours = st.floats(0, 900) | st.sampled_from([0.0, 0.1, 7.0, 7.01, 40.0])
rivals = st.lists(
    st.tuples(st.sampled_from(RIVALS), hours, hours, st.integers(8, 2000)), min_size=1, max_size=4
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rivals, st.sampled_from([320, 360, 640, 1200]))
def test_words_never_collide(collisions, made, wide):
    record = replace(
        RECORD,
        rivals=tuple(
            replace(rival, off=theirs, our_off=ours, of=of, nearer=of) for rival, theirs, ours, of in made
        ),
    )
    axes = on_paper(record, wide)
    assert collisions(axes.get_figure()) == []
    boxes = [text.get_window_extent() for text in axes.texts]
    sheet = axes.get_figure().bbox
    for patch in axes.patches:
        assert isinstance(patch, Polygon)
        box = patch.get_window_extent()
        assert not any(box.overlaps(words) for words in boxes)
        assert box.x0 > sheet.x0
        assert box.x1 < sheet.x1
