"""Money: a line in or out; any two days summed; the lines between them as a file for whoever does the tax."""

from __future__ import annotations

import datetime as dt
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import PageQuestion
from estimator.counter.forms import PageForm, done
from estimator.counter.taking import said_after, take_step
from estimator.counter.workplace import at_counter
from estimator.log.exchange.rows import SheetOut
from estimator.log.exchange.writing import csv_of
from estimator.log.money import lines_between
from estimator.log.steps.money_line import WAYS, MoneyWritten
from estimator.log.tables import CellValue
from estimator.said.notes_and_money import board_words, line_parts
from estimator.words.dates import read_date
from estimator.words.errors import EstimatorError
from estimator.words.labels import MONEY_FOR
from estimator.words.page_labels import page_label
from estimator.words.records import DECLINED, WITHDRAWN, Board

page = Blueprint("money", __name__)
Span = tuple[dt.date | None, dt.date | None]
SHOWN = 40  # lines that are shown
NEWEST = 12  # boards that have a box to tick
COLUMNS = ("date", "in", "out", "what", "boards", "called", "note")
SIGN_OF_UTF8 = b"\xef\xbb\xbf"  # by which a spreadsheet knows how letters are written


@page.get("/money")
def show() -> ResponseReturnValue:
    """The form of a line, and what came in and went out."""
    return _shown(PageForm.blank())


@page.post("/money")
def write() -> ResponseReturnValue:
    """A line of money, for none, one or several boards."""
    form = PageForm.sent()
    boards = [*form.texts("board"), *(name for name in form.text("boards").split(";") if name.strip())]
    what = form.text("what.other") or form.text("what")
    step = MoneyWritten(
        form.text("way"), form.text("amount"), what, tuple(boards), form.text("note"), form.text("on")
    )
    if form.errors or take_step(step, form) is None:
        return _shown(form), 422
    return done(url_for("money.show", said=form.key if said_after(form.key) else None))


@page.get("/money/lines.csv")
def lines() -> ResponseReturnValue:
    """All lines between two days as a file."""
    form = PageForm.blank()
    first, last = _days(form)
    if form.errors:
        return _shown(form), 422
    now = at_counter().now
    boards = now.whole_log.by_id
    rows: list[tuple[CellValue, ...]] = [
        (
            line.date,
            line.came_in or "",
            line.went_out or "",
            line.what,
            "; ".join(line.boards),
            "; ".join(board_words(board, boards) for board in line.boards),
            line.note,
        )
        for line in lines_between(now.whole_log, now.settings, first, last)
    ]
    name = "-".join(["money", *(day.isoformat() for day in (first, last) if day)])
    answer = Response(
        SIGN_OF_UTF8 + csv_of(SheetOut("money", COLUMNS, rows)), content_type="text/csv; charset=utf-8"
    )
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer


def _days(form: PageForm) -> Span:
    """The two days that are asked for; without any, from the first of January on. What is wrong is noted."""
    counter = at_counter()
    today, style = counter.now.today or dt.date.today(), counter.now.settings.workshop.dates
    asked = {name: request.args.get(name, "").strip()[:40] for name in ("from", "to")}
    if "from" not in request.args and "to" not in request.args:
        asked = {"from": dt.date(today.year, 1, 1).isoformat(), "to": ""}
    form.typed = {**form.typed, **{name: [text] for name, text in asked.items()}}
    days: list[dt.date | None] = []
    for name, text in asked.items():
        try:
            days.append(read_date(text, style) if text else None)
        except EstimatorError as error:
            form.note(error, name)
            days.append(None)
    first, last = days
    if first and last and last < first:
        form.wrong("to", page_label("days-swapped"))
        return None, None
    return first, last


def _shown(form: PageForm) -> str:
    """The page, with its form as it was typed."""
    counter = at_counter()
    span_form = PageForm.blank()
    first, last = _days(span_form)
    form.errors += [one for one in span_form.errors if one not in form.errors]
    about = "/".join(day.isoformat() if day else "" for day in (first, last))
    found, fresh = counter.answer(PageQuestion("money", about))
    log = counter.now.whole_log
    between = lines_between(log, counter.now.settings, first, last)
    ends: dict[str, Any] = {name: day.isoformat() for name, day in (("from", first), ("to", last)) if day}
    return render_template(
        "money.html",
        form=form,
        span=span_form,
        found=found,
        fresh=fresh,
        writes=counter.writes,
        said=said_after(request.args.get("said", "")),
        ways=[(way, page_label(f"money-{way}")) for way in WAYS],
        whats=[(name, name) for name in MONEY_FOR],
        boards=_boards(log.boards),
        ticked=form.texts("board"),
        lines=line_parts(between, log.by_id, SHOWN),
        file=url_for("money.lines", **(ends or {"from": ""})),
    )


def _boards(boards: tuple[Board, ...]) -> list[Board]:
    """The boards that are likely meant: not turned down nor fetched, and the newest others, up to a number."""
    open_ones = [b for b in boards if not b.collected and b.state not in {DECLINED, WITHDRAWN}]
    return list(reversed(open_ones))[:NEWEST]
