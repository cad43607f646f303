"""The empty workshop that `new` writes, and the settings that every workshop of this trade begins with."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from estimator.log.columns import csv_headers
from estimator.log.files import locked, write_all
from estimator.words.errors import UsageError
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.values import SETTINGS_FILE

SPLIT = "\n[[rules]]\n"


def starter_text() -> str:
    """The text of `workshop.toml` for an empty workshop: the trade, with lent rules of thumb only.

    >>> starter_text().count('source = "own"')
    0
    """
    return settings_of(_piece("starter_shop"))


def settings_of(shop: str, own: str = "") -> str:
    """The settings of a workshop in this trade, whose drivers, modifiers, kinds and stages all share.

    shop: its own sections, as text; own: its own rules, beside which lent ones stay of which they do not speak
    """
    return f"{shop}\n{_piece('trade')}\n{own}{_without_spoken_for(_piece('lent_rules'), own)}"


def _piece(name: str) -> str:
    """One of the settings files that are shipped beside this module."""
    return (resources.files("estimator.log") / f"{name}.toml").read_text("utf-8")


def _without_spoken_for(lent: str, own: str) -> str:
    """The lent rules without those of a rate that an own rule gives."""
    head, *rules = lent.split(SPLIT)
    given = {_rate(rule) for rule in own.split(SPLIT)[1:]} - {None}
    return SPLIT.join([head, *(rule for rule in rules if _rate(rule) not in given)])


def _rate(rule: str) -> tuple[str, ...] | None:
    """The stage and driver lines of a rule that gives a rate, as written; None for another rule."""
    lines = [line for line in rule.splitlines() if line.startswith(("stage = ", "per = "))]
    return tuple(sorted(lines)) if len(lines) == 2 else None


def write_starter(folder: Path) -> list[Path]:
    """Writes an empty workshop into a new or empty folder, and returns the files in order.

    A workshop is never half there. The same bytes each time: UTF-8, lines ended by a line feed.

    Raises
    ------
    UsageError
        If the folder holds anything, or cannot be written.
    """
    text = starter_text()
    settings, _ = parse_settings(text)
    headers = {name: ",".join(columns) + "\n" for name, columns in csv_headers(settings).items()}
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise UsageError(f"{folder} is not empty.", "Name a new folder, or an empty one.")
        write_workshop(folder, {**headers, SETTINGS_FILE: text})
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return [folder / name for name in (SETTINGS_FILE, *headers)]


def write_workshop(folder: Path, files: Mapping[str, str]) -> None:
    """Writes the files of a workshop into a folder, all or none; the folder goes again if it was new.

    Raises OSError where the folder cannot be written.
    """
    made = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with locked(folder):
            write_all(folder, files)
    except OSError:
        if made:
            folder.rmdir()
        raise
