"""The manual of `workshop.toml`: every section and key, its default and what may stand there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass
from types import MappingProxyType
from typing import Any

from estimator.words.settings.rules import ACCEPTED_KEYS, RULE_KEYS
from estimator.words.settings.schema import Bench, Driver, ImportShape, Kind, Modifier, Stage, Workshop
from estimator.words.settings.values import as_written, key_of, settable

SECTIONS: Mapping[str, type] = MappingProxyType(
    {
        "[workshop]": Workshop,
        "[bench]": Bench,
        "[drivers.NAME]": Driver,
        "[modifiers.NAME]": Modifier,
        "[kinds.NAME]": Kind,
        "[stages.NAME]": Stage,
        "[import.NAME]": ImportShape,
    }
)
FORMS = MappingProxyType(
    {
        "str": "text",
        "float": "number",
        "int": "whole number",
        "bool": "true, false",
        "int | str": "whole number, or a driver",
        "tuple[str, ...]": "list of words",
        "tuple[str, ...] | None": "list of names",
        "tuple[float, ...]": "seven numbers",
        "tuple[tuple[float, float], ...]": "list of [times, chance]",
        "tuple[Away, ...]": "list of {first = date, last = date}",
        "tuple[float, float]": "{low = days, high = days}",
        "Mapping[str, str]": '{"a column" = word}',
        "Mapping[str, float]": "{stage = share}",
        "Mapping[str, tuple[float, float]]": "{name = [low, high]}",
        "Mapping[str, tuple[tuple[float, float], ...]]": "{modifier = [[low, high]]}",
    }
)
LABEL = "what you call it; its name where left out"
RULES_SAY = "A rule of thumb: of boards like that, so many in ten fall inside."


@dataclass(frozen=True, slots=True)
class SettingKey:
    """One key of a section: what it says, what may stand there, and what holds where it is left out."""

    key: str
    says: str
    may_be: str
    default: str

    @property
    def sentence(self) -> str:
        """What it says, and in brackets what may stand there and what holds without it.

        >>> SettingKey("places", "boards on the go at once", "whole number, 1 to 50", "3").sentence
        'boards on the go at once (whole number, 1 to 50; 3 where left out)'
        """
        default = f"{self.default} where left out" if self.default else ""
        more = "; ".join(part for part in (self.may_be, default) if part)
        return f"{self.says} ({more})" if more else self.says


@dataclass(frozen=True, slots=True)
class SettingsSection:
    """One section of the file: how its heading is written, what it is, and its keys."""

    heading: str
    says: str
    keys: tuple[SettingKey, ...]

    @property
    def name(self) -> str:
        """Its name alone.

        >>> SettingsSection("[stages.NAME]", "A step of the work.", ()).name
        'stages'
        """
        return self.heading.strip("[]").partition(".")[0]


def settings_manual() -> tuple[SettingsSection, ...]:
    """Every section and key of `workshop.toml`: what it says, what may stand there, its default.

    Made from the settings' own fields, so it cannot differ from what is read. The same each time.

    >>> settings_manual()[1].heading, settings_manual()[1].keys[0].may_be
    ('[bench]', 'whole number, 1 to 50')
    """
    return (*(_section(heading, kind) for heading, kind in SECTIONS.items()), _rules())


def _section(heading: str, kind: type) -> SettingsSection:
    """One section, from the fields that it is read into."""
    says = (kind.__doc__ or "").split(".")[0] + "."
    keys = [
        SettingKey(key_of(f.name), f.metadata.get("manual", LABEL), _may_be(f), _default(f))
        for f in settable(kind)
    ]
    return SettingsSection(heading, says, tuple(keys))


def _rules() -> SettingsSection:
    """The keys of a rule; what may stand there is in what they say."""
    says = f"{RULES_SAY} accepted has the keys {', '.join(ACCEPTED_KEYS)}."
    return SettingsSection(
        "[[rules]]", says, tuple(SettingKey(key, says, "", "") for key, says in RULE_KEYS.items())
    )


def _default(setting: Field[Any]) -> str:
    """What holds where the key is left out."""
    made = setting.default_factory
    value: Any = setting.default if made is MISSING else made()
    if value is None or value == "":
        return ""
    if setting.type == "tuple[float, float]":
        value = dict(zip(("low", "high"), value, strict=True))
    return as_written(value)


def _may_be(setting: Field[Any]) -> str:
    """What may stand there: words, or a form with its limits."""
    choices = setting.metadata.get("choices", ())
    if choices:
        return ", ".join(word or "empty" for word in choices)
    low, high = setting.metadata.get("low"), setting.metadata.get("high")
    limits = f", {low:g} to {high:.10g}" if low is not None and high is not None else ""
    return FORMS[str(setting.type)] + limits
