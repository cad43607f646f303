"""A folder that a program keeps alike on several machines: there a book can be torn while it is written."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

from estimator.words.problems import THE_BOOK, Place, Problem

# of Windows: a folder whose files such a program brings in when they are asked for (IO_REPARSE_TAG_CLOUD; its fourth
# digit from the right is the program's own. Microsoft, [MS-FSCC] 2.1.2.1, from memory)
CLOUD_TAG, OWN_DIGIT = 0x9000001A, 0xF000
# of macOS, in a user's Library: where the system keeps what such programs bring in (from memory)
OF_THE_SYSTEM = ("cloudstorage", "mobile documents")
# what such folders are called, and what hidden files lie in them: common practice, no source
NAMED = re.compile(r"(?<![a-z])(?:[a-z]*cloud|sync|synced|onlinedrive)(?![a-z])")
HIDDEN = re.compile(r"\.(?:[a-z]*sync|[a-z]*cloud)[a-z._-]*")
TWICE = re.compile(r"book[^a-z].*conflict.*\.sqlite")  # a copy that was made where two had changed it


def synced_sign(folder: Path) -> str:
    """By what a folder looks as if a program kept it alike on several machines; empty where nothing says so.

    >>> synced_sign(Path("/home/ann/My Cloud/shop")), synced_sign(Path("/home/ann/shop"))
    ('the folder “My Cloud”', '')
    """
    for place in (folder.absolute(), *folder.absolute().parents):
        name = place.name.casefold()
        if name in OF_THE_SYSTEM or NAMED.search(name) or _tagged(place):
            return f"the folder “{place.name}”"
        if place == Path.home():
            break
        if (hidden := next(_hidden(place), "")) and place.parent != place:
            return f"“{hidden}” in the folder “{place.name}”"
    twice = (one.name for one in _files(folder) if TWICE.fullmatch(one.name.casefold()))
    return f"“{name}” beside it" if (name := next(twice, "")) else ""


def synced_note(folder: Path) -> Iterator[Problem]:
    """A note where a book lies in such a folder."""
    if sign := synced_sign(folder):
        wrong = f"it seems to lie in a folder that a program copies to other machines ({sign})"
        cure = (
            "Such a program can copy it in the middle of an entry, or put an older one in its place: move the workshop "
            "into a folder of this machine alone, and let only copies of the book go there."
        )
        yield Problem(Place(THE_BOOK), "", wrong, cure)


def _tagged(place: Path) -> bool:
    """Whether the system marks a folder as one of those."""
    try:
        tag = getattr(place.lstat(), "st_reparse_tag", 0)
    except OSError:
        return False
    return bool(tag & ~OWN_DIGIT == CLOUD_TAG)


def _hidden(place: Path) -> Iterator[str]:
    """Hidden files that say so."""
    yield from (one.name for one in _files(place) if HIDDEN.fullmatch(one.name.casefold()))


def _files(place: Path) -> Iterator[os.DirEntry[str]]:
    """What lies in a folder, as far as it may be looked into."""
    try:
        with os.scandir(place) as found:
            yield from found
    except OSError:
        return
