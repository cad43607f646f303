"""Today: whom to ring and what to say, what to touch and why, what to leave; then every board in hand."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, render_template

from estimator.counter.answer_files import PageQuestion
from estimator.counter.kept_parts import PagePart
from estimator.counter.workplace import at_counter
from estimator.log.book.store import BookStore
from estimator.said.bench import ALL, LEAVE, SCALES, STILL_OPEN, TOUCH
from estimator.said.parts import Heading
from estimator.words.dates import say_exactly
from estimator.words.page_labels import page_label

page = Blueprint("today", __name__)
TODAY = PageQuestion("today")
HEAD, WORK, RACK, REST = "head", "work", "rack", "rest"  # places of the page, in its order
A_MONTH = 31  # days after which a copy in another place is old
FEW = 10  # finished boards with which a log begins to tell more than lent rules of thumb
UNDER = {TOUCH: WORK, LEAVE: WORK, SCALES: RACK, ALL: ALL, STILL_OPEN: ALL}


@page.get("/")
def show() -> str:
    """The page that opens first."""
    found, fresh = at_counter().answer(TODAY)
    places: dict[str, list[PagePart]] = {place: [] for place in (HEAD, WORK, RACK, REST, ALL)}
    place = HEAD
    for part in found.parts.get("day", ()) if found else ():
        if isinstance(part, Heading):
            place = UNDER.get(part.text, HEAD if part.level == 1 else REST)
        places[place].append(part)
    return render_template(
        "today.html",
        found=found,
        fresh=fresh,
        places=places,
        all=places[ALL],
        copies=copy_words(),
        set_up=to_be_set_up(),
    )


def copy_words() -> str:
    """That no copy of the book lies in another place, or how old the last one is; empty where one is of this month."""
    counter = at_counter()
    if not isinstance(counter.store, BookStore):
        return ""
    last, today = counter.store.last_copy_elsewhere(), counter.clock() or dt.date.today()
    if last is None:
        return page_label("copy-nowhere")
    if (today - last).days <= A_MONTH:
        return ""
    return page_label("copy-old").format(day=say_exactly(last, today), days=(today - last).days)


def to_be_set_up() -> bool:
    """Whether this workshop has no rule of thumb of its own yet and only a few boards, so that all is lent."""
    now = at_counter().now
    few = sum(board.finished for board in now.whole_log.boards) < FEW
    return few and not any(rule.own for rule in now.settings.rules)
