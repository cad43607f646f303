"""Where the words of an item may name another board than the one that is read: then it is asked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from itertools import pairwise

from estimator.log.notebook.atom import (
    BOARD,
    COMMA,
    COUNT,
    LITTLE,
    OF_DITTO,
    OF_STAGE,
    PART,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.items import TIMES, Item
from estimator.log.notebook.mentions import BoardNames, WorkState
from estimator.log.notebook.tokens import NUMBER_WORDS, listed
from estimator.log.notebook.vocabulary import BY_GRIT, words_of

_COLOURS = listed(
    "red blue green yellow orange black white pink purple brown grey gray teal mint lime rust straw ochre plum rose "
    "coral violet brick copper cream gold silver"
)
_FRACTIONS = frozenset({"1/2", "1/4", "3/4"})


def strange_word(item: Item, names: BoardNames) -> Atom | None:
    """A word that nobody knows where a board would stand, before stage and time, or that is nearly a board's name."""
    for atom in item.atoms:
        if atom.kind == UNKNOWN:
            return atom
        if atom.kind in TIMES | {OF_STAGE, OF_DITTO}:
            break
    for atom in item.atoms:
        if atom.kind == UNKNOWN and names.near(atom.text.casefold()):
            return atom
    return None


def word_for_another(item: Item, names: BoardNames) -> Atom | None:
    """A word in the place of a board, in front of the one that is named: gren sand 2, blue; yellow gun strip 3.

    Such a word takes the hours where they stand before the board. In front of hours it may be how the work was
    done (carefully stripped red 3), unless it is a colour right before the board, or nearly another board's name.
    """
    at = next(at for at, atom in enumerate(item.atoms) if atom.kind == BOARD)
    mention = item.atoms[at].boards
    assert mention is not None
    before = item.atoms[:at]
    timed = any(atom.kind in TIMES for atom in before)
    says = [atom for atom in before if atom.kind not in {LITTLE, PART, COUNT}]
    for place, atom in enumerate(says):
        if atom.kind != UNKNOWN:
            continue
        word = atom.text.casefold()
        near = names.near(word)
        leads = not any(one.kind in TIMES | {OF_STAGE} for one in says[:place])
        other = near and not set(near) & set(mention.boards)
        painted = word in _COLOURS and not mention.exact and atom is before[-1]
        if other or painted or (timed and leads):
            return atom
    return None


def is_painted(item: Item, named: Atom) -> bool:
    """Whether a board is named by a colour right behind a stage: spray red 4."""
    at = item.atoms.index(named)
    led = at > 0 and item.atoms[at - 1].kind == OF_STAGE
    return led and named.text.casefold() in _COLOURS


def hours_of_another(item: Item) -> bool:
    """Whether a stage has its hours before a board that has a stage of its own: sand 2, blue sand."""
    atoms = [atom for atom in item.atoms if atom.kind not in {LITTLE, PART}]
    time = next((at for at, atom in enumerate(atoms) if atom.kind in TIMES), len(atoms))
    if not any(atom.kind == OF_STAGE for atom in atoms[:time]):
        return False
    if any(atom.kind == BOARD for atom in atoms[:time]):
        return False
    behind = [atom.kind for atom in atoms[time + 1 :]]
    return any(pair == (BOARD, OF_STAGE) for pair in pairwise(behind))


def counts_other_work(item: Item) -> bool:
    """Whether what is counted is a piece of work of its own beside the one that is said: sand 2 fins 1."""
    said = {a.meaning.value for a in item.of(OF_STAGE) if a.meaning and len(a.meaning.value) == 1}
    counted = {a.meaning.value for a in item.of(COUNT) if a.meaning and a.meaning is not BY_GRIT}
    return bool(said) and bool(counted - said)


def part_done(item: Item, done: Sequence[Atom]) -> bool:
    """Whether only a part of the board may be done: deck done."""
    says = [atom for atom in item.atoms if atom.kind != LITTLE]
    parts = {atom.text.casefold() for atom in item.atoms if atom.kind == PART}
    beside: list[Atom] = []
    for atom in done:
        at = says.index(atom)
        beside += says[max(at - 1, 0) : at] + says[at + 1 : at + 2]
        led = says[max(at - 2, 0) : at]
        if [one.kind for one in led] == [PART, OF_STAGE] and led[0].text.casefold() in _WHICH:
            return True  # 1st colour done
    return not parts & _WHOLE and any(
        atom.kind == PART and atom.text.casefold() in _PLACES for atom in beside
    )


_WHICH = listed("1st 2nd 3rd 4th 5th first second third fourth fifth")
_WHOLE = listed("both all whole last rest lot")
_PLACES = listed("deck bottom rail rails nose tail side sides edge edges half")


def number_of_a_name(item: Item, names: BoardNames, state: WorkState, day: dt.date) -> Atom | None:
    """A number behind a board's name that may be a part of another's: red nine strip, beside a red nine-four.

    Also a half behind a length, where the length may be hours: red nine four and a half.
    """
    atoms = [atom for atom in item.atoms if atom.text != "-"]
    for at, board in enumerate(atoms):
        if board.kind != BOARD or at + 1 == len(atoms):
            continue
        behind = atoms[at + 1]
        bare = behind.kind == TIME and behind.time is not None and behind.time.bare
        if bare or (behind.kind == COUNT and not behind.sure):
            longer = names.begun_with((*words_of(board.text), *words_of(behind.text)))
            if any(state.there(one, day) for one in longer):
                return behind
        if _half_behind(atoms[at:]):
            return board
    return None


def _half_behind(atoms: Sequence[Atom]) -> bool:
    """Whether a board that ends in a number has and a half behind it."""
    if len(atoms) < 3 or atoms[1].kind != COMMA or atoms[1].text.casefold() != "and":
        return False
    time = atoms[2].time
    last = words_of(atoms[0].text)[-1]
    return time is not None and time.text in _FRACTIONS and (last in NUMBER_WORDS or last.isdecimal())
