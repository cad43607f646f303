"""What happens on a board, what a rule speaks of, and what is usual."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.log.stage_hours import StageHours
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    hidden_work,
    modifiers_of,
    speaks_of,
    typical_grades,
    untold,
    whole_hours,
    why_untaught,
    work_of,
)
from estimator.words.records import FINISHED, Board, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

BOTH = Stage("strip", drivers=("once", "area", "patches"))


@pytest.mark.parametrize(
    ("values", "on"),
    [
        ({"area": 1.0, "patches": 0.0}, True),
        ({"area": 0.0, "patches": 0.0}, False),
        ({"area": 1.0}, True),  # whatever the patches
        ({"area": 0.0}, None),
        ({}, None),
    ],
)
def test_a_stage_happens_where_any_of_its_work_does(values, on):
    assert happens(BOTH, values) is on


def test_set_up_alone_always_happens_and_sometimes_as_the_board_says_or_hours_do():
    maybe = Stage("stain", happens="sometimes")

    assert happens(Stage("check"), {}) is True
    assert [happens(maybe, {"stain": v}) for v in (1.0, 0.0)] == [True, False]
    assert happens(maybe, {}) is None
    assert happens(maybe, {"stain": 0.0}, booked=True) is True


def test_sometimes_is_read_only_where_there_is_no_other_work():
    assert happens(Stage("strip", drivers=("once", "area"), happens="sometimes"), {"area": 0.0}) is False


def test_the_work_of_a_stage_is_all_of_it_or_none():
    assert work_of(BOTH, {"area": 2.0, "patches": 0.0}) == {"once": 1.0, "area": 2.0, "patches": 0.0}
    assert work_of(BOTH, {"area": 2.0}) is None


def test_found_stands_before_assessed():
    assert as_it_turned_out(Board("a", assessed={"x": 1.0, "y": 2.0}, found={"y": 0.0})) == {
        "x": 1.0,
        "y": 0.0,
    }


@pytest.mark.parametrize(
    ("when", "speaks"),
    [
        ({}, True),
        ({"area": (2.0, 3.0)}, True),
        ({"area": (2.5, 2.5)}, True),
        ({"area": (2.51, 3.0)}, False),
        ({"pieces": (0.0, 9.0)}, False),  # not known
        ({"kind": frozenset({"major", "minor"})}, True),
        ({"kind": frozenset({"minor"})}, False),
        ({"length_ft": (9.5, 10.5)}, True),
        ({"length_ft": (8.0, 9.5)}, False),
        ({"area": (2.0, 3.0), "kind": frozenset({"minor"})}, False),
    ],
)
def test_a_rule_speaks_of_boards_that_all_its_conditions_hold_for(when, speaks):
    board = Board("a", kind="major", length_m=10 * 0.3048, assessed={"area": 2.5})

    assert speaks_of(Rule("r", when=when), board, as_it_turned_out(board)) is speaks


def test_a_board_whose_length_is_not_known_is_not_spoken_of_by_length():
    assert not speaks_of(Rule("r", when={"length_ft": (0.0, 99.0)}), Board("a"), {})


def test_usual_grades_are_means_of_what_is_known():
    settings = Settings(modifiers={n: Modifier(n, stages=("strip",)) for n in ("wet", "brittle", "old")})
    boards = (
        Board("a", assessed={"wet": 1.0, "brittle": 0.0}),
        Board("b", assessed={"wet": 0.0}, found={"wet": 2.0}),
        Board("c"),
    )

    assert typical_grades(boards, settings) == {"wet": 1.5, "brittle": 0.0, "old": 0.0}


def test_conditions_of_a_stage_stand_in_the_order_of_the_settings():
    settings = Settings(
        modifiers={"b": Modifier("b", stages=("strip", "sand")), "a": Modifier("a", stages=("strip",))}
    )

    assert modifiers_of("strip", settings) == ("b", "a")
    assert modifiers_of("sand", settings) == ("b",)


def test_what_was_asked_for_since_is_there_unless_it_is_written_how_much_there_was_in_all():
    board = Board("a", assessed={"logos": 1.0, "infills": 2.0}, found={"infills": 5.0})
    more = replace(board, later={"logos": 2.0, "infills": 1.0, "pinlines": 1.0})

    assert as_it_turned_out(more) == {
        "logos": 3.0,
        "infills": 5.0,
    }  # of pinlines nobody knows how many there were
    assert more.wanted == {"logos": 3.0, "infills": 3.0}
    assert as_it_turned_out(board) == {"logos": 1.0, "infills": 5.0}


def test_a_stage_that_is_no_longer_used_happens_only_where_hours_are_booked_on_it():
    always, by_logos = Stage("wax"), Stage("art", drivers=("logos",))
    for stage in (always, by_logos):
        retired = replace(stage, retired=True)
        assert happens(stage, {"logos": 2.0}) is True
        assert happens(retired, {"logos": 2.0}) is False
        assert happens(retired, {"logos": 2.0}, booked=True) is True


# ---- what teaches, and what does not


SHOP = Settings(
    drivers={"area": Driver("area"), "patches": Driver("patches"), "logos": Driver("logos")},
    stages={
        "strip": BOTH,
        "logos": Stage("logos", drivers=("logos",)),
        "stain": Stage("stain", happens="sometimes"),
        "check": Stage("check"),
    },
)


def board(total=None, state=FINISHED, **values):
    return Board(
        "a", state=state, found={name: float(much) for name, much in values.items()}, total_hours=total
    )


@pytest.mark.parametrize(
    ("values", "booked", "missing"),
    [
        ({}, (), ("area", "patches", "logos")),
        ({}, ("strip",), ("logos",)),  # it has hours of its own
        ({}, ("strip", "logos"), ()),
        ({"area": 1, "logos": 0}, (), ("patches",)),  # it happens, and how much of it there was is not known
        ({"area": 0, "patches": 0}, (), ("logos",)),
        ({"area": 1, "patches": 0, "logos": 0}, (), ()),  # of what sometimes happens nobody says that it did
    ],
)
def test_what_must_be_known_before_a_total_can_be_shared_out(values, booked, missing):
    assert untold(board(30.0, **values), booked, SHOP) == missing


@pytest.mark.parametrize(
    ("values", "booked", "total", "why"),
    [
        ({}, (), None, ()),  # no hours at all
        ({"area": 1, "patches": 0}, ("strip",), None, None),
        ({"area": 1}, ("strip",), None, ("patches",)),
        ({}, ("strip", "logos"), None, ("area", "patches", "logos")),
        ({"logos": 1}, ("strip", "logos"), None, None),  # some of its hours teach
        (
            {"area": 0, "patches": 0},
            ("strip",),
            None,
            None,
        ),  # hours that nobody planned teach a rate of their own
        ({}, ("check",), None, None),
        ({"area": 1, "patches": 0, "logos": 0}, (), 30.0, None),
        ({"area": 1, "patches": 0}, (), 30.0, ("logos",)),
        ({"area": 1}, ("strip",), 30.0, ("patches", "logos")),
        ({"area": 1, "logos": 0}, ("strip",), 30.0, None),  # the rest of the total teaches
    ],
)
def test_why_a_board_teaches_nothing(values, booked, total, why):
    assert why_untaught(board(total, **values), booked, SHOP) == why


@pytest.mark.parametrize(
    ("fields", "hidden"),
    [
        ({}, None),
        ({"assessed": {"area": 2.0}}, None),  # nobody wrote how it turned out
        ({"found": {"area": 2.0}}, None),  # nor how it looked
        ({"assessed": {"area": 2.0}, "found": {"area": 2.0}}, False),
        ({"assessed": {"area": 2.0}, "found": {"area": 1.0}}, False),
        ({"assessed": {"area": 2.0}, "found": {"area": 2.5}}, True),
        ({"assessed": {"area": 2.0}, "found": {"area": 2.5}, "later": {"area": 0.5}}, False),
        ({"assessed": {"area": 2.0}, "found": {"area": 2.6}, "later": {"area": 0.5}}, True),
        ({"assessed": {"area": 2.0, "logos": 0.0}, "found": {"area": 2.0, "logos": 1.0}}, True),
        ({"found": {"stain": 1.0}}, True),  # what sometimes happens need not be judged
        ({"found": {"stain": 0.0}}, False),
        ({"found": {"stain": 1.0}, "later": {"stain": 1.0}}, False),
        ({"assessed": {"wet": 0.0}, "found": {"wet": 3.0}}, None),  # a condition is no work
    ],
)
def test_hidden_work_is_what_was_found_beyond_what_could_be_seen_and_what_was_asked_for(fields, hidden):
    wet = replace(SHOP, modifiers={"wet": Modifier("wet", stages=("strip",))})

    assert hidden_work(Board("a", **fields), wet) is hidden


@pytest.mark.parametrize(("feet", "speaks"), [(8.49, False), (8.5, True), (9.5, True), (9.51, False)])
def test_a_rule_on_lengths_is_in_feet_and_holds_at_both_its_ends(feet, speaks):
    rule = Rule("r", when={"length_ft": (8.5, 9.5)})

    assert speaks_of(rule, Board("a", length_m=feet * 0.3048), {}) is speaks


def test_hours_of_a_finished_board_are_whole_where_each_stage_that_happened_has_some():
    def worked(**hours):
        return tuple(
            StageHours(stage, much, 1, None, True, dt.date(2026, 5, 4)) for stage, much in hours.items()
        )

    def whole(values, hours, not_done=(), **more):
        return whole_hours(board(**values, **more), worked(**hours), SHOP, not_done)

    both = {"area": 1, "patches": 0, "logos": 2}
    assert whole(both, {"strip": 5.0, "logos": 2.0}) == 7.0  # set-up alone, as the check, need not be written
    assert whole(both, {"strip": 5.0}) is None
    assert whole(both, {"strip": 5.0}, [("a", "logos")]) == 5.0
    assert whole(both, {"strip": 5.0}, [("b", "logos")]) is None
    assert whole({**both, "logos": 0}, {"strip": 5.0}) == 5.0
    assert whole({**both, "logos": 0}, {}, [("a", "strip")]) is None  # no hours at all
    assert whole({}, {}, total=9.0) == 9.0
    assert whole(both, {"strip": 5.0, "logos": 2.0}, state="on bench") is None
