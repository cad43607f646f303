"""The groups by which the pay of boards is compared."""

import datetime as dt

from estimator.decide.quarter.pay import made_ready
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Modifier, Settings

SETTINGS = Settings(modifiers={"wetness": Modifier("wetness", grades=("dry", "damp", "wet"))})


def groups(**more):
    board = Board("a", kind="major", state="finished", ready=dt.date(2026, 5, 1), **more)
    [one] = made_ready(Log(boards=(board,)), SETTINGS, {"a": 20.0})
    return one.groups


def test_a_colour_asked_for_since_counts_among_the_colours():
    judged = {"spray_colours": 1.0, "wetness": 1.0}

    assert groups(assessed=judged) == {"kind": "major", "wetness": "damp", "spray_colours": "one colour"}
    assert groups(assessed=judged, later={"spray_colours": 1.0})["spray_colours"] == "two colours or more"


def test_what_was_found_counts_before_what_was_judged():
    found = groups(
        assessed={"spray_colours": 1.0, "wetness": 1.0}, found={"spray_colours": 0.0, "wetness": 2.0}
    )

    assert found == {"kind": "major", "wetness": "wet", "spray_colours": "no colour"}


def test_what_nobody_wrote_is_in_no_group():
    assert groups() == {"kind": "major"}
