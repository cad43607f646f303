"""Which finished boards teach nothing yet, and which cells would mend it."""

import datetime as dt

import pytest

from estimator.model.untaught import untaught
from estimator.words.problems import Place
from estimator.words.records import FINISHED, ON_BENCH, Board, Entry, Log
from estimator.words.settings.schema import Driver, Settings, Stage

DAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    drivers={
        "sides": Driver("sides", label="Sides", blank="unknown"),
        "area": Driver("area", label="Area", times="sides"),
        "logos": Driver("logos", label="Logos"),
        "pins": Driver("pins", label="Pinlines"),
        "foam": Driver("foam", label="Foam pieces", blank="unknown"),
    },
    stages={
        "strip": Stage("strip", drivers=("area",)),
        "logos": Stage("logos", drivers=("logos",)),
        "pins": Stage("pins", drivers=("pins",)),
        "foam": Stage("foam", drivers=("foam",)),
    },
)
ALL = {"sides": 1.0, "area": 1.2, "logos": 0.0, "pins": 0.0, "foam": 0.0}
REST = " Of the rest write what there was: what stays empty beside it counts as none."


def board(name, row=2, *, state=FINISHED, lacks=(), **more):
    found = {quantity: much for quantity, much in ALL.items() if quantity not in lacks}
    return Board(name, state=state, found=found, where=Place("boards.csv", row=row), **more)


def told(*boards, hours=()):
    entries = tuple(Entry(name, DAY, "strip", much) for name, much in hours)
    found = untaught(Log(boards, entries), SETTINGS)
    return found.boards, [(one.where, one.wrong, one.cure) for one in found.why]


def test_a_board_that_teaches_and_one_in_hand_are_not_among_them():
    assert told(board("a"), hours=[("a", 4.0)]) == (0, [])
    assert told(board("a", total_hours=30.0)) == (0, [])
    assert told(board("a", state=ON_BENCH), board("b", state=ON_BENCH, lacks=ALL)) == (0, [])


@pytest.mark.parametrize(
    ("names", "wrong"),
    [
        ("a", "1 board teaches nothing yet (a): no hours are written on it"),
        ("abcde", "5 boards teach nothing yet (a, b, c, d, e): no hours are written on them"),
    ],
)
def test_boards_without_an_hour_are_named_all_of_them(names, wrong):
    """A row of no hours is none."""
    said = told(*(board(name, 2 + n) for n, name in enumerate(names)), hours=[(name, 0.0) for name in names])

    assert said == (
        len(names),
        [("boards.csv", wrong, "Write the hours by stage, or their sum in total_hours.")],
    )


@pytest.mark.parametrize(
    ("lacks", "of", "cure"),
    [
        (("logos",), "logos", "Fill in found_logos, with 0 where there was none."),
        # a blank of these is taken as none once one of them is written: the first is enough
        (("logos", "pins"), "logos, pinlines", f"Fill in found_logos, with 0 where there was none.{REST}"),
        # area follows from the sides, which are never taken as none
        (("area",), "area", "Fill in found_sides, with 0 where there was none."),
        (("area", "pins"), "area, pinlines", f"Fill in found_sides, with 0 where there was none.{REST}"),
        (("logos", "foam"), "logos, foam pieces", f"Fill in found_foam, with 0 where there was none.{REST}"),
        (
            ("area", "foam"),
            "area, foam pieces",
            f"Fill in found_sides and found_foam, with 0 where there was none.{REST}",
        ),
        (("sides", "area"), "area", "Fill in found_sides, with 0 where there was none."),
    ],
)
def test_of_a_total_it_is_said_what_nobody_wrote_and_which_cells_to_fill(lacks, of, cure):
    said = told(board("a", lacks=lacks, total_hours=30.0), board("b", total_hours=20.0))

    wrong = f"1 board teaches nothing yet (a): nobody wrote how much there was of {of}"
    assert said == (1, [("boards.csv", wrong, cure)])


def test_both_reasons_stand_apart_what_was_there_first_and_are_counted_together():
    count, said = told(board("a"), board("b", lacks=("pins",), total_hours=9.0), board("c"))

    assert count == 3
    assert [wrong.partition(":")[0] for _, wrong, _ in said] == [
        "1 board teaches nothing yet (b)",
        "2 boards teach nothing yet (a, c)",
    ]


def test_of_several_boards_all_that_nobody_wrote_is_named_in_the_order_of_the_settings():
    boards = [board("a", lacks=("foam",), total_hours=9.0), board("b", lacks=("pins",), total_hours=9.0)]
    _, [(_, wrong, cure), (_, bare, _)] = told(*boards, board("c"), board("d"))

    assert (
        wrong == "2 boards teach nothing yet (a, b): nobody wrote how much there was of pinlines, foam pieces"
    )
    assert cure == f"Fill in found_foam, with 0 where there was none.{REST}"
    assert bare == "2 boards teach nothing yet (c, d): no hours are written on them"
    _, [_, (_, bare, _)] = told(*boards, board("c"))
    assert bare.endswith("no hours are written on it")
