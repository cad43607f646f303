"""A form on a page: its key and what was typed, errors at the field and in a list, and the act that it becomes."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from flask import Response, redirect, render_template, request
from flask.typing import ResponseReturnValue

from estimator.counter.safety import KEY, OURS
from estimator.counter.workplace import at_counter
from estimator.log.store import Act
from estimator.words.errors import EstimatorError

T = TypeVar("T")
LONGEST = 32_000  # characters of a field, as of a cell
SEE_OTHER, NOT_TAKEN = 303, 422  # where a form that was taken goes on; of one that has to be looked at again
PAGE = "page"  # from where its acts come


@dataclass(frozen=True, slots=True)
class FieldError:
    """What is wrong with what stands in a field, and what to do; field: empty where it is about the whole form."""

    field: str
    said: str


@dataclass
class PageForm:
    """A form as it is shown, as it was typed, and with what is wrong.

    typed: texts by field; errors: in the order in which they were found; key: made by the server, once for each page
    """

    typed: Mapping[str, list[str]] = field(default_factory=dict)
    errors: list[FieldError] = field(default_factory=list)
    key: str = ""

    @classmethod
    def blank(cls, **offered: str) -> PageForm:
        """A form that is shown for the first time; offered: what stands in its fields already."""
        return cls({name: [text] for name, text in offered.items()}, [], secrets.token_urlsafe(12))

    @classmethod
    def sent(cls) -> PageForm:
        """The form that the request in hand sends; its token was checked before."""
        typed = {name: texts for name, texts in request.form.lists() if name not in OURS}
        form = cls(typed, [], request.form.get(KEY, "")[:64])
        for name, texts in typed.items():
            if any(len(text) > LONGEST for text in texts):
                form.wrong(name, f"That is longer than {LONGEST:,} characters.")
        return form

    def text(self, name: str) -> str:
        """What was typed into a field, without blanks around it; empty where nothing was, or there is no such field."""
        return next(iter(self.typed.get(name, [])), "").strip()

    def texts(self, name: str) -> list[str]:
        """All that was typed into, or ticked in, fields of one name."""
        return [text.strip() for text in self.typed.get(name, [])]

    def ticked(self, name: str) -> bool:
        """Whether a box is ticked."""
        return self.text(name) not in {"", "no", "off"}

    def wrong(self, name: str, said: str) -> None:
        """Notes what is wrong with a field."""
        self.errors.append(FieldError(name, said))

    def error_at(self, name: str) -> str:
        """What is wrong with a field; empty where nothing is."""
        return " ".join(one.said for one in self.errors if one.field == name)

    def read(self, name: str, reader: Callable[[str], T]) -> T | None:
        """What a reader makes of a field; None where it cannot, and then why is noted at the field."""
        try:
            return reader(self.text(name))
        except EstimatorError as error:
            self.note(error, name)
            return None

    def note(self, error: EstimatorError, name: str = "") -> None:
        """Notes what a user got wrong, at the field that the error names, else at this one."""
        self.wrong(error.field if error.field in self.typed else name, str(error))

    @property
    def digest(self) -> str:
        """What was typed, as a short text: the same for the same fields and the same address."""
        fields = sorted((name, texts) for name, texts in self.typed.items())
        said = json.dumps([request.path, fields], ensure_ascii=False)
        return hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()

    @property
    def own_key(self) -> str:
        """The key of this form with these fields; sent twice it is the same, with other fields it is a new one."""
        return f"{self.key}:{self.digest[:16]}" if self.key else ""

    def write(self, label: str, how: Callable[[Act], T]) -> T | None:
        """One act of this form: sent twice it is done once. None where it could not be, and then why is noted.

        label: the act in a sentence; how: writes it
        """
        store = at_counter().store

        def act() -> T:
            with store.act(label, dt.datetime.now().astimezone(), self.own_key, self.digest) as one:
                return how(one)

        return self.do(act)

    def do(self, what: Callable[[], T]) -> T | None:
        """What is done with the fields, where it writes an act by itself; None where it could not, and why is noted."""
        try:
            at_counter().refuse_read_only()
            return what()
        except EstimatorError as error:
            self.note(error)
            return None

    def again(self, template: str, **shown: object) -> ResponseReturnValue:
        """The page with the form as it was typed and what is wrong with it."""
        return render_template(template, form=self, **shown), NOT_TAKEN


def done(address: str) -> Response:
    """Goes on to another page, so that loading that again sends nothing again."""
    answer = redirect(address, code=SEE_OTHER)
    assert isinstance(answer, Response)
    return answer
