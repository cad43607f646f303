"""What is written, what it teaches, and the days to come: each as of one day, and worked out when first asked for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import fields, replace
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Any, Generic, TypeVar, overload

from estimator.forecast.ranges import Ready
from estimator.log.cache import CACHE, keep, kept, kept_result
from estimator.log.names import NO_ROW, board_named
from estimator.log.store import Reading
from estimator.log.tables import RawLog
from estimator.words.dates import A_DAY
from estimator.words.errors import EstimatorError, NoAnswerError, SettingsError
from estimator.words.problems import Problem
from estimator.words.records import ASKED, Board, Log
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings

if TYPE_CHECKING:
    import pandas as pd

    from estimator.bench.outlook import Outlook
    from estimator.decide.overruns.overruns import Overruns
    from estimator.decide.quarter.work_in_hand import AllInHand
    from estimator.decide.weigh.promise_impact import InHand
    from estimator.forecast.calibration import Stretch
    from estimator.log.edits import OwnRow
    from estimator.model.saved_fit import KnownBoard, SavedFit
    from estimator.record.rules.verdicts import Verdicts
    from estimator.words.records import Rule

V = TypeVar("V")
FEW = 3  # fits of earlier logs that are looked at, the newest first


class Once(Generic[V]):
    """A part of a thing that is worked out when first asked for, by one thread alone, and stays.

    The thing has a lock, `once`; the first that asks works the part out, others wait for it.
    """

    def __init__(self, work: Callable[[Any], V]) -> None:
        self._work, self._name, self.__doc__ = work, work.__name__, work.__doc__

    @overload
    def __get__(self, of: None, kind: type[Any]) -> Once[V]: ...
    @overload
    def __get__(self, of: object, kind: type[Any]) -> V: ...
    def __get__(self, of: Any, kind: type[Any]) -> Once[V] | V:
        """The part; once it is there it is found before this is asked."""
        if of is None:
            return self
        with of.once:
            if self._name not in of.__dict__:
                of.__dict__[self._name] = self._work(of)
        part: V = of.__dict__[self._name]
        return part


Read = tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]


class LogAsOf:
    """A log as it stands, read as of a day, and what it and the rules of thumb teach.

    today: the day on which one looks; None is the day after the log's last entry
    seed: makes the draws; the same log, day and seed give the same answers

    Raises SettingsError where the settings have problems, UsageError where there are none.
    """

    def __init__(self, reading: Reading, *, today: dt.date | None, seed: int) -> None:
        self.once = RLock()
        self.reading, self.given, self.seed = reading, today, seed
        self.cache, self.digest = reading.folder / CACHE, reading.revision()
        self.written, problems = parse_settings(reading.settings_text())
        if problems:
            raise SettingsError(problems)

    @Once
    def raw(self) -> tuple[RawLog, list[Problem]]:
        """The cells of all sheets as they stand, and what is wrong with the sheets."""
        return self.reading.read()

    @Once
    def read(self) -> Read:
        """The log with its problems and notes; what lies after today is a problem where a day is given."""
        from estimator.log.reading import read_log

        return read_log(*self.raw, self.written, today=self.given)

    @Once
    def whole(self) -> Read:
        """The log as it is read where no day is too late; where nothing is wrong in it, none was."""
        from estimator.log.reading import read_log

        if self.given is None or not self.read[1]:
            return self.read
        return read_log(*self.raw, self.written, today=None)

    @Once
    def settings(self) -> Settings:
        """The settings, with a stage for what was done again where the log has such hours.

        Whether it has is kept, so that a range from a kept fit need not read the log.
        """
        file = self.cache / f"again-{self.digest}.json"
        if not (again := kept(file)):
            again = "yes" if any(entry.again for entry in self.whole[0].entries) else "no"
            keep(file, again)
        return self.written.with_redo() if again == "yes" else self.written

    def row_of(self, board: Board) -> OwnRow:
        """The board's own row, as it was read."""
        from estimator.log.edits import own_row

        return own_row(self.raw[0], self.settings, board)

    @Once
    def boards(self) -> pd.DataFrame:
        """One row a board, columns as in the boards sheet, quantities in the drivers' units; empty is not known."""
        import pandas as pd

        plain = [f.name for f in fields(Board)]
        columns = [f for f in plain if f not in {"assessed", "found", "later", "worked_out", "where"}]
        rows = [
            {
                **{column: getattr(board, column) for column in columns},
                **{f"assessed_{name}": value for name, value in board.assessed.items()},
                **{f"found_{name}": value for name, value in board.found.items()},
                **{f"later_{name}": value for name, value in board.later.items()},
            }
            for board in self.read[0].boards
        ]
        return pd.DataFrame(rows, columns=None if rows else pd.Index(columns))

    @Once
    def hours(self) -> pd.DataFrame:
        """One row an entry: board, date, until, stage, hours, done, note, again."""
        import pandas as pd

        columns = ["board", "date", "until", "stage", "hours", "done", "note", "again"]
        rows = [
            [e.board, e.date, e.until, e.of or e.stage, e.hours, e.done, e.note, e.again]
            for e in self.read[0].entries
        ]
        return pd.DataFrame(rows, columns=columns)

    @Once
    def today(self) -> dt.date | None:
        """The day on which one looks; None in a workshop without a log where no day was given."""
        if self.given is not None:
            return self.given
        last = self.read[0].last_entry
        return None if last is None else last + A_DAY

    def looking_from(self) -> dt.date:
        """Today; raises NoAnswerError where no day is given and none is written."""
        if self.today is None:
            raise NoAnswerError(
                "No day is known to look from.", "Name one, or write hours down.", field="day"
            )
        return self.today

    @Once
    def earlier(self) -> dt.date | None:
        """Today, where log or rules hold later days: then one looks from before they were written to their end."""
        if self.given is None:
            return None
        from estimator.log.history import last_day

        file = self.cache / f"last-{self.digest}.json"
        last = kept(file)
        if not last:
            days = [last_day(self.whole[0]), *(rule.said for rule in self.settings.rules)]
            last = max((day.isoformat() for day in days if day is not None), default="never")
            keep(file, last)
        return self.given if last != "never" and self.given.isoformat() < last else None

    @Once
    def uses(self) -> Mapping[str, float]:
        """By board what it is expected to use of materials; empty where nothing was bought for several."""
        from estimator.log.money import shared

        log, _ = self.stood
        if not shared(log):
            return {}
        from estimator.model.materials import expected_uses

        try:
            return expected_uses(self.fit, log, self.settings)
        except NoAnswerError:
            return {}

    @Once
    def known(self) -> tuple[Log, tuple[Rule, ...]]:
        """The same with what rows of money tell in the boards' own columns."""
        from estimator.log.money import with_money

        log, rules = self.stood
        return (with_money(log, self.uses) if log.money else log), rules

    @Once
    def at_once(self) -> Log:
        """The log of `known` but for materials that boards share: to split those something has to be learned."""
        from estimator.log.money import with_money

        return with_money(self.stood[0], None)

    @Once
    def stood(self) -> tuple[Log, tuple[Rule, ...]]:
        """The log and the rules of thumb as they stand on the day from which one looks."""
        if self.earlier is None:
            return self.read[0], self.settings.rules
        from estimator.log.history import as_it_stood, said_by

        log = as_it_stood(self.read[0], self.settings, self.earlier)
        return log, said_by(self.settings.rules, self.earlier)

    def kept_as(self, kind: str) -> Path:
        """Where something is kept that this log, day and seed teach; kind: what, and its version."""
        return self.cache / f"{kind}-{self.seed}-{self.earlier or 'all'}-{self.digest}.json"

    def refuse_unknown(self, board: str, cure: str = NO_ROW) -> None:
        """Refuses a board that is not in the log, before anything is learned for it.

        What was learned knows its boards, and the log need not be read for them.
        """
        from estimator.model.saved_fit import MODEL_VERSION

        if "fit" not in vars(self) and not self.kept_as(f"fit-{MODEL_VERSION}").exists():
            board_named(board, self.known[0].boards, cure)

    def fit_at_hand(self) -> SavedFit | None:
        """What was learned and is kept, of this log or else of the last one before it; None: it is to be learned first.

        One of an earlier log counts only where the settings still have the same stages, and what makes their hours.
        """
        from estimator.model.saved_fit import MODEL_VERSION

        own = self.kept_as(f"fit-{MODEL_VERSION}")
        with suppress(EstimatorError):
            return _fit_in(own)
        if self.earlier is not None:
            return None
        stages = self.settings.stages
        parts = {(stage.name, driver) for stage in stages.values() for driver in stage.drivers}
        slow = {(stage, name) for name, one in self.settings.modifiers.items() for stage in one.stages}
        ages = []
        for file in self.cache.glob(own.name.replace(self.digest, "*")):
            with suppress(OSError):
                ages.append((file.stat().st_mtime, file))
        for _, file in sorted(ages, reverse=True)[:FEW]:
            with suppress(EstimatorError):
                fit = _fit_in(file)
                if fit.stages == tuple(stages) and {*fit.parts} == parts and {*fit.conditions} == slow:
                    return fit
        return None

    @Once
    def fit(self) -> SavedFit:
        """What the log and the rules of thumb say; from the cache where neither has changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.model.saved_fit import MODEL_VERSION, fit_from_json

        day, file = self.earlier, self.kept_as(f"fit-{MODEL_VERSION}")
        try:
            return fit_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.model.fit import fit

        log, rules = self.stood
        problems = self.read[1] if day is None else self.whole[1]
        learned = fit(log, self.settings, as_of=day, seed=self.seed, rules=rules, problems=len(problems))
        text = learned.to_json()
        keep(file, text)
        return fit_from_json(text)

    @Once
    def verdicts(self) -> Verdicts:
        """What past boards say of each rule of thumb; from the cache where neither log nor settings changed."""
        from estimator.model.saved_fit import MODEL_VERSION
        from estimator.record.rules.verdicts import VERDICTS_VERSION, Verdicts

        def worked_out() -> Verdicts:
            from estimator.record.rules.judging import judge

            log, rules = self.known  # rules said since are neither judged nor heard
            settings = replace(self.settings, rules=rules)
            return judge(log, settings, self.fit, today=self.earlier, seed=self.seed)

        return kept_result(self.kept_as(f"rules-{MODEL_VERSION}.{VERDICTS_VERSION}"), Verdicts, worked_out)

    @Once
    def overruns(self) -> Overruns:
        """What made finished boards go over; from the cache where neither log nor settings changed."""
        from estimator.decide.overruns.overruns import OVERRUNS_VERSION, Overruns, all_overruns
        from estimator.model.saved_fit import MODEL_VERSION

        def worked_out() -> Overruns:
            log, rules = self.known
            return all_overruns(log, self.settings, as_of=self.earlier, rules=rules, seed=self.seed)

        file = self.kept_as(f"overruns-{MODEL_VERSION}.{OVERRUNS_VERSION}")
        return kept_result(file, Overruns, worked_out)


@lru_cache(maxsize=2)
def _fit_in(file: Path) -> SavedFit:
    """The fit that a file holds, whose name says what taught it; raises EstimatorError where it holds none."""
    from estimator.model.saved_fit import fit_from_json

    return fit_from_json(kept(file))


class Workbench:
    """The days to come, as the boards in hand fill them.

    known: the log as of the day from which they are counted
    """

    def __init__(self, known: LogAsOf) -> None:
        self.once = RLock()
        self.known = known

    @Once
    def stretches(self) -> str:
        """What records taught of ranges, as text."""
        return self._stretches_now()

    def _stretches_now(self) -> str:
        """The same as it is kept now."""
        from estimator.forecast.calibration import stretch_file

        return kept(stretch_file(self.known.cache))

    @property
    def stale(self) -> bool:
        """Whether a record has taught something else since this was first asked."""
        return "stretches" in vars(self) and self.stretches != self._stretches_now()

    def stretch(self, of: str = "hours") -> Stretch:
        """What the newest record up to today taught of ranges of hours, or of dates."""
        from estimator.forecast.calibration import newest, stretches_from_json

        day = self.known.given or dt.date.max
        return newest(stretches_from_json(self.stretches), day.isoformat(), of)

    @property
    def dates_file(self) -> Path:
        """Where the morning is kept, with the dates of the boards in hand."""
        return self.file("bench")

    def file(self, kind: str, about: str = "") -> Path:
        """Where something is kept that the days to come tell, as of log, day and record of dates.

        about: the id of the one board that it is about
        """
        from estimator.bench.promises import DAYS_VERSION
        from estimator.model.saved_fit import MODEL_VERSION

        moved, known = self.stretch("dates"), self.known
        made = f"{kind}-{MODEL_VERSION}.{DAYS_VERSION}-{known.seed}-{known.given or 'last'}"
        of = f".{sha256(about.encode()).hexdigest()[:12]}" if about else ""
        return known.cache / f"{made}-{known.digest}.{moved.low:.4f}.{moved.high:.4f}{of}.json"

    @Once
    def outlook(self) -> Outlook:
        """The boards in hand as jobs, and the hours to come.

        Raises NoAnswerError where there are none, or no day is known to look from.
        """
        from estimator.bench.calendar import capacity_of
        from estimator.bench.outlook import Hand, Outlook, log_up_to
        from estimator.bench.waits import Waits

        known = self.known
        fit, (log, rules), settings, seed = known.fit, known.known, known.settings, known.seed
        day = log_up_to(log, known.looking_from()) + A_DAY
        waits = Waits.fitted(log, replace(settings, rules=rules), fit, seed=seed)
        hand = Hand(log, settings, fit, waits, day, seed)
        return Outlook.of(hand, capacity_of(log, settings.bench, day, seed=seed), self.stretch("dates"))

    def beside(self, board: KnownBoard) -> InHand:
        """What is in hand beside a board; from the cache where neither log, day nor record of dates has changed.

        Raises NoAnswerError as the outlook does.
        """
        from estimator.decide.weigh.promise_impact import InHand

        return kept_result(
            self.file("moved", board.board),
            InHand,
            lambda: InHand.beside(self.outlook, board, self.known.looking_from()),
        )

    def in_hand(self) -> AllInHand:
        """The boards in hand on the day from which one looks; from the cache where nothing has changed.

        Raises NoAnswerError as the fit does.
        """
        from estimator.decide.quarter.work_in_hand import AllInHand, in_hand_of

        known, moved = self.known, self.stretch()

        def worked_out() -> AllInHand:
            fit, (log, _) = known.fit, known.known
            outlook, why = None, ""
            try:
                outlook = self.outlook
            except NoAnswerError as error:
                why = str(error)
            today, seed = known.looking_from(), known.seed
            return AllInHand(
                in_hand_of(log, known.settings, fit, outlook, today=today, stretch=moved, seed=seed), why
            )

        return kept_result(self.file("hand", f"{moved.low} {moved.high}"), AllInHand, worked_out)

    def asked(self, board: str) -> KnownBoard | None:
        """A board that is asked for and not taken on, by its id."""
        return next((b for b in self.known.fit.boards if b.board == board and b.state == ASKED), None)

    def ready(self, board: str | KnownBoard) -> Ready | None:
        """When a board will be ready, if its owner says yes where it is not taken on; None where none can tell."""
        outlook, today = self.outlook, self.known.looking_from()
        try:
            if isinstance(board, str):
                at = outlook.place_of(board)
                if at is not None:
                    dates = outlook.to_tell(board, outlook.days.ready[at], today)
                    return Ready(dates.low, dates.likely, dates.high, tell=dates.tell)
            known = self.asked(board) if isinstance(board, str) else board
            if known is None:
                return None
            dates, by = outlook.of_one_more(known, today)
        except NoAnswerError:
            return None
        return Ready(dates.low, dates.likely, dates.high, by, dates.tell)

    def wishes(self, board: str | KnownBoard) -> tuple[float | None, float | None]:
        """The hours and days that all its owner has asked for since adds to a board, by its id, or as it would stand.

        None where nothing is written of it, or it cannot be worked out.
        """
        from estimator.decide.weigh.promise_impact import wishes_add

        known = (
            next(b for b in self.known.fit.boards if b.board == board) if isinstance(board, str) else board
        )
        try:
            return wishes_add(self.outlook, known, self.known.looking_from())
        except NoAnswerError:
            return None, None
