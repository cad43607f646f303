"""A piece of a text, and what it is taken for."""

from __future__ import annotations

from dataclasses import dataclass, replace

from estimator.log.notebook.amounts import FoundSpan, FoundTime
from estimator.log.notebook.days_named import FoundDay
from estimator.log.notebook.mentions import BoardNames, Mention
from estimator.log.notebook.page import Span
from estimator.log.notebook.vocabulary import (
    AGAINST,
    DAY_OFF,
    DITTO,
    DONE,
    NO_BOARD,
    STAGE,
    STATE,
    TO_COME,
    Meaning,
    Vocabulary,
)

BOARD, TIME, SPAN_OF_TIME, COUNT, DAY, REMARK, UNKNOWN, PART, LITTLE, LIST_NUMBER = (
    "board",
    "time",
    "span of time",
    "count",
    "day",
    "remark",
    "unknown",
    "part",
    "small",
    "number of a list",
)
COMMA, STOP, END_OF_LINE, COLON, QUERY = "comma", "stop", "end of line", "colon", "query"
SEPARATORS = frozenset({COMMA, STOP, END_OF_LINE, COLON})


@dataclass(frozen=True, slots=True)
class Atom:
    """A piece of text and what it is taken for.

    meaning: of a phrase; of: the boards, the time, the day; number, noun: what is counted
    note: whether it is kept as a remark, whatever else it says; lead: whether a figure or a part of a board leads it
    """

    kind: str
    span: Span
    text: str
    meaning: Meaning | None = None
    boards: Mention | None = None
    time: FoundTime | None = None
    clock: FoundSpan | None = None
    day: FoundDay | None = None
    until: FoundDay | None = None
    listed: tuple[FoundDay, ...] = ()  # days behind the first, named one by one
    since: bool = False
    shift: int | None = None  # days from today, where the text says today or yesterday
    part_of_day: bool = False  # this morning: today, or the day of the box
    number: float = 0.0
    noun: str = ""
    sure: bool = True
    note: bool = False

    def as_remark(self) -> Atom:
        """The same words, which mean nothing but themselves."""
        return replace(self, kind=UNKNOWN, meaning=None, note=True)


@dataclass(frozen=True, slots=True)
class Glossary:
    """All that the reader knows words by. style: how dates are written; hours_in_a_day: what a day is"""

    names: BoardNames
    vocabulary: Vocabulary
    style: str
    hours_in_a_day: float
    drivers: frozenset[str]


OF_STAGE, OF_AGAIN, OF_DONE, OF_AWAY, OF_SHOP, OF_DITTO, OF_TO_COME, OF_STATE = (
    STAGE,
    AGAINST,
    DONE,
    DAY_OFF,
    NO_BOARD,
    DITTO,
    TO_COME,
    STATE,
)
