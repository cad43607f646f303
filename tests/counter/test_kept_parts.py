"""Parts of an answer as JSON text: what each becomes, by hand, and that it comes back as it was."""

import json

import pytest

from estimator.counter.kept_parts import dumped, parts_from_json, parts_to_json
from estimator.counter.shapes import Curve, DrawingPart, Line, Words
from estimator.said.parts import Heading, Table
from estimator.words.actions import Action

LINE = Line(((1.04, 2.0), (3.0, 4.5)), 1.6, "#57524A", broken=True, fill="#1E1B16")
PLAIN = Line(((0.0, 0.0), (9.0, 0.0)), 0.8)
CURVE = Curve((5.0, 6.0), (((1.0, 2.0), (3.0, 4.0), (5.0, 6.0)),), 1.0, "#1E1B16", broken=True, fill="none")
WORDS = Words((7.0, 8.0), "told <by>", 13.0, "start", slanted=True, colour="#57524A")
PARTS = [
    ("Two sentences.", "Two sentences."),
    (Heading("All of it", 1), ["heading", "All of it", 1]),
    (Heading("A part"), ["heading", "A part", 2]),
    (
        Action("tell", "26-001", {"last": "2026-07-01", "keep": True, "answer": ("yes", "no"), "known": {"infills": "2"}}),
        ["action", "tell", "26-001", {"last": "2026-07-01", "keep": True, "answer": ["yes", "no"], "known": {"infills": "2"}}],
    ),
    (
        Table(("", "hours"), (("strip", "12"), ("all", "40")), (1,), guessed=True, total=False, boards=("a", "")),
        ["table", ["", "hours"], [["strip", "12"], ["all", "40"]], [1], True, False, ["a", ""]],
    ),
    (
        Table(("",), (("x",),), total=True),
        ["table", [""], [["x"]], [], False, True, []],
    ),
    (
        DrawingPart("It says so.", 316.04, 90.0, (LINE, PLAIN, CURVE, WORDS)),
        [
            "drawing", "It says so.", 316.0, 90.0,
            [
                ["line", [[1.0, 2.0], [3.0, 4.5]], 1.6, "#57524A", True, "#1E1B16"],
                ["line", [[0.0, 0.0], [9.0, 0.0]], 0.8, "#1E1B16", False, "none"],
                ["curve", [5.0, 6.0], [[[1.0, 2.0], [3.0, 4.0], [5.0, 6.0]]], 1.0, "#1E1B16", True, "none"],
                ["words", [7.0, 8.0], "told <by>", 13.0, "start", True, "#57524A"],
            ],
        ],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("part", "kept"), PARTS)
def test_each_part_is_written_as_it_is_and_comes_back(part, kept):
    text = dumped(parts_to_json([part]))
    [back] = parts_from_json(json.loads(text))

    assert json.loads(text) == [kept]
    assert type(back) is type(part)
    assert json.loads(dumped(parts_to_json([back]))) == [kept]
    if not isinstance(part, DrawingPart):
        assert back == part  # points are kept to the tenth


def test_a_drawing_comes_back_shape_by_shape():
    filled = Curve((1.0, 1.0), (((1.0, 2.0), (2.0, 2.0), (3.0, 1.0)),), 1.0)
    [back] = parts_from_json(parts_to_json([DrawingPart("So.", 316.0, 90.0, (PLAIN, CURVE, WORDS, filled))]))

    assert (back.says, back.wide, back.high) == ("So.", 316.0, 90.0)
    assert back.shapes == (PLAIN, CURVE, WORDS, filled)


@pytest.mark.parametrize("odd", ['"/><script>', "red;x", "", "#"])
def test_a_colour_that_could_be_more_than_a_colour_is_refused(odd):
    for at in (3, 5):  # colour and fill
        kept = ["line", [[0.0, 0.0], [1.0, 1.0]], 1.0, "red", False, "none"]
        kept[at] = odd
        with pytest.raises(ValueError, match=r"^.*$"):
            parts_from_json([["drawing", "", 1.0, 1.0, [kept]]])


@pytest.mark.parametrize("odd", [[["heading"]], [["table", 1]], [["action"]], [["drawing", "x"]], [[]], [3]])
def test_what_is_no_part_is_refused(odd):
    with pytest.raises((ValueError, TypeError, KeyError, IndexError)):
        parts_from_json(odd)


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_what_is_no_number_of_json_is_not_kept(number):
    with pytest.raises(ValueError, match="JSON"):
        dumped([number])
