import math
from dataclasses import replace
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.forecast.ranges import Alike, Range
from estimator.sheets.layouts.ranges import (
    FILL,
    RangeDrawing,
    RangeLayout,
    alt_text,
    drawing_of,
    limits,
    past_words,
)

NORMAL = NormalDist()


def lognormal(median, sigma, odds=0.8, **more):
    """A drawing whose quantiles are those of a lognormal."""

    def at(p):
        return median * math.exp(sigma * NORMAL.inv_cdf(p))

    miss = (1 - odds) / 2
    keys = {f"{p / 100:.2f}": at(p / 100) for p in range(5, 100, 5)}
    return RangeDrawing(keys, at(miss), median, at(1 - miss), odds, **more)


def test_ten_boards_stand_at_the_middles_of_ten_equal_chances():
    drawing = lognormal(66, 0.2)
    wanted = [66 * math.exp(0.2 * NORMAL.inv_cdf(p / 100)) for p in range(5, 100, 10)]
    assert drawing.places == pytest.approx(wanted, rel=1e-12)
    assert sum(drawing.low < at < drawing.high for at in drawing.places) == 8


def test_nineteen_in_twenty_takes_twenty_boards_between_the_known_points():
    drawing = lognormal(66, 0.2, odds=0.95)
    wanted = [66 * math.exp(0.2 * NORMAL.inv_cdf((i + 0.5) / 20)) for i in range(20)]
    assert drawing.places == pytest.approx(wanted, rel=2e-3)  # interpolated
    assert (drawing.places[0], drawing.places[-1]) == pytest.approx((drawing.low, drawing.high))


@pytest.mark.parametrize(
    ("odds", "boards", "inside"),
    [(0.5, 20, 10), (0.6, 10, 6), (0.7, 20, 14), (0.8, 10, 8), (0.9, 20, 18), (0.95, 20, 19), (0.99, 20, 19)],
)
def test_boards_in_the_range_are_counted_as_the_odds_say(odds, boards, inside):
    drawing = lognormal(66, 0.2, odds=odds)
    assert (len(drawing.places), drawing.inside) == (boards, inside)
    if odds < 0.95:  # at 19 in 20 the outermost two stand on the range's ends
        assert sum(drawing.low < at < drawing.high for at in drawing.places) == inside


@pytest.mark.parametrize("odds", [0.5, 0.6, 0.7, 0.8, 0.9, 0.95])
def test_picture_and_sentence_speak_of_the_same_boards(odds):
    drawing = lognormal(66, 0.2, odds=odds)
    words = {6: "six", 8: "eight", 10: "ten", 14: "fourteen", 18: "eighteen", 19: "nineteen", 20: "twenty"}
    said = f"Of {words[len(drawing.places)]} boards like this, {words[drawing.inside]} take "
    assert alt_text(drawing).startswith(said)


@pytest.mark.parametrize(
    ("plumb", "said"),
    [
        (80.0, "1 of 10 would be past it"),
        (66.0, "5 of 10 would be past it"),
        (40.0, "fewer than 1 in 20 would be within it"),
        (200.0, "fewer than 1 in 20 would be past it"),
    ],
)
def test_boards_past_the_line_are_counted_and_never_certain(plumb, said):
    assert past_words(lognormal(66, 0.18, plumb=(plumb, "there"))) == said


def test_the_sentence_says_all_that_is_drawn():
    drawing = lognormal(
        66,
        0.15,
        pencil=True,
        guess=52.5,
        alike=(("the club board", 83.2), ("the green fish", 7.3)),
        plumb=(80, "not over 80 without asking"),
    )
    assert alt_text(drawing) == (
        "Of ten boards like this, eight take 55 to 80 hours, one less, one more; half take more than 66. "
        "This is guessed: it rests mostly on rules of thumb. You said 52½. "
        "Not over 80 without asking: 1 of 10 would be past it. "
        "Boards like it: the green fish 7½, the club board 83."
    )


def answer(boards):
    known = lognormal(66, 0.15)
    return Range(
        board="26-014",
        odds=0.8,
        view="before",
        low=known.low,
        likely=66,
        high=known.high,
        quantiles=known.quantiles,
        stages=(),
        reasons=(),
        boards=boards,
        rules=9,
        alike=(Alike("25-003", "the club board", 83.0), Alike("25-004", "", 60.0)),
        guess=52.0,
    )


def test_an_answer_is_pencil_until_a_dozen_boards():
    assert drawing_of(answer(11)).pencil
    drawing = drawing_of(answer(12))
    assert not drawing.pencil
    assert (drawing.low, drawing.likely, drawing.high, drawing.odds) == (
        answer(0).low, 66, answer(0).high, 0.8,
    )  # fmt: skip
    assert drawing.alike == (("the club board", 83.0), ("25-004", 60.0))
    assert drawing.guess == 52.0


@pytest.mark.parametrize(
    ("low", "high", "odds"), [(70, 80, 0.8), (50, 60, 0.8), (50, 80, 1.0), (50, 80, 0.0)]
)
def test_a_range_out_of_order_is_refused(low, high, odds):
    with pytest.raises(ValueError, match="low <= likely <= high"):
        RangeDrawing({}, low, 66, high, odds)


@given(
    st.floats(0.5, 900),
    st.floats(0, 1.2),
    st.sampled_from([0.5, 0.8, 0.95]),
    st.floats(0, 5000),
    st.sampled_from([296.0, 1176.0]),
)
def test_the_tape_holds_all_boards_and_gives_them_room(median, sigma, odds, guess, wide):
    drawing = lognormal(median, sigma, odds=odds, guess=guess)
    left, right = limits(drawing, wide)
    assert left < drawing.places[0] <= drawing.places[-1] < right
    assert list(drawing.places) == sorted(drawing.places)
    assert min(drawing.places) >= 0
    spread = max(drawing.places[-1], drawing.high) - min(drawing.places[0], drawing.low)
    if spread > 1:
        assert spread / (right - left) >= FILL - 1e-9


def test_a_near_guess_lies_on_the_tape_and_a_far_one_does_not():
    left, right = limits(lognormal(66, 0.15, guess=40.0), 296)
    assert left < 40 < right
    left, right = limits(lognormal(66, 0.15, guess=400.0), 296)
    assert not left < 400 < right


def test_money_may_be_lost():
    drawing = RangeDrawing({"0.05": -9.0, "0.95": 30.0}, -5.0, 10.0, 25.0, 0.8, unit="mk an hour")
    assert drawing.places[0] == -9.0


def test_a_finished_board_stands_alone():
    drawing = RangeDrawing({"0.05": 71.2, "0.95": 71.2}, 71.2, 71.2, 71.2, 0.8, plumb=(80, "told"), guess=52)
    assert drawing.done
    assert drawing.places == (71.2,)
    assert alt_text(drawing) == "All booked: 71. You said 52. Told: it stayed within it."
    assert past_words(RangeDrawing({}, 90, 90, 90, 0.8, plumb=(80, "told"))) == "it went past it"


def test_a_finished_board_is_no_guess():
    done = replace(answer(3), low=71.0, likely=71.0, high=71.0)

    assert not drawing_of(done).pencil


def test_a_board_that_took_just_so_long_is_within():
    assert past_words(RangeDrawing({}, 80, 80, 80, 0.8, plumb=(80, "told"))) == "it stayed within it"
    known = {f"{p / 100:.2f}": float(p) for p in range(5, 100, 5)}
    drawing = RangeDrawing(known, 10.0, 50.0, 90.0, 0.8, plumb=(85.0, "told"))
    assert drawing.places == pytest.approx(range(5, 100, 10))
    assert past_words(replace(drawing, plumb=(drawing.places[8], "told"))) == "1 of 10 would be past it"
    assert past_words(replace(drawing, plumb=(drawing.places[9], "told"))) == (
        "fewer than 1 in 20 would be past it"
    )


def test_strokes_of_past_boards_go_from_left_to_right_and_those_that_would_touch_one_below_the_other():
    """Three boards two pixels apart lie in three rows, one far off is only named, with what it took."""
    plain = RangeLayout(lognormal(66, 0.15), 616.0)
    each = (plain.right - plain.left) / 616
    near = [66 + 4 * each, 66.0, 66 + 2 * each, 66 + 9 * each]
    alike = (*((f"b{n}", at) for n, at in enumerate(near)), ("the long one", 400.0))
    layout = RangeLayout(lognormal(66, 0.15, alike=alike), 616.0)

    assert [level for _, level in layout.strokes] == [0, 1, 2, 0]
    assert [at - layout.px(66.0) for at, _ in layout.strokes] == pytest.approx([0, 2, 4, 9])
    assert "the long one 400" in " ".join(layout.caption)
    lines = 1 + len(layout.caption)
    assert (layout.marks_end, layout.below) == (80.0, pytest.approx(80 + lines * layout.line))
    far = RangeLayout(lognormal(66, 0.15, alike=(("the long one", 400.0),)), 616.0)
    assert (far.strokes, far.caption) == ([], ("like it: the long one 400",))
    assert (plain.marks_end, plain.caption) == (56.0, ())


def test_words_on_the_bracket_are_no_guess_once_all_is_booked_and_keep_clear_of_a_line():
    done = RangeLayout(RangeDrawing({}, 71.0, 71.0, 71.0, 0.8, pencil=True), 616.0)
    assert done.bracket == ("all booked: 71",)
    plain, lined = (RangeLayout(lognormal(66, 0.15, plumb=plumb), 616.0) for plumb in (None, (67.0, "there")))
    assert plain.bracket_at == pytest.approx((lognormal(66, 0.15).low + lognormal(66, 0.15).high) / 2)
    assert abs(lined.px(lined.bracket_at) - lined.px(67.0)) > 40


@pytest.mark.parametrize(
    ("unit", "ends"), [("h", (71.2 - 0.66, 71.2 + 0.66)), ("mk", (71.2 * (1 - 0.00066), 71.2 * (1 + 0.00066)))]
)  # fmt: skip
def test_one_board_alone_has_an_hour_of_tape_or_a_thousandth_of_it(unit, ends):
    """And .16 of that on each side of 400 pixels."""
    assert limits(RangeDrawing({}, 71.2, 71.2, 71.2, 0.8, unit=unit), 400.0) == pytest.approx(ends)


def test_a_range_that_reaches_beyond_its_boards_is_on_the_tape():
    """At 99 in 100 the outermost of twenty boards stand within the range."""
    drawing = lognormal(66, 0.2, odds=0.99)
    spread = drawing.high - drawing.low

    assert drawing.low < drawing.places[0]
    assert limits(drawing, 400.0) == pytest.approx(
        (drawing.low - 0.16 * spread, drawing.high + 0.16 * spread)
    )


@pytest.mark.parametrize("more", [{"plumb": (40.0, "there")}, {"alike": (("x", 40.0),)}, {"guess": 40.0}])
def test_what_is_near_lies_on_the_tape_whatever_it_is(more):
    left, _ = limits(lognormal(66, 0.15, **more), 400.0)

    assert 36 < left < 40
