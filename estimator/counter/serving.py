"""The server itself: one port, always the same, on this machine alone; a second call finds the one that runs."""

from __future__ import annotations

import hashlib
import http.client
import logging
import signal
import socket
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from waitress.server import create_server

from estimator.counter.app import create_app
from estimator.counter.pairing import home_address
from estimator.counter.safety import MOST_BYTES, PLACE
from estimator.counter.worker_desk import WorkerDesk
from estimator.counter.workplace import Clock, begin_if_empty
from estimator.words.errors import UsageError

PORT = 8737  # none that is registered (IANA, Service Name and Transport Protocol Port Number Registry; from memory)
HOST, THREADS = "127.0.0.1", 4
Say = Callable[[str], None]


def name_of(folder: Path) -> str:
    """By what a running counter says which workshop it serves."""
    return hashlib.sha256(str(folder.resolve()).encode("utf-8", "surrogatepass")).hexdigest()[:32]


def served_at(port: int) -> str | None:
    """The name of the workshop whose counter runs at a port; "" for something else, None for nothing."""
    try:
        asking = http.client.HTTPConnection(HOST, port, timeout=2)
        asking.request("GET", "/here")
        answer = asking.getresponse()
        found = answer.headers.get(PLACE, "")
        asking.close()
    except ConnectionRefusedError:
        return None
    except (OSError, http.client.HTTPException):
        return ""
    return found


def listening(port: int, host: str = HOST) -> socket.socket:
    """A socket that takes requests at a port of this machine.

    Raises UsageError where something else has it.
    """
    try:
        return socket.create_server((host, port), backlog=64)
    except (OSError, OverflowError) as error:
        raise UsageError(
            f"Port {port} of this machine is taken by something else.", "Name another one.", field="port"
        ) from error


def serve(
    folder: Path,
    clock: Clock,
    *,
    seed: int = 0,
    port: int = PORT,
    phone: bool = False,
    window: bool = True,
    say: Say = print,
) -> None:
    """Serves a workshop until it is interrupted; begins one in an empty folder, finds the one that runs already.

    clock: the day on which one looks; phone: let phones in; window: open the browser; say: tells the address

    Raises UsageError where the folder holds something else, and where the port is taken.
    """
    folder, address = folder.absolute(), f"http://{HOST}:{port}/"
    running = served_at(port)
    if running == name_of(folder):
        say(f"The counter is open already, at {address}")
        _open(address, window=window)
        return
    if running:
        raise UsageError(
            f"Port {port} has the counter of another workshop.",
            "Close it, or name another one.",
            field="port",
        )
    new = begin_if_empty(folder)
    home = home_address() if phone else None
    if phone and home is None:
        raise UsageError(
            "This machine is in no home network now.", "Connect it, or leave phones out.", field="phone"
        )
    sockets = [listening(port), *([listening(port, home)] if home else [])]
    desk = WorkerDesk(folder, seed)
    app = create_app(folder, seed=seed, clock=clock, worker=desk, port=port, home=home)
    app.config["PLACE"] = name_of(folder)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # that some wait their turn is no news
    server = create_server(
        app,
        sockets=sockets,
        threads=THREADS,
        ident="",
        expose_tracebacks=False,
        max_request_body_size=2 * MOST_BYTES,  # the page says what is too large
        clear_untrusted_proxy_headers=True,
    )
    start = f"{address}setting-up" if new and "setting_up.show" in app.view_functions else address
    say(f"The counter is open at {address}")
    if home:
        say(f"Phones find it at http://{home}:{port}/ once they are added at {address}phones")
    _open(start, window=window)
    try:
        with _ended_by(signal.SIGTERM):
            server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
        desk.close()


def _open(address: str, *, window: bool) -> None:
    if window:
        webbrowser.open(address)


@contextmanager
def _ended_by(number: signal.Signals) -> Iterator[None]:
    """Has a signal end the server as an interrupt from the keyboard does."""

    def end(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = signal.signal(number, end)
    try:
        yield
    finally:
        signal.signal(number, before)
