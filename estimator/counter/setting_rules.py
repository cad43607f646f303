"""Rules of thumb as forms: in the restorer's words, the quickest and the slowest of ten."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from estimator.counter.forms import PageForm
from estimator.counter.setting_fields import (
    NUMBER,
    ONE_OF,
    TEXT,
    SettingField,
    in_page_words,
    number_of,
    number_text,
)
from estimator.words.errors import UsageError
from estimator.words.page_labels import page_label
from estimator.words.settings.changes import with_rule, with_rule_values
from estimator.words.settings.rules import RULE_KEYS
from estimator.words.settings.schema import ONCE, Settings

FIGURES = ("low", "high", "odds", "share", "worth")
SAID_ANEW = (
    "low",
    "high",
    "share",
)  # figures that make it another rule: it is judged by what comes from then on
OWN = "own"
Change = Callable[[str], str]


def fields_of_rule(table: Mapping[str, Any]) -> list[SettingField]:
    """The fields of a rule that is there; table: what stands in the file."""
    return [
        _field("text", TEXT, page_label("settings-in-words"), str(table.get("text", ""))),
        *(
            _field(key, NUMBER, page_label(f"settings-{key}"), number_text(table[key]))
            for key in FIGURES
            if key in table
        ),
    ]


def _field(key: str, kind: str, label: str, text: str = "", **more: Any) -> SettingField:
    return SettingField(
        key, kind, label, in_page_words(RULE_KEYS[key]) if key == "name" else "", text, **more
    )


def fields_to_add_rule(settings: Settings) -> list[SettingField]:
    """The fields of a rule more: a rate of a stage, or its hours in all."""
    stages = tuple(
        (name, settings.label(name)) for name, stage in settings.stages.items() if not stage.retired
    )
    drivers = tuple((name, settings.quantity_label(name)) for name in settings.drivers)
    return [
        _field("name", TEXT, page_label("settings-called")),
        _field("text", TEXT, page_label("settings-in-words")),
        _field("stage", ONE_OF, page_label("settings-about-stage"), choices=stages),
        _field(
            "per", ONE_OF, page_label("settings-about-per"), choices=((ONCE, settings.label(ONCE)), *drivers)
        ),
        _field("low", NUMBER, page_label("settings-quickest")),
        _field("high", NUMBER, page_label("settings-slowest")),
    ]


def changed_rule(
    form: PageForm, name: str, table: Mapping[str, Any], today: dt.date
) -> tuple[Change, list[str]]:
    """How the file changes by a form, and the keys that do.

    A rule that is said in other figures is one's own from then on, and said on that day.
    """
    values: dict[str, Any] = {}
    for field in fields_of_rule(table):
        typed = " ".join(form.text(field.key).split())
        if typed != field.text:
            values[field.key] = (number_of(typed) if field.kind == NUMBER else typed) if typed else None
    keys = list(values)
    if any(key in SAID_ANEW for key in keys):
        values |= {"said": today, **({"source": OWN} if table.get("source", OWN) != OWN else {})}
    return (lambda text: with_rule_values(text, name, values)), keys


def added_rule(form: PageForm, today: dt.date) -> tuple[str, Change]:
    """The name of a rule more, and how it comes into the file.

    Raises UsageError where it has no name.
    """
    name = " ".join(form.text("name").split())
    if not name:
        raise UsageError("The rule has no name.", "Give it a short name of its own.", field="name")
    values = {
        "name": name,
        "text": " ".join(form.text("text").split()) or None,
        "stage": form.text("stage") or None,
        "per": form.text("per") or None,
        "low": number_of(form.text("low")),
        "high": number_of(form.text("high")),
        "odds": 0.8,  # the quickest and the slowest of ten: eight lie between
        "said": today,
    }
    return name, lambda text: with_rule(text, values)
