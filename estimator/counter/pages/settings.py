"""Settings: each with its manual text, changed in place; stages and things to do added, relabelled, retired."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, abort, render_template, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.forms import PageForm, done
from estimator.counter.setting_fields import SettingField, changed_values, fields_of_part
from estimator.counter.setting_rules import added_rule, changed_rule, fields_of_rule, fields_to_add_rule
from estimator.counter.workplace import at_counter
from estimator.log.reading import read_log
from estimator.log.store import Act
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.page_labels import page_label
from estimator.words.phrases import capital
from estimator.words.problems import Problem
from estimator.words.settings.changes import (
    FIRST,
    name_for,
    with_section,
    with_values,
    without_rule,
)
from estimator.words.settings.manual import settings_manual
from estimator.words.settings.reader import KEPT_NAMES, parse_settings
from estimator.words.settings.schema import ONCE, Settings

page = Blueprint("settings", __name__)
ALONE = ("workshop", "bench")  # sections that stand once
NAMED = ("stages", "drivers", "modifiers", "kinds")
RULES = "rules"
BEGUN_WITH: Mapping[str, Mapping[str, Any]] = {"stages": {"drivers": [ONCE], "happens": "sometimes"}}
NOT_KEPT = "Nothing was kept"  # ends an act; why stands at the fields
Change = Callable[[str], str]  # of the text of the file


@dataclass(frozen=True, slots=True)
class SettingsEntry:
    """A thing as the list of settings names it. more: that it is lent, or no longer used"""

    name: str
    label: str
    address: str
    more: str = ""


def _file() -> tuple[dict[str, Any], Settings]:
    """What stands in the settings file, and the settings that it says."""
    now = at_counter().now
    return tomllib.loads(now.raw[1].removeprefix("\ufeff")), now.settings


@page.get("/settings")
def show() -> str:
    """All settings, part by part."""
    raw, settings = _file()
    parts = {part: _entries(part, raw, settings) for part in NAMED}
    rules = [
        SettingsEntry(
            rule["name"],
            rule.get("text") or rule["name"],
            url_for("settings.one", part=RULES, name=rule["name"]),
            "" if rule.get("source", "own") == "own" else page_label("settings-lent"),
        )
        for rule in raw.get(RULES, [])
    ]
    return render_template(
        "settings.html", alone=ALONE, parts={**parts, RULES: rules}, writes=at_counter().writes
    )


def _entries(part: str, raw: Mapping[str, Any], settings: Settings) -> list[SettingsEntry]:
    """The things of a part, in the order of the file."""
    named = settings.label if part in {"stages", "kinds"} else settings.quantity_label
    return [
        SettingsEntry(
            name,
            named(name),
            url_for("settings.one", part=part, name=name),
            page_label("settings-retired") if table.get("retired") else "",
        )
        for name, table in raw.get(part, {}).items()
    ]


@page.get("/settings/<part>")
def section(part: str) -> ResponseReturnValue:
    """A section that stands once."""
    if part not in ALONE:
        abort(404)
    return _shown(part, "", PageForm.blank())


@page.post("/settings/<part>")
def write_section(part: str) -> ResponseReturnValue:
    """A section that stands once, as it shall be."""
    if part not in ALONE:
        abort(404)
    return _write(part, "")


@page.get("/settings/<part>/<board:name>")
def one(part: str, name: str) -> ResponseReturnValue:
    """A stage, a thing to do, what makes it slower, a sort of job, or a rule of thumb."""
    _there(part, name)
    return _shown(part, name, PageForm.blank())


@page.post("/settings/<part>/<board:name>")
def write_one(part: str, name: str) -> ResponseReturnValue:
    """The same as it shall be."""
    _there(part, name)
    return _write(part, name)


@page.post("/settings/<part>/<board:name>/use")
def use(part: str, name: str) -> ResponseReturnValue:
    """A thing retired, or used again; a rule taken out."""
    _there(part, name)
    form = PageForm.sent()
    if part == RULES:
        label, change = f"rule taken out: {name}", lambda text: without_rule(text, name)
    else:
        retired = True if form.ticked("retired") else None
        what = page_label("settings-retired" if retired else "settings-bring-back").casefold()
        label, change = f"{name}: {what}", lambda text: with_values(text, (part, name), {"retired": retired})
    if not _keep(form, label, change, _heading(part, name)):
        return _shown(part, name, form), 422
    return done(url_for("settings.show"))


@page.get("/settings-add/<part>")
def adding(part: str) -> ResponseReturnValue:
    """What is asked of a thing more."""
    if part not in {*NAMED, RULES}:
        abort(404)
    return _adding(part, PageForm.blank())


@page.post("/settings-add/<part>")
def add(part: str) -> ResponseReturnValue:
    """A thing more."""
    if part not in {*NAMED, RULES}:
        abort(404)
    form = PageForm.sent()
    try:
        name, change = _added(part, form)
    except EstimatorError as error:
        form.note(error, "label")
        return _adding(part, form), 422
    if not _keep(form, f"added: {name}", change, _heading(part, name)):
        return _adding(part, form), 422
    return done(url_for("settings.one", part=part, name=name))


def _added(part: str, form: PageForm) -> tuple[str, Change]:
    """The name of a thing more, and how it comes into the file."""
    if part == RULES:
        return added_rule(form, at_counter().clock() or dt.date.today())
    label = " ".join(form.text("label").split())
    name, values = name_for(label, dict.fromkeys(KEPT_NAMES)), {"label": label, **BEGUN_WITH.get(part, {})}
    after = (form.text("after_this") or FIRST) if part == "stages" else ""
    return name, lambda text: with_section(text, (part, name), values, after)


def _adding(part: str, form: PageForm) -> str:
    """The form of a thing more."""
    raw, settings = _file()
    stages = [(name, settings.label(name)) for name in raw.get("stages", {})]
    last = stages[-1][0] if stages else ""
    fields = fields_to_add_rule(settings) if part == RULES else []
    order = [("", page_label("settings-first")), *stages] if part == "stages" else []
    return render_template("settings_add.html", form=form, part=part, fields=fields, order=order, last=last)


def _there(part: str, name: str) -> None:
    """Not found, where there is no such thing."""
    raw, _ = _file()
    known = [rule.get("name") for rule in raw.get(RULES, [])] if part == RULES else raw.get(part, {})
    if part not in {*NAMED, RULES} or name not in known:
        abort(404)


def _heading(part: str, name: str) -> str:
    """How problems name a section."""
    return f'rule "{name}"' if part == RULES else f"[{part}.{name}]" if name else f"[{part}]"


def _table(part: str, name: str) -> Mapping[str, Any]:
    """What stands in the file of it."""
    raw, _ = _file()
    if part == RULES:
        return next(rule for rule in raw[RULES] if rule.get("name") == name)
    table: Mapping[str, Any] = raw.get(part, {})
    return table[name] if name else table


def _fields(part: str, name: str) -> list[SettingField]:
    """What its form asks."""
    table, (_, settings) = _table(part, name), _file()
    return fields_of_rule(table) if part == RULES else fields_of_part(part, table, settings)


def _write(part: str, name: str) -> ResponseReturnValue:
    """What was changed on a form, as one act."""
    form, (_, settings) = PageForm.sent(), _file()
    table, where = _table(part, name), (part, name) if name else (part,)
    change: Change
    try:
        if part == RULES:
            change, keys = changed_rule(form, name, table, at_counter().clock() or dt.date.today())
        else:
            values = changed_values(part, table, settings, form)
            keys, change = list(values), lambda text: with_values(text, where, values)
    except EstimatorError as error:
        form.note(error)
        return _shown(part, name, form), 422
    said = ", ".join(key.replace("_", " ") for key in keys)
    if keys and not _keep(form, f"settings of {name or part}: {said}", change, _heading(part, name)):
        return _shown(part, name, form), 422
    if form.errors:
        return _shown(part, name, form), 422
    return done(url_for("settings.show"))


def _keep(form: PageForm, label: str, change: Change, heading: str) -> bool:
    """Whether the settings are kept as changed; what is wrong with them is noted at its field."""
    if form.errors:
        return False
    counter = at_counter()

    def write(act: Act) -> None:
        if act.again:
            return
        text = change(counter.store.settings_text())
        settings, problems = parse_settings(text)
        for problem in problems:
            _note(form, problem, heading)
        if not problems and (lost := _lost(settings)) is not None:
            form.wrong("", f"{page_label('settings-log-lost')} {lost.sentence()}")
        if form.errors:
            raise UsageError(NOT_KEPT)
        act.settings(text)

    form.write(label, write)
    form.errors = [one for one in form.errors if NOT_KEPT not in one.said]
    return not form.errors


def _lost(settings: Settings) -> Problem | None:
    """The first row of the log that could be read until now, and could not with these settings."""
    now = at_counter().now
    raw, before = now.raw[0], now.settings
    if all(getattr(before, part) == getattr(settings, part) for part in NAMED):
        return None
    _, known, _ = read_log(raw, (), before)
    _, found, _ = read_log(raw, (), settings)
    # by its cell: what is wrong with it names the grades of now
    lost = {(one.where, one.found) for one in known}
    return next((one for one in found if (one.where, one.found) not in lost), None)


def _note(form: PageForm, problem: Problem, heading: str) -> None:
    """A problem noted at the field that it is about."""
    section, *rest = problem.place.path or ("",)
    field = rest[0].partition(",")[0] if section == heading and rest else ""
    found = f"“{problem.found}”: " if problem.found else ""
    wrong = f"{found}{problem.wrong}" if field else f"{problem.where}: {found}{problem.wrong}"
    form.wrong(field, f"{capital(wrong)}. {problem.cure}")


def _shown(part: str, name: str, form: PageForm) -> str:
    """A form of settings, as it stands or as it was typed."""
    _, settings = _file()
    table = _table(part, name)
    manual = next(one for one in settings_manual() if one.name == part)
    label = name
    if part in NAMED:
        label = settings.label(name) if part in {"stages", "kinds"} else settings.quantity_label(name)
    return render_template(
        "settings_form.html",
        form=form,
        part=part,
        name=name,
        label=label,
        says=manual.says if part != RULES else "",
        fields=_fields(part, name),
        typed=form if form.typed else None,
        retired=bool(table.get("retired")),
        writes=at_counter().writes,
        action=url_for("settings.write_one", part=part, name=name)
        if name
        else url_for("settings.write_section", part=part),
    )
