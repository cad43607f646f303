"""A workshop's sheets for paper: what each is made from, and under what name it is kept."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from estimator.forecast.ranges import Range
from estimator.log.edits import NO_MORE_TOLD
from estimator.log.files import save_file
from estimator.log.names import board_named, refuse_over
from estimator.shop import Shop
from estimator.snapshot import Snapshot
from estimator.words.actions import Action
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.money import terms_and_ceiling
from estimator.words.records import DECLINED, FINISHED, TERMS, WITHDRAWN, Board, Told

KINDS = {  # and what each is about: a board, a quarter, or the whole workshop
    "range": "board",
    "owner": "board",
    "handover": "board",
    "weigh": "board",
    "quarter": "quarter",
    "rules": "",
    "record": "",
    "week": "",
}
SAID = ("overruns", "looks")  # printed just as they are said, from the page alone
FOR_OWNERS = ("owner", "handover")  # may be sent as text
NAME_ONE = {
    "board": ("Name it by its number or its name.", "26-014"),
    "quarter": ("Name it, as 2026-Q3.", "2026-Q3"),
}
REPORTS = "reports"
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Paper:
    """One sheet before it is printed: its kind, its plain data, its day, and the name of its file without an ending."""

    kind: str
    data: Mapping[str, Any]
    day: dt.date
    name: str

    def pdf(self) -> bytes:
        """The sheet as a tagged PDF; the same log and day give the same bytes."""
        from estimator.sheets.paper.typesetting import pdf

        return pdf(self.kind, self.data, self.day)

    def text(self) -> str:
        """What an owner gets as plain text, to paste into a message."""
        from estimator.sheets.paper.owner_sheet import plain_text

        return plain_text(self.data)

    def save(self, folder: Path, out: Path | None = None) -> Path:
        """Writes the sheet, and says where: a .pdf under reports in the workshop's folder, or the file that is named.

        Raises UsageError where it cannot be written.
        """
        file = out or folder / REPORTS / f"{self.name}.pdf"
        try:
            if file.parent.name == REPORTS:
                file.parent.mkdir(parents=True, exist_ok=True)
            save_file(file, self.text().encode() if file.suffix.casefold() == ".txt" else self.pdf())
        except OSError as error:
            raise UsageError(
                f"{file} cannot be written.", "Name a file in a folder that is yours."
            ) from error
        return file

    def pictures(self, dots_per_inch: float = 96) -> list[bytes]:
        """Each page as a .png."""
        from estimator.sheets.paper.typesetting import pictures

        return pictures(self.kind, self.data, self.day, dots_per_inch=dots_per_inch)


def paper_of(
    shop: Shop,
    kind: str,
    about: str | None = None,
    *,
    hours: bool = False,
    anyway: bool = False,
    progress: Progress | None = None,
) -> Paper:
    """One of a workshop's sheets.

    kind: range (the workshop's copy), owner, handover, weigh, quarter, rules, record or week; about: the board of the
    first four, by id or short name, or the quarter, as 2026-Q3; hours: say the hours on the owner's copy; anyway: an
    owner's copy of a board to which one said no; progress: told how far the record is

    Raises UsageError for a board that is unknown or over; NoAnswerError where there is no answer to print, or no day
    is known to look from.
    """
    return _of(shop.snapshot(), kind, about, hours=hours, anyway=anyway, progress=progress)


def _of(
    shop: Snapshot, kind: str, about: str | None, *, hours: bool, anyway: bool, progress: Progress | None
) -> Paper:
    """The same of a workshop as it stands, so that all of a sheet is of one moment."""
    if shop.today is None:
        raise NoAnswerError("No day is known to look from.", "Name one, or write hours down.", field="day")
    if about is None:
        return _of_the_shop(shop, kind, shop.today, progress)
    if kind == "quarter":
        from estimator.sheets.paper.said_sheets import quarter_sheet

        review = shop.quarter(about, progress=progress)
        name = f"{kind}-{review.quarter.name}"
        return Paper(kind, quarter_sheet(review, shop.settings), review.quarter.today, name)
    board = board_named(about, shop.known[0].boards)
    if kind == "weigh":
        from estimator.sheets.paper.said_sheets import weigh_sheet

        data = weigh_sheet(shop.weigh(board.board), shop.settings)
    else:
        of_board: Mapping[str, Callable[[Snapshot, Board, dt.date], dict[str, Any]]] = {
            "owner": partial(_owner, hours=hours, anyway=anyway),
            "handover": _handover,
            "range": _range,
        }
        data = of_board[kind](shop, board, shop.today)
    return Paper(kind, data, shop.today, f"{kind}-{plain_name(board.board)}")


def said_paper(shop: Shop, kind: str) -> Paper:
    """What is said of the whole workshop, on paper: one of SAID.

    Raises NoAnswerError where there is no answer to print, or no day is known to look from.
    """
    from estimator.said.looks import looks_parts
    from estimator.said.overruns import overruns_parts
    from estimator.sheets.paper.said_sheets import page

    now = shop.snapshot()
    if now.today is None:
        raise NoAnswerError("No day is known to look from.", "Name one, or write hours down.", field="day")
    parts = (
        overruns_parts(now.overruns(), now.settings)
        if kind == "overruns"
        else looks_parts(now.looks(), now.settings)
    )
    plain: dict[str, Any] = {"money": None, "overleaf": [], "figure": None}
    return Paper(kind, {**page(parts, now.settings, now.today), **plain}, now.today, kind)


def check_asked(kind: str, about: str | None, *, hours: bool, out: Path | None = None) -> None:
    """Refuses a kind of sheet that there is not, one that is about something else, and a file of another kind.

    Raises UsageError.
    """
    endings = (".pdf", ".txt") if kind in FOR_OWNERS else (".pdf",)
    if out is not None and out.suffix.casefold() not in endings:
        raise UsageError(f"{out} is no {' or '.join(endings)}.", "Name a file that ends in it.")
    if kind not in KINDS:
        raise UsageError(f'There is no sheet "{kind}".', f"Sheets are {', '.join(KINDS)}.")
    if about is None and KINDS[kind]:
        cure, example = NAME_ONE[KINDS[kind]]
        action = Action("sheet", fields={"kind": kind, KINDS[kind]: example})
        raise UsageError(f"No {KINDS[kind]} is named.", cure, action=action)
    if about is not None and not KINDS[kind]:
        wrong = f"The sheet {kind} is about the whole workshop."
        raise UsageError(wrong, "Ask for it alone.", action=Action("sheet", fields={"kind": kind}))
    if hours and kind != "owner":
        raise UsageError(
            "Only the owner's copy can say hours or leave them out.", "Ask without that.", field="hours"
        )


def save_tour(shop: Shop, board: Board, answer: Range) -> list[Path]:
    """Writes the pictures of a board's range and three sheets, and says where: what the invented workshop shows.

    Raises as `paper_of` does, and UsageError where one cannot be written.
    """
    from estimator.sheets.pictures import save_pictures

    pictures = save_pictures(shop.folder / REPORTS, answer, shop.settings, board.name)
    about = {"range": board.board, "owner": board.board, "week": None}
    return [*pictures, *(paper_of(shop, kind, of).save(shop.folder) for kind, of in about.items())]


def plain_name(board: str) -> str:
    """A board's number as it can stand in the name of a file; no two boards have the same.

    >>> plain_name("26-014"), plain_name("a/b"), plain_name("a b")
    ('26-014', 'a-b-c14cdd', 'a-b-c8687a')
    """
    plain = re.sub(r"[^\w.-]+", "-", board).strip("-.")
    if plain == board:
        return plain
    own = hashlib.sha256(board.casefold().encode()).hexdigest()[:6]  # boards are told apart in any case
    return f"{plain or 'board'}-{own}"


def _of_the_shop(shop: Snapshot, kind: str, today: dt.date, progress: Progress | None) -> Paper:
    """A sheet about the whole workshop."""
    if kind == "rules":
        from estimator.sheets.paper.said_sheets import rules_sheet

        return Paper(kind, rules_sheet(shop.rules(), shop.settings, today=today), today, kind)
    if kind == "record":
        from estimator.sheets.paper.said_sheets import record_sheet

        return Paper(kind, record_sheet(shop.record(progress=progress), shop.settings), today, kind)
    from estimator.sheets.paper.week_sheet import monday_of, week_sheet

    try:
        day = shop.morning()
    except NoAnswerError:
        day = None  # a blank week is of use all the same
    week = monday_of(today, shop.settings).strftime("%G-W%V")
    return Paper(kind, week_sheet(shop.settings, today=today, day=day), today, f"{kind}-{week}")


def _told(shop: Snapshot, board: Board) -> list[Told]:
    """What a board's owner was told, in order of day."""
    return sorted(
        (told for told in shop.known[0].told if told.board == board.board), key=lambda told: told.date
    )


def _range(shop: Snapshot, board: Board, today: dt.date) -> dict[str, Any]:
    """The workshop's copy of a board's range."""
    from estimator.forecast.described import what_ifs
    from estimator.log.notes import notes_with
    from estimator.sheets.paper.range_sheet import range_sheet

    answer = shop.range(board.board, dates=True)
    known = next(one for one in shop.fit().boards if one.board == board.board)
    return range_sheet(
        board,
        answer,
        shop.settings,
        today=today,
        what_ifs=what_ifs(shop.fit(), known, shop.settings, seed=shop.seed) if answer.stages else (),
        told=_told(shop, board),
        noted=notes_with(shop.known[0], board=board.board),
        weeks_apart=shop.weeks_apart if answer.ready is not None else "",
    )


def _handover(shop: Snapshot, board: Board, today: dt.date) -> dict[str, Any]:
    """The sheet for the day a board is fetched; of one that is ready, or gone."""
    from estimator.sheets.paper.handover_sheet import handover_sheet

    if board.state != FINISHED:
        raise UsageError(
            f"{board.name} is not ready, and nothing can be handed over.",
            "Write the day on which it was ready; until then print the owner's copy.",
            action=Action("sheet", board.board, {"kind": "owner"}),
        )
    entries = [entry for entry in shop.known[0].entries if entry.board == board.board]
    return handover_sheet(board, shop.settings, today=today, told=_told(shop, board), entries=entries)


def _owner(shop: Snapshot, board: Board, today: dt.date, hours: bool, anyway: bool) -> dict[str, Any]:
    """The owner's copy."""
    from estimator.sheets.paper.owner_sheet import owner_sheet

    said_no = board.state == DECLINED or board.decided == "no"
    if said_no and not anyway:
        raise UsageError(
            f"You said no to {board.name}, and its owner's copy would offer it.",
            "Decide anew, or ask for the copy anyway.",
            field="anyway",
        )
    copy = Action("sheet", board.board, {"kind": "range"})
    gone = {FINISHED, WITHDRAWN}
    refuse_over(board, NO_MORE_TOLD, "Print the workshop's copy.", states=gone, action=copy)
    promise, by = shop.promise(board.board), None
    if promise is None and (one_more := shop.promise_if_yes(board.board)) is not None:
        promise, by = one_more
    return owner_sheet(
        board,
        shop.settings,
        today=today,
        promise=promise,
        say_yes_by=by,
        told=_told(shop, board),
        hours=shop.range(board.board) if hours else None,
        ceiling=_ceiling(shop, board),
    )


def _ceiling(shop: Snapshot, board: Board) -> float | None:
    """The higher end of a price with a range: as it was told, else as `weigh` has it; None under other terms."""
    _, ranged, _ = TERMS
    told = next((told.terms for told in reversed(_told(shop, board)) if told.terms), "")
    terms, ceiling = terms_and_ceiling(told)
    if terms != ranged or ceiling is not None:
        return ceiling
    try:
        said = shop.weigh(board.board, terms=ranged).terms[0].ceiling
    except (NoAnswerError, UsageError):
        return None
    return None if said is None else round(said, -1)
