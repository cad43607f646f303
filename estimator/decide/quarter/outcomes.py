"""What became of what was said: whether owners were told what came true, and whether it was right to say yes or no."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from estimator.bench.calendar import Calendar
from estimator.bench.outlook import told_dates
from estimator.bench.promises import SURE
from estimator.decide.quarter.pay import Made, pay_of
from estimator.log.tellings import first_tellings, of_dates, of_hours, with_rows
from estimator.model.saved_fit import Array
from estimator.record.backtest.track_record import ODDS
from estimator.words.dates import A_DAY, Span, within
from estimator.words.json_form import JsonForm, json_fields
from estimator.words.records import SHOP, Board, Log
from estimator.words.settings.schema import Settings

SPAN = ODDS[1]  # of hours told without odds
LUCK = 0.95  # how often luck keeps to its band


@dataclass(frozen=True, slots=True)
class Kept(JsonForm):
    """How many of what owners were first told came true.

    odds: what each was to hold with, on average; None without any
    band: the fewest and the most that luck alone allows, 19 times in 20, each told with its own odds
    chance: that luck alone lets so few hold; missed: the boards of which it did not, by name
    """

    held: int
    of: int
    odds: float | None
    band: tuple[int, int]
    chance: float
    missed: tuple[str, ...]


def counted(sides: Sequence[tuple[str, bool, float]]) -> Kept:
    """The count of a set of promises: name, whether it held, and its odds.

    >>> kept = counted([("a", True, 0.9), ("b", False, 0.8)])
    >>> kept.held, kept.of, round(kept.chance, 2)
    (1, 2, 0.28)
    """
    held = sum(good for _, good, _ in sides)
    up_to = np.minimum(np.cumsum(so_many([odds for _, _, odds in sides])), 1.0)
    up_to[-1] = 1.0
    fewest, most = np.searchsorted(up_to, [(1 - LUCK) / 2, (1 + LUCK) / 2])
    return Kept(
        held=held,
        of=len(sides),
        odds=math.fsum(odds for _, _, odds in sides) / len(sides) if sides else None,
        band=(int(fewest), int(most)),
        chance=float(up_to[held]),
        missed=tuple(name for name, good, _ in sides if not good),
    )


def so_many(odds: Sequence[float]) -> Array:
    """The chance that 0, 1, 2 ... of promises hold, each by its own odds and all by luck alone, shape (n + 1,).

    The Poisson binomial law, by one promise after another.

    >>> so_many([0.5, 0.5]).tolist()
    [0.25, 0.5, 0.25]
    """
    chances = np.ones(1)
    for one in odds:
        chances = np.convolve(chances, [1 - one, one])
    return chances


def hours_kept(log: Log, made: Sequence[Made]) -> Kept:
    """Whether the hours first told came true; boards of which hours are missing cannot be held against theirs."""
    first = first_tellings(log.told)
    sides = []
    for one in made:
        told = first.get(one.board)
        if told is None or told.hours_low is None or told.hours_high is None or not one.whole:
            continue
        good = told.hours_low <= one.hours <= told.hours_high
        sides.append((one.name, good, told.odds or SPAN))
    return counted(sides)


def dates_kept(log: Log, made: Sequence[Made]) -> Kept:
    """Whether boards were ready no later than the last date of the first telling, which is to hold 9 times in 10.

    Odds that were told with a date alone are that date's own. Boards without a day on which they were ready, or the
    owner fetched them, are left out.
    """
    dates = told_dates(log.told, [log.by_id[one.board] for one in made if one.dated])
    own = _odds_of_dates(log)
    return counted(
        [
            (one.name, one.ended <= dates[one.board].first_last, own.get(one.board, SURE))
            for one in made
            if one.board in dates
        ]
    )


def _odds_of_dates(log: Log) -> Mapping[str, float]:
    """By board the odds that a date was first told with, where they were told with no hours beside it."""
    first = first_tellings(with_rows(log.told, log.boards), of_dates)
    return {board: told.odds for board, told in first.items() if told.odds and told.hours_high is None}


NO = "no"
WEEKS = 12 * 7 * A_DAY  # after a board was turned down, in which its hours went to others
FEW = 5  # boards: of fewer nothing is concluded


@dataclass(frozen=True, slots=True)
class Taken:
    """A board that was taken on and is ready.

    decided: yes or open-first; pay: what it brought an hour, None where that cannot be told
    hours: what it took; said: hours as they were first told, else guessed, low and high; None where neither was
    said_pay: what those would have brought an hour at the price it brought, low and high
    """

    board: str
    name: str
    decided: str
    why: str
    for_love: bool
    ready: dt.date
    hours: float | None
    pay: float | None
    said: tuple[float, float] | None
    said_pay: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """A board that was turned down, and what became of its weeks.

    day: of the decision, as far as the log tells: quoted, else asked
    filled: hours worked on boards in the twelve weeks since, as a share of those that the calendar has
    pay: of the boards made ready in them, an hour; None where none counts; boards: how many those are
    """

    board: str
    name: str
    why: str
    day: dt.date
    filled: float | None
    pay: float | None
    boards: int


@dataclass(frozen=True, slots=True)
class Afterwards:
    """Decisions that can be looked back on in a span of days; those for love stand apart.

    taken: ready in the span; turned_away: whose twelve weeks ended in it
    """

    taken: tuple[Taken, ...]
    for_love: tuple[Taken, ...]
    turned_away: tuple[TurnedAway, ...]
    target: float
    floor: float

    @property
    def few(self) -> bool:
        """Whether so few boards tell of it that nothing follows."""
        return len(self.judged) < FEW

    @property
    def judged(self) -> tuple[Taken, ...]:
        """Boards taken, not for love, of which the pay is known."""
        return tuple(one for one in self.taken if one.pay is not None)

    @property
    def paid_target(self) -> int:
        """How many of those paid what is wanted."""
        return _count(self.judged, self.target)

    @property
    def paid_floor(self) -> int:
        """How many of those paid the least that is taken."""
        return _count(self.judged, self.floor)

    def as_dicts(self) -> list[dict[str, Any]]:
        """As JSON: one object for each decision."""
        return [
            *({"sort": "taken", **json_fields(one)} for one in self.taken),
            *({"sort": "for love", **json_fields(one)} for one in self.for_love),
            *({"sort": "turned away", **json_fields(one)} for one in self.turned_away),
        ]


def afterwards(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> Afterwards:
    """The decisions of a log that can be judged in a span of days, both ends included.

    log: as it is known today; made: its boards that were made ready, up to the end of the span at least
    """
    told = first_tellings(log.told, of_hours)
    ready = {one.board: one for one in made if within(one.ended, span)}
    taken = []
    for board in log.boards:
        if board.decided in {"", NO} or board.board not in ready:
            continue
        first = told.get(board.board)
        said = None if first is None else (first.hours_low, first.hours_high)
        taken.append(_taken(board, ready[board.board], said or (board.guess_low, board.guess_high)))
    shop = settings.workshop
    return Afterwards(
        taken=tuple(one for one in taken if not one.for_love),
        for_love=tuple(one for one in taken if one.for_love),
        turned_away=tuple(_turned_away(log, settings, made, span)),
        target=shop.target_pay,
        floor=shop.floor_pay,
    )


def _taken(board: Board, made: Made, hours: tuple[float | None, float | None]) -> Taken:
    """A board that is ready against what was said of it."""
    low, high = hours
    said = (low, high) if low and high and not board.from_memory else None
    brought = made.brought
    return Taken(
        board=board.board,
        name=board.name,
        decided=board.decided,
        why=board.decided_why,
        for_love=board.for_love,
        ready=made.ended,
        hours=made.hours if made.whole else None,
        pay=made.pay,
        said=said,
        said_pay=None if said is None or brought is None else (brought / said[1], brought / said[0]),
    )


def _turned_away(log: Log, settings: Settings, made: Sequence[Made], span: Span) -> Iterable[TurnedAway]:
    """Boards that were turned down, once their weeks are over."""
    calendar = Calendar.of(settings.bench)
    for board in log.boards:
        day = board.quoted or board.asked
        if board.decided != NO or day is None or not within(day + WEEKS, span):
            continue
        since = day + A_DAY, day + WEEKS
        there = float(calendar.hours_from(since[0], WEEKS.days).sum())
        worked = sum(e.hours for e in log.entries if e.board != SHOP and within(e.last, since))
        pay = pay_of([one for one in made if within(one.ended, since)])
        yield TurnedAway(
            board=board.board,
            name=board.name,
            why=board.decided_why,
            day=day,
            filled=worked / there if there else None,
            pay=pay.all,
            boards=pay.counted,
        )


def _count(taken: Iterable[Taken], least: float) -> int:
    """How many paid so much an hour."""
    return sum(one.pay is not None and one.pay >= least for one in taken)
