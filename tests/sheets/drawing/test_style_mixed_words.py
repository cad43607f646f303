import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.colors import to_hex

from estimator.sheets.drawing.style import IN_PRINT, ON_PAPER, figure, write_line
from estimator.sheets.layouts.letters import Run, line_px, set_lines, width_px

words = st.lists(
    st.sampled_from(["by", "20", "June:", "7", "times", "seven-four,", "x" * 70]), min_size=1, max_size=6
)
runs = st.builds(Run, words.map(" ".join), slanted=st.booleans(), bold=st.booleans())
parts = st.lists(st.lists(runs, min_size=1, max_size=3).map(tuple), min_size=1, max_size=4)


@settings(deadline=None)
@given(parts, st.sampled_from([60.0, 200.0, 296.0, 616.0]), st.sampled_from([14.0, 16.0]))
def test_lines_fit_and_no_word_is_lost_or_moved(given_parts, room, size):
    lines = set_lines(given_parts, room, size)
    slack = 0.03 * room  # slanted letters of a cut word are measured upright
    assert all(line_px(line, size) <= room + slack for line in lines)
    before = "".join(run.words for part in given_parts for run in part)
    after = "".join(run.words for line in lines for run in line)
    assert after.replace(" ", "") == before.replace(" ", "")


def test_a_part_that_does_not_fit_any_more_begins_a_line():
    first, second = (Run("by Mon 12 October:"), Run("1 time in 10;", slanted=True)), (Run("say by Friday"),)
    room = line_px((*first, *second), 16) + 5
    assert len(set_lines([first, second], room, 16)) == 1
    assert set_lines([first, second], room - 30, 16) == (first, second)


def test_what_no_line_holds_is_broken_between_hands_before_it_is_broken_between_words():
    part = (Run("ring:", bold=True), Run("by Mon 23 November:"), Run("fewer than 1 in 20;", slanted=True))
    room = line_px(part, 14) - 1
    assert set_lines([part], room, 14) == (part[:2], part[2:])
    assert len(set_lines([part], 120, 14)) > 2


def test_words_of_one_hand_stay_one_run():
    (line,) = set_lines([(Run("seven-four,"),), (Run("on the rack"),)], 300, 14)
    assert line == (Run("seven-four, on the rack"),)
    (line,) = set_lines([(Run("seven-four,", bold=True),), (Run("on the rack"),)], 300, 14)
    assert len(line) == 2


@pytest.mark.parametrize("palette", [ON_PAPER, IN_PRINT])
def test_a_line_is_written_in_its_hands_one_after_the_other(palette):
    axes = figure(400, 40).add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, 40), ylim=(0, 40))  # ten pixels to a unit
    line = (Run("ring:", bold=True, accent=True), Run("by Friday:"), Run("1 time in 10", slanted=True))
    write_line(axes, (1.0, 10.0), line, 16, 10.0, palette)
    ring, told, chance = axes.texts
    assert [to_hex(text.get_color()).upper() for text in axes.texts] == [
        palette.oxide,
        palette.ink,
        palette.ink,
    ]
    assert [text.get_fontproperties().get_file().split("-")[-1] for text in axes.texts] == [
        "Bold.ttf",
        "Regular.ttf",
        "Italic.ttf",
    ]
    assert ring.get_position() == (1.0, 10.0)
    assert told.get_position()[0] * 10 > 10 + width_px("ring:", 16, bold=True)
    end = chance.get_position()[0] * 10 + width_px("1 time in 10", 16, slanted=True)
    assert end == pytest.approx(10 + line_px(line, 16))
