"""A board on the scales, stopped and going again, notes and photos, and days on which nobody works."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.edits import Cells, OwnRow, row_at
from estimator.log.steps.enquiry import photo_rows
from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.log.steps.writing import in_field, in_the_shop, on_day
from estimator.words.dates import A_DAY, read_date, say_day
from estimator.words.errors import UsageError
from estimator.words.phrases import capital
from estimator.words.records import SHOP, STOPPED, WAIT_CAUSES, Board, Wait
from estimator.words.settings.changes import with_away
from estimator.words.settings.values import nearest

OWNER = "owner"
NOT_KNOWN = 7  # days that are counted away where nobody knows yet how many


@dataclass(frozen=True, slots=True)
class WeighedIn:
    """A board on the scales."""

    verb: ClassVar[str] = "weight"
    board: str
    weight: str
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A row of weights; a bare number is kilograms."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        weight = self.weight.strip()
        if weight.replace(",", "", 1).replace(".", "", 1).isdecimal():
            weight = f"{weight} kg"
        row = {"board": board.board, "date": on.isoformat(), "weight": weight}
        return ActPlan(f"{board.name} weighs {weight}", board.board, (("weights", row),))


def standing(now: AsWritten, board: Board) -> list[Wait]:
    """The waits of a board that are not over."""
    return [wait for wait in now.log.waits if wait.board == board.board and wait.until is None]


def ended(now: AsWritten, waits: Iterable[Wait], on: dt.date) -> list[tuple[OwnRow, Cells]]:
    """The rows of these waits, and the day on which they are over."""
    return [(row_at(now.raw, now.settings, "waits", wait.where), {"until": on.isoformat()}) for wait in waits]


def waits_for(cause: str) -> str:
    """What a board waits for, in words.

    >>> waits_for("owner"), waits_for("parts")
    ('waiting for the owner', 'waiting for parts')
    """
    words = {
        OWNER: "waiting for the owner",
        "weather": "waiting for the weather",
        "queue": "waiting its turn",
    }
    words |= {"drying": "the foam is drying", "curing": "it has to set", "away": "nobody is there"}
    return words.get(cause, f"waiting for {cause}")


@dataclass(frozen=True, slots=True)
class Stopped:
    """A board that stands, and why."""

    verb: ClassVar[str] = "stopped"
    board: str
    cause: str
    note: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A wait that is open; one for the owner stops the board."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        if self.cause not in WAIT_CAUSES:
            raise UsageError(
                f'"{self.cause}" is no cause known here.', nearest(self.cause, WAIT_CAUSES), field="cause"
            )
        for wait in standing(now, board):
            if wait.cause == self.cause:
                raise UsageError(
                    f"{capital(board.name)} stands already, since {say_day(wait.first)}: {waits_for(wait.cause)}.",
                    "Say that it is going again before you stop it anew.",
                    field="cause",
                )
        row = {"board": board.board, "from": on.isoformat(), "for": self.cause, "note": self.note.strip()}
        fills = ((now.row(board), {"state": STOPPED}),) if self.cause == OWNER and not board.ready else ()
        return ActPlan(
            f"{board.name} stopped, {waits_for(self.cause)}", board.board, (("waits", row),), fills
        )


@dataclass(frozen=True, slots=True)
class GoingAgain:
    """A board that stood and goes on; cause: which of its waits is over, empty for all."""

    verb: ClassVar[str] = "going"
    board: str
    cause: str = ""
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """Waits get their end, and a stopped board is stopped no more."""
        on, board = on_day(self.on, day, now.settings), in_the_shop(now.board(self.board))
        over = [wait for wait in standing(now, board) if self.cause in {"", wait.cause}]
        if not over and board.state != STOPPED:
            raise UsageError(f"{capital(board.name)} isn't stopped.", "Nothing needs to be written.")
        for wait in over:
            if wait.first > on:
                raise UsageError(
                    f"It has stood only since {say_day(wait.first)}.", "Write a later day.", field="on"
                )
        fills = ended(now, over, on)
        if board.state == STOPPED and self.cause in {"", OWNER}:
            fills.append((now.row(board), {"state": ""}))
        return ActPlan(f"{board.name} going again", board.board, fills=tuple(fills))


@dataclass(frozen=True, slots=True)
class Noted:
    """A note on a board, or on none: then the board is empty; photos: names, as they are kept."""

    verb: ClassVar[str] = "note"
    board: str = ""
    text: str = ""
    photos: tuple[str, ...] = ()
    on: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """Rows of notes."""
        on = on_day(self.on, day, now.settings)
        board = now.board(self.board) if self.board else None
        name, text = (board.board if board else SHOP), " ".join(self.text.split())
        if not text and not self.photos:
            raise UsageError("Nothing is noted.", "Write something, or add a photo.", field="text")
        rows = photo_rows(name, on, self.photos)
        if text:
            first = {**(dict(rows[0][1]) if rows else {"board": name, "date": on.isoformat()}), "note": text}
            rows = (("notes", first), *rows[1:])
        what = "a note" if text else "a photo" if len(self.photos) == 1 else f"{len(self.photos)} photos"
        return ActPlan(f"{what} on {board.name if board else 'no board'}", board.board if board else "", rows)


@dataclass(frozen=True, slots=True)
class NotIn:
    """Nobody works from today on; until: the last such day, empty for today alone, ? where nobody knows."""

    verb: ClassVar[str] = "away"
    until: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """Days away in the settings, from which dates are worked out."""
        notes: tuple[str, ...] = ()
        if self.until == "?":
            last = day + (NOT_KNOWN - 1) * A_DAY
            notes = (f"Counted as away until {say_day(last)}; say again when you know better.",)
        else:
            with in_field("until"):
                last = read_date(self.until, now.settings.workshop.dates) if self.until else day
        if not self.until and any(away.first <= day <= away.last for away in now.settings.bench.away):
            raise UsageError("Today is a day away already.", "Nothing needs to be written.")
        if last < day:
            raise UsageError(
                f"{say_day(last)} is over.", "Write the last day on which you aren't in.", field="until"
            )
        label = "not in today" if last == day else f"not in till {say_day(last)}"
        return ActPlan(label, settings=with_away(now.settings_text, day, last), notes=notes)


@dataclass(frozen=True, slots=True)
class BackIn:
    """Somebody works again from today on."""

    verb: ClassVar[str] = "back"

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """The days away that today lies in end yesterday."""
        if not any(away.first <= day <= away.last for away in now.settings.bench.away):
            raise UsageError("Today isn't a day away.", "Nothing needs to be written.")
        return ActPlan("back in", settings=with_away(now.settings_text, day, None))
