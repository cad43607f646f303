"""The words that a diary has for sorts of job, for money and for when, and what they make."""

from __future__ import annotations

import calendar
import datetime as dt
import re
from collections.abc import Mapping, Sequence

from estimator.log.notebook.page import TextPiece
from estimator.log.notebook.tokens import LINE_END, NOT, Token, listed
from estimator.log.notebook.vocabulary import words_of
from estimator.words.dates import MONTHS
from estimator.words.errors import UnreadableError
from estimator.words.money import read_money
from estimator.words.settings.schema import Settings

TOTAL, PRICE = "total_hours", "price_charged"
LEAST_PRICE = 100.0  # a bare figure beside a time that is written with its unit
SORTS: Mapping[str, str] = {
    "major": "full restoration, full resto, restoration, resto, full, major, strip and reglass, full job, whole job",
    "partial": "one side redone, one side only, bottom redone, deck redone, half resto, partial, bottom only",
    "minor": "small repair, repair, repairs, ding, dings, ding repair, minor, fix, patch up, small job",
}
PAID = listed("paid price charged got took for cost @")
MONEY_SIGNS = listed("£ $ €")
HOUR_WORDS = listed("hours hour hrs hr h")
SIDES = {
    ("both", "sides"): 2.0,
    ("two", "sides"): 2.0,
    ("2", "sides"): 2.0,
    ("1", "side"): 1.0,
    ("one", "side"): 1.0,
}
MONTH_NUMBERS = {name[:3].lower(): at for at, name in enumerate(MONTHS, 1)} | {
    name.lower(): at for at, name in enumerate(MONTHS, 1)
}
MONTH_NUMBERS["sept"] = 9
MAY_BE_NO_MONTH = listed("may mar march")  # words that are no months by themselves
LINKS = listed("to and then until till")
SAYS_WHEN = {
    **dict.fromkeys(("start", "started", "begun", "began", "in", "from", "since"), "started"),
    **dict.fromkeys(("ready", "done", "finished", "by", "end", "ended"), "ready"),
    **dict.fromkeys(("collected", "fetched", "out", "gone"), "collected"),
    **dict.fromkeys(("asked", "rang"), "asked"),
}
BETWEEN = listed("- + & , . ; / : = | ( ) !")
YEAR = re.compile(r"\b(?:19|20)[0-9]{2}\b")  # that is written


def sorts_of(settings: Settings) -> dict[tuple[str, ...], str]:
    """The words for each sort of job."""
    sorts = {}
    for kind in settings.kinds:
        for words in (*SORTS.get(kind, "").split(","), kind, settings.label(kind)):
            sorts[words_of(words)] = kind
    sorts.pop((), None)
    return sorts


def is_denied(tokens: Sequence[Token], place: int) -> bool:
    """Whether the word at a place is said not to be so: not soaked, wasn't too wet."""
    for token in reversed(tokens[max(place - 2, 0) : place]):
        if token.kind == LINE_END or token.plain in BETWEEN:
            return False
        if token.plain in NOT:
            return True
    return False


def sum_of(text: str) -> str:
    """A sum of money as the sheet has it; empty where it is none."""
    try:
        amount = read_money(text)
    except UnreadableError:
        return ""
    return f"{amount:.0f}" if amount == round(amount) else f"{amount:.2f}"


def month_end(day: dt.date) -> dt.date:
    """The last day of a month."""
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])


def notes_of(text: str, pieces: Sequence[TextPiece]) -> list[str]:
    """The notes of a text, each run of words as it was typed."""
    runs: list[list[TextPiece]] = []
    open_run = False
    for piece in pieces:
        joins = piece.role == "between" and text[slice(*piece.span)].isalpha()
        if piece.role == "note":
            if not open_run:
                runs.append([])
            runs[-1].append(piece)
            open_run = True
        elif not (joins and open_run):
            open_run = False
    return [" ".join(text[run[0].span[0] : run[-1].span[1]].split()) for run in runs]
