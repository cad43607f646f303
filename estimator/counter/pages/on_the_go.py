"""On the go: every board by owner and short name, found by three letters; each line is the telephone answer."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from flask import Blueprint, render_template, request

from estimator.counter.answer_files import PageQuestion
from estimator.counter.answers import LINE
from estimator.counter.workplace import at_counter
from estimator.said.telephone import without_dates
from estimator.words.records import ASKED, FINISHED, IN_HAND, Board

page = Blueprint("on_the_go", __name__)
SEVERAL = 200  # boards that are gone, of which more are not shown at once


@dataclass(frozen=True, slots=True)
class BoardLine:
    """One board as it stands in the list: what it is called, whose it is, and what to say of it."""

    board: str
    name: str
    owner: str
    said: str

    @property
    def letters(self) -> str:
        """All by which it is found."""
        return f"{self.name} {self.owner} {self.board}"

    def found_by(self, typed: str) -> bool:
        """Whether each typed word stands in it, whatever its case and accents."""
        return all(word in plain_letters(self.letters) for word in plain_letters(typed).split())


def plain_letters(text: str) -> str:
    """A text in small letters without accents.

    >>> plain_letters("Zoë ÅNGSTRÖM")
    'zoe angstrom'
    """
    apart = unicodedata.normalize("NFKD", text)
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).casefold()


def group_of(board: Board) -> str:
    """Under which heading a board stands."""
    if board.state in IN_HAND:
        return "boards-on"
    if board.state == FINISHED and not board.collected:
        return "boards-ready"
    return "boards-asked" if board.state == ASKED else "boards-gone"


@page.get("/on-the-go")
def show() -> str:
    """The list, all of it or what the letters find."""
    counter = at_counter()
    found, fresh = counter.answer(PageQuestion("today"))
    typed = request.args.get("find", "")[:100]
    groups: dict[str, list[BoardLine]] = {
        name: [] for name in ("boards-on", "boards-ready", "boards-asked", "boards-gone")
    }
    now = counter.now
    for board in now.as_of.at_once.boards:
        sentences = found.parts.get(f"{LINE}{board.board}", ()) if found and board.state in IN_HAND else ()
        said = " ".join(map(str, sentences)) or without_dates(board, now.today)
        line = BoardLine(board.board, board.name, board.owner, said)
        if line.found_by(typed):
            groups[group_of(board)].append(line)
    groups["boards-gone"] = groups["boards-gone"][::-1][:SEVERAL]
    for lines in (groups["boards-on"], groups["boards-ready"]):
        lines.sort(key=lambda line: plain_letters(line.letters))
    return render_template("on_the_go.html", found=found, fresh=fresh, groups=groups, typed=typed)
