"""`workshop.toml` as settings, with a problem for each slip in it; all of them at once."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from estimator.words.errors import UsageError
from estimator.words.problems import Problem, in_order
from estimator.words.settings import Settings
from estimator.words.settings_check import across
from estimator.words.settings_sections import read_sections
from estimator.words.settings_values import SETTINGS_FILE, shown

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


def _named(folder: Path) -> str:
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
    path = folder / SETTINGS_FILE
    if not path.is_file():
        raise UsageError(
            f"There is no workshop here: {_named(folder)} has no {SETTINGS_FILE}.",
            "Start one with `estimator new FOLDER`, or name yours with --shop.",
        )
    try:
        written = path.read_bytes()
    except OSError as error:
        raise UsageError(
            f"{path} cannot be opened.", "Ask for leave to read it, or close what holds it."
        ) from error
    try:
        return parse_settings(written.decode("utf-8"))
    except UnicodeDecodeError as error:
        before = written[: error.start].decode("utf-8").split("\n")
        return Settings(), (
            Problem(
                f"{SETTINGS_FILE}, line {len(before)}",
                shown(before[-1]),
                "there is a letter after this that is not written in UTF-8",
                "Save the file again with the encoding UTF-8.",
            ),
        )


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
            Problem(SETTINGS_FILE, "", "lists stand in lists without end", "Mend the brackets."),
        )
    except ValueError as error:
        return Settings(), (_broken(str(error), written),)
    problems: list[Problem] = []
    settings = read_sections(raw, problems)
    return settings, in_order([*problems, *across(settings)])


def _broken(said: str, written: str) -> Problem:
    """The line at which the text stops being a settings file."""
    place = SAID_AT.search(said)
    lines = written.splitlines()
    if place is None:
        return Problem(SETTINGS_FILE, "", "a number in it is too long to read", "Mend the number.")
    number = int(place[1]) if place[1] else max(len(lines), 1)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    comma = DECIMAL_COMMA.search(line)
    wrong, cure = next((slip for begins, slip in SLIPS.items() if said.startswith(begins)), A_LINE)
    if place[1] is None and wrong == A_LINE[0]:
        wrong, cure = "the file ends in the middle of a value", "Finish it, or close its bracket."
    elif comma:
        wrong, cure = "a comma stands in a number", f"Write {comma[1]}.{comma[2]} with a point."
    return Problem(f"{SETTINGS_FILE}, line {number}", shown(line), wrong, cure)
