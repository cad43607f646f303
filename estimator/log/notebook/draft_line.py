"""An item of the notebook as far as it is read, with which those behind it go on."""

from __future__ import annotations

from dataclasses import dataclass

from estimator.log.notebook.atom import BOARD, PART, Atom
from estimator.log.notebook.items import Item, leading_stage, only_time
from estimator.log.notebook.page import Choice, Doubt, HoursLine
from estimator.log.notebook.tokens import listed

_PLACES = listed("deck bottom rail rails nose tail side sides edges")


@dataclass(frozen=True, slots=True)
class DraftLine:
    """An item as far as it is read.

    board, stage: what it says, empty where that is asked; mention: the atom that names the board
    whole: the question, and answers to choose from, where it is asked as a whole
    noted: whether it is to be kept as a note
    stale: another day began since, so that its board does not go on; same_work: board and stage go on all the same
    """

    board: str = ""
    stage: str = ""
    mention: Atom | None = None
    line: HoursLine | None = None
    doubts: tuple[Doubt, ...] = ()
    whole: tuple[str, tuple[Choice, ...]] | None = None
    left_out: bool = False
    noted: bool = False
    stale: bool = False
    same_work: bool = False
    atoms: tuple[Atom, ...] = ()

    def stage_for(self, item: Item, text: str) -> Atom | None:
        """The stage that goes on to another board: sanded club 2 and fish 1."""
        if self.stale or not self.atoms or not only_time(item, BOARD):
            return None
        between = text[self.atoms[-1].span[1] : item.span[0]].split()
        return leading_stage(self.atoms) if between == ["and"] else None

    def is_part_of(self, item: Item, parts: frozenset[str]) -> bool:
        """Whether an item is more of the same: stripped deck 2, bottom 1½; Mon strip 3, Tue 2. parts: of a board"""
        if self.line is None:
            return False
        if self.same_work:
            return True
        told = [atom.boards.boards for atom in item.of(BOARD) if atom.boards]
        if (self.stale and not told) or any(self.board not in boards for boards in told):
            return False
        named = set(self.line.note.casefold().split()) & parts
        more = any(
            atom.text.casefold() in _PLACES for atom in item.of(PART)
        )  # fairing 2, an hour on the rails
        return bool((named and item.of(PART)) or (more and not told)) and only_time(item, BOARD)
