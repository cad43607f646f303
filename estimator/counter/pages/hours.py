"""The hours of a week, typed as the notebook has them: read back, asked about where it isn't sure, kept in one act."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.forms import NOT_TAKEN, PageForm, done
from estimator.counter.taking import keep_said, said_after, take_step
from estimator.counter.week_form import (
    carried,
    day_boxes,
    form_after,
    on_the_bench,
    questions_asked,
    step_of,
    typed_page,
    week_asked,
    week_before,
    week_end_questions,
    week_ended,
)
from estimator.counter.workplace import at_counter
from estimator.log.notebook.boxes import BoxesRead
from estimator.log.steps.notebook_hours import NotebookHours
from estimator.said.hours import read_table
from estimator.words.dates import A_DAY
from estimator.words.phrases import capital
from estimator.words.step_labels import form_word
from estimator.working_day import as_written

page = Blueprint("hours", __name__)
LONG = 6  # lines typed in one box, from which on it grows


@page.get("/hours")
def show() -> str:
    """The boxes of a week, each under what the log holds of its day."""
    week = week_asked(request.args.get("week", "")[:40], _today())
    said = said_after(key := request.args.get("said", ""))
    return _shown(PageForm.blank(), week, said=said, ends=bool(said) and key != request.args.get("ended", ""))


@page.post("/hours")
def write() -> ResponseReturnValue:
    """All that was typed, kept in one act; or what is to be asked of it first, and nothing is lost."""
    form, today = PageForm.sent(), _today()
    week = week_asked(form.text("week")[:40], today)
    step = step_of(form, week, today, at_counter().now.settings.workshop.dates)
    if not form.errors and not form.ticked("only_read"):
        taken = take_step(step, form)
        if taken is not None:
            label = (
                form_word("hours-were-kept")
                if taken.again
                else f"{capital(taken.label)}. {form_word('hours-kept')}"
            )
            keep_said(form.key, [label, *taken.notes])
            return done(url_for("hours.show", week=week.isoformat(), said=form.key))
    read = step.read(as_written(at_counter().shop.snapshot(at_counter().clock())), today)
    if read.asked:
        form.errors = [
            error for error in form.errors if error.field
        ]  # what is asked stands there as a question
    return _shown(form_after(form, read), week, read=read, step=step), NOT_TAKEN


@page.post("/hours/end")
def end() -> ResponseReturnValue:
    """What was answered once the week was written, in one act."""
    form, today = PageForm.sent(), _today()
    week = week_asked(form.text("week")[:40], today)
    if form.errors or (taken := take_step(week_ended(form), form)) is None:
        return _shown(form, week, ends=True), NOT_TAKEN
    keep_said(form.key, [f"{capital(taken.label)}."])
    return done(url_for("hours.show", week=week.isoformat(), said=form.key, ended=form.key))


def _today() -> dt.date:
    """The day on which one types."""
    return at_counter().clock() or dt.date.today()


def _shown(
    form: PageForm,
    week: dt.date,
    *,
    read: BoxesRead | None = None,
    step: NotebookHours | None = None,
    said: tuple[str, ...] = (),
    ends: bool = False,
) -> str:
    """The page of a week; read: what its boxes say, where nothing is kept of it yet; ends: ask what is open of it."""
    counter = at_counter()
    now, today = as_written(counter.now), _today()
    later = week + 7 * A_DAY
    return render_template(
        "hours.html",
        form=form,
        week=week.isoformat(),
        page_text=(text := typed_page(form)),
        rows=max(LONG, text.count("\n") + 2),
        days=day_boxes(now, week, today, form),
        bench=on_the_bench(now),
        lines=(
            read_table(read.lines, now.settings, now.log.boards, read.notes)
            if read and (read.lines or read.notes)
            else None
        ),
        questions=questions_asked(read) if read else (),
        carried=carried(form, read) if read else {},
        typed=step is not None and bool(step.boxes),
        said=said,
        ends=week_end_questions(now, week, today) if ends and counter.writes else (),
        writes=counter.writes,
        before=url_for("hours.show", week=week_before(week).isoformat()),
        after=url_for("hours.show", week=later.isoformat()) if later <= today else "",
    )
