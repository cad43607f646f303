"""`settings` prints the manual of workshop.toml, and needs no workshop for it."""

import json

import pytest


def test_one_section(run):
    said = run("settings", "bench").stdout.splitlines()

    assert said[:3] == [
        "[bench]",
        "How many boards, how many hours, and when not.",
        f"{'key':29}  what it says",
    ]
    assert said[3] == (
        f"{'places':29}  boards on the go at once; drying boards don't count "
        "(whole number, 1 to 50; 3 where left out)"
    )
    assert len(said) == 3 + 7


@pytest.mark.parametrize("written", ["stages", "[ stages ]", "[stages.NAME]", "[stages.strip]", "Stages"])
def test_a_section_as_it_stands_in_the_file(run, written):
    assert run("settings", written).stdout.startswith("[stages.NAME]\nA step of the work")


def test_all_sections_in_order(run):
    said = run("settings").stdout.splitlines()

    assert [line for line in said if line.startswith("[")] == [
        "[workshop]",
        "[bench]",
        "[drivers.NAME]",
        "[modifiers.NAME]",
        "[kinds.NAME]",
        "[stages.NAME]",
        "[import.NAME]",
        "[[rules]]",
    ]


def test_an_unknown_section_is_wrong_use(run):
    result = run("settings", "colours", exit_code=2)

    assert result.stdout == ""
    assert result.stderr == (
        'There is no section "colours". '
        "Sections are workshop, bench, drivers, modifiers, kinds, stages, import and rules.\n"
    )


def test_as_json(run):
    (section,) = json.loads(run("settings", "bench", "--json").stdout)["sections"]

    assert section["section"] == "bench"
    assert section["keys"][0] == {
        "key": "places",
        "says": "boards on the go at once; drying boards don't count",
        "may_be": "whole number, 1 to 50",
        "default": "3",
    }
