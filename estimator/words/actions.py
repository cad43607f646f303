"""What a reader may do next, as data: an interface makes a line to paste of it, or a button."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Value = str | bool | tuple[str, ...] | Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be asked or written, with all that is known of how.

    verb: one of VERBS or STEPS; board: the id of the board that it is about, empty where it is about none
    fields: by name a text; "" for one that the reader fills in; True for a box that is ticked; several texts, of which
        one is chosen and the first is offered; texts by name, as what is known of a board
    """

    verb: str
    board: str = ""
    fields: Mapping[str, Value] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.verb not in VERBS | STEPS:
            raise ValueError(f"{self.verb!r} is nothing that can be done")


VERBS = {
    "accept": "keep what the log says beside a rule of thumb",
    "ask": "ask what comes on top of a board, and keep it with the board",
    "bench": "see the boards in hand",
    "check": "see all problems of settings and log",
    "decide": "keep a decision",
    "import": "keep the log in a book",
    "new": "begin a workshop",
    "range": "see the hours of a board",
    "record": "see how past ranges went",
    "sheet": "print a sheet",
    "tell": "keep what an owner was told",
}

# what happens in a working day; it is written with a form, and no command has it
STEPS = {
    "enquiry": "write down who asks",
    "answers": "answer questions with the board in hand",
    "guess": "write your own guess",
    "answered": "the owner said yes or no",
    "hours": "write hours",
    "done": "a stage is done",
    "again": "do it again",
    "found": "what did you find?",
    "weight": "weigh it",
    "asked since": "asked for since",
    "told": "I told the owner",
    "struck": "strike out what was told",
    "stopped": "it is stopped",
    "going": "going again",
    "deposit": "a deposit came",
    "ready": "it is ready",
    "collected": "collected and paid",
    "gave back": "given back half done",
    "weigh up": "take it on?",
    "note": "a note or a photo",
    "away": "not in",
    "back": "back in",
    "rung": "answer whom to ring",
}
