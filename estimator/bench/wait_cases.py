"""How long boards stood, as the log tells it: rows of waits, checks of drying foam, and gaps between stages."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from estimator.bench.calendar import Calendar
from estimator.log.checks import by_stage, day_shares
from estimator.log.stage_hours import followers
from estimator.words.dates import A_DAY
from estimator.words.records import FINISHED, IN_HAND, SHOP, Board, Entry, Log, Wait
from estimator.words.settings.schema import Settings, Stage

DRYING, CURING = "drying", "curing"
WET, DRY = "still wet", "dry"  # what the checks of a drying board say
SLACK = 0.25  # of a day's hours not booked: had a board been ready, it would have been worked


@dataclass(frozen=True, slots=True)
class WaitCase:
    """One time that a board stood: what comes next could begin so many whole days after the first one.

    fewest, most: days; equal where both ends are written, most infinite where the board stands still
    until: the day on which it was over, where that is known
    sure: False where it is only gathered from hours that nobody booked
    """

    board: str
    first: dt.date
    fewest: float
    most: float
    until: dt.date | None = None
    sure: bool = True


def has_wait(stage: Stage) -> bool:
    """Whether a board stands at all after a stage, by the settings."""
    return any(stage.wait_days) or any(any(days) for grades in stage.wait_by.values() for days in grades)


def drying_stage(settings: Settings) -> str:
    """The stage after or during which foam dries; an empty text where there is none.

    It is the one of that name, else the first on the rack that a board stands after, else the first whose wait
    goes by a grade.
    """
    waits = [stage for stage in settings.stages.values() if has_wait(stage)]
    likely = (
        *(stage.name for stage in settings.stages.values() if stage.name == DRYING),
        *(stage.name for stage in waits if stage.on == "rack"),
        *(stage.name for stage in waits if stage.wait_by),
    )
    return next(iter(likely), "")


@dataclass(frozen=True)
class WaitCases:
    """The waits that a log tells of."""

    log: Log
    settings: Settings

    @cached_property
    def day(self) -> dt.date:
        """The last day that the log tells of."""
        return self.log.last_entry or dt.date.min

    @cached_property
    def rows(self) -> Mapping[str, Mapping[str, list[Entry]]]:
        """Entries with hours by board and stage."""
        return by_stage(entry for entry in self.log.entries if entry.hours > 0)

    @cached_property
    def waits(self) -> Mapping[str, list[Wait]]:
        """Rows of the waits sheet by board."""
        of_board = defaultdict(list)
        for wait in self.log.waits:
            of_board[wait.board].append(wait)
        return of_board

    @cached_property
    def later(self) -> Mapping[str, frozenset[str]]:
        """By stage those that can only come after it."""
        return followers(self.settings.stages)

    @cached_property
    def drying(self) -> str:
        """The stage whose wait is the drying of foam."""
        return drying_stage(self.settings)

    def for_cause(self, cause: str) -> Iterator[WaitCase]:
        """The times that boards stood for a cause, in the order of the log.

        A row with both its ends is exact; of drying also what the checks put between two days, with a row or
        without one. A row without its end on a board in hand, on which nothing has been done since that would
        have had to wait for it, stands still.
        """
        told = set()
        for wait in self.log.waits:
            if wait.cause == cause:
                told.add(wait.board)
                stood = self._row(wait)
                if stood:
                    yield stood
        if cause != DRYING or self.drying not in self.settings.stages:
            return
        before = [name for name, later in self.later.items() if self.drying in later]
        for board, has in self.rows.items():
            begun = [max(e.last for e in has[name]) for name in before if name in has]
            if board not in told and begun and self.drying in has:
                stood = self._between_checks(board, max(begun))
                if stood:
                    yield stood

    def _row(self, wait: Wait) -> WaitCase | None:
        """A row of the waits sheet; None where it has no end and nothing else tells it."""
        if wait.until is not None:
            days = (wait.until - wait.first).days
            return WaitCase(wait.board, wait.first, days, days, wait.until)
        if wait.cause == DRYING and (stood := self._between_checks(wait.board, wait.first)):
            return stood
        board = self.log.by_id.get(wait.board)
        if board is None or board.state not in IN_HAND or self._went_on(wait):
            return None
        return WaitCase(wait.board, wait.first, (self.day - wait.first).days + 1, math.inf)

    def _went_on(self, wait: Wait) -> bool:
        """Whether a stage that had to wait for the end of an open row has been worked since."""
        stages = self.settings.stages
        held = {name for name, stage in stages.items() if wait.cause in stage.needs}
        if wait.cause == DRYING and self.drying:
            held = set(self.later[self.drying])
        has = self.rows.get(wait.board, {})
        return any(entry.last > wait.first for name in held or stages.keys() for entry in has.get(name, ()))

    def _between_checks(self, board: str, first: dt.date) -> WaitCase | None:
        """How long a board dried by the checks on it, from a day on; None where none of them found it dry."""
        checks = [e for e in self._checks.get(board, {}).get(self.drying, ()) if e.date >= first]
        ended = [e.date for e in checks if e.note.strip().casefold() == DRY or e.done]
        if not ended:
            return None
        end = min(ended)
        wet = [e.date for e in checks if e.note.strip().casefold() == WET and e.date < end]
        fewest = (max(wet) - first).days + 1 if wet else min(1, (end - first).days)
        return WaitCase(board, first, fewest, (end - first).days, end)

    @cached_property
    def _checks(self) -> Mapping[str, Mapping[str, list[Entry]]]:
        """Entries by board and stage, those without hours among them."""
        return by_stage(self.log.entries)

    def after(self, stage: str) -> Iterator[WaitCase]:
        """The times that boards stood after a stage, in the order of the log.

        Of drying they are its rows and checks; else rows of curing that begin when the stage has ended, a board
        that was ready days after its last hours, and gaps before the next stage. A gap is told only where the
        restorer had hours left on the working day before the next stage began: else the board may have
        been ready long before and in the queue.
        """
        if stage == self.drying:
            yield from self.for_cause(DRYING)
            return
        for board, has in self.rows.items():
            if stage in has:
                stood = self._curing(board, stage) or self._gap(self.log.by_id[board], stage)
                if stood:
                    yield stood

    def _curing(self, board: str, stage: str) -> WaitCase | None:
        """A row of curing that begins with the end of a stage, before any other that one stands after."""
        ends = {
            max(e.last for e in entries): name
            for name, entries in self.rows[board].items()
            if has_wait(self.settings.stages[name])
        }
        for wait in self.waits.get(board, ()):
            past = [day for day in ends if day <= wait.first]
            if wait.cause == CURING and past and ends[max(past)] == stage:
                return self._row(wait)
        return None

    def _gap(self, board: Board, stage: str) -> WaitCase | None:
        """The days from the end of a stage to the next one on the board, where they tell how long it stood."""
        has = self.rows[board.board]
        end = max(e.last for e in has[stage])
        follow = self.later[stage] & has.keys()
        if not follow:
            return self._at_the_end(board, stage, end)
        begun = min(min(e.date for e in has[name]) for name in follow)
        after = {name for name in follow if min(e.date for e in has[name]) == begun}
        held_too = [n for n in has if n != stage and self.later[n] & after and n not in follow]
        if any(max(e.last for e in has[n]) >= end for n in held_too):
            return None
        if self._stood_for_more(board.board, end, begun):
            return None
        idle = self._working_day_before(begun)
        if idle < end or not self._slack(idle):
            return None
        return WaitCase(board.board, end, (idle - end).days + 1, (begun - end).days, begun, sure=False)

    def _at_the_end(self, board: Board, stage: str, end: dt.date) -> WaitCase | None:
        """A board whose stage was its last so far: ready on a later day, or standing now."""
        if any(e.last > end for entries in self.rows[board.board].values() for e in entries):
            return None
        if board.state == FINISHED and board.ready and board.ready > end:
            days = (board.ready - end).days
            return WaitCase(board.board, end, days, days, board.ready)
        idle = self._working_day_before(self.day + A_DAY)
        if board.state not in IN_HAND or not self.later[stage] or idle <= end or not self._slack(idle):
            return None
        if self._stood_for_more(board.board, end, self.day):
            return None
        return WaitCase(board.board, end, (idle - end).days + 1, math.inf, sure=False)

    def _stood_for_more(self, board: str, first: dt.date, last: dt.date) -> bool:
        """Whether a row says that a board stood between two days for something else."""
        return any(
            wait.first < last and (wait.until is None or wait.until > first)
            for wait in self.waits.get(board, ())
        )

    def _working_day_before(self, day: dt.date) -> dt.date:
        """The last day before one on which the restorer was at work."""
        day -= A_DAY
        for _ in range(366):
            if self._calendar.works(day) and day not in self._off:
                return day
            day -= A_DAY
        return day

    def _slack(self, day: dt.date) -> bool:
        """Whether a good part of a day's hours was left; a day of which nothing is written tells nothing."""
        booked = self._booked.get(day, 0.0)
        return 0 < booked <= (1 - SLACK) * self._calendar.hours(day)

    @cached_property
    def _calendar(self) -> Calendar:
        return Calendar.of(self.settings.bench)

    @cached_property
    def _booked(self) -> Mapping[dt.date, float]:
        """Hours booked by day, on all boards and on none."""
        booked: defaultdict[dt.date, float] = defaultdict(float)
        for entry in self.log.entries:
            for day, hours in day_shares(entry):
                booked[day] += hours
        return booked

    @cached_property
    def _off(self) -> frozenset[dt.date]:
        """Days that the log explains as not worked."""
        return frozenset(
            day
            for entry in self.log.entries
            if entry.board == SHOP and not entry.hours
            for day, _ in day_shares(entry)
        )
