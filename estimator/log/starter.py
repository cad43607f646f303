"""The empty workshop that `new` writes, and the settings of the invented one."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Literal

from estimator.log.columns import csv_headers
from estimator.words.errors import UsageError
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.values import SETTINGS_FILE

SPLIT = "\n[[rules]]\n"


def settings_text(which: Literal["starter", "demo"]) -> str:
    """The text of `workshop.toml` for an empty workshop, or for the invented one.

    Both share the trade: drivers, modifiers, kinds and stages. The starter has lent rules of thumb only; the
    invented restorer has rules of his own, and keeps the lent ones of which they do not speak.

    >>> settings_text("demo").count('source = "own"')
    12
    """
    own = "" if which == "starter" else _piece("demo_rules") + "\n"
    return (
        f"{_piece(f'{which}_shop')}\n{_piece('trade')}\n{own}{_without_spoken_for(_piece('lent_rules'), own)}"
    )


def is_demo(folder: Path) -> bool:
    """Whether a folder holds the invented workshop."""
    try:
        with (folder / SETTINGS_FILE).open(encoding="utf-8") as file:
            return file.readline() == _piece("demo_shop").partition("\n")[0] + "\n"
    except (OSError, UnicodeDecodeError):
        return False


def _piece(name: str) -> str:
    """One of the settings files that are shipped beside this module."""
    return (
        resources.files(f"estimator.{'demo' if name.startswith('demo') else 'log'}") / f"{name}.toml"
    ).read_text("utf-8")


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

    All of them are written apart first and then moved into place, the settings last, so a workshop is never
    half there. The same bytes each time: UTF-8, lines ended by a line feed.

    Raises
    ------
    UsageError
        If the folder holds anything, or cannot be written.
    """
    text = settings_text("starter")
    settings, _ = parse_settings(text)
    headers = {name: ",".join(columns) + "\n" for name, columns in csv_headers(settings).items()}
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise UsageError(f"{folder} is not empty.", "Name a new folder, or an empty one.")
        write_all(folder, {**headers, SETTINGS_FILE: text})
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return [folder / name for name in (SETTINGS_FILE, *headers)]


def write_all(folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Writes files into a folder, in order: all apart first, then moved into place, so that none is half there.

    A file that was there before keeps its rights. Where one cannot be written, each is again what it was, and the
    folder goes if it is new. A text is written as UTF-8.

    Raises OSError where the folder cannot be written.
    """
    made = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    before = {name: (folder / name).read_bytes() for name in files if (folder / name).exists()}
    moved: list[str] = []
    try:
        with tempfile.TemporaryDirectory(prefix=".new-", dir=folder) as apart:
            for name, content in files.items():
                part = Path(apart) / name
                part.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
                if name in before:
                    part.chmod((folder / name).stat().st_mode)
            for name in files:
                (Path(apart) / name).replace(folder / name)
                moved.append(name)
    except OSError:
        for name in moved:
            if name in before:
                (folder / name).write_bytes(before[name])
            else:
                (folder / name).unlink(missing_ok=True)
        if made:
            folder.rmdir()
        raise
