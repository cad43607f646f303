"""The worker: one process beside the server that works out what takes longer, of the newest revision only.

It is told questions line by line, the newest first, and leaves answers as files. It ends when nobody is left to ask.
Run as `python -m estimator.counter.worker FOLDER SEED`.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import signal
import sys
from collections import deque
from collections.abc import Iterable
from pathlib import Path
from threading import Condition, Thread

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion, newest
from estimator.counter.answers import KINDS, LONG_ONES, ahead, answered
from estimator.log.kept_in import still_kept_in
from estimator.shop import Shop
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import page_label


class Asked:
    """The questions that are still to be answered, the newest first; each stands there once."""

    def __init__(self) -> None:
        self._news = Condition()
        self._all: deque[tuple[PageQuestion, dt.date | None]] = deque()
        self.over = False

    def put(self, question: PageQuestion, day: dt.date | None) -> None:
        """Asks a question before all others."""
        with self._news:
            with contextlib.suppress(ValueError):
                self._all.remove((question, day))
            self._all.appendleft((question, day))
            self._news.notify()

    def close(self) -> None:
        """Says that nobody asks any more."""
        with self._news:
            self.over = True
            self._news.notify()

    def take(self, *, wait: bool, short: bool = False) -> tuple[PageQuestion, dt.date | None] | None:
        """The newest question, or the newest short one; None where there is none, or nobody asks any more."""
        with self._news:
            while wait and not self._all and not self.over:
                self._news.wait()
            one = next((one for one in self._all if not short or one[0].kind not in LONG_ONES), None)
            if one is None or self.over:
                return None
            self._all.remove(one)
            return one


class Worker:
    """A workshop and the questions about it."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder, self.seed, self.asked = folder, seed, Asked()
        self._shop: Shop | None = None
        self._ahead: deque[PageQuestion] = deque()
        self._looked: tuple[AsOf, dt.date | None] | None = None

    def listen(self, lines: Iterable[str]) -> None:
        """Takes questions, a line of JSON each, until there are no more."""
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError):
                said = json.loads(line)
                question = PageQuestion(str(said["kind"]), str(said["about"]))
                day = dt.date.fromisoformat(said["day"]) if said["day"] else None
                if question.kind in KINDS:
                    self.asked.put(question, day)
        self.asked.close()

    def run(self) -> None:
        """Answers what is asked; where nothing is, what is likely to be asked next."""
        while not self.asked.over:
            if (one := self.asked.take(wait=not self._ahead)) is not None:
                self.answer(*one)
            elif self._ahead and self._looked is not None:
                self.answer(self._ahead.popleft(), self._looked[1])

    def breathe(self, *_: int) -> None:
        """Answers short questions in the middle of a long one; ends it where nobody asks any more."""
        if self.asked.over:
            raise SystemExit
        while (one := self.asked.take(wait=False, short=True)) is not None:
            self.answer(*one)

    def answer(self, question: PageQuestion, day: dt.date | None) -> None:
        """Answers one question of the workshop as it stands, unless that is there already."""
        try:
            if self._shop is None or not still_kept_in(self._shop.store):
                self._shop = Shop.open(self.folder, today=day, seed=self.seed)
            view = self._shop.snapshot(day)
        except EstimatorError:
            return  # the page says so itself
        as_of = AsOf.on(view.digest, day, self.seed)
        there = newest(question, self.folder)
        if there is None or there.as_of != as_of:
            try:
                parts, refused = answered(view, question, self.breathe)
            except Exception as error:  # noqa: BLE001  one question that fails must not end the others
                _tell(error)
                parts, refused = {}, page_label("our-mistake")
            KeptAnswer(as_of, parts, refused).save(question, self.folder)
        if self._looked != (as_of, day):
            self._looked = (as_of, day)
            with contextlib.suppress(EstimatorError):
                self._ahead = deque(ahead(view))


def _tell(error: Exception) -> None:
    """Where a mistake of ours happened, without what is in the log."""
    at, where = error.__traceback__, ""
    while at is not None:
        where, at = f"{Path(at.tb_frame.f_code.co_filename).name}:{at.tb_lineno}", at.tb_next
    sys.stderr.write(f"{type(error).__name__} at {where}\n")
    sys.stderr.flush()


def main() -> None:
    """Works for the server that began it, and ends with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server says when it is over
    worker = Worker(Path(sys.argv[1]), int(sys.argv[2]))
    Thread(target=worker.listen, args=(sys.stdin,), daemon=True).start()
    worker.run()


if __name__ == "__main__":
    main()
