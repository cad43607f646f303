"""What a page has before it: the workshop as it stands, frozen for one request, and where to ask for more."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Protocol

from flask import current_app, g

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion, newest
from estimator.log.book.store import BookStore
from estimator.log.kept_in import still_kept_in
from estimator.log.starter import starter_text, write_workshop
from estimator.log.store import FileStore, Store
from estimator.shop import Shop
from estimator.snapshot import Snapshot
from estimator.words.errors import UsageError
from estimator.words.page_labels import page_label
from estimator.words.settings.values import SETTINGS_FILE

Clock = Callable[[], dt.date | None]


class Asker(Protocol):
    """Whoever works out what takes longer."""

    @property
    def gone(self) -> bool:
        """Whether it has stopped and can't be begun again just now."""

    def ask(self, question: PageQuestion, as_of: AsOf) -> None:
        """Has a question answered, of the log as it stands, before all that was asked earlier."""

    def close(self) -> None:
        """Ends it."""


@dataclass(frozen=True, slots=True)
class UndoOffer:
    """The last act, as it can be taken back: what names it, and what it was in a sentence."""

    act: str
    label: str


class Counter:
    """A workshop as pages ask for it.

    folder: of the workshop; clock: the day on which one looks, asked anew for each request
    seed: makes the draws; worker: works out what takes longer, None: nobody does
    writes: whether pages may write; None: by what the log is kept in
    undo: finds the last act that can be taken back
    """

    def __init__(
        self,
        folder: Path,
        clock: Clock,
        seed: int = 0,
        *,
        worker: Asker | None = None,
        writes: bool | None = None,
    ) -> None:
        self.folder, self.clock, self.seed, self.worker = folder, clock, seed, worker
        self._writes, self._lock = writes, Lock()
        self._shop: Shop | None = None
        self.undo: Callable[[Counter], UndoOffer | None] = lambda _: None

    @property
    def shop(self) -> Shop:
        """The workshop.

        Raises UsageError where there is none, SettingsError where its settings have problems.
        """
        with self._lock:
            if self._shop is None or not still_kept_in(self._shop.store):
                self._shop = Shop.open(self.folder, today=self.clock(), seed=self.seed)
            return self._shop

    @property
    def store(self) -> Store:
        """Where the log is read and written."""
        return self.shop.store

    @property
    def writes(self) -> bool:
        """Whether pages may write: a log that is kept in csv or a spreadsheet is shown and left as it is."""
        return not isinstance(self.store, FileStore) if self._writes is None else self._writes

    def refuse_read_only(self) -> None:
        """Raises UsageError where pages may not write."""
        if not self.writes:
            raise UsageError(page_label("read-only"))

    @property
    def now(self) -> Snapshot:
        """The workshop as it stood when the request in hand came, seen from its day."""
        if "snapshot" not in g:
            g.snapshot = self.shop.snapshot(self.clock())
        view: Snapshot = g.snapshot
        return view

    @property
    def as_of(self) -> AsOf:
        """Of what an answer of now would be."""
        return AsOf.on(self.now.digest, self.clock(), self.seed)

    def answer(self, question: PageQuestion) -> tuple[KeptAnswer | None, bool]:
        """The newest answer that there is to a question, and whether it is one of now; else it is asked for."""
        as_of, found = self.as_of, newest(question, self.folder)
        fresh = found is not None and found.as_of == as_of
        if not fresh and self.worker is not None:
            self.worker.ask(question, as_of)
        return found, fresh


def at_counter() -> Counter:
    """The workshop of the app in hand."""
    found: Counter = current_app.extensions["counter"]
    return found


def begin_if_empty(folder: Path) -> bool:
    """Writes an empty workshop into a folder that is new or holds nothing that can be seen; whether it did.

    Its log is a book at once, for pages write into no other.

    Raises UsageError where it cannot be written.
    """
    try:
        there = [path.name for path in folder.iterdir()] if folder.exists() else []
    except OSError as error:
        raise UsageError(f"{folder} cannot be looked into.", "Name a folder of yours.") from error
    if any(not name.startswith(".") for name in there):
        return False
    try:
        write_workshop(folder, {SETTINGS_FILE: starter_text()})
        try:
            BookStore.create(folder)
        except UsageError:
            (folder / SETTINGS_FILE).unlink()  # a workshop is never half there
            raise
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return True
