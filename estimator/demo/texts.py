"""The settings of the invented workshop, and how its folder is known again."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from estimator.words.settings.values import SETTINGS_FILE


def demo_text() -> str:
    """The text of `workshop.toml` for the invented workshop: a trade that all share, and rules of his own.

    >>> demo_text().count('source = "own"')
    12
    """
    from estimator.log.starter import settings_of  # whoever asks whether it is one writes none

    return settings_of(_piece("demo_shop"), _piece("demo_rules") + "\n")


def is_demo(folder: Path) -> bool:
    """Whether a folder holds the invented workshop."""
    try:
        with (folder / SETTINGS_FILE).open(encoding="utf-8") as file:
            return file.readline() == _piece("demo_shop").partition("\n")[0] + "\n"
    except (OSError, UnicodeDecodeError):
        return False


def _piece(name: str) -> str:
    """One of the settings files that are shipped beside this module."""
    return (resources.files("estimator.demo") / f"{name}.toml").read_text("utf-8")
