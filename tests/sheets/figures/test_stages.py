import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.forecast.ranges import Range, StageRange
from estimator.sheets.drawing.style import BROKEN, figure
from estimator.sheets.figures.stages import StageRow, draw_stages, save_stages, stage_rows
from estimator.words.settings.schema import Settings, Stage

ROWS = (
    StageRow("Look it over", 1.0, 1.4, 2.0, so_far=1.5, done=True),
    StageRow("Strip old glass", 6.5, 8.5, 11.5, so_far=3.0),
    StageRow("Mask and spray", 22.5, 30.0, 40.5, pencil=True),
)


@st.composite
def stage(draw):
    low, wider, widest = (draw(st.floats(0, 200)) for _ in range(3))
    return StageRow(
        draw(
            st.sampled_from(
                ["Strip", "A stage of the shop's own, with a name that is longer than it need be"]
            )
        ),
        low,
        low + wider,
        low + wider + widest,
        draw(st.sampled_from([0.0, 0.25, 7.0, 900.0])),
        draw(st.booleans()),
        draw(st.booleans()),
    )


def on_paper(rows, wide=320, high=200):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_stages(axes, rows)
    return axes


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(stage(), min_size=1, max_size=12), st.sampled_from([320, 640, 1200]))
def test_words_never_collide(collisions, rows, wide):
    assert collisions(on_paper(rows, wide, 1000).get_figure()) == []


def test_stages_stand_in_order_of_work_over_one_tape_of_hours():
    axes = on_paper(ROWS)
    assert [text.get_text() for text in axes.texts] == [
        "Look it over 1½, done",
        "Strip old glass 6½ to 12, 3 so far",
        "Mask and spray 23 to 40",
    ]
    heights = [text.get_position()[1] for text in axes.texts]
    assert heights == sorted(heights, reverse=True)
    assert axes.get_xlabel() == "hours; broken lines are guessed"
    assert on_paper(ROWS[:2]).get_xlabel() == "hours"
    left, right = axes.get_xlim()
    assert left < 0
    assert right > 40.5


def test_each_open_stage_is_one_bracket_with_a_tick_at_its_middle():
    axes = on_paper(ROWS[1:])
    rails = [line for line in axes.lines if line.get_ydata()[0] == line.get_ydata()[1] > 0]
    assert [list(rail.get_xdata()) for rail in rails] == [[6.5, 11.5], [22.5, 40.5]]
    uprights = {line.get_xdata()[0] for line in axes.lines if line.get_xdata()[0] == line.get_xdata()[1]}
    assert {6.5, 8.5, 11.5, 22.5, 30.0, 40.5, 3.0} <= uprights
    assert [rail._dash_pattern[1] is not None for rail in rails] == [False, True]
    assert BROKEN[1]


def test_a_done_stage_is_one_stroke_at_what_it_took():
    axes = on_paper(ROWS[:1])
    strokes = [line for line in axes.lines if min(line.get_ydata()) > 0]
    assert [list(line.get_xdata()) for line in strokes] == [[1.5, 1.5]]


def test_rows_are_made_of_an_answer_in_its_order():
    answer = Range(
        board="b",
        odds=0.8,
        view="before",
        low=10,
        likely=12,
        high=15,
        quantiles={},
        stages=(
            StageRange("strip", 5, 6, 8),
            StageRange("logos", 0, 0, 0),
            StageRange("assess", 1, 1, 1, so_far=1.25, done=True),
        ),
        reasons=(),
        boards=3,
        rules=4,
    )
    shop = Settings(stages={"strip": Stage("strip", label="Strip old glass")})
    assert stage_rows(answer, shop) == (
        StageRow("Strip old glass", 5, 6, 8, pencil=True),
        StageRow("Assess", 1, 1, 1, 1.25, done=True),
    )


def test_small_hours_are_not_called_none():
    assert StageRow("Strip", 0.1, 0.1, 0.2).words == "Strip under ½"
    assert StageRow("Strip", 0.1, 0.5, 1.2).words == "Strip under ½ to 1"
    assert StageRow("Strip", 8.9, 9.0, 9.1).words == "Strip about 9"


def test_no_stages_and_low_axes_are_refused():
    with pytest.raises(ValueError, match="no stage to draw"):
        on_paper([])
    with pytest.raises(ValueError, match="too low for 3 stages"):
        on_paper(ROWS, 320, 120)


def test_the_sentence_says_which_stages_are_guessed(tmp_path):
    save_stages(tmp_path / "a.svg", ROWS, title="Spraying is the long one")
    assert (
        "<title>Hours by stage, in order of work: Look it over 1½, done; Strip old glass 6½ to 12, 3 so far; "
        "Mask and spray 23 to 40 (guessed).</title>"
    ) in (tmp_path / "a.svg").read_text("utf-8")


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_rows_give_the_same_bytes(tmp_path, ending):
    for name in "ab":
        save_stages(tmp_path / f"{name}.{ending}", ROWS, title="Spraying is the long one", wide_px=320)
    assert (tmp_path / f"a.{ending}").read_bytes() == (tmp_path / f"b.{ending}").read_bytes()


def test_a_stage_that_took_more_than_any_is_said_to_take_gives_the_tape_its_length():
    """Twelve hours are booked where nothing more is said to come: the stroke and its words stand at twelve."""
    took = StageRow("Sand", 0.0, 0.0, 0.0, so_far=12.0, done=True)
    axes = on_paper((took, StageRow("Gloss", 1.0, 2.0, 3.0)), 640)
    strokes = [line.get_xdata()[0] for line in axes.lines if set(line.get_xdata()) == {12.0}]

    assert axes.get_xlim()[1] == pytest.approx(12 * 1.04)
    assert strokes == [12.0]
    assert axes.texts[0].get_position()[0] > axes.texts[1].get_position()[0]


def test_hours_that_are_booked_have_a_row_though_no_more_is_to_come():
    said = (StageRange("sand", 0.0, 0.0, 0.0, 2.5, True), StageRange("stain", 0.0, 0.0, 0.0), StageRange("gloss", 0.0, 0.0, 1.0))  # fmt: skip
    answer = Range("b", 0.8, "now", 1.0, 2.0, 3.0, {}, said, (), 5, 0)
    assert [(row.label, row.pencil) for row in stage_rows(answer, Settings())] == [
        ("Sand", False),
        ("Gloss", True),
    ]
