"""What is answered on Today: whom to ring, and whether anybody is in."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from flask import Blueprint, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import KeptAnswer, PageQuestion
from estimator.counter.forms import PageForm, done
from estimator.counter.showing import known_as
from estimator.counter.step_questions import RINGS
from estimator.counter.taking import said_after, take
from estimator.counter.workplace import at_counter
from estimator.log.book.store import BookStore
from estimator.log.store import IMPORT
from estimator.words.records import LATE
from estimator.words.step_labels import form_word

page = Blueprint("day_steps", __name__)


@dataclass(frozen=True, slots=True)
class RingOffer:
    """A board under whom to ring, what to say, and what may come of it: where a telling is written, its other answers.

    why: empty where it only became later, and there is no matter to answer
    """

    board: str
    name: str
    why: str
    about: str
    tell: str
    told: str
    form: PageForm
    says: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DaySteps:
    """What Today lets one answer.

    after: what is in danger besides
    firsts: boards that are put first, costs: whose dates that moves; away: today is a day away, moves: whose dates
    that moves; said: after the last step; imported: rows came in from a file today, and nobody is rung before they were
    looked at
    """

    rings: tuple[RingOffer, ...]
    after: tuple[str, ...]
    firsts: tuple[RingOffer, ...]
    costs: tuple[str, ...]
    moves: tuple[str, ...]
    found: KeptAnswer | None
    fresh: bool
    away: bool
    form: PageForm
    said: tuple[str, ...]
    writes: bool
    imported: bool


def day_steps() -> DaySteps:
    """What Today lets one answer."""
    counter = at_counter()
    found, fresh = counter.answer(PageQuestion(RINGS))
    rings = []
    for part in found.parts.get("rings", ()) if found else ():
        board, name, why, about, tell, *says = map(str, json.loads(str(part)))
        told = url_for("steps.show", board=board, slug="told", last=tell or None, because=LATE)
        told = told if tell else ""  # else there is no new day to tell
        rings.append(
            RingOffer(board, known_as(board, name), why, about, tell, told, PageForm.blank(), tuple(says))
        )
    parts = found.parts if found else {}
    firsts = []
    for part in parts.get("firsts", ()):
        board, name, why, about = map(str, json.loads(str(part)))
        firsts.append(RingOffer(board, known_as(board, name), why, about, "", "", PageForm.blank()))
    day = counter.clock()
    away = any(one.first <= day <= one.last for one in counter.now.settings.bench.away) if day else False
    said = said_after(request.args.get("said", ""))
    words = {name: tuple(map(str, parts.get(name, ()))) for name in ("after", "costs", "away")}
    return DaySteps(
        tuple(rings),
        words["after"],
        tuple(firsts),
        words["costs"],
        words["away"],
        found,
        fresh,
        away,
        PageForm.blank(),
        said,
        counter.writes,
        came_in_today(),
    )


def came_in_today() -> bool:
    """Whether rows came in from a file today and are still there."""
    counter = at_counter()
    if not isinstance(counter.store, BookStore):
        return False
    day = (counter.clock() or dt.date.today()).isoformat()
    return any(act.origin == IMPORT and act.at[:10] == day and not act.undone for act in counter.store.acts())


page.record_once(lambda state: state.app.jinja_env.globals.update(day_steps=day_steps))


@page.post("/rung/<board:board>")
def rung(board: str) -> ResponseReturnValue:
    """What came of ringing, or of not."""
    form = PageForm.sent()
    if form.errors or take("rung", board, form) is None:
        return form.again("day_refused.html")
    return done(url_for("today.show"))


@page.post("/not-in")
def not_in() -> ResponseReturnValue:
    """Today, till a day, or nobody knows; or back in."""
    form = PageForm.sent()
    if form.text("until") == "till":
        form.typed = {**form.typed, "until": [form.text("until_day")]}
        if not form.text("until"):
            form.wrong("until_day", form_word("not-in-till-day"))
    verb = "back" if form.ticked("back") else "away"
    if form.errors or take(verb, "", form) is None:
        return form.again("day_refused.html")
    return done(url_for("today.show", said=form.key if said_after(form.key) else None))
