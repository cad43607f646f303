"""Phones: let in by letters from the laptop's screen, listed, and forgotten again."""

from __future__ import annotations

from dataclasses import dataclass

import segno
from flask import Blueprint, Response, abort, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from estimator.counter.forms import PageForm, done
from estimator.counter.pairing import AT_HOME, KnownPhone, PhoneBook
from estimator.counter.safety import LOOPBACK, keep_cookie
from estimator.words.page_labels import page_label

page = Blueprint("phones", __name__)
WRONG = 403


def _phones() -> PhoneBook | None:
    """The phones that may come in; None where the counter was not started for phones."""
    found: PhoneBook | None = current_app.extensions.get("phones")
    return found


def _asked_here() -> bool:
    """Whether the laptop itself asks: another machine may call it by the laptop's name for itself."""
    return request.host.partition(":")[0] in LOOPBACK and request.remote_addr in AT_HOME


def _at_laptop() -> PhoneBook:
    """The phones that may come in, for the laptop alone: a phone adds and forgets no other."""
    book = _phones()
    if book is None or not _asked_here():
        abort(404)
    return book


@dataclass(frozen=True, slots=True)
class PhonesShown:
    """What a page shows of phones. on: they may come in at all; here: it is shown on the laptop; known: those let in"""

    on: bool
    here: bool
    known: list[KnownPhone]


def phones_shown() -> PhonesShown:
    """Which phones may come in: for the laptop alone to see."""
    book = _phones()
    here = _asked_here()
    return PhonesShown(book is not None, here, book.known_phones() if book and here else [])


@page.get("/phones")
def show() -> str:
    """Which phones may come in."""
    return render_template("phones.html", phones=phones_shown(), letters="", code="")


@page.post("/phones/add")
def add() -> str:
    """Letters for one phone more, and the same as a square code with the address."""
    book = _at_laptop()
    letters, home = book.new_letters(), current_app.config["HOME"]
    address = f"http://{home}{url_for('phones.let_in')}"
    square = segno.make_qr(f"{address}?letters={letters}", error="m")
    drawn = square.svg_inline(
        scale=7,
        dark="#000",
        light="#fff",
        svgclass=None,
        lineclass=None,
        border=4,
        title=page_label("phone-code"),
    )
    code = Markup(drawn)  # noqa: S704  made by segno of an address and letters of ours
    return render_template(
        "phones.html",
        phones=phones_shown(),
        letters=letters,
        code=code,
        address=address,
    )


@page.post("/phones/forget")
def forget() -> Response:
    """Lets a phone in no more, and goes back to the page on which that was said."""
    _at_laptop().forget(request.form.get("phone", ""))
    return done(
        url_for("book.show") + "#phones" if request.form.get("from") == "book" else url_for("phones.show")
    )


@page.get("/let-in")
def let_in() -> ResponseReturnValue:
    """Asks a phone for the letters; those of the square code stand there already."""
    if _phones() is None:
        abort(404)
    form = PageForm.blank(letters=request.args.get("letters", "")[:20])
    return render_template("phone_asks.html", form=form, bare=True)


@page.post("/let-in")
def let_in_now() -> ResponseReturnValue:
    """Lets a phone in that knows the letters."""
    book, form = _phones(), PageForm.sent()
    if book is None:
        abort(404)
    token = book.let_in(form.text("letters"), request.host)
    if token is None:
        form.wrong("letters", page_label("phone-wrong"))
        return render_template("phone_asks.html", form=form, bare=True), WRONG
    answer = done("/")
    keep_cookie(answer, book.cookie, token)
    return answer
