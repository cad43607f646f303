"""A board: the sentence to say, what can be written of it, its days and hours, what is left, boards like it."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, abort, render_template

from estimator.counter.answer_files import KeptAnswer, PageQuestion
from estimator.counter.kept_parts import PagePart
from estimator.counter.showing import after_heading
from estimator.counter.workplace import at_counter
from estimator.papers import KINDS as SHEETS
from estimator.said.parts import Heading
from estimator.said.telephone import told_rows, without_dates
from estimator.words.labels import label
from estimator.words.phrases import capital
from estimator.words.records import ASKED, FINISHED, IN_HAND, Board

page = Blueprint("board", __name__)
ALIKE = capital(label("alike"))


@page.get("/boards/<board:board>")
def show(board: str) -> str:
    """All about one board."""
    counter = at_counter()
    now = counter.now
    row = next((one for one in now.as_of.at_once.boards if one.board == board), None)
    if row is None:
        abort(404)
    found, fresh = counter.answer(PageQuestion("board", row.board))
    told = [one for one in now.as_of.at_once.told if one.board == row.board]
    return render_template(
        "board.html",
        board=row,
        sentence=_sentence(row, found, now.today),
        told=told_rows(told, now.settings.workshop.currency, now.today),
        found=found,
        fresh=fresh,
        parts=found.parts if found else {},
        stages=_stages(found),
        rest=_rest(found),
        alike=after_heading(found.parts.get("range", ()), ALIKE)[:2] if found else [],
        papers=[kind for kind in papers_of(row) if SHEETS.get(kind) == "board"],
        weighs=row.state in {ASKED, *IN_HAND},
    )


def papers_of(board: Board) -> tuple[str, ...]:
    """The sheets that there can be of a board."""
    if board.state == FINISHED:
        return ("handover", "range")
    return ("owner", "range", "weigh") if board.state in {ASKED, *IN_HAND} else ("range",)


def _sentence(board: Board, found: KeptAnswer | None, today: dt.date | None) -> list[str]:
    """What is said of it on the telephone, the answer first."""
    said = [str(one) for one in found.parts.get("sentence", ())] if found else []
    return said if said and board.state in IN_HAND else [without_dates(board, today)]


def _stages(found: KeptAnswer | None) -> list[PagePart]:
    """What is left by stage."""
    parts = found.parts.get("range", ()) if found else ()
    heads = [
        part.text for part in parts if isinstance(part, Heading) and part.text.startswith("Hours by stage")
    ]
    return [part for head in heads for part in after_heading(parts, head)]


def _rest(found: KeptAnswer | None) -> list[PagePart]:
    """What is said of its hours, without its name, the stages and boards like it, which have places of their own."""
    parts = list(found.parts.get("range", ())) if found else []
    elsewhere = [id(part) for part in (*_stages(found), *after_heading(parts, ALIKE)[:2])]
    return [part for part in parts[1:] if id(part) not in elsewhere]
