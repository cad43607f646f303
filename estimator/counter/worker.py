"""The worker: one process beside the server that works out what takes longer, of the newest revision only.

It is told questions line by line, the newest first, and leaves answers as files. What it is at work on it drops where
that is of a log that has changed since, or was not asked for and something else is. It ends when nobody is left to ask.
Run as `python -m estimator.counter.worker FOLDER SEED`.
"""

from __future__ import annotations

import _thread
import contextlib
import json
import signal
import sys
from collections import deque
from collections.abc import Iterable
from pathlib import Path
from threading import Condition, Thread
from types import FrameType

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion, newest
from estimator.counter.answers import KINDS, LONG_ONES, ahead, answered
from estimator.log.kept_in import still_kept_in
from estimator.shop import Shop
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import page_label

Task = tuple[PageQuestion, AsOf]


class Dropped(BaseException):
    """What is being worked out is not wanted any more."""


class Asked:
    """The questions that are still to be answered, the newest first; each stands there once."""

    def __init__(self) -> None:
        self._news = Condition()
        self._all: deque[Task] = deque()
        self.over = False

    def put(self, question: PageQuestion, as_of: AsOf) -> None:
        """Asks a question before all others; of an earlier log none is asked any more."""
        with self._news:
            others = [one for one in self._all if one[1] == as_of and one[0] != question]
            self._all = deque([(question, as_of), *others])
            self._news.notify()

    def close(self) -> None:
        """Says that nobody asks any more."""
        with self._news:
            self.over = True
            self._news.notify()

    def take(self, *, wait: bool, short: bool = False) -> Task | None:
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
        self._looked: AsOf | None = None
        self._at_work: tuple[AsOf, bool] | None = None  # of what log, and whether it was asked for
        self._newest: AsOf | None = None  # the log of the question asked last

    def listen(self, lines: Iterable[str]) -> None:
        """Takes questions, a line of JSON each, until there are no more."""
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError):
                said = json.loads(line)
                question = PageQuestion(str(said["kind"]), str(said["about"]))
                as_of = AsOf(str(said["revision"]), str(said["day"]), self.seed)
                as_of.looked_from  # noqa: B018  ValueError where it is no day
                if question.kind in KINDS:
                    self._newest = as_of
                    self.asked.put(question, as_of)
                    if self._at_work is not None:
                        _thread.interrupt_main()
        self.asked.close()

    def reconsider(self, _number: int, frame: FrameType | None) -> None:
        """Drops what is at work where the log has changed since, or where only something else was asked for.

        Called in the middle of it, when a question has come in; not while a module is loaded, which would stay in half.
        """
        if self._at_work is None or self._newest is None or _loads(frame):
            return
        of, asked_for = self._at_work
        if of != self._newest or not asked_for:
            raise Dropped

    def run(self) -> None:
        """Answers what is asked; where nothing is, what is likely to be asked next."""
        while not self.asked.over:
            if (one := self.asked.take(wait=not self._ahead)) is not None:
                with contextlib.suppress(Dropped):
                    self.answer(*one)
            elif self._ahead and self._looked is not None:
                question = self._ahead.popleft()
                try:
                    self.answer(question, self._looked, asked_for=False)
                except Dropped:
                    self._ahead.append(question)

    def breathe(self, *_: int) -> None:
        """Answers short questions in the middle of a long one; ends it where nobody asks any more."""
        if self.asked.over:
            raise SystemExit
        while (one := self.asked.take(wait=False, short=True)) is not None:
            self.answer(*one)

    def answer(self, question: PageQuestion, asked: AsOf, *, asked_for: bool = True) -> None:
        """Answers one question of the workshop as it stands, unless that is there already.

        asked: of which log it was asked, and from which day; asked_for: whether anybody waits for it

        Raises Dropped, with nothing answered, where `reconsider` found meanwhile that it is not wanted.
        """
        day = asked.looked_from
        try:
            if self._shop is None or not still_kept_in(self._shop.store):
                self._shop = Shop.open(self.folder, today=day, seed=self.seed)
            view = self._shop.snapshot(day)
        except EstimatorError:
            return  # the page says so itself
        as_of = AsOf.on(view.digest, day, self.seed)
        there = newest(question, self.folder)
        if there is None or there.as_of != as_of:
            before, self._at_work = self._at_work, (as_of, asked_for)
            try:
                parts, refused = answered(view, question, self.breathe)
            except Exception as error:  # noqa: BLE001  one question that fails must not end the others
                _tell(error)
                parts, refused = {}, page_label("our-mistake")
            finally:
                self._at_work = before
            KeptAnswer(as_of, parts, refused).save(question, self.folder)
        if self._looked != as_of:
            self._looked = as_of
            with contextlib.suppress(EstimatorError):
                self._ahead = deque(ahead(view))


def _loads(frame: FrameType | None) -> bool:
    """Whether a module is being loaded in this frame, or in one that called it."""
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _tell(error: Exception) -> None:
    """Where a mistake of ours happened, without what is in the log."""
    at, where = error.__traceback__, ""
    while at is not None:
        where, at = f"{Path(at.tb_frame.f_code.co_filename).name}:{at.tb_lineno}", at.tb_next
    sys.stderr.write(f"{type(error).__name__} at {where}\n")
    sys.stderr.flush()


def main() -> None:
    """Works for the server that began it, and ends with it."""
    worker = Worker(Path(sys.argv[1]), int(sys.argv[2]))
    signal.signal(signal.SIGINT, worker.reconsider)  # from the keyboard too: the server says when it is over
    Thread(target=worker.listen, args=(sys.stdin,), daemon=True).start()
    worker.run()


if __name__ == "__main__":
    main()
