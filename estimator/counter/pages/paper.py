"""Sheets for paper as PDF, and the days of boards for any calendar program."""

from __future__ import annotations

import subprocess

from flask import Blueprint, Response, abort, render_template
from flask.typing import ResponseReturnValue

from estimator.counter.own_process import running, surroundings
from estimator.counter.paper_press import CALENDAR
from estimator.counter.workplace import at_counter
from estimator.papers import KINDS, SAID, plain_name
from estimator.words.page_labels import page_label

page = Blueprint("paper", __name__)
LONGEST = 240  # seconds that a sheet may take: the first record of a long log is forecast anew
SAID_SO = (1, 2)  # exit codes of a mistake that is told in words


@page.get("/paper/<kind>")
@page.get("/paper/<kind>/<board:about>")
def sheet(kind: str, about: str = "") -> ResponseReturnValue:
    """A sheet, to be shown or printed by the browser."""
    if kind not in {*KINDS, *SAID} or bool(about) != bool(KINDS.get(kind)):
        abort(404)
    name = "-".join(filter(None, (kind, plain_name(about) if about else "")))
    return _made(kind, about, "application/pdf", f"{name}.pdf")


@page.get("/paper/calendar")
def calendar() -> ResponseReturnValue:
    """The days by which boards are ready, for a calendar program."""
    return _made(CALENDAR, "", "text/calendar; charset=utf-8", "boards.ics")


def _made(kind: str, about: str, sort: str, name: str) -> ResponseReturnValue:
    """What a process of its own prints, or why it could not."""
    counter = at_counter()
    day = counter.clock()
    words = [str(counter.folder), str(counter.seed), day.isoformat() if day else "", kind, about]
    if any("\0" in word or not word.isprintable() for word in (about, kind)):
        abort(404)
    try:
        made = subprocess.run(  # noqa: S603  our own module, with this very Python
            running("estimator.counter.paper_press", *words),
            env=surroundings(),
            capture_output=True,
            check=False,
            timeout=LONGEST,
        )
    except subprocess.TimeoutExpired:
        return _cannot(page_label("took-too-long"))
    if made.returncode in SAID_SO and made.stderr:
        said = made.stderr.decode("utf-8", "replace")
        return _cannot(said if "Traceback" not in said else page_label("our-mistake"))
    if made.returncode:
        return _cannot(page_label("our-mistake"))
    answer = Response(made.stdout, content_type=sort)
    answer.headers["Content-Disposition"] = f'inline; filename="{name.encode("ascii", "replace").decode()}"'
    return answer


def _cannot(said: str) -> ResponseReturnValue:
    head = page_label("wrong")
    return render_template("refused.html", head=head, said=said, cure="", typed=[]), 404
