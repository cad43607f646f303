"""A form of a step, sent: the step that it says is done, or what is wrong with it stands at its fields."""

from __future__ import annotations

import datetime as dt
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from flask import current_app, request

from estimator.counter.forms import PAGE, PageForm
from estimator.counter.kept_telling import KeptDayAnswers
from estimator.counter.sent_steps import step_from
from estimator.counter.step_forms import LOOKED, MORE, TURNED_OUT
from estimator.counter.workplace import at_counter
from estimator.log import columns
from estimator.log.book.photos import keep_photo
from estimator.log.steps.read_back import AsWritten
from estimator.log.steps.writing import DayStep, DoneStep, do
from estimator.log.store import Sent
from estimator.words.errors import EstimatorError
from estimator.working_day import as_written

T = TypeVar("T")
MOST_SAID = 200  # notes after steps that are kept to be shown, the newest
PREFIXES = {columns.LOOKED: LOOKED, columns.TURNED_OUT: TURNED_OUT, columns.ASKED_LATER: MORE}
FIELDS = {
    "length": "feet",
    "called": "called",
    "in": "way",
    "out": "way",
    "date": "on",
}  # by column, where its field has another name


@dataclass(frozen=True, slots=True)
class TypedIn:
    """What stands in a form, as steps ask for it."""

    form: PageForm

    def get(self, name: str, default: str = "") -> str:
        """What was typed into a field."""
        return self.form.text(name) or default

    def getlist(self, name: str) -> Sequence[str]:
        """All that was typed into fields of one name."""
        return self.form.texts(name)

    def keys(self) -> Iterable[str]:
        """The names of the fields."""
        return self.form.typed.keys()


def sent_now(key: str) -> Sent:
    """When and from where a form comes: now, on the day that pages are of."""
    day = at_counter().clock() or dt.date.today()
    return Sent(dt.datetime.combine(day, dt.datetime.now().astimezone().time()), key, PAGE)


def kept_photos() -> list[str]:
    """The names under which the photos that came with a form are kept.

    Raises UnreadableError for what is no photo, UsageError where pages may not write.
    """
    sent = [one for one in request.files.getlist("photos") if one.filename]
    if sent:
        at_counter().refuse_read_only()
    try:
        return [keep_photo(at_counter().folder, one.read()) for one in sent]
    except EstimatorError as error:
        error.field = "photos"
        raise


def take(verb: str, board: str, form: PageForm) -> DoneStep | None:
    """The step that a form says, done; None where it could not be, and then why is noted at its field."""
    try:
        photos = kept_photos()
        return take_step(step_from(verb, board, TypedIn(form), photos), form)
    except EstimatorError as error:
        note(form, error)
    return None


def take_step(step: DayStep, form: PageForm) -> DoneStep | None:
    """A step of a form, done; None where it could not be, and then why is noted at its field."""
    counter, sent = at_counter(), sent_now(form.key)

    def written() -> AsWritten:
        now = counter.shop.snapshot(sent.day)
        return replace(as_written(now), answers=KeptDayAnswers(counter, now))

    try:
        counter.refuse_read_only()
        done = do(counter.store, written, step, sent)
    except EstimatorError as error:
        note(form, error)
        return None
    if done.notes:
        keep_said(form.key, done.notes)
    return done


def note(form: PageForm, error: EstimatorError) -> None:
    """Notes what is wrong at the field that asks for the column which the error names."""
    form.wrong(field_of(error.field), str(error))


def field_of(column: str) -> str:
    """The field of a form that fills a column.

    >>> field_of("assessed_infills"), field_of("length"), field_of("hours")
    ('looked.infills', 'feet', 'hours')
    """
    for prefix, ours in PREFIXES.items():
        if column.startswith(prefix):
            return ours + column.removeprefix(prefix)
    return FIELDS.get(column, column)


def keep_said(key: str, notes: Sequence[str]) -> None:
    """Keeps what is to be said after a step, until its page is asked for."""
    said: OrderedDict[str, tuple[str, ...]] = current_app.extensions.setdefault("said", OrderedDict())
    said[key] = tuple(notes)
    while len(said) > MOST_SAID:
        said.popitem(last=False)


def said_after(key: str) -> tuple[str, ...]:
    """What was to be said after a step, by the key of its form."""
    said: tuple[str, ...] = current_app.extensions.get("said", {}).get(key, ())
    return said
