"""A rule of thumb of one's own that is asked for: it takes the place of a lent one, and of no other of one's own."""

import datetime as dt
import tomllib
from dataclasses import replace

import pytest

from estimator.log.starter import starter_text
from estimator.words.settings.own_rules import THUMBS, rule_of, thumbs_asked, with_own_rule
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Modifier

SAID = dt.date(2026, 5, 4)
RULES = """
[[rules]]
name = "{name}"
stage = "infill"
per = "infills"
low = 1
high = 3
source = "{source}"
"""


def names(written):
    return [(rule["name"], rule["source"]) for rule in tomllib.loads(written)["rules"]]


def test_a_lent_rule_of_the_same_gives_way_and_another_of_one_s_own_stays():
    own, lent = RULES.format(name="pieces", source="own"), RULES.format(name="foam", source="starter")

    assert names(with_own_rule(own + lent, "infill", 1.5, 4.0, SAID)) == [
        ("pieces", "own"),
        ("let in a piece", "own"),
    ]


def test_said_anew_it_takes_its_own_place_and_what_is_lent_of_other_work_stays():
    other = RULES.format(name="colour", source="starter").replace("infills", "once")
    first = with_own_rule(other, "infill", 1.5, 4.0, SAID)
    second = with_own_rule(first, "infill", 2.0, 5.0, SAID)

    assert names(second) == [("colour", "starter"), ("let in a piece", "own")]
    assert tomllib.loads(second)["rules"][1]["low"] == 2.0


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("strip", {"stage": "strip", "when": {"length_ft": [8.5, 10.5], "sides_stripped": 2},
                   "board": {"sides_stripped": 2, "glass_stripped": 2.7}}),
        ("first-colour", {"stage": "spray", "when": {"spray_colours": 1}, "board": {"spray_colours": 1}}),
        ("next-colour", {"stage": "spray", "per": "spray_colours"}),
        ("infill", {"stage": "infill", "per": "infills"}),
        ("sand", {"stage": "sand", "when": {"length_ft": [8.5, 10.5], "sides_coated": 2},
                  "board": {"sides_coated": 2, "coated_area": 2.7}}),
        ("drying", {"about": "days", "wait": "drying", "when": {"wetness": ["wet", "soaked"]}}),
    ],
)  # fmt: skip
def test_a_rule_is_of_the_work_it_speaks_of_and_asked_for_where_there_is_such_work(name, wanted):
    written = with_own_rule(starter_text(), name, 2.0, 7.5, SAID)
    (rule,) = [one for one in tomllib.loads(written)["rules"] if one["name"] == THUMBS[name].name]
    settings, problems = parse_settings(written)
    own = rule_of(name, settings)

    assert {
        key: rule[key] for key in ("about", "stage", "wait", "per", "when", "board") if key in rule
    } == wanted
    assert rule["text"].index(" 2 ") < rule["text"].index(" 7.5 ")  # the quickest first
    assert problems == ()
    assert (own.low, own.high, own.odds, own.said, own.own) == (2.0, 7.5, 0.8, SAID, True)
    assert THUMBS[name].days == (name == "drying")


def test_a_lent_rule_of_other_boards_at_the_same_work_stays():
    lent = RULES.format(name="small", source="starter").replace('per = "infills"', "when = {infills = 1}")

    assert names(with_own_rule(lent, "strip", 4.0, 9.0, SAID))[0] == ("small", "starter")
    assert names(with_own_rule(lent.replace("infill", "spray"), "first-colour", 4.0, 9.0, SAID))[0] == (
        "small",
        "starter",
    )


def test_what_is_lent_is_no_rule_of_his_own():
    settings, _ = parse_settings(starter_text())
    lent, other, own = (
        parse_settings(starter_text() + RULES.format(name=name, source=source))[0]
        for name, source in (("let in a piece", "starter"), ("pieces", "own"), ("let in a piece", "own"))
    )

    assert [rule_of("infill", one) for one in (lent, other)] == [None, None]
    assert rule_of("infill", own).name == "let in a piece"
    assert [rule_of(name, settings) for name in THUMBS] == [None] * 6
    assert thumbs_asked(settings) == tuple(THUMBS)


@pytest.mark.parametrize(
    ("grades", "asked"),
    [
        (("dry", "damp", "wet", "soaked"), True),
        (("wet", "soaked"), True),
        (("dry", "wet"), False),
        (("dry", "soaked"), False),
        ((), False),
    ],
)
def test_of_drying_one_is_asked_only_where_boards_are_called_wet_and_soaked(grades, asked):
    settings, _ = parse_settings(starter_text())
    wet = Modifier("wetness", grades=grades)

    others = ("strip", "first-colour", "next-colour", "infill", "sand")
    assert thumbs_asked(replace(settings, modifiers={"wetness": wet})) == (*others, *["drying"] * asked)
    assert thumbs_asked(replace(settings, modifiers={})) == others


def test_without_its_stage_or_its_quantity_a_rule_is_not_asked_for():
    settings, _ = parse_settings(starter_text())
    stages = {name: stage for name, stage in settings.stages.items() if name != "spray"}
    quantities = {name: one for name, one in settings.drivers.items() if name != "infills"}

    assert thumbs_asked(replace(settings, stages=stages)) == ("strip", "infill", "sand", "drying")
    assert "infill" not in thumbs_asked(replace(settings, drivers=quantities))
