"""New: somebody asks; the rough answer; the board here, the restorer's own guess, then hours, price and day."""

from __future__ import annotations

from dataclasses import replace

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import PageQuestion
from estimator.counter.at_once import cells_in, cells_of, hours_at_once
from estimator.counter.forms import PageForm, done
from estimator.counter.question_order import by_rules_of_thumb
from estimator.counter.step_forms import enquiry_form, form_of
from estimator.counter.step_questions import ENQUIRY, figures
from estimator.counter.taking import TypedIn, said_after, take
from estimator.counter.workplace import at_counter
from estimator.words.records import ASKED
from estimator.working_day import as_written

page = Blueprint("new", __name__)


@page.get("/new")
def show() -> ResponseReturnValue:
    """The form of an enquiry."""
    fields = enquiry_form(at_counter().now.settings)
    return render_template(
        "new.html", form=PageForm.blank(), fields=fields, counted=request.args.get("counted", "")
    )


@page.post("/new")
def ask() -> ResponseReturnValue:
    """The enquiry, written down; then its rough answer, or, where it was only asked, the empty form again."""
    form, fields = PageForm.sent(), enquiry_form(at_counter().now.settings)
    taken = None if form.errors else take("enquiry", "", form)
    if taken is None:
        return form.again("new.html", fields=fields.with_given(TypedIn(form)), counted="")
    if form.ticked("only_asked"):
        return done(url_for("new.show", counted="yes"))
    return done(url_for("new.board", board=taken.board))


@page.get("/new/<board:board>")
def board(board: str) -> ResponseReturnValue:
    """The rough answer; the questions; and once the own guess is in, or by wish without it, the answer."""
    return _shown(
        board, PageForm.blank(), here=request.args.get("here", ""), seen=request.args.get("seen", "")
    )


@page.post("/new/<board:board>")
def answer(board: str) -> ResponseReturnValue:
    """Questions answered and the own guess, in one act; then the answer, or put by."""
    form = PageForm.sent()
    if form.errors or take("answers", board, form) is None:
        return _shown(board, form, here="yes", seen=form.text("seen")), 422
    if form.ticked("put_by"):
        return done(url_for("today.show"))
    return done(
        url_for("new.board", board=board, said=form.key if said_after(form.key) else None) + "#answer"
    )


@page.get("/new/<board:board>/hours")
def hours(board: str) -> str:
    """The hours of a board with what is tapped in its form just now, by what was learned last; nothing is written."""
    now = as_written(at_counter().now)
    cells = cells_of(now.row(now.board(board)).cells) | cells_in(request.args)
    return render_template(
        "hours_at_once.html", at_once=hours_at_once(at_counter().now, cells), board=now.board(board)
    )


def _shown(board: str, form: PageForm, *, here: str, seen: str) -> str:
    """The page of a board that is asked for."""
    counter = at_counter()
    now = as_written(counter.now)
    row = now.board(board)
    found, fresh = counter.answer(PageQuestion(ENQUIRY, row.board))
    at_once = None if fresh else hours_at_once(counter.now, cells_of(now.row(row).cells))
    best = [str(part) for part in found.parts.get("best", ())] if found else []
    best = best or (list(at_once.best) if at_once else []) or list(by_rules_of_thumb(row.kind, now.settings))
    questions = form_of("answers", now, row, " ".join(best))
    guessed = row.guess is not None
    told = figures(found.parts.get("told", ())) if found and fresh else {}
    [guess] = form_of("guess", now, row).fields
    if form.errors:
        guess = replace(guess, value=form.text("guess"))
        questions = questions.with_given(TypedIn(form))
    return render_template(
        "new_board.html",
        form=form,
        board=row,
        questions=questions,
        guess_field=guess,
        here=bool(here) or guessed or any(c.startswith("assessed_") for c in now.row(row).cells),
        open_answer=guessed or bool(seen),
        seen=bool(seen),
        told_form=(offered := PageForm.blank(**told)),
        told_fields=form_of("told", now, row).with_given(TypedIn(offered)),
        asked=row.state == ASKED,
        found=found,
        fresh=fresh,
        at_once=at_once,
        said=said_after(request.args.get("said", "")),
    )
