"""Ten boards on a tape, shape by shape: where boards, rack, plumb line, strokes and numbers stand."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from making.promises import AWAY, KEPT, TODAY, UNTOLD, promise
from making.ranges import ANSWER
from sheets.layouts.test_pay import FIXED, MARKS, thought_over

from estimator.counter.shapes import INK, PENCIL, Curve, DrawingPart, Line, Words
from estimator.counter.tapes import (
    WIDTHS,
    TapeDrawing,
    _hours,
    along_rail,
    crossing,
    dates_drawings,
    hours_drawings,
    pay_drawings,
)
from estimator.sheets.layouts.pay import PayLayout, pay_alt_text, pay_drawing
from estimator.sheets.layouts.promises import ReadyLayout, ten_caption
from estimator.sheets.layouts.ranges import RangeLayout, alt_text, drawing_of


def lines(drawing, **like):
    return [
        one
        for one in drawing.shapes
        if isinstance(one, Line) and all(getattr(one, name) == value for name, value in like.items())
    ]


def words(drawing):
    return [one.words for one in drawing.shapes if isinstance(one, Words)]


def boards(drawing):
    return [one for one in drawing.shapes if isinstance(one, Curve)]


def hatched(drawing):
    """How many hatch lines lie by each board, from the left; each board's are drawn after its stringer."""
    found = []
    for one in drawing.shapes:
        if isinstance(one, Line) and one.wide == 0.6:
            found.append(0)
        elif isinstance(one, Line) and one.wide == 0.9 and found:
            found[-1] += 1
    return found


@pytest.mark.parametrize("n", [0, 1])
def test_hours_stand_between_the_posts_of_their_range_with_the_first_and_the_last_board_hatched(n):
    drawing, layout = hours_drawings(ANSWER)[n], RangeLayout(drawing_of(ANSWER), WIDTHS[n])
    rack = drawing.shapes[0]

    assert drawing.wide == WIDTHS[n]
    assert [x for x, _ in rack.points] == pytest.approx([layout.px(at) for at in (53.2, 53.2, 81.0, 81.0)])
    assert (rack.colour, rack.broken) == (INK, False)
    assert {one.colour for one in boards(drawing)} == {INK}
    marks = hatched(drawing)
    assert [many > 0 for many in marks] == [True] + [False] * 8 + [True]
    assert "you said 52" in words(drawing)
    assert "hours" in words(drawing)


@pytest.mark.parametrize("n", [0, 1])
def test_what_is_guessed_is_pencil_and_broken_and_what_is_known_has_no_rack(n):
    pencil = hours_drawings(replace(ANSWER, boards=3))[n]
    assert {(one.colour, one.broken) for one in boards(pencil)} == {(PENCIL, True)}
    assert (pencil.shapes[0].colour, pencil.shapes[0].broken) == (PENCIL, True)
    known = _hours(replace(drawing_of(ANSWER), low=66.4, likely=66.4, high=66.4), WIDTHS[n])
    assert not isinstance(known.shapes[0], Line) or len(known.shapes[0].points) != 4
    assert not any(hatched(known))


def test_an_answer_at_other_odds_hatches_other_boards():
    wide = _hours(replace(drawing_of(ANSWER), odds=0.5), WIDTHS[1])

    assert sum(many > 0 for many in hatched(wide)) > 2


@pytest.mark.parametrize(("guess", "arrow"), [(52.0, 0), (400.0, 1), (None, 0)])
def test_a_guess_beyond_the_tape_has_an_arrowhead_at_its_end(guess, arrow):
    drawing = _hours(replace(drawing_of(ANSWER), guess=guess), WIDTHS[0])
    heads = [
        one
        for one in lines(drawing, fill=INK)
        if len(one.points) == 3 and max(x for x, _ in one.points) == WIDTHS[0] - 1
    ]

    assert len(heads) == arrow
    assert any(said.startswith("you said") for said in words(drawing)) == (guess is not None)


@pytest.mark.parametrize("n", [0, 1])
def test_days_stand_in_pencil_with_the_day_told_as_a_plumb_line(n):
    drawing, layout = dates_drawings(KEPT, TODAY, ())[n], ReadyLayout(KEPT, TODAY, WIDTHS[n], ())
    assert [x for x, _ in drawing.shapes[0].points][1:3] == pytest.approx(
        [layout.px(layout.low), layout.px(layout.high)]
    )
    assert {(one.colour, one.broken) for one in boards(drawing)} == {(PENCIL, True)}
    assert [many > 0 for many in hatched(drawing)] == [True] + [False] * 8 + [True]
    assert any(said.startswith("told by") for said in words(drawing))
    assert not any(said.startswith("told by") for said in words(dates_drawings(UNTOLD, TODAY, ())[n]))
    assert "days away" not in words(drawing)


@pytest.mark.parametrize("n", [0, 1])
def test_days_away_are_hatched_on_the_calendar_and_named_below_it(n):
    one = promise(1, 4, 30)
    away, plain = dates_drawings(one, TODAY, AWAY)[n], dates_drawings(one, TODAY, ())[n]
    layout = ReadyLayout(one, TODAY, WIDTHS[n], AWAY)
    [(begin, end)] = layout.hatched
    before = {(line.points, line.wide) for line in lines(plain, wide=0.9)}
    new = [line for line in lines(away, wide=0.9) if (line.points, line.wide) not in before]
    band = [x for line in new for x, _ in line.points if x > 40]

    assert "days away" in words(away)
    assert min(band) >= layout.px(begin) - 1e-6
    assert max(band) <= layout.px(end) + 1e-6
    assert max(band) - min(band) > 0.8 * (layout.px(end) - layout.px(begin))


def test_a_rail_is_taken_in_straight_pieces_and_a_line_crosses_an_outline_twice():
    rail = [(0.0, 0.0), (0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 1.0)]
    points = along_rail(rail)

    assert points[:2] == rail[:2]
    assert len(points) == 10
    assert points[5] == pytest.approx((0.75, 0.5))
    assert points[-1] == pytest.approx((0.0, 1.0))
    assert crossing([(0, 0), (4, 0), (4, 2), (0, 2)], -3.0) == [(3.0, 0.0), (4.0, 1.0)]


def test_a_drawing_becomes_one_element_for_each_kind_of_line_from_the_back_to_the_front():
    shapes = (
        Line(((0.0, 0.0), (2.0, 1.5)), 1.6), Line(((5.0, 5.0), (6.0, 5.0)), 1.6), Line(((1.0, 1.0), (2.0, 2.0)), 1.0, PENCIL, broken=True),
        Words((3.04, 4.0), "a < b", 13.0), Curve((1.0, 1.0), (((1.0, 2.0), (2.0, 2.0), (3.0, 1.0)),), 1.0), Line(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), 0.0, fill=INK),
        Words((1.0, 2.0), "end", 11.0, "end", slanted=True, colour=PENCIL), Words((1.0, 2.0), "same", 13.0),
    )  # fmt: skip

    assert DrawingPart("It & all", 316.0, 90.04, shapes).svg() == (
        '<svg role="img" viewBox="0 0 316 90" width="316" height="90" font-family="Bitter, serif" font-size="13" text-anchor="middle"><title>It &amp; all</title>'
        '<path d="M0 0l2 1.5M5 5l1 0" stroke="#1E1B16" stroke-width="1.6" fill="none"/>'
        '<path d="M1 1l1 1" stroke="#57524A" stroke-width="1" stroke-dasharray="5 2" fill="none"/>'
        '<path d="M1 1c0 1 1 1 2 0z" stroke="#1E1B16" stroke-width="1" fill="#F5F0E3"/>'
        '<path d="M0 0l1 0-1 1z" fill="#1E1B16"/>'
        '<text x="3" y="4" fill="#1E1B16">a &lt; b</text>'
        '<text x="1" y="2" fill="#57524A" font-size="11" text-anchor="end" font-style="italic">end</text><text x="1" y="2" fill="#1E1B16">same</text></svg>'
    )
    assert ET.fromstring(DrawingPart("", 1.0, 1.0, ()).svg()).get("role") == "img"


@pytest.mark.parametrize(("alike", "arrows"), [((60.0, 70.0), 0), ((60.0, 400.0, 500.0), 2)])
def test_past_boards_beyond_the_end_of_the_tape_are_pointed_to_and_those_on_it_are_strokes(alike, arrows):
    past = tuple((f"b{n}", at) for n, at in enumerate(alike))
    drawing = _hours(replace(drawing_of(ANSWER), guess=None, alike=past), WIDTHS[1])
    heads = [one for one in lines(drawing, fill=INK) if len(one.points) == 3]

    assert [max(x for x, _ in one.points) for one in heads] == [WIDTHS[1] - 1] * arrows


@pytest.mark.parametrize("n", [0, 1])
def test_what_a_board_pays_stands_between_posts_with_a_line_for_each_amount_that_is_set(n):
    said = thought_over(FIXED)  # 20 to 40 an hour; 25 is the least that is taken, 40 what is wanted
    drawing, layout = pay_drawings(said, MARKS)[n], PayLayout(pay_drawing(said, MARKS), WIDTHS[n])
    rack = drawing.shapes[0]
    assert [x for x, _ in rack.points] == pytest.approx([layout.px(at) for at in (20, 20, 40, 40)])
    assert (rack.colour, rack.broken) == (INK, False)
    assert [many > 0 for many in hatched(drawing)] == [True] + [False] * 8 + [True]
    bobs = [one for one in lines(drawing, fill=INK) if len(one.points) == 5]
    assert sorted(one.points[0][0] for one in bobs) == pytest.approx([layout.px(25), layout.px(40)])
    assert "mk an hour, before rent" in words(drawing)
    assert "the least you'd take" in " ".join(words(drawing))
    assert drawing.says == pay_alt_text(pay_drawing(said, MARKS))
    assert set(layout.rail) <= set(words(drawing))
    heights = {one.words: one.at[1] for one in drawing.shapes if isinstance(one, Words)}
    hung = [[heights[line] for line in under if line] for under, _ in layout.hung]
    assert [min(one) for one in hung] == sorted((min(one) for one in hung), reverse=True)  # the last on top
    assert len({at for one in hung for at in one}) == sum(map(len, hung))  # none over another
    guessed = pay_drawings(thought_over(FIXED, boards=11), MARKS)[n]
    assert {(one.colour, one.broken) for one in boards(guessed)} == {(PENCIL, True)}


def said_at(drawing, *said):
    """Where words stand, from the left."""
    return [one.at[0] for one in drawing.shapes if isinstance(one, Words) and one.words in said]


@pytest.mark.parametrize("n", [0, 1])
def test_hours_are_numbered_where_they_lie_with_the_range_named_on_its_rail_and_past_boards_below(n):
    alike = replace(drawing_of(ANSWER), alike=(("a", 60.0), ("b", 70.0), ("c", 72.0)))
    drawing, layout = _hours(alike, WIDTHS[n]), RangeLayout(alike, WIDTHS[n])
    numbers = [one for one in drawing.shapes if isinstance(one, Words) and one.words.isdecimal()]

    assert len(numbers) >= 3
    assert [one.at[0] for one in numbers] == pytest.approx([layout.px(float(one.words)) for one in numbers])
    assert said_at(drawing, *layout.bracket) == pytest.approx(
        [layout.px(layout.bracket_at)] * len(layout.bracket)
    )
    assert layout.bracket
    on = TapeDrawing(layout, alike.places)
    on.on_rail(60.0, ["one", "two"], pencil=True)
    heights = {one.words: one.at[1] for one in on.shapes}
    assert heights["one"] < heights["two"]  # the last line lowest
    assert len(lines(drawing, wide=2.5)) == 3 + bool(layout.caption)
    assert set(layout.caption) <= set(words(drawing))
    assert drawing.says == alt_text(alike)
    [peg] = [one for one in lines(drawing, wide=drawing.shapes[0].wide) if len(one.points) == 2 and one.points[0][0] == pytest.approx(layout.px(alike.likely))][:1]  # fmt: skip
    assert peg.points[0][1] < peg.points[1][1]  # it hangs from the rail


@pytest.mark.parametrize(("guess", "unit"), [(30.0, WIDTHS[1]), (80.0, 0.0)])
def test_what_is_counted_is_named_at_the_end_where_nothing_else_stands(guess, unit):
    drawing = _hours(replace(drawing_of(ANSWER), guess=guess), WIDTHS[1])

    assert said_at(drawing, "hours") == [unit]


@pytest.mark.parametrize("n", [0, 1])
def test_days_have_their_months_today_and_the_range_named(n):
    drawing, layout = dates_drawings(KEPT, TODAY, ())[n], ReadyLayout(KEPT, TODAY, WIDTHS[n], ())

    assert (drawing.shapes[0].colour, drawing.shapes[0].broken) == (PENCIL, True)
    assert set(layout.today_words) | set(layout.bracket) | {said for _, said in layout.names} <= set(
        words(drawing)
    )
    assert layout.today_words
    assert layout.bracket
    assert [said_at(drawing, said) for _, said in layout.names] == [
        [pytest.approx(layout.px(at))] for at, _ in layout.names
    ]
    assert drawing.says == ten_caption(KEPT, TODAY, ())


@pytest.mark.parametrize("n", [0, 1])
def test_what_was_told_hangs_as_a_plumb_line_over_its_hours(n):
    told = replace(drawing_of(ANSWER), plumb=(60.0, "not over 60 without asking"))
    drawing, layout = _hours(told, WIDTHS[n]), RangeLayout(told, WIDTHS[n])
    [bob] = [one for one in lines(drawing, fill=INK) if len(one.points) == 5]

    assert bob.points[0][0] == pytest.approx(layout.px(60.0))
    assert {said for said in layout.plumb if said} <= set(words(drawing))
