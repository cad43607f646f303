"""The server's side of the worker: begins it, hands it questions, and begins it again where it died."""

from __future__ import annotations

import contextlib
import json
import subprocess
import time
from pathlib import Path
from threading import Lock

from estimator.counter.answer_files import AsOf, PageQuestion
from estimator.counter.own_process import running, surroundings

SOON = 2.0  # seconds within which the same question of the same log is not handed on again
MOST_BEGUN, LATELY = 5, 60.0  # so often it is begun within so many seconds; then it is given up for as long


class WorkerDesk:
    """One worker for a workshop.

    command: how it is begun; left out, ours
    """

    def __init__(self, folder: Path, seed: int, command: tuple[str, ...] = ()) -> None:
        own = running("estimator.counter.worker", str(folder), str(seed))
        self._command, self._lock = command or own, Lock()
        self._process: subprocess.Popen[str] | None = None
        self._begun: list[float] = []
        self._handed: dict[tuple[PageQuestion, AsOf], float] = {}
        self._closed = False

    @property
    def gone(self) -> bool:
        """Whether it died so often that it is not begun again for a while."""
        now = time.monotonic()
        return not self._alive() and len([at for at in self._begun if now - at < LATELY]) >= MOST_BEGUN

    @property
    def pid(self) -> int | None:
        """The number of its process; None where none runs."""
        return self._process.pid if self._process is not None and self._alive() else None

    def ask(self, question: PageQuestion, as_of: AsOf) -> None:
        """Hands a question on; begins the worker where none runs."""
        line = {"kind": question.kind, "about": question.about, "day": as_of.day, "revision": as_of.revision}
        with self._lock:
            now = time.monotonic()
            if not self._ready():
                return
            if now - self._handed.get((question, as_of), -SOON) < SOON:
                return
            self._handed = {one: at for one, at in self._handed.items() if now - at < SOON}
            self._handed[question, as_of] = now
            assert self._process is not None
            assert self._process.stdin is not None
            with contextlib.suppress(OSError):  # it died just now: the page asks again
                self._process.stdin.write(json.dumps(line) + "\n")
                self._process.stdin.flush()

    def close(self) -> None:
        """Ends it: it sees that nobody asks any more, and where it is at work it is told to stop."""
        with self._lock:
            self._closed = True
            if self._process is None:
                return
            assert self._process.stdin is not None
            with contextlib.suppress(OSError):
                self._process.stdin.close()
            try:
                self._process.wait(0.2)
            except subprocess.TimeoutExpired:
                self._process.terminate()
                self._process.wait(5)

    def _alive(self) -> bool:
        return self._process is not None and self._process.poll() is None

    def _ready(self) -> bool:
        """Whether one runs, begun just now where none did; False where it can't be begun."""
        if self._alive():
            return True
        if self._closed or self.gone:
            return False
        if self._process is not None and self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
        self._begun = [*self._begun[-MOST_BEGUN:], time.monotonic()]
        self._handed.clear()
        try:
            self._process = subprocess.Popen(  # noqa: S603  our own module, with this very Python
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                env=surroundings(),
            )
        except OSError:
            return False
        return True
