"""What a command that takes a while says it is doing, on stderr: plain words and a count."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread
from typing import TextIO

SILENT = 2.0  # seconds after which it is said
ON_SCREEN, IN_A_FILE = (
    0.25,
    10.0,
)  # seconds between one count and the next, where it is seen and where it is kept

DOING = {  # by command
    "bench": "Working out the days to come",
    "check": "Reading your log",
    "counter": "",  # it says its address, and runs until it is told to stop
    "demo": "Writing the invented workshop",
    "export": "Writing the file",
    "hours": "Reading the lines",
    "import": "Reading the file",
    "looks": "Reading your log",
    "money": "Adding up",
    "new": "Writing the workshop",
    "notes": "Reading your notes",
    "otherwise": "Working the year once more",
    "overruns": "Looking back at what each board took",
    "quarter": "Looking back",
    "range": "Working out the hours",
    "record": "Working out past boards anew",
    "rules": "Holding rules of thumb against your boards",
    "settings": "Reading the settings",
    "sheet": "Making the sheet",
    "told": "Working out what is said today",
    "undo": "Taking it back",
    "weigh": "Weighing it up",
}

Counted = Callable[[int, int], None]


class _AtWork:
    """One thing that is being done: how far it is, and who says so."""

    def __init__(self, what: str, stream: TextIO) -> None:
        self.what, self.stream, self.seen = what, stream, stream.isatty()
        self.done, self.of = 0, 0
        self._over = Event()
        self._thread = Thread(target=self._speak, daemon=True)
        self._thread.start()

    def count(self, done: int, of: int) -> None:
        """How many are done of how many."""
        self.done, self.of = done, of

    def stop(self) -> None:
        """Says no more; on a screen what was said is gone."""
        self._over.set()
        self._thread.join()

    @property
    def words(self) -> str:
        """What is being done, and how far it is where that can be counted."""
        return f"{self.what}: {self.done} of {self.of}" if self.of else f"{self.what} …"

    def _speak(self) -> None:
        """Says it from the third second on, again where the count has moved."""
        said, wait = "", SILENT
        while not self._over.wait(wait):
            words, wait = self.words, ON_SCREEN if self.seen else IN_A_FILE
            if words != said:
                self._write(f"\r{words:<{len(said)}}" if self.seen else f"{words}\n")
                said = words
        if said and self.seen:
            self._write(f"\r{' ' * len(said)}\r")

    def _write(self, text: str) -> None:
        """Writes at once; a stream that is shut is no reason to stop work."""
        try:
            self.stream.write(text)
            self.stream.flush()
        except (OSError, ValueError):
            self._over.set()


_now: list[_AtWork] = []  # the one command that runs


@contextmanager
def at_work(what: str, stream: TextIO | None = None) -> Iterator[Counted]:
    """Something to tell how many of how many are done; what is done is said on stderr once it takes a while.

    what: in words; empty: nothing is said; stream: where it is said instead
    """
    if not what:
        yield lambda _done, _of: None
        return
    saying = _AtWork(what, stream or sys.stderr)
    _now.append(saying)
    try:
        yield saying.count
    finally:
        _now.remove(saying)
        saying.stop()


def hush() -> None:
    """Says no more of what is being done: an answer is about to be written."""
    for saying in _now:
        saying.stop()
