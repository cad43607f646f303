"""What was read of a page of the notebook: lines, doubts, and the places in the text that each came from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import SHOP

Span = tuple[int, int]  # from and to in the text, counted in characters

KEEP = "note"  # an answer that keeps what was typed as a note
LEAVE = "leave"  # an answer that leaves out what was typed
MORE, SAME = "more", "same"  # answers where the log has hours on this board, stage and day already

# what an answer may be beside the choices
NO_OTHER, A_TIME, A_DATE, A_LINE = FREE = ("", "time", "day", "line")


@dataclass(frozen=True, slots=True)
class Choice(JsonForm):
    """One answer to a doubt. value: what is handed back; says: how it is shown"""

    value: str
    says: str


@dataclass(frozen=True, slots=True)
class Doubt(JsonForm):
    """What the reader isn't sure of.

    what: board, stage, hours, day, until, done, again, more, empty or line
    span, typed: the piece of text that it is about
    choices: the likeliest first; free: whether a time, a day or a whole line may be typed instead
    known: what is known of the line already, in words, by column
    about: a word whose meaning is asked, the same wherever it stands in the text
    """

    what: str
    span: Span
    typed: str
    question: str
    choices: tuple[Choice, ...] = ()
    free: str = NO_OTHER
    known: Mapping[str, str] = field(default_factory=dict)
    about: str = ""

    @property
    def key(self) -> str:
        """Under which its answer is handed back with the same text; doubts with one key are one question."""
        if self.about:
            return f"{self.what}-{self.about}"
        return f"{self.what}-{self.span[0]}-{self.span[1]}"

    def _json(self) -> dict[str, Any]:
        # by hand: answers are handed back by the key
        return {"key": self.key, **json_fields(self)}


@dataclass(frozen=True, slots=True)
class TextPiece:
    """A piece of the text, and what it was taken for: board, stage, hours, day, done, again, note or small."""

    span: Span
    role: str


@dataclass(frozen=True, slots=True)
class HoursLine(JsonForm):
    """One line of hours as it was read.

    board: id, or `SHOP`; until: the last day where it covers several; hours: hours, 0 or more
    written: the time as it is to be written, where figures alone would lose a day's grain or an about
    amounts: how much of what there is to do the text counts, by driver, as offered: 3 pcs
    span: of the text that it came from, without the day that stands above it; pieces: what each word was taken for
    """

    board: str
    date: dt.date
    stage: str
    hours: float
    until: dt.date | None = None
    done: bool | None = None
    again: str = ""
    note: str = ""
    written: str = ""
    amounts: tuple[tuple[str, float], ...] = ()
    span: Span = (0, 0)
    pieces: tuple[TextPiece, ...] = field(default=(), metadata=HIDDEN)

    @property
    def last(self) -> dt.date:
        """The last day that it covers."""
        return self.until or self.date

    @property
    def away(self) -> bool:
        """Whether it says of a day that nobody worked."""
        return self.board == SHOP and self.hours == 0


@dataclass(frozen=True, slots=True)
class NoteLine(JsonForm):
    """What was typed that is of no hours, kept as a note. board: id, or `SHOP`; span: of the text"""

    board: str
    date: dt.date
    note: str
    span: Span = (0, 0)


@dataclass(frozen=True, slots=True)
class NotebookPage(JsonForm):
    """All that a text says.

    lines: in the order of the text; doubts: what is to be answered before any of it is written
    days: the pieces that name days; left_out: the pieces that answers left out; notes: what is of no hours
    """

    text: str
    lines: tuple[HoursLine, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    days: tuple[Span, ...] = ()
    left_out: tuple[Span, ...] = ()
    notes: tuple[NoteLine, ...] = ()
