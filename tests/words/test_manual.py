"""The manual of the settings file holds every key, and says of each what the reader accepts."""

from dataclasses import fields

import pytest

from estimator.words.rules import Rule
from estimator.words.settings.manual import SECTIONS, settings_manual
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.rules import RULE_KEYS
from estimator.words.settings.schema import Kind, Modifier, Settings
from estimator.words.settings.values import key_of


def rows():
    """(section, cells) for each line of the tables."""
    section = ""
    for line in settings_manual().splitlines():
        if line.startswith("### "):
            section = line.strip("#` ")
        elif line.startswith("| `"):
            yield section, [cell.strip() for cell in line.strip("|").split(" | ")]


def test_every_field_of_every_section_is_a_key_with_a_text():
    told = {(section, cells[0].strip("`")) for section, cells in rows() if cells[-1]}
    wanted = {
        (title, key_of(f.name))
        for title, kind in SECTIONS.items()
        for f in fields(kind)
        if f.name != "name" or title == "[workshop]"
    }

    assert {key for key in told if key[0] != "[[rules]]"} == wanted
    assert len(SECTIONS) == len(fields(Settings)) - 1  # the rules stand apart


def test_every_field_of_a_rule_is_a_key():
    assert set(RULE_KEYS) == {f.name for f in fields(Rule)} - {"where"}
    assert {cells[0].strip("`") for section, cells in rows() if section == "[[rules]]"} == set(RULE_KEYS)


@pytest.mark.parametrize(
    "line",
    [
        "| `target_pay` | `40` | number, 0 to 10000 | pay an hour that you want, before rent |",
        '| `ready` | `"hard"` | `hard`, `polished`, `collected` | when a board counts as ready |',
        "| `hours_by_weekday` | `[6, 6, 6, 6, 5, 0, 0]` | seven numbers, 0 to 24 | hours at the bench, Monday first |",
        "| `two_pack` | `false` | true, false | whether two-pack paint is used here |",
        "| `label` |  | text | what you call it; its name where left out |",
        "| `needs` | `[]` | list of words | waits, by cause, that must be over before it starts |",
    ],
)
def test_lines(line):
    assert line in settings_manual().splitlines()


@pytest.mark.parametrize("section", ["[workshop]", "[bench]", "[drivers.x]", "[stages.x]"])
def test_the_defaults_that_it_prints_are_read_back_as_the_defaults(section):
    title = section.replace(".x", ".NAME")
    given = [(c[0].strip("`"), c[1].strip("`")) for s, c in rows() if s == title and c[1]]
    assert given
    keys = "\n".join(f"{key} = {default}" for key, default in given)

    assert parse_settings(f"{section}\n{keys}") == parse_settings(section)
    assert parse_settings(section)[1] == ()


def test_no_word_of_the_language_it_is_written_in():
    for word in ("None", "tuple", "str", "dict", "bool", "Mapping"):
        assert word not in settings_manual().replace("`", " ").split()
    assert all(kind.__doc__ for kind in (Kind, Modifier))


def test_it_is_the_same_each_time():
    assert settings_manual() == settings_manual()
    assert settings_manual().endswith("|\n")
