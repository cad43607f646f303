"""Undo, as it stands on every page: the last act of the book taken back, which is an act too."""

from __future__ import annotations

from flask import Blueprint
from flask.typing import ResponseReturnValue

from estimator.counter.forms import PageForm, done
from estimator.counter.taking import sent_now
from estimator.counter.workplace import Counter, UndoOffer, at_counter
from estimator.log.book.store import BookStore
from estimator.log.store import PAGE
from estimator.words.errors import EstimatorError
from estimator.words.measures import whole_number

page = Blueprint("undo", __name__)
NEWEST = 20  # acts among which one that can be taken back is looked for


def last_act(counter: Counter) -> UndoOffer | None:
    """The newest act that is neither an undo nor undone; None in a log that keeps no history."""
    store = counter.store
    if not isinstance(store, BookStore):
        return None
    acts = (act for act in store.acts(NEWEST) if act.undo_of is None and not act.undone)
    return next((UndoOffer(str(act.id), act.sentence) for act in acts), None)


def _offer_undo(counter: Counter) -> None:
    """Has every page of a counter offer to take back the last act."""
    counter.undo = last_act


page.record_once(lambda state: _offer_undo(state.app.extensions["counter"]))


@page.post("/undo")
def take_back() -> ResponseReturnValue:
    """The act that the button names, taken back; then Today."""
    form, counter = PageForm.sent(), at_counter()
    try:
        if isinstance(counter.store, BookStore):
            counter.store.undo(whole_number(form.text("act")), sent_now("").at, origin=PAGE)
    except EstimatorError as error:
        form.note(error, "")
        return form.again("day_refused.html")
    return done("/")
