"""What boards that were made ready brought an hour, and how sure a change of it is."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from scipy.special import ndtr

from estimator.log.history import History
from estimator.log.money import price_kept
from estimator.log.stage_hours import stage_hours
from estimator.model.quantities import as_it_turned_out, whole_hours
from estimator.model.saved_fit import Array
from estimator.words.dates import Span, within
from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import FINISHED, Board, Log, WithName
from estimator.words.settings.schema import Settings

KIND, WETNESS, COLOURS = "kind", "wetness", "spray_colours"
COLOUR_GROUPS = ("no colour", "one colour", "two colours or more")


@dataclass(frozen=True, slots=True)
class Made(WithName, JsonForm):
    """A board that was made ready: its hours, whenever they were worked, and its money as it is known today.

    ended: the day on which it was ready; its last day written where none is
    hours: all that are written; whole: whether none are missing
    price: what was charged, else quoted, less what of it was given back
    guess: the restorer's own hours, None where remembered afterwards
    groups: by sort of comparison (kind, wetness, colours) the group that it belongs to
    """

    board: str
    called: str
    kind: str
    ended: dt.date
    hours: float
    whole: bool
    price: float | None
    materials: float | None
    guess: float | None = None
    dated: bool = True
    groups: Mapping[str, str] = field(default_factory=dict)
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name

    @property
    def brought(self) -> float | None:
        """Its price less its materials; None where either is not written."""
        return None if self.price is None or self.materials is None else self.price - self.materials

    @property
    def counted(self) -> bool:
        """Whether its pay can be told: price, materials and all its hours are written."""
        return self.brought is not None and self.whole and self.hours > 0

    @property
    def pay(self) -> float | None:
        """What it brought an hour, before rent; None where that cannot be told."""
        return self.brought / self.hours if self.counted and self.brought is not None else None

    def _json(self) -> dict[str, Any]:
        """The JSON of one board, numbers unrounded."""
        # by hand: what is missing is said as such, and pay follows from the others
        return {
            "board": self.board,
            "called": self.called,
            "kind": self.kind,
            "ready": self.ended,
            "hours": self.hours,
            "hours_missing": not self.whole,
            "price": self.price,
            "materials": self.materials,
            "guess": self.guess,
            "pay_per_hour": self.pay,
        }


def made_ready(log: Log, settings: Settings, hours: Mapping[str, float | None]) -> tuple[Made, ...]:
    """Every board that was made ready, in the order in which they were.

    log: as it is known today; hours: by board all that it took, None where some are missing
    """
    history = History(log, settings)
    booked: dict[str, float] = defaultdict(float)
    for entry in log.entries:
        booked[entry.board] += entry.hours
    made = []
    for board in log.boards:
        ended = history.ended(board) if board.state == FINISHED else None
        if ended is None:
            continue
        whole = hours.get(board.board)
        made.append(
            Made(
                board=board.board,
                called=board.called,
                known=board.known,
                kind=board.kind,
                ended=ended,
                hours=max(booked[board.board], board.total_hours or 0.0) if whole is None else whole,
                whole=whole is not None,
                price=price_kept(board),
                materials=board.materials,
                guess=None if board.from_memory else board.guess,
                dated=(board.ready or board.collected) is not None,
                groups=_groups(board, settings),
            )
        )
    return tuple(sorted(made, key=lambda m: (m.ended, m.board)))


def hours_of(log: Log, settings: Settings) -> dict[str, float | None]:
    """By board all that it took; None where it is not finished, or hours are missing."""
    worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    not_done = {(e.board, e.stage) for e in log.entries if e.hours == 0}
    lost = {board for board, _ in log.partial}
    return {
        board.board: None
        if board.board in lost and not board.total_hours
        else whole_hours(board, worked.get(board.board, ()), settings, not_done)
        for board in log.boards
    }


def _groups(board: Board, settings: Settings) -> dict[str, str]:
    """The groups that a board belongs to; none where nothing is written."""
    values = as_it_turned_out(board)
    groups = {KIND: board.kind}
    if WETNESS in values and WETNESS in settings.modifiers:
        grades = settings.modifiers[WETNESS].grades or ("no", "yes")
        groups[WETNESS] = grades[min(round(values[WETNESS]), len(grades) - 1)]
    if COLOURS in values:
        groups[COLOURS] = COLOUR_GROUPS[min(math.ceil(values[COLOURS]), len(COLOUR_GROUPS) - 1)]
    return groups


@dataclass(frozen=True, slots=True)
class Pay(JsonForm):
    """What a set of boards brought.

    boards, hours: of all of them; income: of those with a price; materials: of those whose materials are written
    counted: how many of them have price, materials and all hours; the pay is theirs: their hours, their prices, and
        what they brought
    all: brought over hours; median, low, high: of single boards, the 50, 10 and 90 % points; None where none counts
    """

    boards: int
    hours: float
    income: float
    materials: float
    counted: int
    counted_hours: float
    counted_income: float
    brought: float
    all: float | None = field(metadata=HIDDEN)
    median: float | None = field(metadata=HIDDEN)
    low: float | None = field(metadata=HIDDEN)
    high: float | None = field(metadata=HIDDEN)

    @property
    def per_hour(self) -> dict[str, float | None]:
        """Pay an hour as JSON has it."""
        return {"all": self.all, "median": self.median, "low": self.low, "high": self.high}

    def _json(self) -> dict[str, Any]:
        # by hand: pay an hour is an object of its own
        return {**json_fields(self), "pay_per_hour": self.per_hour}


def pay_of(made: Sequence[Made]) -> Pay:
    """What boards brought together, and each an hour.

    >>> day = dt.date(2026, 8, 3)
    >>> one = Made("1", "", "", day, 39.0, True, 1800.0, 240.0)
    >>> two = Made("2", "", "", day, 20.0, True, 1000.0, None)
    >>> pay = pay_of([one, two])
    >>> pay.all, pay.boards, pay.counted, pay.income
    (40.0, 2, 1, 2800.0)
    """
    counted = [one for one in made if one.counted]
    hours = math.fsum(one.hours for one in counted)
    brought = math.fsum(one.brought or 0.0 for one in counted)
    each = [one.pay for one in counted if one.pay is not None]
    low, median, high = np.quantile(each, [0.1, 0.5, 0.9]).tolist() if each else (None, None, None)
    return Pay(
        boards=len(made),
        hours=math.fsum(one.hours for one in made),
        income=math.fsum(one.price or 0.0 for one in made),
        materials=math.fsum(one.materials or 0.0 for one in made),
        counted=len(counted),
        counted_hours=hours,
        counted_income=math.fsum(one.price or 0.0 for one in counted),
        brought=brought,
        all=brought / hours if counted else None,
        median=median,
        low=low,
        high=high,
    )


def of_span(made: Sequence[Made], span: Span) -> tuple[Made, ...]:
    """The boards that were made ready in a span of days."""
    return tuple(one for one in made if within(one.ended, span))


@dataclass(frozen=True, slots=True)
class Variances:
    """By how much hours at a rate come to more than standard hours at a standard rate, in money.

    rate: from the other rate, at the hours worked; hours: from the other hours, at the standard rate
    """

    rate: float
    hours: float

    @property
    def total(self) -> float:
        """Both; what was paid less what the standard would have paid."""
        return self.rate + self.hours


def variances(hours: float, rate: float, standard_hours: float, standard_rate: float) -> Variances:
    """The labour variances of standard costing; the joint term stands with the rate.

    Source: Horngren, Datar & Rajan, Cost Accounting, chapter 7: 9,000 hours at 22 against 8,000 at 20.

    >>> variances(9000, 22, 8000, 20)
    Variances(rate=18000, hours=20000)
    """
    return Variances((rate - standard_rate) * hours, (hours - standard_hours) * standard_rate)


@dataclass(frozen=True, slots=True)
class Short:
    """By how much boards brought less than their hours at the pay wanted, and from what; money, above nought is less.

    boards: those with price, materials, all hours and a guess
    from_hours: from hours above the guess; from_price: from a price that was low for the hours guessed
    """

    boards: int
    total: float
    from_hours: float
    from_price: float


def short_of(made: Sequence[Made], wanted: float) -> Short | None:
    """What held pay below what is wanted; None without a board of which it can be told.

    >>> one = Made("1", "", "", dt.date(2026, 8, 3), 50.0, True, 1600.0, 0.0, guess=40.0)
    >>> short_of([one], 42.0)
    Short(boards=1, total=500.0, from_hours=420.0, from_price=80.0)
    """
    known = [one for one in made if one.counted and one.guess]
    hours = math.fsum(one.hours for one in known)
    if not hours:
        return None
    brought, guessed = (
        math.fsum(one.brought or 0 for one in known),
        math.fsum(one.guess or 0 for one in known),
    )
    apart = variances(hours, brought / hours, guessed, wanted)
    return Short(len(known), -apart.rate, apart.hours, -apart.total)


Name = TypeVar("Name", bound=Hashable)

USUAL_CHANGE = 0.1  # log-sd of true changes from year to year: about a tenth [invented]
USUAL_LEVEL = 0.3  # log-sd of how far what one has lies from what one wants, or guesses [invented]
SPREAD, SPREAD_WORTH = (
    0.35,
    4.0,
)  # log-sd of one board's pay before any tells, and boards it counts for [invented]
LEAST = 0.1  # of a group's middle pay, that a board counts for which brought less: a loss has no logarithm
FEWEST = 2  # boards on one side of a comparison


@dataclass(frozen=True, slots=True)
class Change:
    """A change on the log scale: most likely by so much, with this chance of its sign.

    raw: as observed; shrunk: drawn towards none; above: the chance that it is above nought
    """

    raw: float
    shrunk: float
    above: float

    @property
    def how_sure(self) -> float:
        """The chance that the change goes the way that it seems to."""
        return max(self.above, 1 - self.above)


def shrunk(raw: float, se: float, usual: float = USUAL_CHANGE) -> Change:
    """An observed change with its standard error, where true changes are N(0, .1²), or of another usual size.

    >>> change = shrunk(0.2, 0.1)
    >>> round(change.shrunk, 3), round(change.how_sure, 3)
    (0.1, 0.921)
    """
    kept = usual**2 / (usual**2 + se**2)
    middle, sd = kept * raw, math.sqrt(kept) * se
    return Change(raw, middle, float(ndtr(middle / sd)) if sd else float(raw > 0))


@dataclass(frozen=True, slots=True)
class LogPay:
    """The mean log of a group's pay an hour, boards by their hours, and its squared standard error.

    together: the log of what all brought over all hours, which lies above where boards differ
    """

    log: float
    together: float
    square: float
    boards: int


def log_pays(groups: Mapping[Name, Sequence[Made]]) -> dict[Name, LogPay]:
    """The log pay of each group of boards; the luck of a board is as wide in all of them.

    Groups none of whose boards brought anything are left out.
    """
    logs: dict[Name, tuple[Array, Array]] = {}
    together: dict[Name, float] = {}
    for name, some in groups.items():
        pays = np.array([one.pay for one in some if one.pay is not None])
        hours = np.array([one.hours for one in some if one.pay is not None])
        if (pays > 0).any():
            least = LEAST * float(np.median(pays[pays > 0]))
            share = hours / hours.sum()
            logs[name] = np.log(np.maximum(pays, least)), share
            together[name] = math.log(max(float(share @ pays), least))
    means = {name: float(share @ log) for name, (log, share) in logs.items()}
    rests = [((log - means[name]) ** 2).sum() for name, (log, _) in logs.items()]
    freedom = SPREAD_WORTH + sum(len(log) - 1 for log, _ in logs.values())
    each = (SPREAD_WORTH * SPREAD**2 + math.fsum(rests)) / freedom
    return {
        name: LogPay(means[name], together[name], each * float((share**2).sum()), len(log))
        for name, (log, share) in logs.items()
    }


def between(now: LogPay | None, before: LogPay | None) -> Change | None:
    """How pay has changed; None with fewer than two boards on a side."""
    if now is None or before is None or min(now.boards, before.boards) < FEWEST:
        return None
    return shrunk(now.log - before.log, math.sqrt(now.square + before.square))


def below(group: LogPay | None, wanted: float) -> Change | None:
    """How far a group's pay lies from what is wanted, below it being less than nought; None where nothing is wanted.

    All hours together are to pay it: by the mean of logs, boards that differ by .35 would lie .06 below what they pay.
    How far it lies off is a level, and no change from year to year: levels differ by more.
    """
    if group is None or group.boards < FEWEST or wanted <= 0:
        return None
    return shrunk(group.together - math.log(wanted), math.sqrt(group.square), USUAL_LEVEL)
