import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.decide.overruns.parts import PARTS
from estimator.sheets.drawing.style import figure
from estimator.sheets.figures.overruns import draw_overrun, save_overrun
from estimator.sheets.layouts.overruns import THICK, Batten, laid

RED = Batten(52, 71, {"guess": 9.0, "hidden": 6.0, "asked_later": 3.0, "pace": 1.0})
LESS = Batten(50, 48.25, {"guess": -5.0, "hidden": 1.6, "asked_later": 0.0, "pace": 1.65})


@st.composite
def batten(draw):
    said = draw(st.floats(0.5, 5000))
    parts = [draw(st.floats(-0.4, 1.0)) * said for _ in PARTS]
    parts[2] = abs(parts[2])
    took = said + sum(parts)
    if took <= 0.25:
        parts[3] += said - took
        took = said + sum(parts)
    return Batten(said, took, dict(zip(PARTS, parts, strict=True)))


def on_paper(made, wide=320, high=420):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_overrun(axes, made)
    return axes


def of(axes, label):
    """From where to where each patch of that label goes, in hours, from the left."""
    found = [p.get_xy()[:, 0] for p in axes.patches if p.get_label() == label]
    return sorted((at.min(), at.max()) for at in found)


def cuts(axes):
    """Where the batten is cut, in hours."""
    return sorted(float(np.mean(line.get_xdata())) for line in axes.lines if line.get_label() == "_cut")


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(batten(), st.sampled_from([320, 640, 1200]))
def test_words_never_collide(collisions, made, wide):
    assert collisions(on_paper(made, wide).get_figure()) == []


def test_each_piece_begins_where_the_last_one_ended_and_all_lie_on_one_batten():
    axes = on_paper(RED)
    ((_, end),) = of(axes, "_whole")
    assert end == 71
    assert cuts(axes) == pytest.approx([52, 61, 67, 70])
    assert of(axes, "_sawn") == []
    assert len({float(p.get_xy()[:, 1].max()) for p in axes.patches}) == 1
    assert [text.get_text() for text in axes.texts] == [
        "1", "2", "3", "4", "You said 52; it came to 71.", "1", "a low guess: 9", "2", "hidden work: 6",
        "3", "what was asked for since: 3", "4", "slower going: 1",
    ]  # fmt: skip
    assert axes.get_xlabel() == "hours"


def test_what_was_saved_is_sawn_off_the_end_and_hatched():
    axes = on_paper(LESS)
    ((_, end),) = of(axes, "_whole")
    assert end == 48.25
    assert cuts(axes) == pytest.approx([50, 51.6])
    assert of(axes, "_sawn") == [pytest.approx((48.25, 53.25))]  # true to length: five hours
    (sawn,) = (p for p in axes.patches if p.get_label() == "_sawn")
    assert sawn.get_hatch()
    assert "a high guess: 5 off" in [text.get_text() for text in on_paper(LESS, 640).texts]


@given(batten())
def test_all_pieces_are_true_to_length_and_end_at_what_it_took(made):
    on = [p for p in laid(made) if not p.off]
    off = [p for p in laid(made) if p.off]
    assert [p.start for p in on] == pytest.approx([made.said, *(p.end for p in on)][: len(on)])
    far = on[-1].end if on else made.said
    assert [p.end for p in off] == pytest.approx([far, *(p.start for p in off)][: len(off)])
    left = off[-1].start if off else far
    shown = sum(made.hours[part] for part, *_ in made.pieces)
    assert left == pytest.approx(made.said + shown)
    for piece in (*on, *off):
        assert piece.end - piece.start == pytest.approx(abs(made.hours[piece.part]))


def test_what_was_asked_for_since_has_scribed_lines():
    def scribed(made):
        return [line for line in on_paper(made).lines if list(line.get_xdata()) == [67, 70]]

    assert len(scribed(RED)) == 2
    high, low = (line.get_ydata()[0] for line in scribed(RED))
    assert 0 < abs(high - low) < THICK


def test_the_tape_begins_at_nought_where_that_is_near():
    small = Batten(8, 13, {"guess": -2.0, "hidden": 8.0, "asked_later": 0.0, "pace": -1.0})
    assert on_paper(small).get_xlim()[0] < 0
    assert 30 < on_paper(RED).get_xlim()[0] < 52
    assert min(p.get_xy()[:, 0].min() for p in on_paper(RED).patches) > on_paper(RED).get_xlim()[0] - 1e-9


def test_low_axes_are_refused():
    with pytest.raises(ValueError, match="too low"):
        on_paper(RED, 320, 150)


def test_the_sentence_is_the_text_alternative(tmp_path):
    save_overrun(tmp_path / "a.svg", RED, title="The red nine-four: what came on top")
    assert (
        "<title>You said 52 hours; it came to 71. 19 hours over: a low guess added 9, hidden work 6, "
        "what was asked for since 3, slower going 1.</title>"
    ) in (tmp_path / "a.svg").read_text("utf-8")


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_batten_gives_the_same_bytes(tmp_path, ending):
    for name in "ab":
        save_overrun(tmp_path / f"{name}.{ending}", RED, title="What came on top", wide_px=320)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()
