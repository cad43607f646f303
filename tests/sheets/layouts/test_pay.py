"""Ten boards on a tape of pay: which terms are drawn, which lines hang, and how many boards pay less, by hand."""

from types import SimpleNamespace

import pytest

from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.pay import (
    PayDrawing,
    PayLayout,
    Plumb,
    ends_of,
    less_words,
    pay_alt_text,
    pay_drawing,
    pay_title,
)
from estimator.sheets.layouts.ranges import RangeDrawing
from estimator.words.settings.schema import Settings, Workshop

MARKS = Settings(workshop=Workshop(currency="mk"))


def terms(sort, low, likely, high):
    points = {f"{p / 100:.2f}": low + (p - 10) / 80 * (high - low) for p in range(5, 100, 5)}
    return SimpleNamespace(terms=sort, quantiles=points, low=low, likely=likely, high=high)


FIXED, OPEN, CEILING = (
    terms("fixed", 20, 30, 40),
    terms("open-first", 25, 35, 45),
    terms("ceiling", 50, 60, 70),
)


def thought_over(*kinds, best=None, floor=25.0, target=40.0, boards=12):
    return SimpleNamespace(
        terms=kinds,
        best=best or kinds[-1],
        odds=0.8,
        boards=boards,
        name="red nine-four",
        price=900.0,
        wanted=SimpleNamespace(floor=floor, target=target),
    )


def test_it_is_drawn_at_its_fixed_price_whatever_is_best():
    said = thought_over(OPEN, FIXED, CEILING)

    drawn = pay_drawing(said, MARKS).boards
    assert (drawn.low, drawn.likely, drawn.high) == (20, 30, 40)
    assert pay_title(said, MARKS) == "red nine-four at 900 mk: 20 to 40 mk an hour, 8 times in 10"


def test_without_a_fixed_price_it_is_drawn_at_the_best():
    said = thought_over(OPEN, CEILING, best=OPEN)

    assert pay_drawing(said, MARKS).boards.likely == 35
    assert pay_title(said, MARKS).endswith(": 25 to 45 mk an hour, 8 times in 10")


@pytest.mark.parametrize(
    ("boards", "shown", "pencil"), [(11, FIXED, True), (12, FIXED, False), (11, OPEN, True), (0, CEILING, False)]
)  # fmt: skip
def test_it_is_guessed_of_fewer_than_twelve_boards_but_for_a_ceiling(boards, shown, pencil):
    assert pay_drawing(thought_over(shown, boards=boards), MARKS).boards.pencil == pencil


@pytest.mark.parametrize(
    ("floor", "target", "lines"),
    [
        (25.0, 40.0, [(25.0, "the least you'd take, 25"), (40.0, "what you want, 40")]),
        (0.0, 40.0, [(40.0, "what you want, 40")]),
        (25.0, 0.0, [(25.0, "the least you'd take, 25")]),
        (0.0, 0.0, []),
    ],
)
def test_a_line_hangs_for_each_amount_that_is_set(floor, target, lines):
    drawn = pay_drawing(thought_over(FIXED, floor=floor, target=target), MARKS)

    assert [(one.at, one.says) for one in drawn.plumbs] == lines
    assert drawn.unit == "mk an hour, before rent"
    assert pay_drawing(thought_over(FIXED), Settings()).unit == "an hour, before rent"


@pytest.mark.parametrize(
    ("least", "said"),
    [
        (18.75, "fewer than 1 in 20 pay less"),  # the lowest board pays just that
        (18.76, "1 of 10 pays less"),
        (21.25, "1 of 10 pays less"),
        (30.0, "5 of 10 pay less"),
        (41.25, "9 of 10 pay less"),
        (41.26, "fewer than 1 in 20 pay more"),
    ],
)
def test_boards_that_pay_just_so_much_do_not_pay_less(least, said):
    """Ten boards at 18.75, 21.25 … 41.25."""
    places = tuple(18.75 + 2.5 * n for n in range(10))

    assert less_words(SimpleNamespace(places=places), least) == said


@pytest.mark.parametrize(("at", "seen"), [(27.9, False), (28.1, True), (71.9, True), (72.1, False)])
def test_a_line_lies_on_the_tape_within_six_tenths_of_the_boards_room(at, seen):
    """Boards stand from 40 to 60: lines are on the tape from 28 to 72."""
    boards = RangeDrawing({"0.05": 40.0, "0.95": 60.0}, 42.0, 50.0, 58.0, 0.8, unit="pay")
    left, right = ends_of(PayDrawing(boards, "", (Plumb(at, "", ""),)), 320)

    assert (left < at < right) == seen
    assert left < 40
    assert right > 60


def layout(*at, low=42.0, high=58.0, pencil=False, wide=600.0):
    boards = RangeDrawing({"0.05": 40.0, "0.95": 60.0}, low, 50.0, high, 0.8, unit="pay", pencil=pencil)
    plumbs = tuple(Plumb(one, "what you want, 40", "6 of 10 pay less") for one in at)
    return PayLayout(PayDrawing(boards, "", plumbs), wide)


def test_the_count_stands_on_the_rail_clear_of_the_lines_and_below_where_it_has_no_room():
    """Without a line in the middle of the bracket; beside one that hangs there; none where lines are too close."""
    plain, beside = layout(30.0), layout(50.0)

    assert (plain.rail, plain.rail_at) == (("8 of these 10",), pytest.approx(50.0))
    assert beside.rail == ("8 of these 10",)
    assert abs(beside.px(beside.rail_at) - beside.px(50.0)) > 8
    assert layout(*range(30, 72, 2), wide=320.0).rail_at is None
    assert layout(pencil=True).rail == ("guessed: 8 of these 10",)


def test_words_of_lines_hang_one_above_the_other_the_rightmost_on_top():
    both = layout(45.0, 55.0)

    assert [lines for lines, _ in both.hung] == [("what you want, 40: 6 of 10 pay less",)] * 2
    assert both.px(both.hung[0][1]) < both.px(both.hung[1][1])
    assert layout(200.0).hung[0][0] == ("what you want, 40: 6 of 10 pay less", "")  # room for an arrowhead


def test_lower_words_keep_clear_of_the_line_that_hangs_beside_them():
    both = layout(48.0, 52.0)
    (lines, middle), _ = both.hung
    half = max(width_px(words, both.letters) for words in lines) / 2

    assert both.px(middle) + half < both.px(52.0)


def test_of_twenty_boards_twenty_are_said():
    boards = RangeDrawing({"0.05": 40.0, "0.95": 60.0}, 38.0, 50.0, 62.0, 0.95, unit="pay")
    assert pay_alt_text(PayDrawing(boards, "an hour", ())).startswith(
        "Of 20 boards like this, 19 pay 38 to 62 an hour; "
    )


def drawn(low, likely, high, *at, pencil=False, wide=320.0, ends=(40.0, 60.0)):
    boards = RangeDrawing({"0.05": ends[0], "0.95": ends[1]}, low, likely, high, 0.8, unit="pay", pencil=pencil)  # fmt: skip
    plumbs = tuple(Plumb(one, "what you want, 40", "6 of 10 pay less") for one in at)
    return PayLayout(PayDrawing(boards, "", plumbs), wide)


def test_boards_that_all_pay_alike_stand_in_the_middle_of_a_tenth_of_it():
    """Of 30 a tenth is 3, and .17 of that lies on each side of 320 pixels."""
    alone = RangeDrawing({}, 30.0, 30.0, 30.0, 0.8, unit="pay")

    assert ends_of(PayDrawing(alone, "", ()), 320) == pytest.approx((28.5 - 0.51, 31.5 + 0.51))


def half(layout):
    """Half of the words on the rail, and the air beside them."""
    return max(width_px(words, layout.letters, slanted=True) for words in layout.rail) / 2 + 8


def test_words_on_the_rail_stand_where_the_bracket_s_middle_is_nearest():
    """Not at half of the boards; beside a line on the side on which that middle lies; lines in any order."""
    assert drawn(42.0, 45.0, 58.0, wide=600.0).rail_at == pytest.approx(50.0)
    for at, side in ((48.0, 1), (52.0, -1)):
        beside = drawn(42.0, 50.0, 58.0, at, wide=600.0, pencil=True)
        assert beside.px(beside.rail_at) == pytest.approx(beside.px(at) + side * half(beside))
    both = drawn(42.0, 50.0, 58.0, 52.0, 49.0, wide=600.0, pencil=True)
    assert both.px(both.rail_at) == pytest.approx(both.px(49.0) - half(both))


def test_a_line_beyond_the_tape_leaves_the_rail_as_it_is():
    """The bracket from 40.2 to 43 has its middle nearer to the tape's left end than half of its words are wide."""
    skewed = drawn(40.2, 41.0, 43.0, 5.0, pencil=True)

    assert skewed.rail == ("guessed: 8 of these 10",)
    assert skewed.px(skewed.rail_at) == pytest.approx(half(skewed))


def test_words_below_the_tape_take_their_line_there_and_none_above():
    on_rail, below = drawn(42.0, 50.0, 58.0), drawn(42.0, 50.0, 58.0, *range(30, 72, 2))
    line, letters = on_rail.line, on_rail.letters

    assert (on_rail.above, on_rail.below) == pytest.approx((line + 10 + 16, 36 + 16 + letters))
    assert below.rail_at is None
    assert (below.above, below.below) == pytest.approx((below.said * line + 26, 36 + 16 + letters + line))


def test_what_is_guessed_is_said_and_what_is_known_is_not():
    boards = RangeDrawing({"0.05": 40.0, "0.95": 60.0}, 42.0, 50.0, 58.0, 0.8, unit="pay")
    guessed = RangeDrawing({"0.05": 40.0, "0.95": 60.0}, 42.0, 50.0, 58.0, 0.8, unit="pay", pencil=True)

    assert "guessed" not in pay_alt_text(PayDrawing(boards, "an hour", ()))
    assert pay_alt_text(PayDrawing(guessed, "an hour", ())).endswith(
        "This is guessed: it rests mostly on rules of thumb."
    )


def test_words_take_fewer_lines_where_they_still_stand_over_their_own():
    """Between the left end and the higher line there is room for two lines, or for four; on the wrong side for one."""
    roomy, close = drawn(42.0, 50.0, 58.0, 41.0, 44.0, wide=600.0), drawn(42.0, 50.0, 58.0, 39.0, 41.0)

    assert roomy.hung[0][0] == ("what you want, 40:", "6 of 10 pay less")
    assert len(close.hung[0][0]) == 4
    assert close.hung[1][0] == ("what you want, 40: 6 of 10 pay less",)


def test_what_is_guessed_stands_on_two_lines_where_one_has_no_room_between_the_lines():
    assert drawn(42.0, 50.0, 58.0, 45.0, 55.0, pencil=True).rail == ("guessed:", "8 of these 10")
    assert drawn(42.0, 50.0, 58.0, 43.0, 57.0, pencil=True).rail == ("guessed: 8 of these 10",)
