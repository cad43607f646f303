"""The manual of the settings file holds every key, and says of each what the reader accepts."""

from dataclasses import fields

import pytest

from estimator.words.records import Rule
from estimator.words.settings.manual import SECTIONS, SettingKey, settings_manual
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.rules import RULE_KEYS
from estimator.words.settings.schema import Kind, Modifier, Settings
from estimator.words.settings.values import key_of


def keys():
    """(heading of the section, key) for each key of the manual."""
    return [(section.heading, key) for section in settings_manual() for key in section.keys]


def words():
    """Every word of the manual."""
    texts = [f"{section.heading} {section.says}" for section in settings_manual()]
    return " ".join([*texts, *(f"{key.key} {key.sentence}" for _, key in keys())]).split()


def test_every_field_of_every_section_is_a_key_with_a_text():
    told = {(section, key.key) for section, key in keys() if key.says}
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
    assert {key.key for section, key in keys() if section == "[[rules]]"} == set(RULE_KEYS)


@pytest.mark.parametrize(
    "key",
    [
        SettingKey("target_pay", "pay an hour that you want, before rent", "number, 0 to 10000", "40"),
        SettingKey("ready", "when a board counts as ready", "hard, polished, collected", '"hard"'),
        SettingKey(
            "hours_by_weekday",
            "hours at the bench, Monday first",
            "seven numbers, 0 to 24",
            "[6, 6, 6, 6, 5, 0, 0]",
        ),
        SettingKey(
            "unit",
            "one of m2, ft2, m, ft, kg, lb, or empty for a count",
            "empty, m2, ft2, m, ft, kg, lb",
            "",
        ),
        SettingKey("two_pack", "whether two-pack paint is used here", "true, false", "false"),
        SettingKey("label", "what you call it; its name where left out", "text", ""),
        SettingKey("needs", "waits, by cause, that must be over before it starts", "list of words", "[]"),
    ],
)
def test_keys(key):
    assert key in [one for _, one in keys()]


@pytest.mark.parametrize(
    ("key", "said"),
    [
        (SettingKey("a", "what it says", "text", '"x"'), 'what it says (text; "x" where left out)'),
        (SettingKey("a", "what it says", "text", ""), "what it says (text)"),
        (SettingKey("a", "what it says", "", ""), "what it says"),
    ],
)
def test_a_key_in_one_sentence(key, said):
    assert key.sentence == said


@pytest.mark.parametrize("section", ["[workshop]", "[bench]", "[drivers.x]", "[stages.x]"])
def test_the_defaults_that_it_prints_are_read_back_as_the_defaults(section):
    title = section.replace(".x", ".NAME")
    given = [(key.key, key.default) for heading, key in keys() if heading == title and key.default]
    assert given
    written = "\n".join(f"{key} = {default}" for key, default in given)

    assert parse_settings(f"{section}\n{written}") == parse_settings(section)
    assert parse_settings(section)[1] == ()


def test_no_word_of_the_language_it_is_written_in():
    for word in ("None", "tuple", "str", "dict", "bool", "Mapping"):
        assert word not in words()
    assert all(kind.__doc__ for kind in (Kind, Modifier))


def test_the_names_of_its_sections():
    in_the_file = {"imports": "import"}  # which is no name for a field
    names = [in_the_file.get(f.name, f.name) for f in fields(Settings)]

    assert [section.name for section in settings_manual()] == names
