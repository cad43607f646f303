"""What templates use to show parts of an answer: sentences as they are, drawings as SVG, actions as addresses."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from flask import Flask, current_app, request, url_for
from markupsafe import Markup

from estimator.counter.answer_files import KeptAnswer
from estimator.counter.kept_parts import PagePart
from estimator.counter.safety import token
from estimator.counter.shapes import DrawingPart
from estimator.counter.workplace import at_counter
from estimator.said.parts import Heading, Table
from estimator.words.actions import VERBS, Action
from estimator.words.dates import say_day
from estimator.words.errors import EstimatorError
from estimator.words.labels import label
from estimator.words.measures import feet_and_inches
from estimator.words.page_labels import page_label
from estimator.words.records import Board

FOOT = ("today", "on-the-go", "new", "look-back")
STATIC = Path(__file__).with_name("static")
EVENING = "evening"  # a cookie: light letters on dark
WAYS: Mapping[
    str, tuple[str, tuple[str, ...]]
] = {  # where an action is done: endpoint, and what is in its address
    "bench": ("today.show", ()),
    "range": ("board.show", ("board",)),
    "weigh up": ("take_it_on.show", ("board",)),
    "sheet": ("paper.sheet", ("kind", "about")),
    "record": ("look_back.show", ()),
}
WRITTEN = {
    "tell": "told",
    "decide": "weigh-up",
}  # actions that are written with the form of a step, by what it is in


def kind_of(part: PagePart) -> str:
    """What sort of part it is: text, heading, table, drawing or action."""
    if isinstance(part, str):
        return "text"
    names = {Heading: "heading", Table: "table", DrawingPart: "drawing"}
    return names.get(type(part), "action")


def address_of(action: Action) -> str:
    """Where an action is done; empty where no page does it yet."""
    given: dict[str, Any] = {}
    if action.verb in WRITTEN:
        if not (action.board and "steps.show" in current_app.view_functions and at_counter().writes):
            return ""
        for name, value in action.fields.items():
            if value is True or (isinstance(value, str) and value):
                given[name] = "yes" if value is True else value
        return url_for("steps.show", board=action.board, slug=WRITTEN[action.verb], **given)
    endpoint, names = WAYS.get(action.verb, ("", ()))
    if endpoint not in current_app.view_functions or (action.verb == "range" and not action.board):
        return ""
    for name in names:
        value = action.board if name == "board" else action.fields.get(name, "")
        if name == "about":
            value = action.board or action.fields.get("quarter", "")
        if not isinstance(value, str) or (not value and name != "about"):
            return ""
        if value:
            given[name] = value
    return url_for(endpoint, **given)


def words_of(action: Action) -> str:
    """What stands on an action's button."""
    if action.fields.get("for_love"):
        return page_label("for-love")
    return VERBS[action.verb].capitalize()


def to_show(parts: Iterable[PagePart]) -> list[PagePart]:
    """The parts without actions that no page does yet, and without the sentences that lead to these."""
    shown: list[PagePart] = []
    for part in parts:
        if not isinstance(part, Action) or address_of(part):
            shown.append(part)
        elif shown and isinstance(lead := shown[-1], str) and lead.endswith(":"):
            before, end, _ = lead.rpartition(". ")
            shown[-1:] = [f"{before}{end.rstrip()}"] if end else []
    return shown


def caption_of(parts: Sequence[PagePart], at: int) -> str:
    """What a table is about: the nearest heading before it."""
    heads = [part.text for part in parts[:at] if isinstance(part, Heading)]
    return heads[-1] if heads else ""


def after_heading(parts: Iterable[PagePart], text: str) -> list[PagePart]:
    """The parts from one heading on, up to the next; none where there is no such heading."""
    found: list[PagePart] = []
    inside = False
    for part in parts:
        if isinstance(part, Heading):
            inside = part.text == text
        if inside:
            found.append(part)
    return found


def as_of_words(found: KeptAnswer) -> str:
    """Of when an older answer is, while the next is worked out."""
    day = at_counter().clock()
    if found.as_of.day and day and found.as_of.day != day.isoformat():
        when = say_day(dt.date.fromisoformat(found.as_of.day))
    else:
        when = page_label("before-entry")
    return page_label("working-it-out").format(when=when)


@lru_cache(maxsize=32)
def _version(name: str) -> str:
    """A short name of what stands in a file that is shipped, so that browsers may keep it."""
    return hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a file that is shipped."""
    return url_for("static", filename=name, v=_version(name))


def svg(drawing: DrawingPart) -> Markup:
    """A drawing, to stand in the page: the writer escapes all words."""
    return Markup(drawing.svg())  # noqa: S704  made of numbers and escaped words alone


def known_as(board: str, name: str) -> str:
    """What a board is called on a page: by its owner instead of a bare number, which says nothing to anybody."""
    found = next((one for one in at_counter().now.whole_log.boards if one.board == board), None)
    if found is None or found.called or name not in {board, found.name}:
        return name
    return _by_owner(found) or name


def spoken(sentence: str) -> str:
    """A sentence in which boards without a short name are called as on the page."""
    if "(" not in sentence:
        return sentence
    for board in at_counter().now.whole_log.boards:
        if not board.called and board.known and board.known in sentence:
            sentence = sentence.replace(board.known, _by_owner(board) or board.known)
    return sentence


def _by_owner(board: Board) -> str:
    """A board by its owner and its length; empty without an owner.

    >>> _by_owner(Board("26-014", owner="Ines", length_m=9.5 * 0.3048))
    "Ines's 9'6"
    """
    if not (board.owner and board.length_m):
        return board.owner
    return f"{board.owner}'s {feet_and_inches(board.length_m)}"


def _undo() -> dict[str, str] | None:
    """The last act and where it is taken back; None where there is none, or no page for it yet."""
    counter = at_counter()
    try:
        offer = counter.undo(counter)
    except EstimatorError:
        return None
    if offer is None or "undo.take_back" not in current_app.view_functions:
        return None
    return {"act": offer.act, "label": spoken(offer.label), "address": url_for("undo.take_back")}


def _read_only() -> bool:
    """Whether the log is shown and not written; not known where there is no workshop."""
    try:
        return not at_counter().writes
    except EstimatorError:
        return False


def _on_every_page() -> dict[str, Any]:
    """What the base of all pages shows."""
    foot = [(name, f"{name.replace('-', '_')}.show") for name in FOOT]
    pages = current_app.view_functions
    book = "book.keep"
    return {
        "word": page_label,
        "label": label,
        "token": token,
        "asset": asset,
        "evening": request.cookies.get(EVENING) == "yes",
        "foot": [(name, url_for(page)) for name, page in foot if page in pages],
        "undo": _undo(),
        "read_only": (read_only := _read_only()),
        "keep_in_book": url_for(book) if read_only and book in pages else "",
        "gone": (worker := at_counter().worker) is None or worker.gone,
    }


def dress(app: Flask) -> None:
    """Gives templates what they use."""
    app.context_processor(_on_every_page)
    app.jinja_env.globals.update(
        kind_of=kind_of,
        address_of=address_of,
        words_of=words_of,
        to_show=to_show,
        caption_of=caption_of,
        known_as=known_as,
        as_of_words=as_of_words,
        svg=svg,
        spoken=spoken,
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
