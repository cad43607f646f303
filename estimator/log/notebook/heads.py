"""A board and its work that stand at the head of a line, and what stands under them with its hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from estimator.log.notebook.atom import (
    BOARD,
    COLON,
    LITTLE,
    OF_AGAIN,
    OF_AWAY,
    OF_DITTO,
    OF_DONE,
    OF_SHOP,
    OF_STAGE,
    OF_STATE,
    OF_TO_COME,
    QUERY,
    SEPARATORS,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.items import TIMES, ItemGroup
from estimator.log.notebook.vocabulary import DOINGS, PARTS, VERB_ENDINGS, WITHIN

_NO_HEAD = TIMES | {QUERY, OF_TO_COME, OF_DONE, OF_AGAIN, OF_AWAY, OF_SHOP, OF_DITTO, OF_STATE}


@dataclass(frozen=True, slots=True)
class Head:
    """What stands above the rest of a line.

    board: None where the rest names its boards itself; says: its other words; rest: the groups under it
    """

    board: Atom | None
    stage: Atom
    atoms: tuple[Atom, ...]
    says: tuple[Atom, ...]
    rest: tuple[ItemGroup, ...]


def head_of(groups: Sequence[ItemGroup]) -> Head | None:
    """The head of a line: mal 3rd colour. mask 2, spray ¾; strip gun: deck 2, nose ½; None where it has none.

    What stands under one board's work names no board and no other work; what stands under work alone, boards and their
    hours.
    """
    cut = _cut(groups)
    if cut is None:
        return None
    atoms, rest = cut
    boards = [atom for atom in atoms if atom.kind == BOARD]
    stages = [atom for atom in atoms if atom.kind == OF_STAGE and atom.meaning]
    below = [atom for group in rest for atom in group.atoms]
    timed = sum(atom.kind in TIMES for atom in below)
    if not boards or len(stages) != 1 or {a.kind for a in atoms} & _NO_HEAD or any(g.day for g in rest[1:]):
        return None
    if any(atom.kind in {OF_SHOP, OF_DITTO, OF_TO_COME} for atom in below):
        return None
    stage = stages[0]
    says = tuple(atom for atom in atoms if atom.kind not in SEPARATORS | {BOARD, LITTLE})
    others = [atom for atom in below if atom.kind == BOARD]
    if others:
        works = any(atom.kind == OF_STAGE for atom in below)
        each = not works and timed == len(others) and _named(boards) <= _named(others)
        return Head(None, stage, atoms, (), rest) if each and len(others) > 1 else None
    if len(boards) > 1 or not timed or not all(_within(atom, stage) for atom in below):
        return None
    more = says if any(atom is not stage for atom in says) else ()
    return Head(boards[0], stage, atoms, more, tuple(_as_said(rest)))


def _cut(groups: Sequence[ItemGroup]) -> tuple[tuple[Atom, ...], tuple[ItemGroup, ...]] | None:
    """The atoms of a head, and the groups under it: up to a colon with several times behind it, or a sentence."""
    if not groups:
        return None
    first = groups[0]
    at = next((at for at, atom in enumerate(first.atoms) if atom.kind == COLON), 0)
    before, behind = first.atoms[:at], first.atoms[at + 1 :]
    if before and behind and not any(atom.kind in TIMES for atom in before):
        several = sum(atom.kind in TIMES for atom in behind) > 1
        return (before, (replace(first, atoms=behind), *groups[1:])) if several else None
    if len(groups) < 2 or any(atom.kind in TIMES for atom in first.atoms) or groups[1].day is not None:
        return None
    return first.atoms, (replace(groups[1], day=first.day, headed=first.headed), *groups[2:])


def _named(atoms: Sequence[Atom]) -> set[str]:
    """All boards that atoms may mean."""
    return {board for atom in atoms if atom.boards for board in atom.boards.boards}


def _within(atom: Atom, stage: Atom) -> bool:
    """Whether a stage's word can be a part of the work that stands above."""
    if atom.kind != OF_STAGE or atom.meaning is None or stage.meaning is None:
        return True
    said, above = atom.meaning.value, stage.meaning.value
    return bool(set(said) & set(above)) or any((one, other) in WITHIN for one in above for other in said)


def _as_said(groups: Sequence[ItemGroup]) -> Iterator[ItemGroup]:
    """Groups in which words for what is done are remarks, since the work stands above."""
    for group in groups:
        atoms = tuple(
            replace(atom, kind=OF_STATE, note=True, meaning=None) if _is_doing(atom) else atom
            for atom in group.atoms
        )
        yield replace(group, atoms=atoms)


def _is_doing(atom: Atom) -> bool:
    """Whether a word says what is done: a stage's, or a verb's."""
    word = atom.text.casefold()
    verb = word in DOINGS or (word.endswith(VERB_ENDINGS) and atom.text[0].islower())
    return atom.kind == OF_STAGE or (atom.kind == UNKNOWN and verb and word not in PARTS)
