"""Rules of thumb changed on a form: said anew where a figure is another, and as old as they were where words are."""

import datetime as dt
import tomllib
from types import SimpleNamespace

import pytest

from estimator.counter.setting_rules import changed_rule

SAID, TODAY = dt.date(2025, 3, 1), dt.date(2026, 5, 4)
WRITTEN = """
[[rules]]
name = "sanding"
text = "Sanding takes 3 to 5"
stage = "sand"
low = 3
high = 5
odds = 0.8
said = 2025-03-01
source = "starter"
"""
[TABLE] = tomllib.loads(WRITTEN)["rules"]


def changed(**typed):
    fields = {"text": TABLE["text"], "low": "3", "high": "5", "odds": "0.8", **typed}
    change, keys = changed_rule(SimpleNamespace(text=fields.get), "sanding", TABLE, TODAY)
    [rule] = tomllib.loads(change(WRITTEN))["rules"]
    return rule, keys


@pytest.mark.parametrize(
    ("typed", "said", "source"),
    [
        ({}, SAID, "starter"),
        ({"text": "Sanding takes a day"}, SAID, "starter"),
        ({"odds": "0.9"}, SAID, "starter"),
        ({"low": "2"}, TODAY, "own"),
        ({"high": "6", "text": "Sanding takes 3 to 6"}, TODAY, "own"),
        ({"low": "2", "odds": "0.9"}, TODAY, "own"),
        ({"low": "2", "high": "6"}, TODAY, "own"),
    ],
)
def test_another_figure_makes_it_a_rule_of_today_and_one_s_own(typed, said, source):
    rule, keys = changed(**typed)

    assert (rule["said"], rule["source"]) == (said, source)
    assert sorted(keys) == sorted(typed)
