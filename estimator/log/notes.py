"""Notes found again by their words."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from estimator.words.records import Log, Note


def notes_with(log: Log, words: Iterable[str] = (), board: str = "") -> tuple[Note, ...]:
    """The notes in which all the words stand, in part or whole, in any case; by day, the newest last.

    words: none: all notes; board: only those on it, by id

    >>> import datetime as dt
    >>> log = Log(notes=(Note("a", dt.date(2026, 5, 4), "Pale BLUE: 3 of white, 1 of blue", "blue-7.jpg"),))
    >>> len(notes_with(log, ["blue", "whit"])), len(notes_with(log, ["red"])), len(notes_with(log, board="b"))
    (1, 0, 0)
    """
    asked = [_plain(word) for text in words for word in text.split()]
    found = [
        note
        for note in log.notes
        if board in {"", note.board} and all(word in _plain(f"{note.text} {note.photo}") for word in asked)
    ]
    return tuple(sorted(found, key=lambda note: note.date))


def _plain(text: str) -> str:
    """A text in small letters, without accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))
