"""Where the worker leaves answers for the server: one file a question, the newest answer to it, whole or not at all."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from estimator.counter.kept_parts import PagePart, dumped, parts_from_json, parts_to_json
from estimator.log.cache import CACHE, keep, kept

ROOM = "counter"  # in the cache
VERSION = 5  # of what stands in the files


@dataclass(frozen=True, slots=True)
class PageQuestion:
    """What is asked of the worker: its kind, and the board or quarter that it is about."""

    kind: str
    about: str = ""

    def file(self, folder: Path) -> Path:
        """Where its newest answer lies; no text from a user becomes part of a path."""
        name = hashlib.sha256(self.about.encode("utf-8", "surrogatepass")).hexdigest()[:20]
        return folder / CACHE / ROOM / f"{self.kind}.{name}-{VERSION}.json"


@dataclass(frozen=True, slots=True)
class AsOf:
    """What an answer was worked out from: the log's revision, the day on which one looks, what makes the draws."""

    revision: str
    day: str
    seed: int

    @classmethod
    def on(cls, revision: str, day: dt.date | None, seed: int) -> AsOf:
        """The same from a day; None is the day after the log's end."""
        return cls(revision, day.isoformat() if day else "", seed)

    @property
    def looked_from(self) -> dt.date | None:
        """The day on which one looks; None is the day after the log's end."""
        return dt.date.fromisoformat(self.day) if self.day else None


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """An answer as it was left: its parts by name, or why there is none.

    parts: by name of a place on the page; refused: in words, where there is no answer
    """

    as_of: AsOf
    parts: dict[str, tuple[PagePart, ...]]
    refused: str = ""

    def save(self, question: PageQuestion, folder: Path) -> None:
        """Leaves it as the newest answer to a question."""
        of = [self.as_of.revision, self.as_of.day, self.as_of.seed]
        named = {name: parts_to_json(parts) for name, parts in self.parts.items()}
        file = question.file(folder)
        with suppress(OSError):
            file.parent.mkdir(parents=True, exist_ok=True)
        keep(file, dumped({"of": of, "about": question.about, "parts": named, "no": self.refused}))


def newest(question: PageQuestion, folder: Path) -> KeptAnswer | None:
    """The newest answer to a question; None where there is none that can be read."""
    text = kept(question.file(folder))
    try:
        found = json.loads(text)
        if found["about"] != question.about:
            return None
        revision, day, seed = found["of"]
        parts = {str(name): parts_from_json(one) for name, one in found["parts"].items()}
        return KeptAnswer(AsOf(str(revision), str(day), int(seed)), parts, str(found["no"]))
    except (ValueError, TypeError, KeyError, IndexError, AttributeError):
        return None
