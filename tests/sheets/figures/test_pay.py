import math
from pathlib import Path
from statistics import NormalDist

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.drawn import boards_of, middles_of, recorded, words_in
from making.weighings import SHOP, weighed

from estimator.sheets.drawing.style import BROKEN, ON_PAPER, figure
from estimator.sheets.figures.pay import draw_pay, save_pay
from estimator.sheets.layouts.pay import (
    PayDrawing,
    Plumb,
    ends_of,
    less_words,
    pay_alt_text,
    pay_drawing,
    pay_title,
)
from estimator.sheets.layouts.ranges import RangeDrawing

NORMAL = NormalDist()
FLOOR, TARGET = "the least you'd take", "what you want"


def shaped(middle, spread, odds=0.8, *, floor=30.0, target=42.0, pencil=False):
    def at(p):
        return middle * math.exp(spread * NORMAL.inv_cdf(p))

    miss = (1 - odds) / 2
    keys = {f"{p / 100:.2f}": at(p / 100) for p in range(5, 100, 5)}
    boards = RangeDrawing(keys, at(miss), middle, at(1 - miss), odds, unit="pay", pencil=pencil)
    lines = ((floor, FLOOR), (target, TARGET))
    plumbs = tuple(Plumb(a, f"{what}, {a:g}", less_words(boards, a)) for a, what in lines if a)
    return PayDrawing(boards, "mk an hour, before rent", plumbs)


def on_paper(drawing, wide=320, high=460):
    sheet = figure(wide, high)
    axes = sheet.add_axes((12 / wide, 12 / high, 1 - 24 / wide, 1 - 24 / high))
    draw_pay(axes, drawing, ON_PAPER)
    return axes


PLAIN = shaped(40.0, 0.18)


def plumbs_of(axes):
    """Where the plumb lines stand."""
    return sorted(
        line.get_xdata()[0]
        for line in axes.lines
        if len(set(line.get_xdata())) == 1 and min(line.get_ydata()) == 10 and max(line.get_ydata()) > 30
    )


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.floats(5, 200),
    st.sampled_from([0.02, 0.1, 0.3, 0.6]),
    st.sampled_from([0.0, 0.5, 0.8, 0.95, 1.0]) | st.floats(0.2, 2),
    st.sampled_from([1.0, 1.02, 1.3]) | st.floats(1, 4),
    st.booleans(),
    st.sampled_from([320, 480, 640, 1200]),
)
def test_words_never_collide(collisions, middle, spread, floor, more, pencil, wide):
    drawing = shaped(
        middle, spread, floor=middle * floor, target=middle * max(floor, 0.4) * more, pencil=pencil
    )
    assert collisions(on_paper(drawing, wide).get_figure()) == []


def test_ten_boards_stand_at_what_they_pay():
    axes = on_paper(PLAIN)
    left, right = axes.get_xlim()

    assert middles_of(axes) == pytest.approx(list(PLAIN.boards.places))
    assert len(boards_of(axes)) == 10
    assert left < PLAIN.boards.places[0] < PLAIN.boards.places[-1] < right
    assert axes.get_xlabel() == "mk an hour, before rent"


def test_the_least_and_what_is_wanted_are_plumb_lines_and_boards_that_pay_less_are_counted():
    axes = on_paper(PLAIN, 640)

    assert plumbs_of(axes) == [30.0, 42.0]
    assert words_in(axes)[0] == "8 of these 10"
    assert "what you want, 42: 6 of 10 pay less" in words_in(axes)
    assert "1 of 10 pays less" in " ".join(words_in(axes))


def test_a_line_that_lies_beyond_the_boards_is_pointed_to():
    axes = on_paper(shaped(40.0, 0.05, floor=5.0, target=100.0))
    heads = [
        patch.get_path().vertices[:2, 0] for patch in axes.patches if len(patch.get_path().vertices) == 4
    ]

    assert plumbs_of(axes) == []
    assert sorted(tip < back for tip, back in heads) == [False, True]


def test_what_is_not_set_is_no_line():
    assert plumbs_of(on_paper(shaped(40.0, 0.15, floor=0.0))) == [42.0]


def test_guessed_boards_are_broken_and_said_to_be():
    drawing = shaped(40.0, 0.15, pencil=True)
    axes = on_paper(drawing, 640)

    assert all(patch.get_linestyle() == BROKEN for patch in boards_of(axes))
    assert "guessed: 8 of these 10" in words_in(axes)
    assert pay_alt_text(drawing).endswith("This is guessed: it rests mostly on rules of thumb.")


def test_the_same_in_words():
    assert pay_alt_text(PLAIN) == (
        "Of ten boards like this, 8 pay 32 to 50 mk an hour, before rent; half pay more than 40. The least you'd take, "
        "30: 1 of 10 pays less. What you want, 42: 6 of 10 pay less."
    )


def test_counts_are_never_none_and_never_all():
    assert less_words(PLAIN.boards, 1.0) == "fewer than 1 in 20 pay less"
    assert less_words(PLAIN.boards, 900.0) == "fewer than 1 in 20 pay more"


def test_the_tape_reaches_a_line_that_is_near():
    left, right = ends_of(shaped(40.0, 0.15, floor=26.0, target=52.0), 320)

    assert left < 26
    assert right > 52


def test_a_weighed_board_is_drawn_at_its_fixed_price(tmp_path):
    said = weighed(1300.0)
    drawing = pay_drawing(said, SHOP)

    assert drawing.boards.likely == said.terms[0].likely
    assert [one.at for one in drawing.plumbs] == [30.0, 42.0]
    assert drawing.boards.pencil == (said.boards < 12)
    assert pay_title(said, SHOP).startswith("red nine-four at 1,300 mk: ")
    for name in ("a.png", "a.svg"):
        save_pay(tmp_path / name, said, SHOP)
    assert (tmp_path / "a.png").read_bytes()[:4] == b"\x89PNG"
    assert pay_alt_text(drawing).replace("'", "&#x27;")[:40] in (tmp_path / "a.svg").read_text("utf-8")


def test_the_same_board_gives_the_same_bytes(tmp_path):
    for name in ("a.svg", "b.svg"):
        save_pay(Path(tmp_path / name), weighed(1300.0), SHOP)

    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_under_a_ceiling_alone_one_board_stands_for_all():
    axes = on_paper(pay_drawing(weighed(3000.0, terms="ceiling", ceiling=9000.0), SHOP))

    assert len(boards_of(axes)) == 1


def test_each_line_hangs_right_below_its_own_words_and_the_rightmost_words_are_on_top():
    axes = on_paper(PLAIN, 640)
    tops = {line.get_xdata()[0]: max(line.get_ydata()) for line in axes.lines if line.get_zorder() == 4}
    words = {text.get_text()[:8]: text.get_position()[1] for text in axes.texts}

    assert words["what you"] > words["the leas"]
    assert (words["what you"] - tops[42.0], words["the leas"] - tops[30.0]) == pytest.approx((6, 6))


def test_the_worst_and_the_best_of_ten_are_hatched():
    centres = []
    for hatch in on_paper(PLAIN).collections:
        path, _ = hatch.get_clip_path().get_transformed_path_and_affine()
        centres.append(path.get_extents().intervalx.mean())
    assert len(centres) == 2
    assert not on_paper(pay_drawing(weighed(3000.0, terms="ceiling", ceiling=9000.0), SHOP)).collections


def test_the_title_stands_only_where_asked(tmp_path):
    said = weighed(1300.0)
    with recorded() as seen:
        save_pay(tmp_path / "with.svg", said, SHOP)
        save_pay(tmp_path / "bare.svg", said, SHOP, titled=False)
    assert [pay_title(said, SHOP) in " ".join(seen[name]["words"]) for name in ("with.svg", "bare.svg")] == [True, False]  # fmt: skip
