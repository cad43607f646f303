"""Settings changed in place say just what is wanted, and every other line stays, whatever the file looks like."""

import datetime as dt
import tomllib
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.log.starter import starter_text
from estimator.words.errors import UsageError
from estimator.words.settings.changes import (
    FIRST,
    name_for,
    with_away,
    with_days_away,
    with_rule,
    with_rule_values,
    with_section,
    with_values,
    without_rule,
)
from estimator.words.settings.reader import parse_settings

STARTER = starter_text()
RAW = tomllib.loads(STARTER)
STAGES = list(RAW["stages"])
ENDS = {
    "lines": lambda text: text,
    "windows": lambda text: text.replace("\n", "\r\n"),
    "marked": lambda text: "\ufeff" + text,
}


def said(text):
    return tomllib.loads(text.removeprefix("\ufeff"))


@pytest.mark.parametrize("ends", ENDS)
@settings(max_examples=15, deadline=None)
@given(
    stage=st.sampled_from(STAGES),
    label=st.text(st.characters(codec="utf-8", exclude_categories=("C",)), max_size=12),
)
def test_a_value_changes_and_no_other_line_does(ends, stage, label):
    before = ENDS[ends](STARTER)
    after = with_values(before, ("stages", stage), {"label": label})

    assert said(after) == {
        **RAW,
        "stages": {**RAW["stages"], stage: {**RAW["stages"][stage], "label": label}},
    }
    old, new = before.splitlines(), after.splitlines()
    assert len([line for line in old if line not in new]) <= 1
    assert ("\r\n" in after) == ("\r\n" in before)


@pytest.mark.parametrize("ends", ENDS)
@pytest.mark.parametrize("after", [FIRST, "", *STAGES])
def test_a_stage_more_stands_where_it_is_wanted_and_all_lines_stay(ends, after):
    before = ENDS[ends](STARTER)
    text = with_section(before, ("stages", "wax_off"), {"label": "Wax off", "drivers": ["once"]}, after)
    order = list(said(text)["stages"])
    at = 0 if after == FIRST else STAGES.index(after) + 1 if after else len(STAGES)

    assert order == [*STAGES[:at], "wax_off", *STAGES[at:]]
    lines = iter(text.splitlines())
    assert all(line in lines for line in before.splitlines())


def test_a_section_is_begun_where_there_is_none():
    assert said(with_section("", ("kinds", "tow"), {"label": "Tow"})) == {"kinds": {"tow": {"label": "Tow"}}}
    assert said(with_values("# mine\n", ("bench",), {"places": 2})) == {"bench": {"places": 2}}
    assert with_values("# mine\n", ("bench",), {"places": 2}).startswith("# mine\n")


def test_a_section_that_is_there_already_is_refused_at_its_label_and_a_rule_at_its_name():
    with pytest.raises(UsageError, match=r"\[stages\.strip\] is there already") as section:
        with_section(STARTER, ("stages", "strip"), {"label": "Strip"})
    with pytest.raises(UsageError, match="A rule has this name already") as rule:
        with_rule('[[rules]]\nname = "a"\n', {"name": "a"})
    assert (section.value.field, rule.value.field) == ("label", "name")


def test_a_key_is_taken_out():
    assert said(with_values("[bench]\nplaces = 3\n", ("bench",), {"places": None})) == {"bench": {}}
    assert with_values("[bench]\nplaces = 3\n", ("bench",), {"winter": None}) == "[bench]\nplaces = 3\n"


def test_rules_come_change_and_go_and_the_others_stay():
    name = RAW["rules"][3]["name"]
    more = with_rule(STARTER, {"name": "mine", "low": 1, "high": 2.5, "text": None})
    assert said(more)["rules"] == [*RAW["rules"], {"name": "mine", "low": 1, "high": 2.5}]
    other = with_rule_values(STARTER, name, {"low": 9})
    assert said(other)["rules"] == [
        {**rule, "low": 9} if rule["name"] == name else rule for rule in RAW["rules"]
    ]
    less = without_rule(STARTER, name)
    assert said(less)["rules"] == [rule for rule in RAW["rules"] if rule["name"] != name]
    assert said(without_rule('[[rules]]\nname = "a"\n', "a")) == {}
    for odd in (lambda: without_rule(STARTER, "nobody"), lambda: with_rule(more, {"name": "mine"})):
        with pytest.raises(UsageError):
            odd()


@pytest.mark.parametrize(
    "written", ['stages = {strip = {label = "Strip"}}\n', '[stages]\nstrip = {label = "Strip"}\n']
)
def test_a_file_that_is_written_otherwise_is_changed_right_or_not_at_all(written):
    with suppress(UsageError):
        assert list(
            said(with_section(written, ("stages", "sand"), {"label": "Sand"}, "strip"))["stages"]
        ) == ["strip", "sand"]
    assert said(with_values(written, ("stages", "strip"), {"label": "Off"})) == {
        "stages": {"strip": {"label": "Off"}}
    }


def test_names_are_plain_words_that_nothing_has():
    assert name_for("Réshape it!", {}) == "r_shape_it"
    assert name_for("Großputz 2", {}) == "grossputz_2"
    assert name_for("2nd coat: (blue)", RAW["stages"]) == "nd_coat_blue"
    for odd in ("", "123", "日本", "Strip"):
        with pytest.raises(UsageError):
            name_for(odd, RAW["stages"])


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_line_more_ends_as_the_others_do(end):
    written = end.join(["[bench]", "places = 2", ""])
    for text in (
        with_rule(written, {"name": "x", "stage": "strip", "low": 1, "high": 2}),
        with_section(written, ("stages", "polish"), {"label": "Polish"}),
        with_values(written, ("bench",), {"places": 3, "winter_drying": 1.5}),
        with_away(written, dt.date(2026, 8, 3), None),
    ):
        assert text.count("\n") == text.count(end)
        assert text.count("\n") > 2


@pytest.mark.parametrize(
    ("away", "first", "last", "then"),
    [
        ([("03", "14")], "03", None, []),  # back on the first day
        ([("03", "14")], "14", None, [("03", "13")]),
        ([("03", "14")], "15", None, [("03", "14")]),
        ([("03", "14")], "02", None, [("03", "14")]),
        ([("03", "14")], "10", "20", [("03", "09"), ("10", "20")]),
        ([("03", "04"), ("20", "24")], "10", "11", [("03", "04"), ("10", "11"), ("20", "24")]),
    ],
)
def test_a_time_away_that_holds_the_day_ends_before_it(away, first, last, then):
    def on(number):
        return dt.date(2026, 8, int(number))

    written = with_days_away("", [(on(begin), on(end)) for begin, end in away])
    text = with_away(written, on(first), on(last) if last else None)
    read, problems = parse_settings(text)
    assert [(one.first, one.last) for one in read.bench.away] == [(on(b), on(e)) for b, e in then]
    assert problems == ()


def test_what_is_left_out_of_a_section_is_not_written_and_nought_is():
    values = {"label": "Tow", "asks": None, "most": 0, "loud": False}
    text = with_section("[kinds.a]\n# of b\n\n[kinds.b]\n", ("kinds", "tow"), values, "a")
    assert text == ('[kinds.a]\n\n[kinds.tow]\nlabel = "Tow"\nmost = 0\nloud = false\n# of b\n\n[kinds.b]\n')


def test_a_section_that_finds_no_place_among_the_others_stands_at_the_end():
    before = '[stages.a]\nlabel = """\n[stages.b]\n"""\n[stages.b]\nlabel = "B"\n'
    text = with_section(before, ("stages", "c"), {"label": "C"}, "a")
    assert text == f'{before}\n[stages.c]\nlabel = "C"\n'


def test_a_section_comes_behind_the_last_of_its_sort_before_what_follows_and_its_remarks():
    before = "[stages.a]\n[kinds.x]\n[stages.b]\nn = 1\n\n  # rules\n[[rules]]\nname = 'r'\n[stagesmen.y]\n[kinds.z]\n"
    text = with_section(before, ("stages", "c"), {"n": 2})
    assert text == before.replace("n = 1\n", "n = 1\n\n[stages.c]\nn = 2\n")


def test_a_rule_more_is_refused_where_rules_stand_on_one_line():
    with pytest.raises(UsageError, match=r"workshop\.toml stays as it is"):
        with_rule('rules = [{name = "a"}]\n', {"name": "b"})


def test_values_go_into_the_rule_of_that_name_and_the_last_one_can_be_taken_out_alone():
    written = '[[rules]]\nname = "a"\nlow = 1\n[[rules]]\nname = "b"\nlow = 2\n[[rules]]\nname = "c"\n'
    changed = said(with_rule_values(written, "b", {"low": None, "high": 7, "when": {"kind": ["x", "y"]}}))
    assert changed["rules"] == [
        {"name": "a", "low": 1},
        {"name": "b", "high": 7, "when": {"kind": ["x", "y"]}},
        {"name": "c"},
    ]
    assert [rule["name"] for rule in said(without_rule(written, "b"))["rules"]] == ["a", "c"]


def test_a_name_that_is_taken_or_holds_no_letter_is_refused_at_its_field():
    for odd, wrong in (("42", "It needs a name with letters"), ("Pin line", '"pin_line" is there already')):
        with pytest.raises(UsageError, match=wrong) as caught:
            name_for(odd, {"pin_line": 1})
        assert caught.value.field == "label"


def test_times_away_are_written_in_order_of_their_days():
    days = [(dt.date(2026, 9, 3), dt.date(2026, 9, 9)), (dt.date(2026, 8, 3), dt.date(2026, 8, 3))]
    assert with_days_away("", days).strip() == (
        "[bench]\naway = [{first = 2026-08-03, last = 2026-08-03}, {first = 2026-09-03, last = 2026-09-09}]"
    )
