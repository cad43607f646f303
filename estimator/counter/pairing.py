"""Phones of the home network: let in by letters from the laptop, known by a token, and forgotten again."""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import json
import secrets
import socket
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from threading import Lock

from flask import Request

from estimator.counter.safety import A_YEAR, LOOPBACK
from estimator.log.files import write_whole

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which are read as 1 and 0
LONG, MOST_TRIES, LASTS = 8, 10, 600.0  # letters, wrong ones, seconds for which they are good
PHONES = "phones"  # a file beside the answers: never in the book, and no answer
PHONE = "phone"  # the beginning of a cookie's name
AT_HOME = ("127.0.0.1", "::1")  # from where the laptop itself asks


@dataclass(frozen=True, slots=True)
class KnownPhone:
    """A phone that may come in: the hash of its token, the address of this machine that it knows, since when."""

    token: str
    host: str
    since: str

    @property
    def name(self) -> str:
        """By what it is forgotten: the beginning of a hash, which opens nothing."""
        return self.token[:12]


@dataclass(slots=True)
class _Code:
    """Letters that let one phone in."""

    letters: str
    until: float
    tries: int = MOST_TRIES


class PhoneBook:
    """The phones of a workshop.

    file: where they are kept; port: part of the cookie's name; clock: seconds that only grow
    """

    def __init__(self, file: Path, port: int | None, clock: Callable[[], float] = time.monotonic) -> None:
        self._file, self.cookie, self._clock = file, f"{PHONE}-{port or 0}", clock
        self._code: _Code | None = None
        self._lock = Lock()

    def known_phones(self) -> list[KnownPhone]:
        """All phones that may come in, those of more than a year ago left out."""
        try:
            all_ = [KnownPhone(**one) for one in json.loads(self._file.read_text("utf-8"))]
            oldest = (dt.date.today() - dt.timedelta(seconds=A_YEAR)).isoformat()
            return [one for one in all_ if one.since >= oldest]
        except (OSError, ValueError, TypeError):
            return []

    def may(self, asked: Request) -> bool:
        """Whether a request comes from the laptop itself, or from a phone that was let in at this very address."""
        host = asked.host.partition(":")[0].casefold()
        if host in LOOPBACK and asked.remote_addr in AT_HOME:
            return True
        token = _hashed(asked.cookies.get(self.cookie, ""))
        return any(hmac.compare_digest(one.token, token) and one.host == host for one in self.known_phones())

    def new_letters(self) -> str:
        """Letters that let one phone in, once, for ten minutes; those before are good no more."""
        letters = "".join(secrets.choice(LETTERS) for _ in range(LONG))
        with self._lock:
            self._code = _Code(letters, self._clock() + LASTS)
        return letters

    def let_in(self, typed: str, host: str) -> str | None:
        """The token of a phone that typed the letters; None where they are wrong, too old or used."""
        said = "".join(letter for letter in typed.upper() if letter.isalpha())
        with self._lock:
            code = self._code
            if code is None or code.tries <= 0 or self._clock() > code.until:
                self._code = None
                return None
            code.tries -= 1
            if not hmac.compare_digest(said.encode(), code.letters.encode()):
                return None
            self._code = None
            token = secrets.token_urlsafe(32)
            new = KnownPhone(_hashed(token), host.partition(":")[0].casefold(), dt.date.today().isoformat())
            self._keep([*self.known_phones(), new])
            return token

    def forget(self, name: str) -> None:
        """Lets a phone in no more."""
        with self._lock:
            self._keep([one for one in self.known_phones() if one.name != name])

    def _keep(self, phones: list[KnownPhone]) -> None:
        self._file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(self._file, json.dumps([asdict(one) for one in phones]).encode(), to_disk=True)
        with suppress(OSError):
            self._file.chmod(0o600)


def _hashed(token: str) -> str:
    """A token as it is kept: it is long and random, so a plain hash is enough."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def home_address() -> str | None:
    """The address of this machine on the home network; None where it has none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking, suppress(OSError):
        asking.connect(("192.0.2.1", 9))  # an address for documents alone (RFC 5737): only a way is chosen
        found = str(asking.getsockname()[0])
        return None if found.startswith("127.") else found
    return None
