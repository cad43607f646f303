"""How boards turned out that looked like one: which count, which way, and when it is worth a line, by hand."""

from dataclasses import replace

import pytest

from estimator.forecast.looks import LookedSo, by_eye, by_tool, looked_so, worth_saying
from estimator.words.records import Board
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

SETTINGS = Settings(
    drivers={
        "pieces": Driver("pieces", known="strip"),
        "loose": Driver("loose", unit="m2", known="strip"),
        "logos": Driver("logos"),  # known when asked
        "face": Driver("face", unit="m2", known="strip", source="outline"),  # follows from the outline
    },
    modifiers={
        "wet": Modifier("wet", grades=("dry", "damp", "wet", "soaked"), known="strip"),
        "masking": Modifier("masking", grades=("bands", "curves")),
    },
    kinds={"touch_up": Kind("touch_up", asks=("logos",)), "major": Kind("major")},
    stages={"strip": Stage("strip"), "stain": Stage("stain", happens="sometimes")},
)


def turned(thing, looked, *outcomes, **more):
    """Boards that looked so, one for each outcome."""
    return [
        Board(f"b{n}", assessed={thing: looked}, found={thing: out}, **more) for n, out in enumerate(outcomes)
    ]


def counted(boards):
    """Of each way of looking, without tools: boards, as they looked, more, less."""
    groups = looked_so(boards, SETTINGS)
    return {(g.thing, g.looked): (g.boards, g.as_looked, g.more, g.less) for g in groups if not g.judged_with}


def test_what_is_judged_by_eye():
    assert by_eye(SETTINGS) == ("pieces", "loose", "wet", "stain")


@pytest.mark.parametrize(
    ("boards", "groups"),
    [
        (turned("pieces", 2.0, 2.0, 3.0, 5.0, 1.0), {("pieces", 2.0): (4, 1, 2, 1)}),
        (turned("wet", 0.0, 0.0, 0.0, 1.0), {("wet", 0.0): (3, 2, 1, 0)}),
        # what its owner asked for since was not missed
        (turned("pieces", 2.0, 4.0, later={"pieces": 2.0}), {("pieces", 2.0): (1, 1, 0, 0)}),
        (turned("pieces", 2.0, 4.0, later={"pieces": 1.0}), {("pieces", 2.0): (1, 0, 1, 0)}),
        # of measured ones only whether there was some; a tenth of the larger is no difference
        (turned("loose", 2.0, 1.8, 1.79, 2.22, 2.23), {("loose", 1.0): (4, 2, 1, 1)}),
        (turned("loose", 0.0, 0.0, 0.01), {("loose", 0.0): (2, 1, 1, 0)}),
        ([*turned("loose", 0.5, 0.5), *turned("loose", 3.0, 9.0)], {("loose", 1.0): (2, 1, 1, 0)}),
        # not what a sort of job does not ask about, but conditions always
        (turned("pieces", 0.0, 1.0, kind="touch_up"), {}),
        (turned("pieces", 0.0, 1.0, kind="major"), {("pieces", 0.0): (1, 0, 1, 0)}),
        (turned("wet", 0.0, 1.0, kind="touch_up"), {("wet", 0.0): (1, 0, 1, 0)}),
        # not what was worked out, nor what is known when asked, nor where one of the two is not written
        (turned("pieces", 2.0, 3.0, worked_out=frozenset({"pieces"})), {}),
        (turned("logos", 1.0, 2.0), {}),
        ([Board("a", assessed={"pieces": 1.0}), Board("b", found={"pieces": 1.0})], {}),
    ],
)
def test_boards_count_on_which_both_are_written(boards, groups):
    assert counted(boards) == groups


def test_what_it_turned_out_instead_has_the_commonest_first():
    [group] = looked_so(turned("wet", 1.0, 3.0, 0.0, 2.0, 2.0, 1.0, 0.0), SETTINGS)

    assert group.values == ((0.0, 2), (2.0, 2), (3.0, 1))
    [measured] = looked_so(turned("loose", 1.0, 3.0), SETTINGS)
    assert measured.values == ()


def test_each_tool_is_counted_apart_and_over_all_looks():
    boards = [
        *turned("wet", 0.0, 0.0, 1.0, judged_with="eye"),
        *turned("wet", 1.0, 0.0, judged_with="eye"),
        *turned("wet", 0.0, 0.0, judged_with="meter"),
        *turned("wet", 0.0, 2.0),
    ]
    groups = looked_so(boards, SETTINGS)

    assert [(g.looked, g.judged_with, g.boards) for g in groups] == [
        (0.0, "", 4),
        (0.0, "eye", 2),
        (0.0, "meter", 1),
        (1.0, "", 1),
        (1.0, "eye", 1),
    ]
    assert by_tool(groups) == (
        LookedSo("wet", None, "eye", 3, 1, 1, 1),
        LookedSo("wet", None, "meter", 1, 1, 0, 0),
    )


DAMP = turned("wet", 1.0, *[1.0] * 6, 2.0, 3.0)  # eight boards, of which a quarter was wetter
HERE = Board("here", assessed={"wet": 1.0})


@pytest.mark.parametrize(
    ("board", "boards", "unsaid", "thing"),
    [
        (HERE, DAMP, (), "wet"),
        (HERE, DAMP[1:], (), None),  # seven boards looked so
        (HERE, [*DAMP, *turned("wet", 1.0, 1.0)], (), None),  # two of nine were otherwise
        (HERE, turned("wet", 1.0, *[1.0] * 6, 0.0, 2.0), (), None),  # an eighth more, an eighth less
        (HERE, turned("wet", 1.0, *[1.0] * 6, 0.0, 0.0), (), "wet"),
        (replace(HERE, assessed={"wet": 0.0}), DAMP, (), None),
        (replace(HERE, found={"wet": 1.0}), DAMP, (), None),  # it is known by now
        (HERE, DAMP, ("wet",), None),  # nobody spoke of it
        (replace(HERE, assessed={}), DAMP, (), None),
        (Board("x", assessed={"pieces": 1.0}, kind="touch_up"), turned("pieces", 1.0, *[5.0] * 8), (), None),
        # of two things the one that most often turns out otherwise
        (Board("x", assessed={"pieces": 1.0, "wet": 1.0}), [*DAMP, *turned("pieces", 1.0, *[5.0] * 3, *[1.0] * 5)], (), "pieces"),
    ],
)  # fmt: skip
def test_when_it_is_worth_a_line(board, boards, unsaid, thing):
    said = worth_saying(board, boards, SETTINGS, unsaid)

    assert (None if said is None else said.thing) == thing


def test_boards_judged_with_the_same_tool_count_alone_where_they_are_enough():
    meter = turned("wet", 1.0, *[1.0] * 5, *[2.0] * 3, judged_with="meter")
    few = meter[1:]
    here = replace(HERE, judged_with="meter")

    alone, together = (
        worth_saying(here, [*DAMP, *meter], SETTINGS),
        worth_saying(here, [*DAMP, *few], SETTINGS),
    )
    assert (alone.judged_with, alone.boards, alone.more) == ("meter", 8, 3)
    assert (together.judged_with, together.boards, together.more) == ("", 15, 5)
    assert worth_saying(HERE, [*DAMP, *meter], SETTINGS).judged_with == ""
