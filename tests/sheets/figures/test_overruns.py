import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from matplotlib.patches import Polygon

from estimator.decide.overruns.parts import PARTS
from estimator.sheets.drawing.style import figure
from estimator.sheets.figures.overruns import THICK, Batten, draw_overrun, save_overrun

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


def pieces(axes):
    """Each piece from its first to its last hour, in order from the top, and whether it is hatched."""
    found = [p for p in axes.patches if isinstance(p, Polygon)]
    assert [p.get_xy()[:, 1].mean() for p in found] == sorted(
        (p.get_xy()[:, 1].mean() for p in found), reverse=True
    )
    return [(p.get_xy()[:, 0].min(), p.get_xy()[:, 0].max(), bool(p.get_hatch())) for p in found]


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(batten(), st.sampled_from([320, 640, 1200]))
def test_words_never_collide(collisions, made, wide):
    assert collisions(on_paper(made, wide).get_figure()) == []


def test_each_piece_begins_where_the_last_one_ended():
    first, *middle, last = pieces(on_paper(RED))
    assert first[1] == 52
    assert last[1] == 71
    assert middle == [(52, 61, False), (61, 67, False), (67, 70, False), (70, 71, False)]
    axes = on_paper(RED)
    assert [text.get_text() for text in axes.texts] == [
        "you said 52", "9 in the guess", "6 hidden work", "3 asked for since", "1 this board going slower", "it came to 71",
    ]  # fmt: skip
    assert axes.get_xlabel() == "hours"


def test_what_is_taken_off_is_hatched_and_goes_back():
    first, *middle, last = pieces(on_paper(LESS))
    assert middle[0] == (45, 50, True)
    assert middle[1] == pytest.approx((45, 46.6, False))
    assert middle[2] == pytest.approx((46.6, 48.25, False))
    assert first[2] is last[2] is False
    assert "5 off: in the guess" in [text.get_text() for text in on_paper(LESS, 640).texts]


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
        "<title>You said 52 hours; it came to 71. 19 hours more: 9 in the guess, 6 hidden work, 3 asked for since, "
        "1 this board going slower.</title>"
    ) in (tmp_path / "a.svg").read_text("utf-8")


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_batten_gives_the_same_bytes(tmp_path, ending):
    for name in "ab":
        save_overrun(tmp_path / f"{name}.{ending}", RED, title="What came on top", wide_px=320)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()
