"""Boards once their hours are known: state, short name, and a total beside its rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from estimator.log.board_rows import Draft
from estimator.log.states import contradicted, numbered, state_from
from estimator.log.tables import shown
from estimator.words.problems import Problem
from estimator.words.records import DECLINED, SHOP, Board, Entry

AGREE = 0.05  # share of a total within which its rows may differ from it


def with_ids(drafts: Sequence[Draft]) -> tuple[list[Draft], list[Problem]]:
    """The boards with an id each, and a note of those that were numbered.

    A second row of the same id is a problem of its cell, and left out.
    """
    years = [_year(draft.board) for draft in drafts]
    ids = numbered([draft.board.board for draft in drafts], years)
    kept: dict[str, Draft] = {}
    given = []
    for draft, name in zip(drafts, ids, strict=True):
        first = kept.get(name.casefold())
        if first:
            cure = "Give one of them another id."
            draft.row.wrong("board", f"this id stands in {_short(first.row.where)} already", cure)
        elif name.casefold() == SHOP:
            draft.row.wrong("board", "shop stands for time on no board", "Give the board another id.")
        else:
            kept[name.casefold()] = draft
            if not draft.board.board:
                given.append(name)
                kept[name.casefold()] = replace(draft, board=replace(draft.board, board=name))
    notes = []
    if given:
        cure = "Write them into the sheet, so that they stay when rows move."
        wrong = f"numbered here for want of an id: {some(given)}"
        notes = [Problem(drafts[0].row.table.place, "", wrong, cure)]
    return list(kept.values()), notes


def _year(board: Board) -> int | None:
    """The year that a board's number begins with."""
    days = (board.quoted, board.asked, board.accepted, board.started, board.ready, board.collected)
    return next((day.year for day in days if day), None)


def _short(where: str) -> str:
    """The last part of a place: its line or its row."""
    return where.rpartition(", ")[2]


def some(names: Sequence[str]) -> str:
    """The first few of many names.

    >>> some(["a", "b"]), some(["a", "b", "c", "d", "e"])
    ('a, b', 'a, b, c and 2 more')
    """
    more = len(names) - 3
    return ", ".join(names) if more < 2 else f"{', '.join(names[:3])} and {more} more"


def with_hours(drafts: Sequence[Draft], entries: Iterable[Entry]) -> tuple[tuple[Board, ...], list[Problem]]:
    """The boards in their states, with totals only where hours are booked on no stage, and the notes.

    A state that the dates contradict, a short name that two boards in the shop share, and a total that
    disagrees with its rows are problems of their cells.
    """
    booked: dict[str, float] = {}
    for entry in entries:
        booked[entry.board] = booked.get(entry.board, 0.0) + entry.hours
    notes: list[Problem] = []
    boards = []
    called: dict[str, str] = {}
    for draft in drafts:
        hours = booked.get(draft.board.board, 0.0)
        board = replace(draft.board, state=_state(draft, hours=hours > 0))
        if board.called and not board.collected and board.state != DECLINED:
            other = called.setdefault(board.called.casefold(), board.board)
            if other != board.board:
                wrong = f"board {other} is called that too, and neither is collected"
                draft.row.wrong("called", wrong, "Give one of them another short name.")
                board = replace(board, called="")
        if board.total_hours is not None and hours:
            board = _totalled(draft, board, hours, notes)
        boards.append(board)
    return tuple(boards), notes


def _state(draft: Draft, *, hours: bool) -> str:
    """The state that is written, or the one that dates and hours tell where they contradict it."""
    told = state_from(draft.happened, hours=hours)
    if not draft.state:
        return told
    against = contradicted(draft.state, draft.happened)
    if against:
        wrong = f"the date in {against} says otherwise: {told}"
        draft.row.wrong("state", wrong, "Correct the one or the other; left empty, the dates tell the state.")
    return told if against else draft.state


def _totalled(draft: Draft, board: Board, booked: float, notes: list[Problem]) -> Board:
    """The board with its total only where the rows hold less of a finished board than that."""
    total = board.total_hours or 0.0
    apart = total - booked
    if abs(apart) <= max(board.total_grain or 0.0, AGREE * total) + 1e-9:
        return replace(board, total_hours=None, total_grain=None)
    if apart > 0 and board.finished:
        notes.append(
            Problem(
                draft.row.at("total_hours"),
                shown(draft.row.cell("total_hours")),
                f"{apart:g} h are not split by stage, {booked:g} h are",
                "Book them on stages if you know which.",
            )
        )
        return board
    side = f"{apart:g} h more than" if apart > 0 else f"{-apart:g} h less than"
    wrong = f"the total is {total:g} h, {side} the {booked:g} h of its rows"
    draft.row.wrong("total_hours", wrong, "Correct the rows or the total, or leave the total empty.")
    return replace(board, total_hours=None, total_grain=None)
