"""A copy put back: asked once, with what would be gone; also into a book that is damaged."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, render_template, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.forms import PageForm
from estimator.counter.pages.book import back_saying, copies_at_hand, shown, the_book
from estimator.counter.workplace import at_counter
from estimator.log.book.backups import put_back, would_put_back
from estimator.log.book.opening import DamagedBookError
from estimator.log.book.store import BookStore
from estimator.said.book import copy_words, put_back_lines
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import page_label
from estimator.words.problems import THE_BOOK

page = Blueprint("book_copies", __name__)


@page.post("/book/put-back")
def back() -> ResponseReturnValue:
    """Says what would be gone and asks; then copies the copy that was named into the book."""
    form, folder = PageForm.sent(), at_counter().folder
    elsewhere = None
    try:
        elsewhere = the_book().backup_folder()
    except DamagedBookError:  # this is what copies are for
        pass
    except EstimatorError as error:
        form.note(error)
        return shown(form)
    here, there = copies_at_hand(folder, elsewhere)
    copy = {**here, **there}.get(form.text("copy"))
    try:
        if copy is None:
            form.wrong("", page_label("no-such-copy"))
            return shown(form)
        would = would_put_back(folder / THE_BOOK, copy)
        if not form.ticked("sure"):
            return render_template(
                "book_sure.html",
                head=page_label("put-back"),
                lines=put_back_lines(would),
                address=url_for("book_copies.back"),
                carried={"copy": form.text("copy")},
                button=page_label("put-back-now"),
                form=form,
            )
        put_back(folder / THE_BOOK, copy.path, dt.datetime.now().astimezone())
        BookStore(folder)  # a copy of an earlier version is brought up to date
    except EstimatorError as error:
        form.note(error)
        return shown(form)
    return back_saying(form, [page_label("was-put-back").format(copy=copy_words(copy))])
