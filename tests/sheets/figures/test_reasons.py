import math

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from estimator.forecast.ranges import Range, Reason
from estimator.sheets.drawing.style import figure
from estimator.sheets.figures.reasons import REST, draw_reasons, pieces, reason_rows, save_reasons
from estimator.words.settings.schema import ONCE, Driver, Settings

ROWS = (("Strip: glass", 8.5), ("Strip", 0.5), ("Spray: colours", 29.0), ("Sand: face area", 7.0))
REASONS = st.lists(
    st.tuples(
        st.sampled_from(["Strip", "A stage: what there is to do in it, at more length than is usual"]),
        st.floats(-20, 400),
    ),
    min_size=1,
    max_size=25,
)


def on_paper(rows, wide=320, high=300):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_reasons(axes, rows)
    return axes


@given(REASONS, st.integers(0, 8))
def test_pieces_add_up_and_none_is_below_nought(rows, most):
    whole = math.fsum(hours for _, hours in rows)
    assume(whole > 0.01)
    cut = pieces(rows, most)
    assert math.fsum(hours for _, hours in cut) == pytest.approx(whole, rel=1e-9, abs=1e-6)
    assert all(hours > 0 for _, hours in cut)
    assert len(cut) <= most + 1
    assert REST not in [name for name, _ in cut[:-1]]


def test_the_largest_are_named_in_the_order_of_work_and_the_rest_comes_last():
    assert pieces(ROWS, 2) == (("Strip: glass", 8.5), ("Spray: colours", 29.0), ("the rest", 7.5))
    assert pieces(ROWS, 9) == ROWS


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(REASONS, st.sampled_from([320, 420, 1200]))
def test_words_never_collide(collisions, rows, wide):
    assume(sum(hours for _, hours in rows) > 0.01)
    assert collisions(on_paper(rows, wide, 360).get_figure(), lines=False) == []


def test_the_batten_is_as_long_as_the_likely_hours_with_a_cut_between_pieces():
    axes = on_paper(ROWS)
    assert axes.get_ylabel() == "hours"
    cuts = sorted(
        sum(line.get_ydata()) / 2
        for line in axes.lines
        if len(line.get_ydata()) == 2 and line.get_ydata()[0] > line.get_ydata()[1]
    )
    assert cuts == pytest.approx([8.5, 9.0, 38.0])
    lower, upper = axes.get_ylim()
    assert lower > 45  # hours run down
    assert upper < 0
    assert axes.spines["left"].get_bounds() == (0, 45)
    words = [text.get_text() for text in axes.texts]
    assert words == [
        "Strip: glass: 8½",
        "Strip: ½",
        "Spray: colours: 29",
        "Sand: face area: 7",
        "45 in all",
    ]


def test_in_pencil_the_batten_is_broken_slanted_and_said_to_be_guessed(tmp_path):
    sheet = figure(320, 300)
    axes = sheet.add_axes((0.04, 0.04, 0.92, 0.92))
    draw_reasons(axes, ROWS, pencil=True)
    assert axes.texts[-1].get_text() == "guessed: 45 in all"
    assert all("Italic" in text.get_fontproperties().get_file() for text in axes.texts)
    (sides,) = [line for line in axes.lines if len(line.get_xdata()) == 4 and line.get_xdata()[0] < 60]
    assert sides.get_linestyle() == "--"
    save_reasons(tmp_path / "a.svg", ROWS, title="Colours", pencil=True)
    assert "Sand: face area: 7. These are guessed.</title>" in (tmp_path / "a.svg").read_text("utf-8")


def test_names_stand_in_the_order_of_their_pieces():
    heights = [text.get_position()[1] for text in on_paper(ROWS).texts]
    assert heights == sorted(heights)


@pytest.mark.parametrize("order", [1, -1])
def test_names_of_small_pieces_at_either_end_stay_on_the_figure(collisions, order):
    rows = [*((f"small {n}", 0.6) for n in range(5)), ("large", 100.0)][::order]
    axes = on_paper(rows)
    assert len(axes.texts) == 7
    assert collisions(axes.get_figure(), lines=False) == []


def test_a_low_figure_names_fewer():
    rows = [(f"piece {n}", 5.0) for n in range(9)]
    few, many = on_paper(rows, high=140).texts, on_paper(rows, high=400).texts
    assert len(few) < len(many) == 8
    assert few[-2].get_text().startswith(f"{REST}: ")


def test_reasons_are_summed_over_stages_and_have_the_names_that_the_shop_gives():
    answer = Range(
        board="b",
        odds=0.8,
        view="before",
        low=5,
        likely=15,
        high=25,
        quantiles={},
        stages=(),
        reasons=(
            Reason("strip", ONCE, 1.0),
            Reason("strip", "glass_stripped", 8.0),
            Reason("sand", ONCE, 0.5),
            Reason("laminate", "glass_stripped", 3.0),
            Reason("stain", "unplanned", 2.0),
            Reason("sand", "uv", 0.5),
        ),
        boards=0,
        rules=4,
    )
    shop = Settings(
        drivers={
            "glass_stripped": Driver("glass_stripped", label="Glass stripped"),
            "uv": Driver("uv", label="UV cracks"),
        },
    )
    assert reason_rows(answer, shop) == (
        ("glass stripped", 11.0),
        ("work that nobody had planned", 2.0),
        ("setting up, all stages together", 1.5),
        ("UV cracks", 0.5),
    )


def test_nothing_and_too_little_room_are_refused():
    with pytest.raises(ValueError, match="do not add up to any hours"):
        on_paper([("Strip", 0.0)])
    with pytest.raises(ValueError, match="make it higher"):
        on_paper(ROWS, high=70)


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_reasons_give_the_same_bytes(tmp_path, ending):
    for name in "ab":
        save_reasons(tmp_path / f"{name}.{ending}", ROWS, title="Colours are most of it")
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_what_takes_hours_off_comes_last_however_much_it_is():
    reasons = (Reason("sand", "less", -20.0), Reason("sand", "logos", 2.0), Reason("strip", "area", 30.0), Reason("sand", "area", 4.0))  # fmt: skip
    answer = Range("b", 0.8, "before", 1.0, 2.0, 3.0, {}, (), reasons, 5, 0)
    assert [hours for _, hours in reason_rows(answer, Settings())] == [34.0, 2.0, -20.0]


def test_a_piece_too_small_to_be_shown_is_under_half_an_hour():
    axes = on_paper((("glass", 12.1), ("wax", 0.1)))
    assert {"glass: 12", "wax: under ½"} <= {text.get_text() for text in axes.texts}
