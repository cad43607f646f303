"""What an answer rests on: boards and rules that speak of it, boards alike, and what was never seen."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.fits import SETTINGS, made_fit

from estimator.forecast.answers import _grade, alike, hours_to_pass, leverage, outside, rests_on
from estimator.forecast.draws import Work
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import UnreadableError
from estimator.words.records import FINISHED
from estimator.words.settings.schema import Driver, Settings, Stage

USUAL = {"area": 2.0, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0}
ALL = ("strip", "infill", "spray")


def past(name, *, taught=ALL, hours=40.0, length_m=2.5, **values):
    return KnownBoard(
        name, f"the {name}", "major", FINISHED, length_m=length_m, assessed={**USUAL, **values}, hours=hours,
        taught=taught,
    )  # fmt: skip


def new(**values):
    return KnownBoard("new", assessed={**USUAL, **values}, length_m=2.5)


def as_work(board):
    return Work(dict(board.turned_out), {}, {}, frozenset())


def said(boards, board, settings=SETTINGS):
    found = outside(made_fit(boards=tuple(boards)), board, as_work(board), settings)
    return {o.driver: o.how for o in found}


# ---- rests on


def test_boards_and_rules_count_where_they_speak_of_a_stage_of_the_board():
    fit = made_fit(
        boards=(past("a", taught=("strip",)), past("b", taught=("spray", "infill")), past("c", taught=())),
        rules=(
            ("one", False, "strip"),
            ("two", True, "spray"),
            ("three", True, ""),
            ("four", False, "check"),
        ),
    )

    assert rests_on(fit, ["strip"]) == (1, 2, 1)
    assert rests_on(fit, ["strip", "infill"]) == (2, 2, 1)
    assert rests_on(fit, ALL) == (2, 3, 2)


# ---- alike


def test_the_boards_most_alike_are_those_whose_stages_should_take_the_same_hours():
    """Two pieces more cost less than half a colour: what a difference costs counts, not its size."""
    boards = [
        past("same"),
        past("pieces", pieces=4.0),
        past("colour", colours=2.0),
        past("far", colours=4.0, area=4.0),
    ]
    found = alike(made_fit(boards=tuple(boards)), new(), as_work(new()), SETTINGS)

    assert [a.board for a in found] == ["same", "pieces", "colour"]
    assert [a.called for a in found] == ["the same", "the pieces", "the colour"]
    assert [a.hours for a in found] == [40.0] * 3
    assert found[0].differs == ""
    assert "Pieces" in found[1].differs
    assert "4" in found[1].differs
    assert "Colours" in found[2].differs


def test_a_board_is_not_alike_itself_and_one_without_all_its_hours_is_not_alike_any():
    boards = (past("new"), past("half", hours=None), past("untaught", taught=()), past("good", area=4.0))
    found = alike(made_fit(boards=boards), new(), as_work(new()), SETTINGS)

    assert [a.board for a in found] == ["good"]


def test_a_condition_that_differed_is_said_in_its_word():
    boards = (past("crisp", brittle=2.0),)
    found = alike(made_fit(boards=boards), new(), as_work(new()), SETTINGS)

    assert found[0].differs.endswith("brittle")
    assert [_grade(1.6, ("dry", "damp", "wet")), _grade(1.0, ()), _grade(0.0, ())] == ["wet", "yes", "no"]


def test_what_a_board_has_none_of_is_said_of_one_that_had_some():
    to_do = Work({q: v for q, v in USUAL.items() if q != "colours"}, {}, {}, frozenset())
    [found] = alike(made_fit(boards=(past("one"),)), new(), to_do, SETTINGS)

    assert found.differs == "Colours: 1"


def test_unknown_quantities_stand_at_their_mean_of_draws():
    board = new()
    to_do = Work({**USUAL, "colours": np.array([1.0, 3.0])}, {}, {}, frozenset())
    boards = (past("one", colours=1.0), past("two", colours=2.0))

    assert alike(made_fit(boards=boards), board, to_do, SETTINGS)[0].board == "two"


# ---- outside

SOME = [
    past(f"p{i}", area=a, colours=c)
    for i, (a, c) in enumerate([(1, 1), (2, 2), (3, 1), (2.5, 3), (1.5, 2), (2, 1)])
]


def test_a_quantity_beyond_all_seen_is_said_with_what_was_seen():
    found = outside(made_fit(boards=tuple(SOME)), new(colours=4.0), as_work(new(colours=4.0)), SETTINGS)

    assert [(o.driver, o.value, o.seen_low, o.seen_high, o.how) for o in found] == [
        ("colours", 4.0, 1.0, 3.0, "beyond")
    ]


@pytest.mark.parametrize(
    ("area", "beyond"), [(3.0, False), (3.01, True), (1.0, False), (0.99, True), (0.0, False)]
)
def test_beyond_is_more_than_the_most_or_less_than_the_least_above_none(area, beyond):
    """Two quantities that never hang together, so that no mix is unusual."""
    settings = Settings(drivers={"area": Driver("area")}, stages={"strip": Stage("strip", drivers=("area",))})
    board = KnownBoard("new", assessed={"area": area})
    boards = [past(f"p{i}", area=a, taught=("strip",)) for i, a in enumerate([1, 2, 3])]

    assert (said(boards, board, settings) == {"area": "beyond"}) == beyond


def test_a_quantity_never_seen_is_beyond():
    boards = [replace(b, assessed={**b.assessed, "pieces": 0.0}) for b in SOME]

    assert said(boards, new(pieces=1.0))["pieces"] == "beyond"


def test_a_longer_board_than_any_is_said():
    assert said(SOME, replace(new(), length_m=3.1)) == {"length": "beyond"}
    boards = [*SOME, past("short", length_m=2.3), past("untaught", length_m=3.3, taught=())]
    for length, there in ((3.1, True), (2.0, True), (2.3, False), (2.5, False)):
        board = replace(new(), length_m=length)
        found = outside(made_fit(boards=tuple(boards)), board, as_work(board), SETTINGS)
        assert [(o.driver, o.value, o.seen_low, o.seen_high) for o in found] == (
            [("length", length, 2.3, 2.5)] if there else []
        )


def test_a_board_is_no_experience_of_itself():
    """On the bench, its spray finished, it has more colours than any board before."""
    own = past("new", colours=5.0)

    assert said([*SOME, own], new(colours=5.0)) == {"colours": "beyond"}


def test_a_board_is_experience_of_what_its_hours_tell_of():
    """A board with five colours that are not sprayed yet tells nothing of five colours."""
    coming = past("coming", colours=5.0, taught=("strip",))

    assert said([*SOME, coming], new(colours=5.0)) == {"colours": "beyond"}


def test_without_past_boards_nothing_is_said_to_be_outside():
    assert said([], new(colours=40.0)) == {}


def test_an_unknown_quantity_is_not_outside():
    to_do = Work({**USUAL, "colours": np.array([1.0, 30.0])}, {}, {}, frozenset())

    assert outside(made_fit(boards=tuple(SOME)), new(), to_do, SETTINGS) == ()


def test_quantities_that_always_went_together_are_said_where_they_do_not():
    """Area and colours always equal; a board with the most of one and the least of the other."""
    boards = [past(f"p{i}", area=float(a), colours=float(a)) for i, a in enumerate([1, 2, 3, 4, 2, 3, 1])]

    assert said(boards, new(area=2.0, colours=2.0)) == {}
    together = {"area": "together", "colours": "together"}
    assert said(boards, new(area=4.0, colours=1.0)) == together
    half_known = replace(boards[0], board="half", assessed={"area": 1.0, "colours": 1.0})
    assert said([*boards, half_known], new(area=4.0, colours=1.0)) == together
    longer = replace(new(area=4.0, colours=1.0), length_m=3.1)
    assert said(boards, longer) == {"length": "beyond", **together}
    assert said(boards[:4], new(area=4.0, colours=1.0)) == {}  # four boards cannot tell of two quantities
    assert said(boards[:5], new(area=4.0, colours=1.0)) == together


@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6), st.integers(1, 6)), min_size=1, max_size=12),
    st.integers(0, 11),
)
def test_a_board_like_a_past_one_is_never_outside(rows, which):
    boards = [
        past(f"p{i}", area=float(a), pieces=float(p), colours=float(c)) for i, (a, p, c) in enumerate(rows)
    ]
    a, p, c = rows[which % len(rows)]

    assert said(boards, new(area=float(a), pieces=float(p), colours=float(c))) == {}


@given(st.floats(0.1, 50), st.integers(0, 5))
def test_units_do_not_matter(factor, which):
    here = new(area=[1.0, 3.0, 2.0, 4.0, 0.5, 2.9][which], colours=3.0)

    def scaled(board):
        return replace(board, assessed={**board.assessed, "area": factor * board.assessed["area"]})

    assert said([scaled(b) for b in SOME], scaled(here)) == said(SOME, here)


def test_leverage_of_a_mean_is_one_over_n():
    """With an intercept, x'(X'X)^-1 x at the mean is 1/n, and over the points it sums to the columns."""
    table = np.random.default_rng(1).normal(size=(12, 3)) * [1, 50, 0.01]
    at_mean, most = leverage(table, table.mean(axis=0))

    assert at_mean == pytest.approx(1 / 12)
    assert sum(leverage(table, row)[0] for row in table) == pytest.approx(4)
    assert most == pytest.approx(max(leverage(table, row)[0] for row in table))


@pytest.mark.parametrize(
    ("here", "there", "said"),
    [
        ({"area": 4.0}, {"area": 0.0}, "Area: none"),  # none of a measure is none, and no tenth
        ({"area": 4.0}, {"area": 0.04}, "Area: 0.1 m²"),
        ({"area": 0.0}, {"area": 4.26}, "Area: 4.3 m²"),
        ({"pieces": 0.0}, {"pieces": 5.0}, "Pieces: 5"),
        ({"pieces": 5.0}, {"pieces": 0.0}, "Pieces: none"),
        ({"brittle": 0.0}, {"brittle": 1.0}, "Brittle: crisp"),
        ({"colours": 1.0}, {"colours": 1.0}, ""),
        ({"pieces": 2.0}, {"pieces": 2.2}, ""),  # three tenths of an hour are no difference
        ({"colours": 2.0, "pieces": 0.0}, {"colours": 0.0, "pieces": 3.0}, "Colours: none"),  # 16 hours less, 4.5 more
    ],
)  # fmt: skip
def test_what_differed_most_is_said_as_the_other_board_had_it(here, there, said):
    board = new(**here)
    [found] = alike(made_fit(boards=(past("other", **{**here, **there}),)), board, as_work(board), SETTINGS)

    assert found.differs == said


def test_hours_to_pass_are_numbers_from_none_on():
    assert [hours_to_pass(over) for over in (None, 40, 0.0, [30, 40.5])] == [[], [40], [0.0], [30, 40.5]]
    for over in (-1, 1e6, [40, -0.5], float("nan")):
        with pytest.raises(UnreadableError, match="must be a number of hours"):
            hours_to_pass(over)
