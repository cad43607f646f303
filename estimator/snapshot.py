"""A workshop on one day: every answer that can be given of it then; asked again, it says the same."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, TypeVar

from estimator.as_of import LogAsOf, Once, Workbench
from estimator.log.cache import kept, kept_result
from estimator.log.names import board_named
from estimator.log.store import Reading
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.problems import Place, Problem, in_order
from estimator.words.records import FINISHED, Board, Log
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import SETTINGS_FILE

if TYPE_CHECKING:
    import pandas as pd

    from estimator.bench.promises import BenchDay, Promise
    from estimator.decide.looks import Looks
    from estimator.decide.otherwise import Habit, Otherwise
    from estimator.decide.overruns.overruns import Overruns
    from estimator.decide.quarter.review import Known, Review
    from estimator.decide.quarter.work_in_hand import WorkInHand
    from estimator.decide.weigh.promise_impact import Added
    from estimator.decide.weigh.weighing import Weighing
    from estimator.forecast.ranges import Range, Ready
    from estimator.log.edits import OwnRow
    from estimator.log.money import MoneySums
    from estimator.log.tables import RawLog
    from estimator.model.saved_fit import KnownBoard, SavedFit
    from estimator.record.backtest.track_record import TrackRecord
    from estimator.record.rules.verdicts import Verdicts
    from estimator.words.records import Rule

    Grown = tuple[KnownBoard, KnownBoard, Mapping[str, float]]

T = TypeVar("T")
Progress = Callable[[int, int], None]
DESCRIBE = "Or describe one, for instance by kind=major."


class Snapshot:
    """A workshop as it stands, seen from one day: its log, what was learned, and the answers.

    It holds what it was made from, so that nobody's writing changes what it says, and may be asked by several threads.

    known: the log as of the day; bench: the days to come
    """

    def __init__(self, known: LogAsOf, bench: Workbench) -> None:
        self.once = RLock()
        self.as_of, self.workbench = known, bench
        self._seen: TrackRecord | None = None

    @classmethod
    def of(
        cls, reading: Reading, *, today: dt.date | None, seed: int, before: Snapshot | None = None
    ) -> Snapshot:
        """The snapshot of a log as it stands.

        before: an earlier one of the same workshop, day and seed; of it stays what has not changed since
        """
        if before is None or before.digest != reading.revision():
            known = LogAsOf(reading, today=today, seed=seed)
            return cls(known, Workbench(known))
        return before.renewed()

    def renewed(self) -> Snapshot:
        """The same with what was kept since by records and by `bench`; itself where nothing was."""
        if self.workbench.stale:
            return Snapshot(self.as_of, Workbench(self.as_of))
        if "_dates" in vars(self) and kept(self.workbench.dates_file) != self._dates:
            return Snapshot(self.as_of, self.workbench)
        return self

    @Once
    def _dates(self) -> str:
        """The morning, as `bench` kept it for this log and day; empty where it did not."""
        return kept(self.workbench.dates_file)

    @property
    def _worked_out(self) -> BenchDay | None:
        """The morning where it has been worked out; it holds what is said of each board in hand."""
        from estimator.bench.promises import kept_day

        return self._morning if "_morning" in vars(self) else kept_day(self._dates)

    def _ready_in_hand(self, board: str) -> Ready | None:
        """When a board in hand will be ready, by its id, where that has been worked out."""
        promise = self._worked_out and self._worked_out.promise_of(board)
        return promise.said_ready if promise else None

    @property
    def folder(self) -> Path:
        """The workshop's folder."""
        return self.as_of.reading.folder

    @property
    def settings(self) -> Settings:
        """The workshop's settings."""
        return self.as_of.settings

    @property
    def seed(self) -> int:
        """What makes the draws."""
        return self.as_of.seed

    def looking_from(self) -> dt.date:
        """Today; raises NoAnswerError where no day is given and none is written."""
        return self.as_of.looking_from()

    @property
    def log(self) -> Log:
        """All good rows of the log."""
        return self.as_of.read[0]

    @property
    def whole_log(self) -> Log:
        """The log as it is read where no day is too late."""
        return self.as_of.whole[0]

    @property
    def boards(self) -> pd.DataFrame:
        """One row a board, columns as in the boards sheet, quantities in the drivers' units; empty is not known."""
        return self.as_of.boards.copy()

    @property
    def hours(self) -> pd.DataFrame:
        """One row an entry: board, date, until, stage, hours, done, note, again."""
        return self.as_of.hours.copy()

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What the log has wrong, in order of place."""
        return self.as_of.read[1]

    @property
    def notes(self) -> tuple[Problem, ...]:
        """What is merely missing or odd: boards that teach nothing first, and a week unlike the weeks that came."""
        from estimator.bench.calendar import settings_apart
        from estimator.model.untaught import untaught

        apart = settings_apart(self.log, self.settings.bench)
        cure = "Correct hours_by_weekday, or leave it if that is what you mean to work."
        place = Place(SETTINGS_FILE, path=("hours_by_weekday",))
        more = [Problem(place, "", apart, cure)] if apart else []
        return (*untaught(self.log, self.settings).why, *in_order([*self.as_of.read[2], *more]))

    @property
    def weeks_apart(self) -> str:
        """That the week in the settings is not the week as it came, a clause; empty where they are alike."""
        return self.workbench.outlook.capacity.apart

    @property
    def today(self) -> dt.date | None:
        """The day on which one looks; None in a workshop without a log where no day was given."""
        return self.as_of.today

    @property
    def earlier(self) -> dt.date | None:
        """Today, where the log holds later days: then one looks from before it was written to its end."""
        return self.as_of.earlier

    @property
    def digest(self) -> str:
        """The revision of settings and log, by which what is kept is named."""
        return self.as_of.digest

    @property
    def known(self) -> tuple[Log, tuple[Rule, ...]]:
        """The log and the rules of thumb as they stand on the day from which one looks."""
        return self.as_of.known

    def kept_as(self, kind: str) -> Path:
        """Where something is kept that this log, day and seed teach; see LogAsOf.kept_as."""
        return self.as_of.kept_as(kind)

    def own_row(self, board: Board) -> OwnRow:
        """A board's own row, as it was read."""
        return self.as_of.row_of(board)

    @property
    def raw(self) -> tuple[RawLog, str]:
        """The sheets as they stand, and the text of the settings."""
        return self.as_of.raw[0], self.as_of.reading.settings_text()

    def fit(self) -> SavedFit:
        """What the log and the rules of thumb say; from the cache where neither has changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        return self.as_of.fit

    def range(
        self,
        board: str | Mapping[str, object],
        *,
        odds: float = 0.8,
        view: str | None = None,
        over: float | Sequence[float] | None = None,
        change: Mapping[str, object] | None = None,
        dates: bool = False,
    ) -> Range:
        """Hours of a board in the log, or of one described by its quantities.

        board: id or short name, or a mapping of quantities, `kind`, `length`, `width`, `outline`, `guess` to values
        as they stand in a cell ("?" is not known)
        odds: chance that the range holds; view: before, opened or finished, or None for what the log knows
        over: hours whose chance of being passed is wanted; change: values set on a board of the log
        dates: say when the board will be ready too, behind all that is in hand; left out, dates of boards in hand are
            said where `bench` has worked them out for this log and day

        Raises UsageError for an unknown board, name or view; UnreadableError for a value that cannot be read;
        NoAnswerError where neither rules nor log can tell.
        """
        from estimator.forecast.answers import answer, hours_to_pass
        from estimator.forecast.described import described, taken_as_none
        from estimator.forecast.looks import worth_saying
        from estimator.forecast.views import VIEWS

        if view is not None and view not in VIEWS:
            raise UsageError(f'"{view}" is no view.', f"Views are {', '.join(VIEWS)}.")
        none: tuple[str, ...] = ()
        if isinstance(board, str):
            self.as_of.refuse_unknown(board, DESCRIBE)
            wanted = board_named(board, self.fit().boards, DESCRIBE)
            if change:
                wanted = described(change, self.settings, wanted)
                view = view or ("before" if wanted.state == FINISHED else None)
        else:
            wanted = described(board, self.settings)
            view = view or "before"
            none = taken_as_none(board, wanted, self.settings)
        fit, stretch, hours = self.fit(), self.workbench.stretch(), hours_to_pass(over)
        said = answer(
            fit, wanted, self.settings, odds=odds, view=view, over=hours, seed=self.seed, stretch=stretch
        )
        if said.stages:
            shut = said.view in {"before", "now"}
            so = worth_saying(wanted, fit.boards, self.settings, none) if shut else None
            said = replace(said, taken_as_none=none, looked_so=so)
        if dates:
            plain = isinstance(board, str) and not change
            return replace(said, ready=self.ready(wanted.board) if plain else self.workbench.ready(wanted))
        return replace(said, ready=None if change else self._ready_in_hand(said.board))

    def ready(self, board: str) -> Ready | None:
        """When a board will be ready, by its id, if its owner says yes where it isn't in hand; None: nothing tells."""
        return self._ready_in_hand(board) or self.workbench.ready(board)

    def wishes(self, board: str | KnownBoard) -> tuple[float | None, float | None]:
        """The hours and days that all its owner has asked for since adds to a board; see Workbench.wishes."""
        return self.workbench.wishes(board)

    def bench(self) -> BenchDay:
        """By when each board in hand is ready, whom to ring, what to touch today and what to leave.

        Whom to ring is kept with the day, so that it is said of nobody twice for the same reason; not where one looks
        back, from a day before the end of the log.

        Raises NoAnswerError where the calendar has no hours, a board can never be finished, or no day is known to
        look from.
        """
        return self._bench_day

    @Once
    def _bench_day(self) -> BenchDay:
        """What `bench` says, kept."""
        from estimator.bench.call_log import remembered

        log = self.known[0]
        return remembered(
            self._morning, log.boards, log.entries, self.as_of.cache, back=self.earlier is not None
        )

    def morning(self) -> BenchDay:
        """What `bench` says of the day, for paper: whom to ring is not kept as said.

        Raises NoAnswerError as `bench` does.
        """
        return self._morning

    @Once
    def _morning(self) -> BenchDay:
        """The morning, from the cache where neither log, day nor record of dates has changed."""
        from estimator.bench.promises import BenchDay

        def worked_out() -> BenchDay:
            from estimator.bench.morning import bench_day
            from estimator.bench.outlook import log_up_to

            today = self.as_of.looking_from()
            return bench_day(self.workbench.outlook, today, log_up_to(self.known[0], today))

        return kept_result(self.workbench.dates_file, BenchDay, worked_out)

    def promise_if_yes(self, board: str) -> tuple[Promise, dt.date] | None:
        """One board that is not taken on, by its id, as if it were, and by when its owner must say yes for that.

        None where it is taken on or over, or no date can be given.
        """
        from estimator.bench.morning import promise_of_one_more

        known = self.workbench.asked(board)
        if known is not None:
            with suppress(NoAnswerError):
                return promise_of_one_more(self.workbench.outlook, known, self.as_of.looking_from())
        return None

    def promise(self, board: str) -> Promise | None:
        """One board in hand, by its id, as `bench` has it; None where it is not, or no date can be given."""
        from estimator.bench.morning import promise_of

        if (day := self._worked_out) is not None:
            return day.promise_of(board)
        at = self.workbench.outlook.place_of(board)
        try:
            return None if at is None else promise_of(self.workbench.outlook, at, self.as_of.looking_from())
        except NoAnswerError:
            return None

    def asked_since(self, board: str, more: Mapping[str, object], *, odds: float = 0.8) -> Added:
        """What the owner of a board has asked for since: what it adds, and whose dates move; see `Shop.asked_since`."""
        from estimator.decide.weigh.promise_impact import added, dates_with

        known, then, grown = self.grown(board, more)
        what = {name: grown[name] for name in more}
        stretch = self.workbench.stretch()
        said = added(self.fit(), known, then, what, self.settings, odds=odds, seed=self.seed, stretch=stretch)
        with suppress(NoAnswerError):  # where no dates can be given, hours and money alone are said
            ready, promises = dates_with(self.workbench.outlook, known, then, self.as_of.looking_from())
            said = replace(said, ready=ready, promises=promises)
        return said

    def grown(self, board: str, more: Mapping[str, object]) -> Grown:
        """A board by its id or short name, the same with what was asked for since, and that with its areas."""
        from estimator.forecast.scope_change import asked_since

        known = board_named(board, self.fit().boards)
        return known, *asked_since(known, more, self.settings)

    def rules(self) -> Verdicts:
        """What past boards say of each rule of thumb; from the cache where neither log nor settings changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        return self.as_of.verdicts

    def record(self, *, progress: Progress | None = None, jobs: int = -1) -> TrackRecord:
        """How past ranges went: every past board forecast anew from what was known before it was quoted.

        Each forecast is kept, so that a new board costs one; so is the stretch that it teaches, for `range`.
        progress: told how many boards of how many are done; jobs: processes, -1 for one a core

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.record.backtest.run import look_back

        with self.once:
            if self._seen is None:
                self._seen = look_back(
                    self.log,
                    self.settings,
                    self.fit(),
                    self.as_of.cache,
                    today=self.today or dt.date.min,
                    seed=self.seed,
                    jobs=jobs,
                    progress=progress,
                )
            return self._seen

    def weigh(
        self,
        board: str,
        *,
        price: float | None = None,
        terms: str | None = None,
        ceiling: float | None = None,
        strip_fee: float | None = None,
        odds: float = 0.8,
    ) -> Weighing:
        """Whether to take a board on: what it pays under terms, whose dates it moves, what opening it first is worth.

        board: id or short name of one that is not ready; price: left out, the one quoted in the log
        terms: fixed, ceiling or open-first, None for all three; odds: of pay, and of the price that pays what is wanted
        ceiling: not passed without asking, left out as far above the price as such a board passes its middle 1 time in
            10, at most a quarter; strip_fee: for opening up, left out its hours at the pay that is wanted

        Raises UsageError for a board that is unknown or over, and for money or terms that cannot be; NoAnswerError
        where neither rules nor log tell its hours, or no day is known to look from.
        """
        from estimator.decide.weigh.assess import BenchToday, weigh
        from estimator.decide.weigh.open_first import draws_of
        from estimator.decide.weigh.terms import question_of

        self.as_of.refuse_unknown(board)
        fit, log, today = self.fit(), self.known[0], self.as_of.looking_from()
        known = board_named(board, fit.boards)
        row = log.by_id[known.board]
        question = question_of(row, price, terms, ceiling, strip_fee, odds, log.told)
        draws = draws_of(
            fit, known, self.settings, odds=odds, seed=self.seed, stretch=self.workbench.stretch()
        )
        standing = BenchToday.of(log, self.settings, today)
        try:
            there = self.workbench.beside(known)
            standing = replace(
                standing, hours_in_hand=there.hours, moved=there.moved, no_dates=there.no_dates
            )
        except NoAnswerError as error:
            standing = replace(standing, no_dates=str(error))
        return weigh(row, question, draws, standing, self.settings, self.seed)

    def overruns(self) -> Overruns:
        """What made finished boards go over the restorer's own guess, and what goes with it.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        return self.as_of.overruns

    def looks(self) -> Looks:
        """How boards turned out that looked so, and at most two things to look at differently."""
        from estimator.decide.looks import looks_of

        return looks_of(self.known[0].boards, self.settings)

    def otherwise(self, habit: Habit | None = None) -> Otherwise:
        """The past year worked once more as it was, then under a habit, or each of a few; see decide.otherwise."""
        from estimator.decide.otherwise import last_year_otherwise

        return last_year_otherwise(self.known[0], self.settings, self.fit(), habit, seed=self.seed)

    def money(self, first: dt.date | None = None, last: dt.date | None = None) -> MoneySums:
        """What came in and went out from one day to another, both included, by what for and by board; None: no end."""
        from estimator.log.money import money_between

        return money_between(self.as_of.stood[0], self.settings, first, last, self.as_of.uses)

    def quarter(self, name: str, *, progress: Progress | None = None, jobs: int = -1) -> Review:
        """A quarter looked back on: whether it paid, what was kept, what made boards go over, what to change.

        name: as 2026-Q3; one that still runs is told so far, one to come shows what is in hand
        progress: told how many past boards of how many are done; jobs: processes, -1 for one a core

        The first time the past is forecast anew and rules of thumb are judged; both are kept. Raises UnreadableError
        where the name is no quarter, NoAnswerError where no day is known to look from.
        """
        from estimator.decide.quarter.review import review_of
        from estimator.words.dates import Quarter

        quarter = Quarter.read(name, self.as_of.looking_from())
        notes: list[str] = []
        then = Snapshot.of(self.as_of.reading, today=quarter.end, seed=self.seed)
        # as of its last day, like the stretch that it teaches: else work in hand would hang on the day of reading
        record = None if quarter.ahead else _tried(lambda: then.record(progress=progress, jobs=jobs), notes)
        then = then.renewed()  # what the record has taught now moves the ranges that are said
        known = replace(then.known_then(notes), now=self.known[0], record=record, notes=notes)
        return review_of(quarter, known, seed=self.seed)

    def known_then(self, notes: list[str]) -> Known:
        """What is known on this day to look back with, but for the record; notes: gets why some of it is not."""
        from estimator.decide.quarter.review import Known

        log, rules = self.known
        return Known(
            now=log,
            then=log,
            settings=self.settings,
            rules=rules,
            verdicts=_tried(self.rules, notes),
            overruns=_tried(self.overruns, notes),
            fit=_tried(self.fit, notes),
            in_hand=self._in_hand(notes),
        )

    def _in_hand(self, notes: list[str]) -> tuple[WorkInHand, ...]:
        """The work in hand, to look back with; notes: gets why some of it is not known."""
        found = _tried(self.workbench.in_hand, notes)
        if found is None:
            return ()
        notes += [found.no_dates] * bool(found.no_dates and found.no_dates not in notes)
        return found.boards


def _tried(what: Callable[[], T], notes: list[str]) -> T | None:
    """What is asked for; None where there is no answer, and why is noted."""
    try:
        return what()
    except NoAnswerError as error:
        notes += [str(error)] * (str(error) not in notes)
        return None
