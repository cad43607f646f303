import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.sheets.drawing.style import ON_PAPER, figure
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.tape import BETWEEN, STEPS, TAPE, in_quarters, ticks

ENDS = st.tuples(st.floats(-50, 3000), st.floats(0.6, 5000)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@given(ENDS, st.sampled_from([290.0, 296.0, 616.0, 1176.0]))
def test_numbers_keep_apart_and_on_the_paper_and_there_are_always_two(ends, room):
    left, right = ends
    numbered, finer = ticks(left, right, room, 14)
    each = room / (right - left)
    assert len(numbered) >= 2
    wide = [width_px(in_quarters(at), 14) for at in numbered]
    for (a, w), (b, v) in pairwise(zip(numbered, wide, strict=True)):
        assert (b - a) * each >= (w + v) / 2 + BETWEEN - 1e-6
    assert (numbered[0] - left) * each >= wide[0] / 2
    assert (right - numbered[-1]) * each >= wide[-1] / 2
    steps = {round(b - a, 6) for a, b in pairwise(numbered)}
    assert len(steps) == 1
    assert any(math.isclose(steps.copy().pop(), step) for step in STEPS)
    assert not {round(at, 6) for at in numbered} & {round(at, 6) for at in finer}


def test_a_wider_tape_has_more_numbers():
    assert len(ticks(40, 100, 600, 14)[0]) > len(ticks(40, 100, 300, 14)[0])


def test_finer_ticks_are_those_of_a_tape():
    numbered, finer = ticks(0, 10, 600, 14)
    assert numbered == [1, 2, 3, 4, 5, 6, 7, 8, 9]
    assert finer[:3] == [0, 0.25, 0.5]


@pytest.mark.parametrize(
    ("amount", "said"),
    [(52, "52"), (0.75, "¾"), (-1.5, "−1½"), (1250, "1,250"), (-0.01, "0"), (9.99, "10")],
)
def test_amounts_are_said_in_quarters(amount, said):
    assert in_quarters(amount) == said


def test_the_tape_lies_along_nought_with_its_unit():
    axes = figure(320, 100).add_axes((0, 0, 1, 1))
    axes.set(xlim=(40, 100), ylim=(-60, 40))
    lay_tape(axes, "hours", 14, ON_PAPER, whole=True)
    assert axes.get_xlabel() == "hours"
    assert [label.get_text() for label in axes.get_xticklabels()] == ["50", "60", "70", "80", "90"]
    assert all("Bitter-Regular" in label.get_fontproperties().get_file() for label in axes.get_xticklabels())
    (lower,) = axes.lines
    assert list(lower.get_ydata()) == [-TAPE, -TAPE]
    assert axes.spines["bottom"].get_bounds() == (40, 100)


def test_a_tape_that_starts_at_nought_has_an_end_and_nothing_below():
    axes = figure(320, 100).add_axes((0, 0, 1, 1))
    axes.set(xlim=(-10, 100), ylim=(-60, 40))
    lay_tape(axes, "hours", 14, ON_PAPER, whole=True)
    assert axes.get_xticks()[0] == 0
    assert -5 < axes.spines["bottom"].get_bounds()[0] < 0
    assert len(axes.lines) == 2
