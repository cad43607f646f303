"""`workshop.toml` as settings, section by section, with a problem for each slip in it; all of them at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from estimator.words import dates as public_holidays
from estimator.words.actions import Action
from estimator.words.errors import SettingsError, UsageError
from estimator.words.problems import Place, Problem, in_order
from estimator.words.records import WAIT_CAUSES
from estimator.words.settings.checks import across
from estimator.words.settings.rules import read_rules
from estimator.words.settings.schema import (
    FEET,
    TENTHS,
    Away,
    Bench,
    Driver,
    ImportShape,
    Kind,
    Modifier,
    Settings,
    Stage,
    Workshop,
)
from estimator.words.settings.values import (
    PLAIN_NAME,
    SETTINGS_FILE,
    Pair,
    SettingPath,
    Table,
    amounts,
    day,
    fields_of,
    nearest,
    number,
    pair,
    pairs,
    section,
    section_place,
    shown,
    text,
    unknown_keys,
    whole,
    words,
)

SECTIONS = ("workshop", "bench", "drivers", "modifiers", "kinds", "stages", "rules", "import")
KEPT_NAMES = ("once", "shop", "kind", "length", "length_ft", "width", "guess", "unplanned")
DAYS_IN_A_WEEK = 7
MOST_DAYS, MOST_SESSIONS, MOST_TIMES = 3650.0, 100.0, 100.0

Named = TypeVar("Named", Driver, Modifier, Kind, Stage, ImportShape)
Readers = Mapping[str, Callable[[Any, SettingPath], Any]]


def read_sections(raw: Table, problems: list[Problem]) -> Settings:
    """The settings that the sections say; slips are added to `problems` and fall back to defaults."""
    for name in raw:
        if name not in SECTIONS:
            place = SettingPath(section_place(shown(name)), problems)
            place.wrong("", "no such section is known here", nearest(name, SECTIONS))
    settings = Settings(
        workshop=Workshop(**_one(Workshop, raw, problems, {"requote": _requote})),
        bench=Bench(**_one(Bench, raw, problems, BENCH_READERS)),
        drivers=_named(Driver, "drivers", raw, problems, {}),
        modifiers=_named(Modifier, "modifiers", raw, problems, {}),
        kinds={},
        stages=_named(Stage, "stages", raw, problems, STAGE_READERS),
        imports=_named(ImportShape, "import", raw, problems, IMPORT_READERS),
    )
    settings = replace(settings, kinds=_named(Kind, "kinds", raw, problems, {"usual": _usual_of(settings)}))
    return replace(settings, rules=read_rules(raw.get("rules", []), settings, problems))


def _one(kind: type, raw: Table, problems: list[Problem], readers: Readers) -> dict[str, Any]:
    """The fields of a section that stands once."""
    name = kind.__name__.lower()
    place = SettingPath(section_place(name), problems)
    table = section(raw.get(name, {}), place, example=f"[{name}] with its keys below it")
    return {} if table is None else fields_of(kind, table, place, readers)


def _named(
    kind: type[Named], part: str, raw: Table, problems: list[Problem], readers: Readers
) -> dict[str, Named]:
    """The sections [part.NAME], by name."""
    whole_part = SettingPath(section_place(part), problems)
    tables = section(raw.get(part, {}), whole_part, example=f"[{part}.NAME] with its keys below it") or {}
    read: dict[str, Named] = {}
    for name, body in tables.items():
        place = SettingPath(section_place(f"{part}.{shown(name)}"), problems)
        if name in KEPT_NAMES:
            place.wrong(
                name, "this name is kept for something else", "Choose another; its label may be anything."
            )
        elif not PLAIN_NAME.fullmatch(name):
            cure = "Use letters a to z, figures and _, a letter first; its label may be anything."
            place.wrong(name, "that is not a plain lower-case word", cure)
        table = section(body, place, example=f"[{part}.NAME] with its keys below it")
        if table is not None:
            read[name] = kind(name=name, **fields_of(kind, table, place, readers))
    return read


def _requote(value: Any, place: SettingPath) -> tuple[Pair, ...] | None:
    """Pairs of times the old price, and the chance that an owner takes it."""
    if (
        not isinstance(value, list)
        or not value
        or not all(isinstance(one, list) and len(one) == 2 for one in value)
    ):
        place.wrong(
            value, "pairs of a price and a chance belong here", "Write them as [[1, 0.95], [1.5, 0.4]]."
        )
        return None
    read = [
        (
            number(times, replace(place, low=0.0, high=MOST_TIMES, default=None)),
            number(chance, replace(place, low=0.0, high=1.0, default=None)),
        )
        for times, chance in value
    ]
    said = tuple((times, chance) for times, chance in read if times is not None and chance is not None)
    return said if len(said) == len(read) else None


def _week(value: Any, place: SettingPath) -> tuple[float, ...] | None:
    """Hours of the seven days, Monday first."""
    if not isinstance(value, list) or len(value) != DAYS_IN_A_WEEK:
        place.wrong(value, "seven numbers belong here, Monday first", "Write them as [6, 6, 6, 6, 5, 0, 0].")
        return None
    hours = [number(one, replace(place, default=None)) for one in value]
    week = tuple(one for one in hours if one is not None)
    if len(week) < DAYS_IN_A_WEEK:
        return None
    if not any(week):
        place.wrong(value, "a week without an hour finishes no board", "Write the hours of an ordinary week.")
        return None
    return week


def _away(value: Any, place: SettingPath) -> tuple[Away, ...] | None:
    """Days away, each with a first and a last."""
    if not isinstance(value, list):
        place.wrong(value, "a list belongs here", "Write it as [{first = 2026-08-03, last = 2026-08-16}].")
        return None
    read = []
    for count, one in enumerate(value, 1):
        here = place.at(f"number {count}")
        table = section(one, here, example="{first = 2026-08-03, last = 2026-08-16}")
        if table is None:
            continue
        unknown_keys(table, ("first", "last"), here)
        ends = [day(table.get(key, ""), here.at(key)) for key in ("first", "last")]
        first, last = ends
        if first is not None and last is not None and last < first:
            here.wrong(one, "the last day comes before the first", "Swap the two, or mend one.")
        elif first is not None and last is not None:
            read.append(Away(first, last))
    return tuple(read)


def _holidays(value: Any, place: SettingPath) -> str | None:
    """A country or region whose public holidays are free; nothing is looked up where none is named."""
    code = text(value, place)
    if code and not public_holidays.known(code):
        place.wrong(value, "that is no country or region known here", public_holidays.nearest_code(code))
        return None
    return code


def _wait_days(value: Any, place: SettingPath) -> Pair | None:
    """{low, high} in days."""
    table = section(value, place, example="wait_days = {low = 1, high = 3}")
    if table is None:
        return None
    unknown_keys(table, ("low", "high"), place)
    if not {"low", "high"} <= set(table):
        place.wrong(value, "the wait has not both its ends", "Write it as wait_days = {low = 1, high = 3}.")
        return None
    return pair([table["low"], table["high"]], replace(place, low=0.0, high=MOST_DAYS, default=None))


def _wait_by(value: Any, place: SettingPath) -> dict[str, tuple[Pair, ...]] | None:
    """One modifier, with [low, high] in days for each of its grades."""
    table = section(value, place, example="wait_by = {wetness = [[0, 0], [5, 16]]}")
    if table is None:
        return None
    if len(table) > 1:
        place.wrong(value, "one modifier belongs here", "Name one, with [low, high] for each of its grades.")
        return None
    days = {
        name: pairs(rows, replace(place.at(shown(name)), low=0.0, high=MOST_DAYS, default=None))
        for name, rows in table.items()
    }
    return {name: rows for name, rows in days.items() if rows is not None}


def _sessions(value: Any, place: SettingPath) -> int | str | None:
    """A number of sessions, or the name of a driver."""
    if isinstance(value, str):
        return value
    return whole(value, replace(place, low=1.0, high=MOST_SESSIONS))


def _reopens(value: Any, place: SettingPath) -> dict[str, float] | None:
    """Stages, each with the share of it that is done once more."""
    table = section(value, place, example="reopens = {sand = 0.3, gloss = 1.0}")
    if table is None:
        return None
    read = {
        name: number(share, replace(place.at(shown(name)), low=0.0, high=1.0, default=None))
        for name, share in table.items()
    }
    return {name: share for name, share in read.items() if share}


def _needs(value: Any, place: SettingPath) -> tuple[str, ...] | None:
    """Causes of waits."""
    return words(value, replace(place, choices=WAIT_CAUSES))


def _usual_of(settings: Settings) -> Callable[[Any, SettingPath], dict[str, Pair] | None]:
    """A reader of what a kind of board usually has, each as [low, high]."""

    def usual(value: Any, place: SettingPath) -> dict[str, Pair] | None:
        table = section(value, place, example="usual = {infills = [1, 5]}")
        if table is None:
            return None
        known = (*settings.drivers, *settings.modifiers)
        unknown_keys(table, known, place)
        read = {name: amounts(table[name], name, settings, place.at(name)) for name in table if name in known}
        return {name: ends for name, ends in read.items() if ends is not None}

    return usual


def _texts(value: Any, place: SettingPath) -> dict[str, str] | None:
    """Texts by the names of somebody's columns."""
    table = section(value, place, example='{"Board length" = "length"}') or {}
    read = {name: text(one, place.at(shown(name))) for name, one in table.items()}
    return {name: one for name, one in read.items() if one is not None}


def _chosen(*choices: str) -> Callable[[Any, SettingPath], dict[str, str] | None]:
    """A reader of one of several words by the names of somebody's columns."""

    def chosen(value: Any, place: SettingPath) -> dict[str, str] | None:
        table = section(value, place, example=f'{{"a column" = "{choices[0]}"}}') or {}
        meant = {
            name: text(one, replace(place.at(shown(name)), choices=choices)) for name, one in table.items()
        }
        return {name: one for name, one in meant.items() if one is not None}

    return chosen


IMPORT_READERS: Readers = {
    "columns": _texts,
    "blanks": _chosen("none", "unknown"),
    "feet": _chosen(FEET, TENTHS),
}
STAGE_READERS: Readers = {
    "wait_days": _wait_days,
    "wait_by": _wait_by,
    "sessions": _sessions,
    "needs": _needs,
    "reopens": _reopens,
}
BENCH_READERS: Readers = {"hours_by_weekday": _week, "away": _away, "holidays": _holidays}


SAID_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
DECIMAL_COMMA = re.compile(r"=\s*-?(\d+),(\d+)\s*(#.*)?$")
A_LINE = (
    "this line cannot be read",
    "Write [section], or key = value; a text stands between quotation marks, a list between [ and ].",
)
SLIPS = {  # how the reader of the format begins what it says: what we say
    "Cannot": ("this name was given before", "Keep one of the two, with all that belongs to it."),
    "Duplicate": ("this name was given before", "Keep one of the two."),
    r"Illegal character '\n'": ("a text has no end", "End it with a quotation mark."),
    "Illegal character": ("there is a sign that cannot stand here", "Take it out."),
    "Unterminated": ("a text has no end", "End it with a quotation mark."),
    "Unclosed": ("a list has no end", "Close it with ] or }."),
    "Invalid date": ("there is no such day", "Write a day of the calendar, as 2026-08-03."),
}


def _folder_named(folder: Path) -> str:
    """The folder as it was given; the current one in words."""
    return "this folder" if folder == Path() else str(folder)


def read_settings(folder: Path) -> tuple[Settings, tuple[Problem, ...]]:
    """The settings of the workshop in a folder, and every problem of its settings file.

    With problems, the settings hold what could be read; ask for no forecast of them.

    Raises
    ------
    UsageError
        If the folder has no settings file, or it cannot be opened.
    """
    try:
        return parse_settings(decoded_settings(settings_bytes(folder)))
    except SettingsError as error:
        return Settings(), error.problems


def settings_bytes(folder: Path) -> bytes:
    """What stands in the settings file of a folder; raises UsageError where there is none, or it cannot be opened."""
    path = folder / SETTINGS_FILE
    if not path.is_file():
        raise UsageError(
            f"There is no workshop here: {_folder_named(folder)} has no {SETTINGS_FILE}.",
            "Name the folder of yours, or begin a new one.",
            field="folder",
            action=Action("new", fields={"folder": ""}),
        )
    try:
        return path.read_bytes()
    except OSError as error:
        raise UsageError(
            f"{path} cannot be opened.", "Ask for leave to read it, or close what holds it."
        ) from error


def decoded_settings(written: bytes) -> str:
    """The text of a settings file; raises SettingsError where a letter is not written in UTF-8."""
    try:
        return written.decode("utf-8")
    except UnicodeDecodeError as error:
        before = written[: error.start].decode("utf-8").split("\n")
        problem = Problem(
            Place(SETTINGS_FILE, row=len(before)),
            shown(before[-1]),
            "there is a letter after this that is not written in UTF-8",
            "Save the file again with the encoding UTF-8.",
        )
        raise SettingsError((problem,)) from error


@lru_cache(maxsize=8)
def parse_settings(written: str) -> tuple[Settings, tuple[Problem, ...]]:
    """The settings that a text in the form of `workshop.toml` says, and every problem in it, by place.

    >>> settings, problems = parse_settings('''
    ... [drivers.area]
    ... [stages.strip]
    ... drivers = ["once", "aera"]
    ... ''')
    >>> print(problems[0].said())
    workshop.toml, [stages.strip], drivers: "aera": there is no such driver.
    >>> print(problems[0].cure)
    The nearest name known here is area.
    """
    try:
        raw = tomllib.loads(written.removeprefix("\ufeff"))
    except RecursionError:
        return Settings(), (
            Problem(Place(SETTINGS_FILE), "", "lists stand in lists without end", "Mend the brackets."),
        )
    except ValueError as error:
        return Settings(), (_broken(str(error), written),)
    problems: list[Problem] = []
    settings = read_sections(raw, problems)
    return settings.without_retired(), in_order([*problems, *across(settings)])


def _broken(said: str, written: str) -> Problem:
    """The line at which the text stops being a settings file."""
    place = SAID_AT.search(said)
    lines = written.splitlines()
    if place is None:
        return Problem(Place(SETTINGS_FILE), "", "a number in it is too long to read", "Mend the number.")
    number = int(place[1]) if place[1] else max(len(lines), 1)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    comma = DECIMAL_COMMA.search(line)
    wrong, cure = next((slip for begins, slip in SLIPS.items() if said.startswith(begins)), A_LINE)
    if place[1] is None and wrong == A_LINE[0]:
        wrong, cure = "the file ends in the middle of a value", "Finish it, or close its bracket."
    elif comma:
        wrong, cure = "a comma stands in a number", f"Write {comma[1]}.{comma[2]} with a point."
    return Problem(Place(SETTINGS_FILE, row=number), shown(line), wrong, cure)
