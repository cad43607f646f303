"""An item whose misspelt words are taken for what they mean, where that fits the work in hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from estimator.log.notebook.atom import BOARD, COUNT, OF_AGAIN, OF_DONE, OF_SHOP, OF_STAGE, UNKNOWN, Atom
from estimator.log.notebook.items import Item
from estimator.log.notebook.mentions import BoardNames, Mention, WorkState
from estimator.log.notebook.vocabulary import Meaning, Vocabulary

_LONG = 6  # letters of a word that can be no other one, whatever is in hand


def respelled(
    item: Item,
    vocabulary: Vocabulary,
    names: BoardNames,
    state: WorkState,
    day: dt.date,
    going: Mention | None,
) -> Item:
    """The item with words for boards, stages, done and again that have a slip of the pen in them.

    A board or a stage is taken so only where it is one board's, and that stage is in hand on it or comes next; else
    the word stays what it is, and is asked. going: the board that goes on from above
    """
    unknown = [atom for atom in item.of(UNKNOWN) if not atom.note]  # a remark's words are what they are
    if not unknown:
        return item
    taken: dict[Atom, Atom] = {}
    for atom in unknown:
        if meaning := vocabulary.slip(atom.text, {OF_DONE, OF_AGAIN}):
            taken[atom] = _as(atom, meaning)
    stages = [a for a in item.of(OF_STAGE, COUNT) if a.meaning]
    written = _stage_slip(unknown, vocabulary) if not stages and not item.of(OF_SHOP) else None
    mentions = [atom.boards for atom in item.of(BOARD) if atom.boards]
    named = _board_slip(unknown, names) if not mentions and not item.of(OF_SHOP) else None
    said = stages[0].meaning if stages else written.meaning if written else None
    mention = mentions[0] if mentions else named.boards if named else going
    if said and len(said.value) == 1 and mention and (written or named):
        long = not named and written is not None and len(written.text) >= _LONG
        likely, sure = state.likely(mention.boards, day, said.value[0])
        if (sure and long) or (sure and said.value[0] in state.next_stages(likely[0], day)):
            taken |= {
                atom: new for new in (written, named) if new for atom in unknown if atom.span == new.span
            }
    elif not (said or mention or item.of(OF_SHOP)) and (shop := _slip(unknown, vocabulary, OF_SHOP)):
        taken |= {atom: shop for atom in unknown if atom.span == shop.span}
    return replace(item, atoms=tuple(taken.get(atom, atom) for atom in item.atoms))


def _as(atom: Atom, meaning: Meaning) -> Atom:
    """The atom as what it means."""
    return replace(atom, kind=meaning.of, meaning=meaning)


def _stage_slip(unknown: list[Atom], vocabulary: Vocabulary) -> Atom | None:
    """The one word that is a stage's, misspelt or cut short."""
    found = _slip(unknown, vocabulary, OF_STAGE)
    return found if found and found.meaning and len(found.meaning.value) == 1 else None


def _slip(unknown: list[Atom], vocabulary: Vocabulary, of: str) -> Atom | None:
    """The one word that is a misspelt one of a kind."""
    found = [_as(atom, meaning) for atom in unknown if (meaning := vocabulary.slip(atom.text, {of}))]
    return found[0] if len(found) == 1 else None


def _board_slip(unknown: list[Atom], names: BoardNames) -> Atom | None:
    """The one word that is a board's, misspelt."""
    found = [
        replace(atom, kind=BOARD, boards=Mention(boards, exact=False, end=0))
        for atom in unknown
        if (boards := names.slip(atom.text.casefold()))
    ]
    return found[0] if len(found) == 1 else None
