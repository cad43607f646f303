"""Setting up: eleven questions, one a page, each kept as it is answered; at the end the first answer."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from contextlib import suppress

from flask import Blueprint, abort, current_app, render_template, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import ROOM, PageQuestion
from estimator.counter.forms import PageForm, done
from estimator.counter.step_questions import FIRST_START
from estimator.counter.taking import take_step
from estimator.counter.workplace import at_counter
from estimator.log.cache import CACHE, change, kept
from estimator.log.starter import starter_text
from estimator.log.steps.setting_up import SettingAnswered
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import page_label
from estimator.words.settings.own_rules import THUMBS, thumbs_asked
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings
from estimator.words.settings.set_up import (
    AWAY,
    AWAY_ROWS,
    QUESTIONS,
    RULES,
    WEEK,
    answered,
    questions_asked,
    stands_now,
)
from estimator.working_day import as_written

page = Blueprint("setting_up", __name__)
SEEN = "setting-up.json"  # which questions were asked; in the room of the counter, for it is of no board
ANSWERED, SKIPPED = "answered", "skipped"


def _asked_so_far() -> Mapping[str, str]:
    """Of each question that was asked, whether it was answered or skipped."""
    try:
        found = json.loads(kept(at_counter().folder / CACHE / ROOM / SEEN) or "{}")
    except ValueError:
        return {}
    return {str(name): str(how) for name, how in found.items()} if isinstance(found, dict) else {}


def _keep_asked(question: str, how: str) -> None:
    """Keeps that a question was asked; one that was answered once is not made a skipped one."""

    def with_it(text: str) -> str:
        there: dict[str, str] = json.loads(text or "{}")
        there[question] = ANSWERED if there.get(question) == ANSWERED else how
        return json.dumps(there)

    room = at_counter().folder / CACHE / ROOM
    with suppress(OSError):  # where nothing can be kept, all is merely asked again
        room.mkdir(parents=True, exist_ok=True)
    change(room / SEEN, with_it)


def _today() -> dt.date:
    """The day on which one looks."""
    return at_counter().clock() or dt.date.today()


@page.get("/setting-up")
def show() -> str:
    """All questions, which of them were asked, and what else can be learned from."""
    names, so_far = questions_asked(at_counter().now.settings), _asked_so_far()
    left = [name for name in names if name not in so_far]
    pages = current_app.view_functions
    more = [("promised", url_for("before_the_log.promised")), ("diary", url_for("before_the_log.diary"))]
    if "book.show" in pages:
        more.append(("spreadsheet", url_for("book.show")))
    return render_template(
        "setting_up.html",
        questions=[(name, so_far.get(name, "open")) for name in names],
        next=left[0] if left else "",
        begun=bool(so_far),
        more=more,
    )


@page.get("/setting-up/<question>")
def ask(question: str) -> ResponseReturnValue:
    """One question, with what stands there now."""
    _known(question)
    now = at_counter().now.settings
    return _shown(question, PageForm.blank(**stands_now(question, now, _today())))


@page.post("/setting-up/<question>")
def answer(question: str) -> ResponseReturnValue:
    """An answer, kept; then the next question."""
    _known(question)
    form = PageForm.sent()
    if form.ticked("skip"):
        _keep_asked(question, SKIPPED)
        return done(_after(question))
    _take(question, form)
    if form.errors:
        return _shown(question, form), 422
    _keep_asked(question, ANSWERED)
    return done(_after(question))


def _take(question: str, form: PageForm) -> None:
    """Writes an answer where it changes anything; what is wrong is noted at its field."""
    now = as_written(at_counter().now)
    try:
        text = answered(question, form.text, now.settings_text, now.settings, _today())
    except EstimatorError as error:
        form.wrong(error.field, str(error))
        return
    if text != now.settings_text and not form.errors:
        typed = {name: form.text(name) for name in form.typed}
        take_step(SettingAnswered(question, typed, page_label(f"su-{question}").lower()), form)


def _known(question: str) -> None:
    """Refuses a question that is not asked here."""
    if question not in questions_asked(at_counter().now.settings):
        abort(404)


def _after(question: str) -> str:
    """Where one goes on after a question: to the next, or to what was promised already."""
    names = questions_asked(at_counter().now.settings)
    at = names.index(question) + 1
    return (
        url_for("setting_up.ask", question=names[at])
        if at < len(names)
        else url_for("before_the_log.promised")
    )


def _as_lent(question: str, settings: Settings, form: PageForm) -> bool:
    """Whether what a question asks for is as a workshop that was begun here was lent it."""
    lent, _ = parse_settings(starter_text())
    stands = stands_now(question, settings, _today())
    ours = settings.workshop.name == lent.workshop.name and stands == stands_now(question, lent, _today())
    return ours and any(map(form.text, form.typed))


def _shown(question: str, form: PageForm) -> str:
    """The page of a question."""
    settings = at_counter().now.settings
    names = questions_asked(settings)
    rows = len([away for away in settings.bench.away if away.last >= _today()]) + AWAY_ROWS
    return render_template(
        "set_up_question.html",
        form=form,
        not_yours=_asked_so_far().get(question) != ANSWERED and _as_lent(question, settings, form),
        question=question,
        number_of=names.index(question) + 1,
        all=len(names),
        fields=QUESTIONS[question],
        week=question == WEEK,
        away=range(1, rows + 1) if question == AWAY else (),
        thumbs=[(name, THUMBS[name].days) for name in thumbs_asked(settings)] if question == RULES else [],
    )


@page.get("/first-start")
def first_start() -> str:
    """The next free start, and what boards of each sort take."""
    found, fresh = at_counter().answer(PageQuestion(FIRST_START))
    return render_template("first_start.html", found=found, fresh=fresh)
