"""A rule of thumb of one's own that is asked for: it takes the place of a lent one, and of no other of one's own."""

import datetime as dt
import tomllib

from estimator.words.settings.own_rules import with_own_rule

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
