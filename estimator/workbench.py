"""A workshop folder and its bench: the days to come, as the boards in hand fill them."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from estimator.folder import Folder
from estimator.forecast.ranges import Ready
from estimator.log.cache import CACHE, keep, kept
from estimator.log.names import board_named
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.problems import Problem, in_order
from estimator.words.records import ASKED
from estimator.words.settings.values import SETTINGS_FILE

if TYPE_CHECKING:
    from estimator.bench.outlook import Outlook
    from estimator.bench.promises import BenchDay, Promise
    from estimator.decide.weigh.promise_impact import Added
    from estimator.forecast.calibration import Stretch
    from estimator.model.saved_fit import KnownBoard


class Workbench(Folder):
    """A folder with the promises of the boards in hand; see Folder for `open`, its day and its seed."""

    def bench(self) -> BenchDay:
        """By when each board in hand is ready, whom to ring, what to touch today and what to leave.

        Whom to ring is kept with the day, so that it is said of nobody twice for the same reason; not where one looks
        back, from a day before the end of the log.

        Raises NoAnswerError where the calendar has no hours, a board can never be finished, or no day is known to
        look from.
        """
        from estimator.bench.call_log import (
            became_later,
            looked_from_json,
            rung_once,
            said_from_json,
            said_to_json,
        )
        from estimator.bench.promises import dates_to_json

        day = self.morning()
        keep(self._kept_dates, dates_to_json(day))
        looked = self.folder / CACHE / "looked.json"
        day, days = became_later(day, self.known[0].boards, looked_from_json(kept(looked)))
        if self.earlier is None:
            keep(looked, json.dumps(days))
        file = self.folder / CACHE / "rung.json"
        before = said_from_json(kept(file))
        day, said = rung_once(day, before)
        if said != before and self.earlier is None:
            keep(file, said_to_json(said))
        return day

    @property
    def notes(self) -> tuple[Problem, ...]:
        """What is merely missing or odd in the log, and a week in the settings that is not the week as it came."""
        from estimator.bench.calendar import settings_apart

        apart = settings_apart(self.log, self.settings.bench)
        cure = "Correct hours_by_weekday, or leave it if that is what you mean to work."
        more = [Problem(f"{SETTINGS_FILE}, hours_by_weekday", "", apart, cure)] if apart else []
        return in_order([*super().notes, *more])

    @property
    def weeks_apart(self) -> str:
        """That the week in the settings is not the week as it came, a clause; empty where they are alike."""
        return self._outlook.capacity.apart

    def morning(self) -> BenchDay:
        """What `bench` says of the day, for paper: whom to ring is not kept as said.

        Raises NoAnswerError as `bench` does.
        """
        from estimator.bench.morning import bench_day
        from estimator.bench.outlook import log_up_to

        today = self._looking_from()
        return bench_day(self._outlook, today, log_up_to(self.known[0], today))

    def promise_if_yes(self, board: str) -> tuple[Promise, dt.date] | None:
        """One board that is not taken on, by its id, as if it were, and by when its owner must say yes for that.

        None where it is taken on or over, or no date can be given.
        """
        from estimator.bench.morning import promise_of_one_more

        known = self._asked(board)
        try:
            return None if known is None else promise_of_one_more(self._outlook, known, self._looking_from())
        except NoAnswerError:
            return None

    def promise(self, board: str) -> Promise | None:
        """One board in hand, by its id, as `bench` has it; None where it is not, or no date can be given."""
        from estimator.bench.morning import promise_of

        at = self._outlook.place_of(board)
        try:
            return None if at is None else promise_of(self._outlook, at, self._looking_from())
        except NoAnswerError:
            return None

    @property
    def _kept_dates(self) -> Path:
        """Where the dates of the boards in hand are kept, as of log, day and record of dates."""
        moved = self._stretch("dates")
        known = f"{self.digest}.{moved.low:.4f}.{moved.high:.4f}"
        name = f"bench-{self.seed}-{self._today or 'last'}-{known}.json"
        return self.folder / CACHE / name

    def _asked(self, board: str) -> KnownBoard | None:
        """A board that is asked for and not taken on, by its id."""
        return next((b for b in self.fit().boards if b.board == board and b.state == ASKED), None)

    def _ready(self, board: str | KnownBoard) -> Ready | None:
        """When a board will be ready, if its owner says yes where it is not taken on; None where none can tell."""
        outlook, today = self._outlook, self._looking_from()
        try:
            if isinstance(board, str):
                at = outlook.place_of(board)
                if at is not None:
                    dates = outlook.to_tell(board, outlook.days.ready[at], today)
                    return Ready(dates.low, dates.likely, dates.high, tell=dates.tell)
            known = self._asked(board) if isinstance(board, str) else board
            if known is None:
                return None
            dates, by = outlook.of_one_more(known, today)
        except NoAnswerError:
            return None
        return Ready(dates.low, dates.likely, dates.high, by, dates.tell)

    def asked_since(
        self, board: str, more: Mapping[str, object], *, odds: float = 0.8, keep: bool = False
    ) -> Added:
        """What the owner of a board has asked for since: hours, materials and price of it, and whose dates move.

        board: id or short name; more: values as they stand in a later_ cell; odds: of the ranges and of the price
        keep: add it to what stands in the board's own row, once it has been worked out

        Raises UsageError for a board that is not in the log or is over, a name that is none, and a file that cannot be
        written; UnreadableError for a value that cannot be read; NoAnswerError where neither rules nor log can tell.
        """
        from estimator.decide.weigh.promise_impact import added, dates_with
        from estimator.forecast.scope_change import asked_since, refuse_over
        from estimator.log.edits import keep_more

        fit = self.fit()
        known = board_named(board, fit.boards)
        then, grown = asked_since(known, more, self.settings)
        what = {name: grown[name] for name in more}
        stretch = self._stretch()
        said = added(fit, known, then, what, self.settings, odds=odds, seed=self.seed, stretch=stretch)
        with suppress(NoAnswerError):  # where no dates can be given, hours and money alone are said
            ready, promises = dates_with(self._outlook, known, then, self._looking_from())
            said = replace(said, ready=ready, promises=promises)
        if keep:
            row = board_named(known.board, self._whole[0].boards)
            refuse_over(row)
            said = replace(said, kept=keep_more(self.folder, self.settings, row, what, grown))
            self._forget()
        return said

    def _wishes(self, board: str) -> tuple[float | None, float | None]:
        """The hours and days that all its owner has asked for since adds to a board.

        None where nothing is written of it, or it cannot be worked out.
        """
        from estimator.decide.weigh.promise_impact import wishes_add

        known = board_named(board, self.fit().boards)
        try:
            return wishes_add(self._outlook, known, self._looking_from())
        except NoAnswerError:
            return None, None

    def _looking_from(self) -> dt.date:
        """Today; raises NoAnswerError where no day is given and none is written."""
        if self.today is None:
            raise NoAnswerError(
                "No day is known to look from.", "Name one, or write hours down.", field="day"
            )
        return self.today

    @cached_property
    def _outlook(self) -> Outlook:
        """The boards in hand as jobs, and the hours to come."""
        from estimator.bench.calendar import capacity_of
        from estimator.bench.outlook import Hand, Outlook, log_up_to
        from estimator.bench.waits import Waits

        fit, log = self.fit(), self.known[0]
        day = log_up_to(log, self._looking_from()) + A_DAY
        hand = Hand(
            log,
            self.settings,
            fit,
            Waits.fitted(log, self.settings, fit, seed=self.seed),
            day,
            self.seed,
        )
        return Outlook.of(
            hand, capacity_of(log, self.settings.bench, day, seed=self.seed), self._stretch("dates")
        )

    def _stretch(self, of: str = "hours") -> Stretch:
        """What the newest record up to today taught of ranges of hours, or of dates."""
        from estimator.forecast.calibration import newest, stretch_file, stretches_from_json

        day = self._today or dt.date.max
        return newest(stretches_from_json(kept(stretch_file(self.folder / CACHE))), day.isoformat(), of)
