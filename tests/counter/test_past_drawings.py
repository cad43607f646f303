"""What was, drawn for the page: every board where its layout has it, within the drawing, and no words over others."""

import itertools
import xml.etree.ElementTree as ET
from dataclasses import replace
from types import SimpleNamespace

import pytest
from decide.test_looks import DAMP, SETTINGS
from making.quarters import known_of, reviewed, write
from making.records import IN_HAND, QUICK, RECORD, SLOW, board
from making.verdicts import verdict

from estimator.counter.past_drawings import (
    looks_drawings,
    nearer_drawings,
    overruns_drawings,
    quarter_drawings,
    record_drawings,
    rules_drawings,
)
from estimator.counter.shapes import PENCIL, Curve, Line, Words
from estimator.counter.tapes import WIDTHS
from estimator.decide.looks import looks_of
from estimator.decide.quarter.control_chart import Landed, chart_of
from estimator.record.rules.verdicts import Verdicts
from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.overruns import Batten
from estimator.sheets.layouts.quarter import quarter_caption

PARTS = {"guess": -5.0, "hidden": 9.0, "asked_later": 3.0, "pace": 2.0}


@pytest.fixture(scope="module")
def review(tmp_path_factory):
    made = reviewed(known_of(write(tmp_path_factory.mktemp("drawn") / "shop")))
    scores = [0.4, -2.2, 3.5, 0.0, 1.1, -0.6, 2.9, 1.6, 2.4, 1.9, 0.2, 2.2]
    landed = [Landed(f"b{n}", "", f"2026-0{8 - 2 * (n < 8)}-01", score) for n, score in enumerate(scores)]
    return replace(made, chart=chart_of(landed, "2026-07-01", "2026-09-30"))


@pytest.fixture(scope="module")
def drawings(review):
    """Each drawing at each width."""
    open_ = board(90, hours=None, side=None, so_far=30.0)
    record = replace(
        RECORD, boards=(board(1), board(2, **SLOW), board(3, **QUICK), board(4, **IN_HAND), open_)
    )
    looks = looks_of(DAMP, SETTINGS)
    cases = tuple((f"b{n}", hours) for n, hours in enumerate((2.0, 3.5, 4.0, 7.0, 8.0, 8.1, 8.2)))
    verdicts = Verdicts((replace(verdict(), cases=cases), replace(verdict(), name="other")), None)
    return {
        "quarter": quarter_drawings(review),
        "record": record_drawings(record),
        "nearer": nearer_drawings(RECORD),
        "overruns": overruns_drawings(SimpleNamespace(boards=(1,), guessed=52.0, took=61.0, hours=PARTS)),
        "looks": looks_drawings(looks, SETTINGS),
        "rules": rules_drawings(verdicts),
    }


def outlines(drawing):
    """Each outline of a board: how wide it is and how high."""
    boxes = []
    for one in drawing.shapes:
        if isinstance(one, Curve):
            xs, ys = zip(one.start, *itertools.chain.from_iterable(one.curves), strict=True)
            boxes.append((max(xs) - min(xs), max(ys) - min(ys), one.colour))
    return boxes


NAMES = ("quarter", "record", "nearer", "overruns", "looks", "rules")


@pytest.mark.parametrize("n", range(len(WIDTHS)))
@pytest.mark.parametrize("name", NAMES)
def test_all_of_it_lies_within_the_drawing_and_no_words_on_others(drawings, name, n):
    drawing = drawings[name][n]
    boxes = []
    for one in drawing.shapes:
        points = one.points if isinstance(one, Line) else ()
        if isinstance(one, Curve):
            points = (one.start, *itertools.chain.from_iterable(one.curves))
        if isinstance(one, Words):
            wide = width_px(one.words, one.size, slanted=one.slanted)
            left = one.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[one.across]
            boxes.append(
                (one.words, left, left + wide, one.at[1] - 0.7 * one.size, one.at[1] + 0.2 * one.size)
            )
            points = ((left, one.at[1] - 0.7 * one.size), (left + wide, one.at[1] + 0.2 * one.size))
        for x, y in points:
            assert -1 <= x <= drawing.wide + 1, one
            assert -1 <= y <= drawing.high + 1, one
    for (one, *a), (other, *b) in itertools.combinations(boxes, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2], (one, other)


@pytest.mark.parametrize("name", NAMES)
def test_it_is_an_image_whose_title_is_its_sentence(drawings, name):
    for drawing in drawings[name]:
        svg = ET.fromstring(drawing.svg())
        assert svg.get("role") == "img"
        assert svg[0].text == drawing.says
        assert len(drawing.says) > 20


def test_boards_stand_that_landed_inside_lie_that_missed_and_are_pencil_while_open(drawings):
    for drawing in drawings["record"]:
        lying = [wide > high for wide, high, _ in outlines(drawing)]
        assert lying == [False, True, True, True, False]
        assert outlines(drawing)[-1][2] == PENCIL
        assert [one.words for one in drawing.shapes if isinstance(one, Words)][:3] == ["1", "2", "3"]


def test_boards_lean_as_their_hours_landed(review, drawings):
    for drawing in drawings["quarter"]:
        wide = [round(w) for w, _, _ in outlines(drawing)]
        assert len(wide) == 12
        assert max(wide) > 3 * min(wide)
        scores = [abs(one.score) for one in review.chart.boards]
        order = sorted(range(len(wide)), key=lambda n: scores[n])
        assert [wide[n] for n in order] == sorted(wide)
        assert quarter_caption(review) in drawing.says


def test_of_a_look_so_many_boards_lie_as_turned_out_otherwise(drawings):
    for drawing in drawings["looks"]:
        assert [wide > high for wide, high, _ in outlines(drawing)] == [True] + [False] * 8 + [True] * 9
        assert drawing.says == "Wet foam: of your 18 boards that looked damp, 9 turned out wet, 1 dry."


def test_past_cases_of_a_rule_stand_within_it_and_lie_beside_it(drawings):
    for drawing in drawings["rules"]:
        lying = sum(wide > high for wide, high, _ in outlines(drawing))
        assert (lying, len(outlines(drawing))) == (5 + 12, 7 + 15)


def test_the_batten_ends_at_what_it_came_to(drawings):
    said = Batten(52.0, 61.0, PARTS, boards=True).sentence
    assert [one.says for one in drawings["overruns"]] == [said, said]


def test_nothing_is_drawn_of_nothing():
    assert record_drawings(replace(RECORD, boards=())) == ()
    assert nearer_drawings(replace(RECORD, rivals=())) == ()
    assert looks_drawings(looks_of([], SETTINGS), SETTINGS) == ()
    assert rules_drawings(Verdicts((), None)) == ()


def test_a_board_that_took_longer_lies_right_and_hatched_and_a_quicker_one_left_and_plain():
    """In a row of one the foot stands by its post: to the right of it lies what took longer."""
    hatches, middles = {}, {}
    for name, missed in {"slow": SLOW, "quick": QUICK}.items():
        [drawing, *_] = record_drawings(replace(RECORD, boards=(board(1, **missed),)))
        [outline] = [shape for shape in drawing.shapes if isinstance(shape, Curve)]
        hatches[name] = sum(isinstance(shape, Line) and shape.wide == 0.9 for shape in drawing.shapes)
        [number] = [shape for shape in drawing.shapes if isinstance(shape, Words) and shape.words == "1"]
        points = [outline.start, *(point for curve in outline.curves for point in curve)]
        middles[name] = (min(x for x, _ in points) + max(x for x, _ in points)) / 2 - number.at[0]

    assert hatches["slow"] > 5
    assert hatches["quick"] == 0
    assert abs(middles["slow"]) < 1
    assert abs(middles["quick"]) < 1
