"""What was decided of a board that was thought over, kept in its own row."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from estimator.log.cells import DASHES, one_line
from estimator.log.own_row import fill_own_row
from estimator.words.errors import UsageError
from estimator.words.records import ASKED, DECISIONS, Board
from estimator.words.settings import Settings

STILL_ASKED = "It is still asked for in your log, until you write declined into its state."


@dataclass(frozen=True, slots=True)
class Decision:
    """Yes, no or open-first, in the restorer's own words why, and whether the board is taken for love."""

    answer: str
    why: str = ""
    for_love: bool = False

    @classmethod
    def of(cls, board: Board) -> Decision | None:
        """What a board's row says; None where nothing was decided."""
        return cls(board.decided, board.decided_why, board.for_love) if board.decided else None

    @property
    def cells(self) -> dict[str, str]:
        """Its cells by column."""
        return {
            "decided": self.answer,
            "decided_why": self.why,
            "for_love": "yes" if self.for_love else "",
        }

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {"decided": self.answer, "decided_why": self.why or None, "for_love": self.for_love}


@dataclass(frozen=True, slots=True)
class KeptDecision:
    """A decision as it was written down.

    file: whose row has it, None where it is for the restorer to write; before: what stood there
    notes: what was left as it is, in words
    """

    board: str
    name: str
    decision: Decision
    file: Path | None
    before: Decision | None = None
    notes: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "board": self.board,
            **self.decision.as_dict(),
            "file": None if self.file is None else str(self.file),
            "before": None if self.before is None else self.before.as_dict(),
            "notes": list(self.notes),
        }


def decision_of(answer: str, why: str, *, for_love: bool) -> Decision:
    """A decision as it can be kept.

    Raises UsageError for another answer, for no reason, and for love where the answer is no.

    >>> decision_of("yes", " that  shape", for_love=True)
    Decision(answer='yes', why='that shape', for_love=True)
    """
    if answer not in DECISIONS:
        raise UsageError(
            f'"{answer}" is no decision.', f"Write {', '.join(DECISIONS[:-1])} or {DECISIONS[-1]}."
        )
    words = one_line(why)
    if words in DASHES or not words:
        raise UsageError("A decision without its reason teaches nothing.", 'Say why, as --why "that shape".')
    if for_love and answer == "no":
        raise UsageError("A board that is turned down is not taken for love.", "Leave one of them out.")
    return Decision(answer, words, for_love)


def keep_decision(folder: Path, settings: Settings, board: Board, decision: Decision) -> KeptDecision:
    """Writes a decision into the board's own row of `boards.csv`; all else in the file stays byte for byte.

    A spreadsheet is never written: then the notes name the cells.

    Raises UsageError where the file has no place for it, or cannot be written.
    """
    file, _, notes = fill_own_row(folder, settings, board, lambda _: decision.cells)
    if decision.answer == "no" and board.state == ASKED:
        notes = (*notes, STILL_ASKED)
    return KeptDecision(board.board, board.name, decision, file, Decision.of(board), notes)
