"""One time and several boards: shared evenly, or all on one of them, as it is answered."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from estimator.log.notebook.atom import BOARD, QUERY, TIME, Atom
from estimator.log.notebook.items import TIMES, Item
from estimator.log.notebook.page import Choice
from estimator.log.notebook.questions import Questions
from estimator.words.phrases import say_value

SHARED = "shared"  # an answer by which each board has as much as the others


def ways_to_share(item: Item, ask: Questions, day: dt.date) -> tuple[Choice, ...]:
    """Shared evenly, with the hours of each where they are known, then all on each of them.

    Nothing where there is not one time, and where it is not sure which boards are meant.
    """
    boards = _boards(item, ask, day)
    if len(boards) < 2 or len(item.of(*TIMES)) != 1 or item.of(QUERY):
        return ()
    one = tuple(Choice(board, f"all on {ask.name(board)}") for board in boards)
    if any(atom.text.casefold() == "or" for atom in item.atoms):
        return one
    times = item.of(TIME)
    each = f": {say_value(times[0].time.time.hours / len(boards))} h each" if times and times[0].time else ""
    return (Choice(SHARED, f"shared evenly{each}"), *one)


def _boards(item: Item, ask: Questions, day: dt.date) -> list[str]:
    """The ids of an item's boards, in order; none where one of them is not sure."""
    found: list[str] = []
    for mention in (atom.boards for atom in item.of(BOARD) if atom.boards):
        likely, sure = ask.state.likely(mention.boards, day, "")
        if not sure:
            return []
        found.append(likely[0])
    return list(dict.fromkeys(found))


def items_shared(item: Item) -> Iterator[tuple[Atom, Item]]:
    """The boards of an item, each once, and what it says of each alone."""
    seen: set[tuple[str, ...]] = set()
    for board in item.of(BOARD):
        if board.boards is None or board.boards.boards in seen:
            continue
        seen.add(board.boards.boards)
        alone = tuple(atom for atom in item.atoms if atom.kind != BOARD or atom is board)
        yield board, replace(item, atoms=alone, alone=False)
