"""A log as it stood on an earlier day: only what was known by then."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from estimator.log.parse.boards import state_from
from estimator.log.stage_hours import StageHours, followers, hours_of_board
from estimator.words.records import DECLINED, FINISHED, SHOP, WITHDRAWN, Board, Entry, Log, Rule, Values
from estimator.words.settings.schema import Settings

DATES = ("asked", "quoted", "accepted", "started", "ready", "collected", "paid_on")
AT_QUOTE = ("guess_low", "guess_high", "price_quoted", "hold_until", "promised_first", "promised_last")
AT_END = ("cost_time", "price_charged", "materials", "paid", "returned", "total_hours", "total_grain")


@dataclass(frozen=True, slots=True)
class StoodThen:
    """A board as it stood on a day, and its hours by stage.

    written: on how many days something of it had been written by then; where it is the same, so is the board
    """

    board: Board
    worked: tuple[StageHours, ...]
    written: int


@dataclass(frozen=True)
class History:
    """A log with the days on which its parts became known, for looking back at many days.

    A board changes only on days on which something of it is written: how it stood between two of them is worked out
    once, and kept with the history.
    """

    log: Log
    settings: Settings

    def __getstate__(self) -> dict[str, object]:
        """What goes to another process: the log and the settings, not what was worked out of them."""
        return {"log": self.log, "settings": self.settings}

    @cached_property
    def rows(self) -> Mapping[str, tuple[Entry, ...]]:
        """Entries by board, in the order of the log."""
        by_board = defaultdict(list)
        for entry in self.log.entries:
            by_board[entry.board].append(entry)
        return {board: tuple(entries) for board, entries in by_board.items()}

    @cached_property
    def asked_later(self) -> Mapping[str, dt.date]:
        """By board the day of the last telling because of something asked later."""
        return {told.board: told.date for told in self.log.told if told.because == "asked later"}

    def begun(self, board: Board) -> dt.date | None:
        """The first day that anything is written of a board; None where no day is."""
        days = [day for name in DATES if (day := getattr(board, name)) is not None]
        return min([*days, *(entry.date for entry in self.rows.get(board.board, ()))], default=None)

    def ended(self, board: Board) -> dt.date | None:
        """The day from which a board is known as finished, dropped or refused; None while it is none of these."""
        if board.state not in {FINISHED, WITHDRAWN, DECLINED}:
            return None
        over = board.ready or board.collected
        if board.state == FINISHED and over:
            return over
        days = [day for name in DATES if (day := getattr(board, name)) is not None]
        days += [entry.last for entry in self.rows.get(board.board, ())]
        return max(days, default=self.last_money.get(board.board))

    @cached_property
    def last_money(self) -> Mapping[str, dt.date]:
        """By board the day of its last row of money."""
        rows = sorted(self.log.money, key=lambda line: line.date)
        return {board: line.date for line in rows for board in line.boards}

    @cached_property
    def written(self) -> Mapping[str, tuple[dt.date, ...]]:
        """By board the days on which anything of it was written, in order."""
        days: dict[str, set[dt.date]] = defaultdict(set)
        for board in self.log.boards:
            days[board.board] |= {day for name in DATES if (day := getattr(board, name)) is not None}
        for entry in self.log.entries:
            days[entry.board].add(entry.last)
        for told in self.log.told:
            days[told.board].add(told.date)
        return {board: tuple(sorted(some)) for board, some in days.items()}

    def boards_on(self, day: dt.date) -> tuple[StoodThen, ...]:
        """The boards as they stood at the end of a day, in the order of the log; see `on`."""
        kept = []
        for board, begun in self._begun:
            if begun is not None and begun <= day:
                n = bisect_right(self.written[board.board], day)
                stood = self._kept.get((board.board, n))
                if stood is None:
                    stood = self._kept[board.board, n] = self._stood(board, day, n)
                kept.append(stood)
        return tuple(kept)

    def on(self, day: dt.date) -> Log:
        """The log as it stood at the end of a day.

        Boards of which nothing was written by then are left out, and so are those of which no day is known at all;
        entries count from their last day on. A quantity as it turned out is known from the day on which the stage
        that shows it was done. States are those that the dates and hours of the day tell; a board of which nothing
        was written since stands as it does today.
        """
        return Log(
            boards=tuple(stood.board for stood in self.boards_on(day)),
            entries=tuple(entry for last, entry in self._entries if last <= day),
            told=tuple(told for told in self.log.told if told.date <= day),
            struck=tuple(told for told in self.log.struck if told.date <= day),
            waits=tuple(
                wait if wait.until is None or wait.until <= day else replace(wait, until=None)
                for wait in self.log.waits
                if wait.first <= day
            ),
            weighings=tuple(w for w in self.log.weighings if w.date <= day),
            notes=tuple(note for note in self.log.notes if note.date <= day),
            money=tuple(line for line in self.log.money if line.date <= day),
            source=self.log.source,
            partial=self.log.partial,
        )

    def worked_on(self, day: dt.date) -> dict[str, tuple[StageHours, ...]]:
        """By board its stages with hours as they stood at the end of a day, as `stage_hours` of that day's log."""
        return {stood.board.board: stood.worked for stood in self.boards_on(day) if stood.worked}

    @cached_property
    def _begun(self) -> tuple[tuple[Board, dt.date | None], ...]:
        """The boards, each with the first day that anything is written of it."""
        return tuple((board, self.begun(board)) for board in self.log.boards)

    @cached_property
    def _entries(self) -> tuple[tuple[dt.date, Entry], ...]:
        """The entries of boards in the log and of the shop, each with its last day."""
        names = {board.board for board in self.log.boards} | {SHOP}
        return tuple((entry.last, entry) for entry in self.log.entries if entry.board in names)

    @cached_property
    def _after(self) -> Mapping[str, frozenset[str]]:
        """By stage, in order of work, the stages that can only come after it."""
        return followers(self.settings.stages)

    @cached_property
    def _kept(self) -> dict[tuple[str, int], StoodThen]:
        """The boards as they stood, by id and on how many days something of it had been written."""
        return {}

    def _stood(self, whole: Board, day: dt.date, written: int) -> StoodThen:
        """A board as it stood on a day; whole: as it is written today."""
        entries = [e for e in self.rows.get(whole.board, ()) if e.last <= day]
        board = self._board(whole, day, hours=any(e.hours > 0 for e in entries))
        worked = () if whole.board == SHOP else hours_of_board(board, entries, self._after, self.log.partial)
        done = {has.stage for has in worked if has.done}
        return StoodThen(replace(board, found=self._found(whole, board, done)), worked, written)

    def _board(self, board: Board, day: dt.date, *, hours: bool) -> Board:
        """A board with the dates, the state and the numbers of a day; found values still all of them."""
        if all(one <= day for one in self.written[board.board][-1:]):
            return board
        ended = self.ended(board)
        over = ended is not None and ended <= day
        dates = {
            name: given for name in DATES if (given := getattr(board, name)) is not None and given <= day
        }
        told = board.state if over else state_from(dates, hours=hours)
        later = over or self.asked_later.get(board.board, dt.date.max) <= day
        unknown: dict[str, object] = {name: None for name in DATES if name not in dates}
        if not over:
            unknown |= dict.fromkeys(AT_END) | {"cost_time": ""}
        if not {"quoted", "accepted"} & dates.keys() and not hours and not over:
            unknown |= dict.fromkeys(AT_QUOTE)
        return replace(board, state=told, later=board.later if later else {}, **unknown)  # type: ignore[arg-type]  # each by its own field's name

    def _found(self, whole: Board, board: Board, done: Iterable[str]) -> Values:
        """The quantities that were known as they turned out; whole: the board as it is written today."""
        if board.state == FINISHED or board is whole:
            return whole.found
        shown = {"asked", *done}
        not_yet = {name for name, much in whole.later.items() if much and name not in board.later}
        return {
            name: value
            for name, value in whole.found.items()
            if self._shown_by(name) in shown and name not in not_yet
        }

    def _shown_by(self, name: str) -> str:
        """The stage whose end shows a quantity, or "asked"; of a stage that only sometimes happens its own end."""
        if name in self.settings.drivers:
            return self.settings.drivers[name].known
        if name in self.settings.modifiers:
            return self.settings.modifiers[name].known
        return name


def as_it_stood(log: Log, settings: Settings, day: dt.date) -> Log:
    """The log as it stood at the end of a day; see History.on."""
    return History(log, settings).on(day)


def last_day(log: Log) -> dt.date | None:
    """The last day of which anything was written, on any sheet; None where no day is."""
    days = [of_board[-1] for of_board in History(log, Settings()).written.values() if of_board]
    days += [day for wait in log.waits for day in (wait.first, wait.until) if day is not None]
    days += [row.date for rows in (log.weighings, log.notes, log.money) for row in rows]
    return max(days, default=None)


def said_by(rules: Iterable[Rule], day: dt.date) -> tuple[Rule, ...]:
    """The rules of thumb that had been said by a day; one without a day is older than the log.

    >>> said_by([Rule("a"), Rule("b", said=dt.date(2026, 5, 1))], dt.date(2026, 4, 1))[0].name
    'a'
    """
    return tuple(rule for rule in rules if rule.said is None or rule.said <= day)
