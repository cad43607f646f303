"""Six rules of thumb as a restorer says them, and each as a rule of the settings in place of a lent one."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from estimator.words.measures import number
from estimator.words.records import Rule
from estimator.words.settings.changes import with_rule, without_rule
from estimator.words.settings.edit import MARK, RULES
from estimator.words.settings.schema import Settings

ODDS = 0.8  # of ten, the quickest and the slowest lie at the ends
LONG = (8.5, 10.5)  # feet of a long board; common practice, no source


@dataclass(frozen=True, slots=True)
class Thumb:
    """A rule of thumb that is asked for.

    name: in the settings; text: with both ends, as it reads there; needs: stages and quantities without which it is
    not asked; table: what stands in it beside its ends
    """

    name: str
    text: str
    needs: tuple[str, ...]
    table: Mapping[str, Any] = field(default_factory=dict)

    @property
    def days(self) -> bool:
        """Whether its ends are days, not hours."""
        return self.table.get("about") == "days"


THUMBS: Mapping[str, Thumb] = {
    "strip": Thumb(
        "strip a long board",
        "Of ten long boards stripped on both sides, the quickest takes {} h and the slowest {} h",
        ("strip", "sides_stripped", "glass_stripped"),
        {
            "stage": "strip",
            "when": {"length_ft": list(LONG), "sides_stripped": 2},
            "board": {"sides_stripped": 2, "glass_stripped": 2.7},
        },
    ),
    "first-colour": Thumb(
        "first colour",
        "Of ten boards with one colour, laid out, masked and sprayed, the quickest takes {} h and the slowest {} h",
        ("spray", "spray_colours"),
        {"stage": "spray", "when": {"spray_colours": 1}, "board": {"spray_colours": 1}},
    ),
    "next-colour": Thumb(
        "each further colour",
        "Of ten further colours, the quickest takes {} h and the slowest {} h",
        ("spray", "spray_colours"),
        {"stage": "spray", "per": "spray_colours"},
    ),
    "infill": Thumb(
        "let in a piece",
        "Of ten pieces of foam let in, the quickest takes {} h and the slowest {} h",
        ("infill", "infills"),
        {"stage": "infill", "per": "infills"},
    ),
    "sand": Thumb(
        "sanding a long board",
        "Of ten long boards sanded on both sides, the quickest takes {} h and the slowest {} h",
        ("sand", "sides_coated", "coated_area"),
        {
            "stage": "sand",
            "when": {"length_ft": list(LONG), "sides_coated": 2},
            "board": {"sides_coated": 2, "coated_area": 2.7},
        },
    ),
    "drying": Thumb(
        "drying when properly wet",
        "Of ten boards that are properly wet, the quickest dries in {} days and the slowest in {} days",
        ("drying", "wetness"),
        {"about": "days", "wait": "drying", "when": {"wetness": ["wet", "soaked"]}},
    ),
}


def thumbs_asked(settings: Settings) -> tuple[str, ...]:
    """The rules of thumb that are asked for where the work has these stages and quantities."""
    there = {*settings.stages, *settings.quantities}
    wet = settings.modifiers.get("wetness")
    grades = wet is not None and {"wet", "soaked"} <= set(wet.grades)
    return tuple(
        name
        for name, thumb in THUMBS.items()
        if there.issuperset(thumb.needs) and ("wetness" not in thumb.needs or grades)
    )


def rule_of(name: str, settings: Settings) -> Rule | None:
    """The restorer's own rule of thumb of that kind; None where he has said none."""
    return next((rule for rule in settings.rules if rule.name == THUMBS[name].name and rule.own), None)


def with_own_rule(written: str, name: str, low: float, high: float, said: dt.date) -> str:
    """The text of a settings file with a rule of thumb of the restorer's own; a lent one gives way.

    name: as THUMBS has it; low, high: what the quickest and the slowest of ten take

    Raises UsageError where the file cannot be changed so.
    """
    thumb = THUMBS[name]
    for rule in tomllib.loads(written.removeprefix(MARK)).get(RULES, []):
        if _replaced(rule, thumb):
            written = without_rule(written, rule["name"])
    return with_rule(written, _values(thumb, low, high, said))


def _replaced(rule: Mapping[str, Any], thumb: Thumb) -> bool:
    """Whether a rule in the file gives way: his own of that name, or a lent one that gives the same rate."""
    own = rule.get("source", "own") == "own"
    if rule.get("name") == thumb.name:
        return True
    same = all(rule.get(key) == thumb.table.get(key) for key in ("stage", "per", "wait", "when"))
    return same and not own


def _values(thumb: Thumb, low: float, high: float, said: dt.date) -> Mapping[str, Any]:
    """A rule as the file has it, each of its tables on one line."""
    import tomlkit

    values: dict[str, Any] = {"name": thumb.name, "text": thumb.text.format(number(low), number(high))}
    for key, value in thumb.table.items():
        if isinstance(value, Mapping):
            line = tomlkit.inline_table()
            line.update(value)
            values[key] = line
        else:
            values[key] = value
    return {**values, "low": low, "high": high, "odds": ODDS, "said": said, "source": "own"}
