"""A new board: who asks and for what, questions answered, the restorer's own guess, and the owner's answer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from estimator.log.columns import LOOKED
from estimator.log.edits import Cells
from estimator.log.parse.boards import numbered
from estimator.log.steps.hours import looked_over, worked_on
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.writing import on_day
from estimator.words.dates import say_day
from estimator.words.errors import UsageError
from estimator.words.phrases import capital, inside, say_count
from estimator.words.records import ASKED, DECLINED, FINISHED, WITHDRAWN, Board
from estimator.words.settings.values import nearest

NONE = "0"


def photo_rows(board: str, on: dt.date, photos: tuple[str, ...]) -> tuple[tuple[str, Cells], ...]:
    """A note for each photo of a board."""
    return tuple(("notes", {"board": board, "date": on.isoformat(), "photo": photo}) for photo in photos)


@dataclass(frozen=True, slots=True)
class NewBoard:
    """An enquiry. All but the owner or a short name may be left out.

    reach: a number, or how else the owner is reached; aim: what it is for; only_asked: counted, and nothing comes of it
    photos: names, as they are kept
    """

    verb: ClassVar[str] = "enquiry"
    owner: str = ""
    reach: str = ""
    called: str = ""
    kind: str = ""
    length: str = ""
    width: str = ""
    aim: str = ""
    wanted_by: str = ""
    photos: tuple[str, ...] = ()
    only_asked: bool = False
    note: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of boards, with a number of its own."""
        on = on_day(self.on, day, now.settings)
        if not (self.called.strip() or self.owner.strip() or self.only_asked):
            raise UsageError(
                "No name is written.", "Write the owner's name, or what you call the board.", field="owner"
            )
        ids = [board.board for board in now.log.boards]
        board = numbered([*ids, ""], [*[None] * len(ids), on.year])[-1]
        cells = {
            "board": board,
            "called": self.called.strip(),
            "owner": self.owner.strip(),
            "reach": self.reach.strip(),
            "kind": self.kind,
            "length": self.length.strip(),
            "width": self.width.strip(),
            "aim": self.aim,
            "wanted_by": self.wanted_by,
            "asked": on.isoformat(),
            "judged_with": "photos" if self.photos else "",
            "state": DECLINED if self.only_asked else "",
            "note": self.note.strip(),
        }
        sort = f", {inside(now.settings.label(self.kind))}" if self.kind in now.settings.kinds else ""
        known = f"{self.length.strip()} ({board})" if self.length.strip() else board
        label = f"{'only asked' if self.only_asked else 'new'}: {self.called.strip() or known}{sort}"
        return ActPlan(label, board, (("boards", cells), *photo_rows(board, on, self.photos)))


def before_work(now: AsWritten, board: Board) -> Board:
    """The same board; raises UsageError once work on it has begun, for what it looked like stays."""
    begun = [name for name in worked_on(now, board) if not looked_over(now.settings.stages[name])]
    if begun or board.state in {FINISHED, DECLINED, WITHDRAWN}:
        why = f"{now.settings.label(begun[0])} has hours" if begun else "it is over"
        raise UsageError(
            f"{capital(board.name)}: {why}, and what it looked like before stays as it is.",
            "Say what you found; what its owner wants besides is asked for since.",
        )
    return board


WITH_WHAT = ("kind", "length", "width", "outline", "judged_with", "called", "aim", "wanted_by")


@dataclass(frozen=True, slots=True)
class QuestionsAnswered:
    """Questions answered with the board in hand.

    looked: by name of what there is to do, as it stands in a cell: none, a number, ? for can't see yet, empty to leave
    about: other cells of the board, as kind, length, width, outline, judged_with
    guess, seen: the restorer's own hours, as in OwnGuess; left out, they stay as they are
    """

    verb: ClassVar[str] = "answers"
    board: str
    looked: Mapping[str, str] = field(default_factory=dict)
    about: Mapping[str, str] = field(default_factory=dict)
    guess: str = ""
    seen: bool = False

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:  # noqa: ARG002  what it looks like has no day
        """The cells of what it looked like."""
        board = before_work(now, now.board(self.board))
        quantities = now.settings.quantities
        for name, known in ((n, quantities) for n in self.looked):
            if name not in known:
                raise UsageError(f'"{name}" is nothing that a board has.', nearest(name, known), field=name)
        for name in self.about:
            if name not in WITH_WHAT:
                raise UsageError(f'"{name}" is nothing that is asked of a board.', nearest(name, WITH_WHAT))
        cells = {LOOKED + name: _cell(said) for name, said in self.looked.items() if said.strip()}
        cells |= {name: said.strip() for name, said in self.about.items() if said.strip()}
        row = now.row(board)
        if self.guess.strip() and self.guess.strip() != row.cells.get("guess"):
            refuse_guess_after_telling(now, board)
            cells |= {"guess": self.guess.strip(), "from_memory": "yes" if self.seen else ""}
        cells = {column: said for column, said in cells.items() if row.cells.get(column, "") != said}
        if not cells:
            raise UsageError(f"Nothing new of {board.name} is said.", "Answer at least one question.")
        what = say_count(len(cells.keys() - {"guess", "from_memory"}), "question")
        return ActPlan(f"{board.name}: {what} answered", board.board, fills=((row, cells),))


def _cell(said: str) -> str:
    """An answer as it stands in a cell."""
    return NONE if said.strip().casefold() in {"none", "no", "-"} else said.strip()


def refuse_guess_after_telling(now: AsWritten, board: Board) -> None:
    """Raises UsageError where there is a guess, and the owner was told since: it is what was said before."""
    told = [telling for telling in now.log.told if telling.board == board.board]
    if board.guess is not None and told:
        raise UsageError(
            f"Your own guess for {board.name} stands, and its owner was told on {say_day(told[0].date)}.",
            "It stays as it is: it is what you said before.",
            field="guess",
        )


@dataclass(frozen=True, slots=True)
class OwnGuess:
    """The restorer's own hours, before ours are seen; seen: they were, so it is kept and not judged."""

    verb: ClassVar[str] = "guess"
    board: str
    guess: str
    seen: bool = False

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:  # noqa: ARG002  a guess is of the quote
        """The cell of the guess."""
        board = before_work(now, now.board(self.board))
        if not self.guess.strip():
            raise UsageError("No hours are written.", "Write 60, or 50-70.", field="guess")
        refuse_guess_after_telling(now, board)
        row = now.row(board)
        cells = {"guess": self.guess.strip(), "from_memory": "yes" if self.seen else ""}
        return ActPlan(f"{board.name}: own guess {self.guess.strip()}", board.board, fills=((row, cells),))


@dataclass(frozen=True, slots=True)
class OwnerAnswered:
    """The owner's answer to what was told: yes or no; on whose side a no was; why."""

    verb: ClassVar[str] = "answered"
    board: str
    yes: bool
    mine: bool = False
    why: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The day of the yes, or a state."""
        on, board = on_day(self.on, day, now.settings), now.board(self.board)
        if board.state != ASKED:
            raise UsageError(
                f"{capital(board.name)} isn't waiting for a yes any more.", "Nothing needs to be written."
            )
        row = now.row(board)
        if self.yes:
            return ActPlan(f"{board.name}: the owner said yes", board.board, fills=((row, yes_cells(on)),))
        cells = {"state": DECLINED if self.mine else WITHDRAWN, "decided_why": self.why.strip()}
        if self.mine:
            cells["decided"] = "no"
        who = "I said no" if self.mine else "owner dropped it"
        cells = {column: cell for column, cell in cells.items() if cell}
        return ActPlan(f"{board.name}: {who}", board.board, fills=((row, cells),))


def yes_cells(on: dt.date) -> dict[str, str]:
    """The cells of a board whose owner said yes."""
    return {"accepted": on.isoformat(), "state": ""}
