"""Texts kept beside the log so that nothing is worked out twice; a folder that cannot be written is no error."""

from __future__ import annotations

import hashlib
import time
from collections import defaultdict
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from estimator.log.files import PART, locked, write_whole
from estimator.words.kept_form import result_from_json, result_to_json

R = TypeVar("R")

CACHE = ".estimator"
A_DAY = 86_400.0  # seconds
OLD = 30 * A_DAY  # from which age on a file goes, unless it is the newest of its kind
MOST, YOUNG = (
    60,
    A_DAY / 24,
)  # so many of one kind stay; but none goes that is younger, for others may be reading it


def keep(path: Path, text: str) -> None:
    """Writes a text whole or not at all, sealed, so that `kept` knows it again; then what is old goes."""
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        write_whole(path, sealed(path, text), to_disk=False)
        clear_old(path.parent)


def kept(path: Path) -> str:
    """The text that `keep` or `change` wrote there; empty where there is none, or anything else stands there."""
    try:
        text, _, seal = path.read_text("utf-8").rpartition("\n")
    except (OSError, UnicodeDecodeError):
        return ""
    return text if seal == _seal(path, text) else ""


def kept_result(path: Path, kind: type[R], work: Callable[[], R]) -> R:
    """A result that was kept there; where it was not, or is of another make, what is worked out, kept."""
    try:
        return result_from_json(kept(path), kind)
    except ValueError:
        result = work()
        keep(path, result_to_json(result))
        return result


def sealed(path: Path, text: str) -> bytes:
    """What a file holds from which `kept` reads this text."""
    return f"{text}\n{_seal(path, text)}".encode()


def change(path: Path, what: Callable[[str], str]) -> str:
    """What is made of the text of a file, and kept there: read and written while nobody else does.

    what: from the text that is there, empty where none is or anybody else has written it, to the one that shall be
    """
    try:
        path.parent.mkdir(exist_ok=True)
        with locked(path.parent):
            before = kept(path)
            after = what(before)
            if after != before:
                write_whole(path, sealed(path, after), to_disk=False)
    except OSError:
        return what(kept(path))
    return after


def clear_old(cache: Path) -> None:
    """Takes away what is old by its age, and never the newest of a kind: what stands before the first dash."""
    now = time.time()
    kinds: dict[str, list[tuple[float, Path]]] = defaultdict(list)
    for path in cache.glob("*.json"):
        with suppress(OSError):
            kinds[path.stem.partition("-")[0]].append((now - path.stat().st_mtime, path))
    gone = [
        path
        for files in kinds.values()
        for n, (age, path) in enumerate(sorted(files))
        if n and (age > OLD or (n >= MOST and age > YOUNG))
    ]
    for path in gone:
        path.unlink(missing_ok=True)
    for part in cache.glob(f"{PART}*.part"):
        if now - part.stat().st_mtime > A_DAY:
            part.unlink(missing_ok=True)


def _seal(path: Path, text: str) -> str:
    """The digest of a text and of the name under which it is kept."""
    return hashlib.sha256(f"{path.name}\n{text}".encode()).hexdigest()
