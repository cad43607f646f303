"""The manual of `workshop.toml`: every section and key, its default and what may stand there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, Field
from types import MappingProxyType
from typing import Any

from estimator.words.settings.rules import ACCEPTED_KEYS, RULE_KEYS
from estimator.words.settings.schema import Bench, Driver, Kind, Modifier, Stage, Workshop
from estimator.words.settings.values import as_written, key_of, settable

SECTIONS: Mapping[str, type] = MappingProxyType(
    {
        "[workshop]": Workshop,
        "[bench]": Bench,
        "[drivers.NAME]": Driver,
        "[modifiers.NAME]": Modifier,
        "[kinds.NAME]": Kind,
        "[stages.NAME]": Stage,
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
        "Mapping[str, tuple[float, float]]": "{name = [low, high]}",
        "Mapping[str, tuple[tuple[float, float], ...]]": "{modifier = [[low, high]]}",
    }
)
LABEL = "what you call it; its name where left out"
RULES_SAY = "A rule of thumb: of boards like that, so many in ten fall inside."


def settings_manual() -> str:
    """Every section and key of `workshop.toml` as Markdown tables: default, what may stand there, meaning.

    Made from the settings' own fields, so it cannot differ from what is read. The same text each time.

    >>> print(settings_manual().splitlines()[0])
    ### `[workshop]`
    """
    parts = [_section(title, kind) for title, kind in SECTIONS.items()]
    return "\n\n".join([*parts, _rules()]) + "\n"


def _section(title: str, kind: type) -> str:
    """One section: its heading, what it is, and its keys."""
    says = (kind.__doc__ or "").split(".")[0] + "."
    rows = [
        (f"`{key_of(f.name)}`", _default(f), _may_be(f), f.metadata.get("manual", LABEL))
        for f in settable(kind)
    ]
    return _table(title, says, ("key", "default", "may be", "what it says"), rows)


def _rules() -> str:
    """The keys of a rule."""
    rows = [(f"`{key}`", says) for key, says in RULE_KEYS.items()]
    accepted = ", ".join(f"`{key}`" for key in ACCEPTED_KEYS)
    return _table(
        "[[rules]]", f"{RULES_SAY} `accepted` has the keys {accepted}.", ("key", "what it says"), rows
    )


def _table(title: str, says: str, heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A heading, a sentence, and a table."""
    lines = [f"### `{title}`", "", says, "", _row(heads), _row(("---",) * len(heads)), *map(_row, rows)]
    return "\n".join(lines)


def _row(cells: tuple[str, ...]) -> str:
    """A line of a Markdown table."""
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _default(setting: Field[Any]) -> str:
    """What holds where the key is left out."""
    made = setting.default_factory
    value: Any = setting.default if made is MISSING else made()
    if value is None or value == "":
        return ""
    if setting.type == "tuple[float, float]":
        value = dict(zip(("low", "high"), value, strict=True))
    return f"`{as_written(value)}`"


def _may_be(setting: Field[Any]) -> str:
    """What may stand there: words, or a form with its limits."""
    choices = setting.metadata.get("choices", ())
    if choices:
        return ", ".join(f"`{word}`" if word else "empty" for word in choices)
    low, high = setting.metadata.get("low"), setting.metadata.get("high")
    limits = f", {low:g} to {high:.10g}" if low is not None and high is not None else ""
    return FORMS[str(setting.type)] + limits
