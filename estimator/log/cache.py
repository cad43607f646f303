"""Texts kept beside the log so that nothing is worked out twice; a folder that cannot be written is no error."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

CACHE = ".estimator"


def keep(path: Path, text: str) -> None:
    """Writes a file whole or not at all; one of the same name but for what follows its last dash gives way."""
    try:
        path.parent.mkdir(exist_ok=True)
        for old in path.parent.glob(f"{path.name.rsplit('-', 1)[0]}-*.json"):
            old.unlink()
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(path)
    except OSError:
        return


def kept(path: Path) -> str:
    """The text of a file, empty where it cannot be read."""
    try:
        return path.read_text("utf-8")
    except (OSError, UnicodeDecodeError):
        return ""
