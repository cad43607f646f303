"""The counter as a WSGI app: its pages, what guards them, and what is said where one can't be shown."""

from __future__ import annotations

import datetime as dt
import gzip
import logging
from pathlib import Path

from flask import Flask, Response, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge
from werkzeug.routing import BaseConverter

from estimator.counter.answer_files import ROOM
from estimator.counter.forms import PageForm
from estimator.counter.pairing import PHONES, PhoneBook
from estimator.counter.registry import PAGES
from estimator.counter.safety import OURS, Guard, UnknownPhone, kept_secret, own_hosts, protect
from estimator.counter.showing import dress
from estimator.counter.workplace import Asker, Clock, Counter
from estimator.log.book.opening import DamagedBookError
from estimator.log.cache import CACHE
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.page_labels import page_label

NO_TROUBLE, NOT_THERE, CANNOT = 200, 404, 503
PACKED = {"text/html", "text/css", "text/javascript"}  # what is packed on the way
WORTH_IT = 2_000  # bytes from which it is
SAID = {  # what is said by the number of an error
    404: ("not-found", "not-found-cure"),
    405: ("not-allowed", "not-found-cure"),
    403: ("refused", "refused-cure"),
    421: ("refused", "refused-cure"),
    413: ("too-large", "too-large-cure"),
    500: ("our-mistake", "our-mistake-cure"),
}
log = logging.getLogger("estimator.counter")


class BoardId(BaseConverter):
    """A board's id in an address: any text, in one piece of it.

    >>> BoardId.spelled("26-014"), BoardId.spelled("a/b"), BoardId.spelled("..")
    ('26-014', 'a~2fb', '~2e~2e')
    """

    regex = "[^/]+"
    UNSAFE = "~/.\\?#%"  # what would be read as something else on the way; a point alone means the folder

    @classmethod
    def spelled(cls, board: str) -> str:
        """The id as it stands in an address, before letters of other alphabets are written as bytes."""
        return "".join(f"~{ord(c):02x}" if c in cls.UNSAFE or ord(c) < 32 else c for c in board)

    def to_url(self, value: str) -> str:
        """The id as it stands in an address."""
        return super().to_url(self.spelled(value))

    def to_python(self, value: str) -> str:
        """The id that stands in an address; what is no id of ours stays as it is, and no board has it."""
        first, *rest = value.split("~")
        try:
            return first + "".join(chr(int(piece[:2], 16)) + piece[2:] for piece in rest)
        except ValueError:
            return value


def create_app(
    folder: Path | str,
    today: dt.date | None = None,
    seed: int = 0,
    *,
    clock: Clock | None = None,
    worker: Asker | None = None,
    writes: bool | None = None,
    port: int | None = None,
    home: str | None = None,
) -> Flask:
    """The pages of a workshop.

    folder: of the workshop; today: the day on which one looks, None: `clock` is asked at each request
    clock: left out, the calendar's day; worker: works out what takes longer, None: nobody does
    writes: whether pages may write, None: unless the log is kept in csv or a spreadsheet
    port: that is served, None: any; home: this machine's address on the home network, where phones may come in
    """
    place = Path(folder).absolute()
    app = Flask("estimator.counter", static_folder="static", template_folder="templates")
    app.config["SEND_FILE_MAX_AGE_DEFAULT"] = 365 * 86_400
    app.url_map.converters["board"] = BoardId
    ask = clock or dt.date.today
    app.extensions["counter"] = Counter(
        place, (lambda: today) if today else ask, seed, worker=worker, writes=writes
    )
    room = place / CACHE / ROOM
    phones = PhoneBook(room / PHONES, port) if home else None
    if phones is not None:
        app.extensions["phones"] = phones
        app.config["HOME"] = f"{home}:{port}" if port else home
    hosts = own_hosts([home] if home else ())
    protect(app, Guard(hosts, port, kept_secret(room), None if phones is None else phones.may))
    dress(app)
    app.after_request(packed)
    for page in PAGES:
        app.register_blueprint(page)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(EstimatorError, _cannot)
    app.register_error_handler(Exception, _our_mistake)
    return app


def packed(answer: Response) -> Response:
    """A page in as few bytes as its browser can unpack: from a shed the home network is slow."""
    if answer.mimetype not in PACKED or answer.status_code != NO_TROUBLE:
        return answer
    answer.vary.add("Accept-Encoding")
    if request.accept_encodings.quality("gzip"):
        answer.direct_passthrough = False
        text = answer.get_data()
        if len(text) >= WORTH_IT:
            answer.set_data(gzip.compress(text, 5, mtime=0))
            answer.content_encoding = "gzip"
    return answer


def _refused(error: HTTPException) -> ResponseReturnValue:
    """What is said where a request is not answered."""
    if error.response is not None or (error.code and error.code < 400):
        return error.get_response()
    if isinstance(error, UnknownPhone):
        return render_template("phone_asks.html", form=PageForm.blank(), bare=True), 401
    head, cure = SAID.get(error.code or 500, ("wrong", "not-found-cure"))
    # a form that came from our own page with an old token: what was typed is not lost
    own = error.code == 403 and request.headers.get("Origin", "") == f"http://{request.host}"
    typed: list[str] = []
    if own and not isinstance(error, RequestEntityTooLarge):
        typed = [text for name, texts in request.form.lists() if name not in OURS for text in texts if text]
    page = render_template("refused.html", head=page_label(head), said="", cure=page_label(cure), typed=typed)
    return page, error.code or 500


def _cannot(error: EstimatorError) -> ResponseReturnValue:
    """What is said where the workshop can't be opened, or a question can't be answered."""
    missing = isinstance(error, UsageError)
    head = page_label("wrong" if missing else "no-workshop")
    way = url_for("book.show") if isinstance(error, DamagedBookError) else ""
    page = render_template("refused.html", head=head, said=str(error), cure="", typed=[], way=way)
    return page, NOT_THERE if missing and not way else CANNOT


def _our_mistake(error: Exception) -> ResponseReturnValue:
    """What is said of a mistake of ours; where it happened goes to the log, without what was typed or asked."""
    frames = []
    at = error.__traceback__
    while at is not None:
        frames.append(f"{Path(at.tb_frame.f_code.co_filename).name}:{at.tb_lineno}")
        at = at.tb_next
    log.error("%s at %s", type(error).__name__, " ".join(frames[-6:]))
    head, cure = SAID[500]
    page = render_template("refused.html", head=page_label(head), said="", cure=page_label(cure), typed=[])
    return page, 500
