"""Who may ask and who may write: the host and origin of a request, the token of a form, what a page may load.

A page of elsewhere that is open in the same browser can send forms to this machine, and a name of elsewhere can be made
to point to it. So the host must be ours, a form must come from our own page and carry a token that only it was given
(OWASP, Cross-Site Request Forgery Prevention Cheat Sheet: signed double-submit cookie, and verifying origin).
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from flask import Flask, Request, Response, current_app, g, request
from werkzeug.exceptions import Forbidden, HTTPException, MisdirectedRequest

LOOPBACK = ("127.0.0.1", "localhost")
MOST_BYTES = 20 * 1024 * 1024  # of one request
MOST_FIELDS = 2000  # in one form
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
POLICY = (
    "default-src 'none'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    "style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
A_YEAR = 365 * 86_400  # seconds
SECRET = "secret"  # noqa: S105  the name of a file
TOKEN = "token"  # noqa: S105  the name of a field
KEY = "key"  # a field: makes an act known again
OURS = (TOKEN, KEY)
PLACE = "X-Counter"  # a header by which a counter knows another of the same workshop
FOR_ALL = ("phones.let_in", "phones.let_in_now", "static")  # what a phone that isn't known may ask for


@dataclass(frozen=True)
class Guard:
    """What requests are held against.

    hosts: names and numbers under which this machine may be called, without port
    port: the port that is served, None: any, as in tests
    secret: makes tokens
    known: whether a phone's cookie is known; None: no phone may come in
    """

    hosts: tuple[str, ...]
    port: int | None
    secret: bytes
    known: Callable[[Request], bool] | None = None

    @property
    def cookie(self) -> str:
        """The name of the cookie to which tokens belong; browsers keep cookies by host and not by port."""
        return f"counter-{self.port or 0}"

    def our_host(self, host: str) -> bool:
        """Whether a Host header names this machine and our port."""
        name, _, port = host.rpartition(":") if ":" in host else (host, "", "80")
        return name.casefold() in self.hosts and (self.port is None or port == str(self.port))

    def token(self, visitor: str) -> str:
        """The token of the forms that a visitor is given."""
        return hmac.new(self.secret, visitor.encode(), hashlib.sha256).hexdigest()

    def check(self, asked: Request) -> None:
        """Refuses what is not asked of us by name, and forms that are not our own.

        Raises MisdirectedRequest for another host, Forbidden for a foreign origin or a missing or wrong token.
        """
        host = asked.headers.get("Host", "")
        if not self.our_host(host):
            raise MisdirectedRequest
        if asked.method in SAFE_METHODS:
            return
        if asked.headers.get("Origin", "") != f"http://{host}":
            raise Forbidden
        visitor, token = asked.cookies.get(self.cookie, ""), asked.form.get(TOKEN, "")
        if not visitor or not hmac.compare_digest(token.encode(), self.token(visitor).encode()):
            raise Forbidden


def kept_secret(folder: Path) -> bytes:
    """A secret of this workshop's counter, the same after a restart: a page that stays open can still be sent.

    It is kept for nobody else to read; where nothing can be written, it lasts as long as the server.
    """
    file = folder / SECRET
    with suppress(OSError):
        if len(there := file.read_bytes()) == 32:  # bytes
            return there
    new = secrets.token_bytes(32)
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        at = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(at, "wb") as out:
            out.write(new)
    return new


def guard() -> Guard:
    """What the app in hand holds requests against."""
    found: Guard = current_app.extensions["guard"]
    return found


def token() -> str:
    """The token for forms of the page that is being made."""
    return guard().token(g.visitor)


def protect(app: Flask, held: Guard) -> None:
    """Has every request checked before any page sees it, and every answer say what it may load."""
    app.extensions["guard"] = held
    app.config["MAX_CONTENT_LENGTH"] = MOST_BYTES
    app.config["MAX_FORM_MEMORY_SIZE"] = 2 * 1024 * 1024
    app.config["MAX_FORM_PARTS"] = MOST_FIELDS

    @app.before_request
    def check() -> None:
        g.visitor = request.cookies.get(held.cookie) or secrets.token_urlsafe(24)
        held.check(request)
        if held.known is not None and not held.known(request) and request.endpoint not in FOR_ALL:
            raise UnknownPhone

    @app.after_request
    def say_what_may_load(answer: Response) -> Response:
        for name, value in HEADERS.items():
            answer.headers[name] = value
        if request.endpoint != "static":
            answer.headers["Cache-Control"] = "no-store"
        if hasattr(g, "visitor") and held.cookie not in request.cookies and answer.status_code < 400:
            keep_cookie(answer, held.cookie, g.visitor)
        return answer


class UnknownPhone(HTTPException):
    """A phone that may not come in yet."""

    code = 401
    description = ""


def keep_cookie(answer: Response, name: str, value: str, lasts: int | None = A_YEAR) -> None:
    """Sets a cookie that no script can read and that goes out with our own pages alone."""
    answer.set_cookie(name, value, max_age=lasts, httponly=True, samesite="Strict", path="/")


def own_hosts(more: Iterable[str] = ()) -> tuple[str, ...]:
    """The names under which this machine may be called."""
    return tuple(dict.fromkeys(name.casefold() for name in (*LOOPBACK, *more)))
