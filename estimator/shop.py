"""One workshop: its settings, its log, what was learned, and the answers. Interfaces call this alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from estimator.log.kept_in import store_of
from estimator.log.names import board_named
from estimator.log.store import Sent, Store
from estimator.snapshot import Snapshot
from estimator.words.dates import in_our_time
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.problems import Problem
from estimator.words.records import Board, Log, Told
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import nearest

if TYPE_CHECKING:
    import pandas as pd

    from estimator.decide.weigh.promise_impact import Added
    from estimator.log.book.history import ActRecord
    from estimator.log.book.store import BookStore
    from estimator.log.booking import KeptHours
    from estimator.log.edits import KeptDecision, KeptTelling
    from estimator.log.notebook.boxes import BoxesRead
    from estimator.log.notebook.page import HoursLine, NotebookPage, NoteLine
    from estimator.log.steps.next_steps import NextSteps
    from estimator.log.steps.writing import DayStep, DoneStep
    from estimator.model.untaught import Untaught
    from estimator.record.rules.verdicts import Verdict
    from estimator.words.records import Rule

P = ParamSpec("P")
R = TypeVar("R")
MOST_DAYS = 8  # snapshots that are held at once, each of its own day


def _now(answer: Callable[Concatenate[Snapshot, P], R]) -> Callable[Concatenate[Shop, P], R]:
    """An answer of a snapshot, given by the shop as it stands when it is asked."""

    def ask(self: Shop, /, *args: P.args, **kwargs: P.kwargs) -> R:
        return answer(self.snapshot(), *args, **kwargs)

    ask.__name__, ask.__doc__ = answer.__name__, answer.__doc__
    return ask


class Shop:
    """A workshop and the answers that it gives, kept open for as long as one likes, by several threads at once.

    Each question is answered from the log as it stands then, whoever wrote it; what belongs together is asked of one
    `snapshot`. What others have not changed is not worked out again.

    store: where the log is
    today: the day on which one looks; None is the day after the log's last entry
    seed: makes the draws; the same log, day and seed give the same answers

    Raises UsageError where there is no workshop, SettingsError where its settings have problems.
    """

    def __init__(self, store: Store, *, today: dt.date | None = None, seed: int = 0) -> None:
        self.store, self.folder, self.seed = store, store.folder, seed
        self._today = today
        self._views: dict[dt.date | None, Snapshot] = {}
        self._lock = Lock()
        self.snapshot()

    @classmethod
    def open(cls, folder: Path | str, *, today: dt.date | None = None, seed: int = 0) -> Shop:
        """The workshop in a folder; its log is read when first needed.

        Raises UsageError where there is no workshop, SettingsError where workshop.toml has problems.
        """
        return cls(store_of(folder), today=today, seed=seed)

    def snapshot(self, day: dt.date | None = None) -> Snapshot:
        """The workshop as it stands now, seen from a day; its answers never change.

        day: left out, that with which the shop was opened

        Raises UnreadableError for a day in a year that is read nowhere.
        """
        day, reading = day or self._today, self.store.held()
        if day is not None:
            in_our_time(day, day)
        with self._lock:
            view = Snapshot.of(reading, today=day, seed=self.seed, before=self._views.pop(day, None))
            self._views[day] = view
            for oldest in list(self._views)[:-MOST_DAYS]:
                del self._views[oldest]
        return view

    range = _now(Snapshot.range)
    bench = _now(Snapshot.bench)
    morning = _now(Snapshot.morning)
    promise = _now(Snapshot.promise)
    promise_if_yes = _now(Snapshot.promise_if_yes)
    weigh = _now(Snapshot.weigh)
    rules = _now(Snapshot.rules)
    record = _now(Snapshot.record)
    overruns = _now(Snapshot.overruns)
    looks = _now(Snapshot.looks)
    otherwise = _now(Snapshot.otherwise)
    money = _now(Snapshot.money)
    quarter = _now(Snapshot.quarter)
    fit = _now(Snapshot.fit)

    @property
    def settings(self) -> Settings:
        """The workshop's settings."""
        return self.snapshot().settings

    @property
    def log(self) -> Log:
        """All good rows of the log."""
        return self.snapshot().log

    @property
    def boards(self) -> pd.DataFrame:
        """One row a board, columns as in the boards sheet, quantities in the drivers' units; empty is not known."""
        return self.snapshot().boards

    @property
    def hours(self) -> pd.DataFrame:
        """One row an entry: board, date, until, stage, hours, done, note, again."""
        return self.snapshot().hours

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What the log has wrong, in order of place."""
        return self.snapshot().problems

    @property
    def notes(self) -> tuple[Problem, ...]:
        """What is merely missing or odd; never wrong."""
        return self.snapshot().notes

    @property
    def untaught(self) -> Untaught:
        """The finished boards that teach nothing yet, and why: the first of the notes."""
        from estimator.model.untaught import untaught

        return untaught(self.log, self.settings)

    @property
    def today(self) -> dt.date | None:
        """The day on which one looks; None in a workshop without a log where no day was given."""
        return self.snapshot().today

    @property
    def known(self) -> tuple[Log, tuple[Rule, ...]]:
        """The log and the rules of thumb as they stand on the day from which one looks."""
        return self.snapshot().known

    def asked_since(
        self, board: str, more: Mapping[str, object], *, odds: float = 0.8, keep: bool = False
    ) -> Added:
        """What the owner of a board has asked for since: hours, materials and price of it, and whose dates move.

        board: id or short name; more: values as they stand in a later_ cell; odds: of the ranges and of the price
        keep: add it to what stands in the board's own row, once it has been worked out

        Raises UsageError for a board that is not in the log or is over, a name that is none, and a file that cannot be
        written; UnreadableError for a value that cannot be read; NoAnswerError where neither rules nor log can tell.
        """
        now = self.snapshot()
        said = now.asked_since(board, more, odds=odds)
        if not keep:
            return said
        from estimator.log.edits import keep_more
        from estimator.log.names import NOTHING_DONE, refuse_over

        known, _, grown = now.grown(board, more)
        row = board_named(known.board, now.whole_log.boards)
        refuse_over(row, NOTHING_DONE)
        what, at = {name: grown[name] for name in more}, _at(now.today)
        return replace(said, kept=keep_more(self.store, now.own_row(row), row, what, grown, at))

    def do(self, step: DayStep, sent: Sent | None = None) -> DoneStep:
        """A step of a working day, written as one act of the log as it stands then; see estimator.log.steps.

        sent: when and from where; left out, by command on the day from which one looks

        Raises UsageError or UnreadableError, before anything is written, where it cannot have happened so;
        NoAnswerError where it asks for an answer and there is none.
        """
        from estimator.log.steps.writing import do
        from estimator.working_day import as_written

        sent = sent or Sent(_at(self.today))
        return do(self.store, lambda: as_written(self.snapshot(sent.day)), step, sent)

    def next_steps(self, board: str) -> NextSteps:
        """The likely two next steps of a board, by its id or short name, and all the others.

        Raises UsageError where there is no such board.
        """
        from estimator.working_day import next_steps_of

        return next_steps_of(self.snapshot(), board)

    def tell(self, said: Told, *, hours: bool = True, first: bool = True, last: bool = True) -> KeptTelling:
        """What an owner was told, kept as one row more; what is left out is what `range` and `bench` say that day.

        said: its board by id or short name; hours, first, last: False where they were not spoken of

        Raises UsageError where it cannot be told or written, NoAnswerError where there is no range.
        """
        from estimator.log.edits import keep_telling
        from estimator.log.steps.telling import as_told
        from estimator.working_day import DayAnswers

        now = self.snapshot()
        log = now.whole_log  # of all days: nothing is put before what was told since
        board = board_named(said.board, log.boards)
        earlier = [telling for telling in log.told if telling.board == board.board]
        said = as_told(DayAnswers(now), said, board, earlier, hours=hours, first=first, last=last)
        return keep_telling(self.store, now.own_row(board), said, board, earlier, _at(said.date))

    def agree(
        self, board: str, more: Mapping[str, object], *, odds: float = 0.8, price: float | None = None
    ) -> Added:
        """What an owner asked for since and agreed to: kept in the board's row, and what he was told as a row more.

        price: what it adds, or takes off where less is asked for; left out, what `asked_since` says, to the nearest ten
        The telling holds the hours and days of the whole board then, and the price before with what came on top.

        Raises as `asked_since` does. Where the telling cannot be kept, the notes say so and why.
        """
        from estimator.log.edits import keep_more
        from estimator.log.names import NOTHING_DONE, refuse_over
        from estimator.log.steps.telling import as_told
        from estimator.working_day import DayAnswers

        now = self.snapshot()
        log = now.whole_log
        row = board_named(now.grown(board, more)[0].board, log.boards)
        refuse_over(row, NOTHING_DONE)
        agreed = DayAnswers(now).agreement(board, more, price=price, odds=odds)
        earlier = [telling for telling in log.told if telling.board == row.board]
        told: Told | None = None
        notes: list[str] = []
        try:
            told = None if agreed.telling is None else as_told(None, agreed.telling, row, earlier)
        except UsageError as error:
            notes.append(str(error))
        at, own = _at(now.looking_from()), now.own_row(row)
        kept = keep_more(self.store, own, row, agreed.what, agreed.grown, at, told=told, earlier=earlier)
        return replace(agreed.said, kept=replace(kept, notes=(*kept.notes, *notes)))

    def read_hours(
        self,
        text: str,
        *,
        week: dt.date | None = None,
        day: dt.date | None = None,
        answers: Mapping[str, str] | None = None,
    ) -> NotebookPage:
        """Hours as a notebook has them, read: lines, and what is not sure as doubts. Nothing is written.

        week: a day of the week that is meant; day: the one day that all of it is about; answers: by the doubts' keys
        """
        from estimator.log.notebook.reader import NotebookReader

        now = self.snapshot()
        log = now.whole_log
        today = now.today or dt.date.today()
        reader = NotebookReader(now.settings, log.boards, log.entries, today)
        return reader.read(text, week=week, day=day, answers=answers)

    def read_hours_asked(self, text: str, week: dt.date | None, answers: Mapping[str, str]) -> BoxesRead:
        """The same as on the page of the week: what is asked, each under a name by which its answer is handed back."""
        from estimator.log.notebook.boxes import NotebookBox, read_boxes
        from estimator.log.notebook.reader import NotebookReader

        now = self.snapshot()
        log = now.whole_log
        today = now.today or dt.date.today()
        reader = NotebookReader(now.settings, log.boards, log.entries, today)
        return read_boxes(reader, (NotebookBox(text),), week or today, answers)

    def write_hours(
        self, lines: Sequence[HoursLine], key: str = "", digest: str = "", *, notes: Sequence[NoteLine] = ()
    ) -> KeptHours:
        """Lines of hours, and notes, kept in one act, all of them or none; key, digest: as `Store.act` has them.

        Raises UsageError where there are none, and where they cannot be written.
        """
        from estimator.log.booking import done_by, write_hours
        from estimator.log.edits import row_at

        now = self.snapshot()
        rows, done = done_by(lines, now.whole_log.entries)
        ended = [row_at(now.raw[0], now.settings, "hours", entry.where) for entry in done]
        return write_hours(self.store, rows, _at(now.today), key, digest, ended=ended, notes=notes)

    def decide(self, board: str, answer: str, *, why: str, for_love: bool = False) -> KeptDecision:
        """What was decided of a board, kept in its own row with the reason; what stood there before is said.

        board: id or short name; answer: yes, no or open-first; for_love: taken whatever it pays, and counted apart

        Raises UsageError where the board is unknown or ready, and where it cannot be written.
        """
        from estimator.log.edits import decision_of, keep_decision

        now = self.snapshot()
        row: Board = board_named(board, now.whole_log.boards)
        decision = decision_of(row, answer, why, for_love=for_love)
        return keep_decision(self.store, now.own_row(row), row, decision, _at(now.today))

    def rule(self, name: str) -> Rule:
        """The rule of thumb of that name, as it stands in the settings.

        Raises UsageError for a name that no rule has.
        """
        by_name = {rule.name: rule for rule in self.known[1]}
        if name not in by_name:
            raise UsageError(f'No rule of thumb is called "{name}".', nearest(name, by_name))
        return by_name[name]

    def accept(self, rule: str, *, on: dt.date) -> Verdict:
        """The verdict on a rule of thumb beside which, in the settings, the range is now kept that its cases suggest.

        rule: its name; on: the day of the decision

        Raises UsageError for a name that no rule has, NoAnswerError where nothing is suggested.
        """
        from estimator.log.edits import keep_accepted
        from estimator.words.records import Accepted

        self.rule(rule)
        verdict = next(verdict for verdict in self.rules().rules if verdict.name == rule)
        if verdict.suggested is None:
            raise NoAnswerError(
                f'Nothing is suggested beside "{rule}": {verdict.of} past cases tell of it.',
                "Write down more boards, or change the rule's own words.",
            )
        low, high = verdict.suggested
        keep_accepted(self.store, rule, Accepted(low, high, on, verdict.of), _at(on))
        return verdict

    def acts(self, most: int = 20) -> tuple[ActRecord, ...]:
        """What was written into the book, the newest first.

        Raises UsageError where the log is kept in files, which have no history.
        """
        return self._book().acts(most)

    def undo(self, number: int | None = None) -> ActRecord:
        """Takes back what was written last, or the act of that number; the act that was taken back.

        Raises UsageError where there is none, where what it wrote has changed since, and where there is no book.
        """
        return self._book().undo(number, _at(self._today))

    def _book(self) -> BookStore:
        """The book in which the log is kept."""
        from estimator.log.book.store import BookStore

        if not isinstance(self.store, BookStore):
            raise UsageError("This log is kept in files, and files have no history.", "Correct them by hand.")
        return self.store


def _at(day: dt.date | None) -> dt.datetime:
    """When an act is done, as far as is known here: on a day."""
    return dt.datetime.combine(day or dt.date.min, dt.time())
