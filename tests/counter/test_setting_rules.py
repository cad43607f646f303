"""Rules of thumb changed on a form: said anew where a figure is another, and as old as they were where words are."""

import datetime as dt
import tomllib
from types import SimpleNamespace

import pytest

from estimator.counter.setting_rules import added_rule, changed_rule, fields_of_rule, fields_to_add_rule
from estimator.words.errors import UsageError
from estimator.words.settings.schema import Driver, Settings, Stage

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


def test_a_rule_asks_its_own_figures_and_a_new_one_a_stage_and_both_ends():
    assert [(one.key, one.text) for one in fields_of_rule(TABLE)] == [
        ("text", "Sanding takes 3 to 5"),
        ("low", "3"),
        ("high", "5"),
        ("odds", "0.8"),
    ]
    chance = {"name": "x", "share": 0.25, "worth": 4}
    assert [(one.key, one.text) for one in fields_of_rule(chance)] == [
        ("text", ""),
        ("share", "0.25"),
        ("worth", "4"),
    ]
    shop = Settings(
        stages={"strip": Stage("strip", label="Strip it"), "old": Stage("old", retired=True)},
        drivers={"logos": Driver("logos", label="Logos")},
    )
    new = {one.key: one for one in fields_to_add_rule(shop)}
    assert list(new) == ["name", "text", "stage", "per", "low", "high"]
    assert new["stage"].choices == (("strip", "Strip it"),)
    assert new["per"].choices == (("once", "Set-up"), ("logos", "Logos"))
    assert (new["name"].says != "", new["text"].says) == (True, "")


def test_a_rule_more_is_of_today_and_holds_eight_of_ten():
    typed = {"name": " my  strip ", "text": "", "stage": "strip", "per": "", "low": "5", "high": "9,5"}
    name, change = added_rule(SimpleNamespace(text=lambda key: typed[key].strip()), TODAY)
    rule = tomllib.loads(change(WRITTEN))["rules"][-1]

    assert name == "my strip"
    assert rule == {"name": "my strip", "stage": "strip", "low": 5, "high": 9.5, "odds": 0.8, "said": TODAY}
    with pytest.raises(UsageError) as told:
        added_rule(SimpleNamespace(text=lambda _: ""), TODAY)
    assert told.value.field == "name"


def test_a_figure_that_is_emptied_goes_and_a_rule_of_one_s_own_stays_so():
    table = {**TABLE, "source": "own"}
    fields = {"text": "", "low": "2", "high": "5", "odds": "0.8"}
    change, keys = changed_rule(SimpleNamespace(text=fields.get), "sanding", table, TODAY)
    [rule] = tomllib.loads(change(WRITTEN.replace("starter", "own")))["rules"]

    assert keys == ["text", "low"]
    assert "text" not in rule
    assert (rule["low"], rule["said"], rule["source"]) == (2, TODAY, "own")


@pytest.mark.parametrize(
    ("typed", "said", "chance"),
    [
        ({"share": "0.3"}, TODAY, (0.3, 4)),
        ({"worth": "5"}, SAID, (0.25, 5)),
        ({"worth": ""}, SAID, (0.25, None)),
    ],
)
def test_a_share_said_otherwise_is_said_anew_and_how_much_it_counts_is_not(typed, said, chance):
    written = '[[rules]]\nname = "x"\ntext = "t"\nshare = 0.25\nworth = 4\nsaid = 2025-03-01\n'
    [table] = tomllib.loads(written)["rules"]
    fields = {"text": "t", "share": "0.25", "worth": "4", **typed}
    change, keys = changed_rule(SimpleNamespace(text=fields.get), "x", table, TODAY)
    [rule] = tomllib.loads(change(written))["rules"]

    assert (rule["said"], keys) == (said, list(typed))
    assert (rule["share"], rule.get("worth")) == chance
    assert "source" not in rule  # it was one's own
