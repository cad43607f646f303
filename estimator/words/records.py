"""What the log holds, and rules of thumb, as frozen records. Quantities are in the units named here or in the settings.

Dates are `datetime.date`; None is "not written". Money is in the shop's currency. `where` is the
place of the row, for messages and for finding it again.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from statistics import NormalDist
from types import MappingProxyType
from typing import Protocol

from estimator.words.labels import MONEY_FOR
from estimator.words.measures import feet_and_inches
from estimator.words.problems import NOWHERE, Place

Date = dt.date
Values = Mapping[str, float]

ASKED, WAITING, ON_BENCH, STOPPED, FINISHED, DECLINED, WITHDRAWN = STATES = (
    "asked",
    "waiting",
    "on bench",
    "stopped",
    "finished",
    "declined",
    "withdrawn",
)
IN_HAND = (WAITING, ON_BENCH, STOPPED)  # taken on, and not yet over
TAKEN_ON = (FINISHED, *IN_HAND)
OUTLINES = ("gun", "short", "fish", "long")
AIMS = ("ride", "show", "sell")
COST_TIME = ("glass", "foam", "wet", "paint", "owner", "me", "nothing")
PHOTOS, HAND, SCALES, OPENED = JUDGED_WITH = ("photos", "in hand", "scales", "opened")
WAIT_CAUSES = ("drying", "curing", "owner", "artwork", "parts", "weather", "away", "queue")
QUOTE, HIDDEN_WORK, FOR_ASKED_LATER, LATE = BECAUSE = ("quote", "hidden work", "asked later", "late")
PAID_BY = ("me", "owner", "half")
TERMS = ("fixed", "ceiling", "open-first")
DECISIONS = ("yes", "no", "open-first")
AGAIN = ("paint", "sand-through", "resin", "me", "owner", "yes")  # why something was done again
DEPOSIT, PAYMENT, REFUND, MATERIALS, RENT = MONEY_FOR  # what money is for; see labels
SHOP = "shop"  # hours, or a note, on no board


class _Called(Protocol):
    """What a name is made of."""

    @property
    def board(self) -> str: ...
    @property
    def called(self) -> str: ...
    @property
    def known(self) -> str: ...


class WithName:
    """What is of a board, and is called as the board is.

    board: its id; called: its short name, or empty; known: by what it is known without one, or empty
    """

    __slots__ = ()

    @property
    def name(self: _Called) -> str:
        """What the restorer calls it: the short name, else by what it is known, else the id."""
        return self.called or self.known or self.board


@dataclass(frozen=True, slots=True)
class Board(WithName):
    """One job: one surfboard through the shop once.

    `assessed`, `found` and `later` map the name of a driver, a modifier or a sometimes-stage to its value:
    a driver in its unit, a modifier as its grade (0, 1, 2 ...; yes 1, no 0), a sometimes-stage 1 or 0.
    A name that is missing is not known. In `assessed` the driver's `blank` and the kind's `asks` are already
    applied; in `found` only what was written or confirmed stands.
    """

    board: str
    called: str = ""
    owner: str = ""  # private
    reach: str = ""  # private
    kind: str = ""  # a name in settings.kinds, or empty
    aim: str = ""  # one of AIMS, or empty
    wanted_by: Date | None = None
    asked: Date | None = None
    quoted: Date | None = None
    accepted: Date | None = None
    started: Date | None = None
    ready: Date | None = None
    collected: Date | None = None
    paid_on: Date | None = None
    state: str = ASKED  # one of STATES, worked out where not written
    outline: str = ""  # one of OUTLINES, or empty
    cost_time: str = ""  # one of COST_TIME, or empty
    judged_with: str = ""  # one of JUDGED_WITH, or empty
    length_m: float | None = None
    width_m: float | None = None
    assessed: Values = field(default_factory=dict)
    found: Values = field(default_factory=dict)
    later: Values = field(default_factory=dict)
    guess_low: float | None = None  # hours; equal to guess_high for a single guess
    guess_high: float | None = None
    from_memory: bool = False  # the guess was remembered afterwards
    price_quoted: float | None = None
    price_charged: float | None = None
    materials: float | None = None
    deposit: float | None = None
    paid: float | None = None
    returned: float | None = None  # given back, of what was paid
    hold_until: Date | None = None
    promised_first: Date | None = None
    promised_last: Date | None = None
    decided: str = ""  # yes, no, open-first, or empty
    decided_why: str = ""
    for_love: bool = False
    total_hours: float | None = None  # hours; only where the log has no hours rows for it
    total_grain: float | None = None  # hours; the step the total was written in (9 days: a day)
    note: str = ""
    worked_out: frozenset[str] = frozenset()  # assessed names computed from the outline, not measured
    where: Place = NOWHERE

    @property
    def guess(self) -> float | None:
        """The restorer's own hours at the quote: the geometric middle of a guessed range."""
        if self.guess_low is None or self.guess_high is None:
            return None
        return float((self.guess_low * self.guess_high) ** 0.5)

    @property
    def wanted(self) -> dict[str, float]:
        """Quantities as they were judged, with what the owner asked for since."""
        return with_later(self.assessed, self.later)

    @property
    def known(self) -> str:
        """By what a board without a short name is known: its length and its id; empty without a length.

        >>> Board("26-014", length_m=9.5 * 0.3048).name
        "9'6 (26-014)"
        """
        return f"{feet_and_inches(self.length_m)} ({self.board})" if self.length_m else ""

    @property
    def finished(self) -> bool:
        """Whether all its hours are booked."""
        return self.state == FINISHED


def with_later(assessed: Values, later: Values) -> dict[str, float]:
    """Judged quantities with what was asked for since; what was not judged stays not known.

    >>> with_later({"logos": 1.0, "infills": 2.0}, {"logos": 1.0, "pinlines": 1.0})
    {'logos': 2.0, 'infills': 2.0}
    """
    return {name: value + later.get(name, 0.0) for name, value in assessed.items()}


@dataclass(frozen=True, slots=True)
class Entry:
    """Worked time on one stage of one board (or on no board: `SHOP`), over one day or several.

    hours: hours, >= 0; 0 on a stage says "not done", on the shop it explains an empty day
    grain: hours, the step this entry was written in where it is coarser than the log's own (days), else None
    done: True when this entry finishes the stage, False when that is denied, None when nothing was said
    again: why it was done again, one of AGAIN, or empty; the stage is then `redo`, and `of` the one that was done again
    """

    board: str
    date: Date
    stage: str
    hours: float
    until: Date | None = None
    grain: float | None = None
    done: bool | None = None
    note: str = ""
    where: Place = NOWHERE
    again: str = ""
    of: str = ""

    @property
    def last(self) -> Date:
        """The last day that the entry covers."""
        return self.until or self.date


@dataclass(frozen=True, slots=True)
class Told:
    """What was said to an owner, and when; never changed."""

    board: str
    date: Date
    hours_low: float | None = None
    hours_high: float | None = None
    price: float | None = None
    terms: str = ""
    first: Date | None = None
    last: Date | None = None
    odds: float | None = None  # chance, 0 to 1
    because: str = ""  # one of BECAUSE, or empty
    paid_by: str = ""  # one of PAID_BY, or empty
    adds_hours: float | None = None  # that all the owner has asked for since adds; None is not worked out
    adds_days: float | None = None  # by how many it makes the board ready later
    struck: str = ""  # why it was said by mistake, and does not count
    where: Place = NOWHERE


def price_told(board: Board, told: Iterable[Told]) -> float | None:
    """The price that a board's owner goes by: the last that was told, else the one quoted; None without any.

    >>> day = dt.date(2026, 5, 4)
    >>> price_told(Board("a", price_quoted=900.0), [Told("a", day, price=950.0), Told("b", day, price=1.0)])
    950.0
    """
    prices = [(t.date, t.price) for t in told if t.board == board.board and t.price is not None]
    newest_first = reversed(prices)  # of one day the last
    return max(newest_first, key=lambda said: said[0])[1] if prices else board.price_quoted


@dataclass(frozen=True, slots=True)
class AgreedPrice:
    """A price in its parts: as it was before the owner asked for more or less, what that adds, and both."""

    before: float
    extra: float
    now: float


def price_agreed(board: Board, told: Iterable[Told]) -> AgreedPrice | None:
    """The price in its parts, from what was told; None where nothing was asked for since at a price of its own.

    >>> day = dt.date(2026, 5, 4)
    >>> extra = Told("a", day, price=990.5, because="asked later")
    >>> price_agreed(Board("a", price_quoted=900.0), [extra])
    AgreedPrice(before=900.0, extra=90.5, now=990.5)
    """
    now, extra = board.price_quoted, 0.0
    for telling in sorted(told, key=lambda telling: telling.date):
        if telling.board == board.board and telling.price is not None:
            if telling.because == FOR_ASKED_LATER and now is not None:
                extra += telling.price - now
            now = telling.price
    return AgreedPrice(now - extra, extra, now) if now is not None and extra else None


@dataclass(frozen=True, slots=True)
class Wait:
    """Time a board stood, with its cause; `until` None is still standing, or end not written."""

    board: str
    first: Date
    until: Date | None
    cause: str  # one of WAIT_CAUSES
    note: str = ""
    where: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class WeightReading:
    """A board on the scales."""

    board: str
    date: Date
    weight_kg: float
    where: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Note:
    """Something to find again: a colour mix, laps, a tracing; on a board, or on none: `SHOP`."""

    board: str
    date: Date
    text: str
    photo: str = ""  # the name of its picture
    where: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """Money that came in or went out; one of the two is 0, both have two decimals at most.

    what: deposit, payment, refund, materials or rent, else the restorer's own words
    boards: for which; none: for the shop, or kept on the shelf. Only what was spent is for several
    """

    date: Date
    came_in: float
    went_out: float
    what: str
    boards: tuple[str, ...] = ()
    note: str = ""
    where: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Log:
    """All good rows of a workshop's log, in the order of the files.

    told: what counts of it; struck: tellings that were struck out, to be read only
    """

    boards: tuple[Board, ...] = ()
    entries: tuple[Entry, ...] = ()
    told: tuple[Told, ...] = ()
    waits: tuple[Wait, ...] = ()
    weighings: tuple[WeightReading, ...] = ()
    notes: tuple[Note, ...] = ()
    money: tuple[MoneyLine, ...] = ()
    source: str = ""  # which files were read, for `check`
    partial: frozenset[tuple[str, str]] = (
        frozenset()
    )  # (board, stage) of which a row is lost; stage "": which is not known
    struck: tuple[Told, ...] = ()
    by_id: Mapping[str, Board] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_id", MappingProxyType({b.board: b for b in self.boards}))

    def __reduce__(self) -> tuple[type[Log], tuple[object, ...]]:
        """How it is sent to another process: a view of a mapping cannot be, so boards are found anew there."""
        return Log, tuple(getattr(self, one.name) for one in fields(self) if one.init)

    @property
    def last_entry(self) -> Date | None:
        """The last day on which anything was booked, or None in an empty log."""
        return max((e.last for e in self.entries), default=None)


ABOUT = ("hours", "days", "chance")
SOURCES = ("own", "starter", "shops")
NARROWEST = 0.15  # log scale: a centre is never held surer than this

When = Mapping[str, tuple[float, float] | frozenset[str]]


@dataclass(frozen=True, slots=True)
class Accepted:
    """A suggested range that the restorer keeps beside his own words; never a prior."""

    low: float
    high: float
    on: dt.date
    boards: int


@dataclass(frozen=True, slots=True)
class Rule:
    """What the restorer (or a lent starting set) says of boards like that, so many times in ten.

    At most one of `stage`, `wait`, `span`, `chance` is set; none: the hours of the whole board.
    low, high: hours, days, or a factor; 0 < low < high; None for a chance rule
    odds: share of cases said to fall inside, 0 < odds < 1; None for a chance rule
    share, worth: a chance rule's share and how many boards it counts for; else None
    when: which boards it speaks of: a name to (low, high) or to a set of words (`kind`)
    board: typical quantities, used where no past board matches
    """

    name: str
    text: str = ""
    about: str = "hours"
    stage: str = ""
    wait: str = ""
    span: tuple[str, str] | None = None
    chance: str = ""
    per: str = ""  # a driver of the stage, or "once"
    modifier: str = ""
    when: When = field(default_factory=dict)
    board: Mapping[str, float] = field(default_factory=dict)
    low: float | None = None
    high: float | None = None
    odds: float | None = None
    share: float | None = None
    worth: float | None = None
    said: dt.date | None = None
    source: str = "own"
    accepted: Accepted | None = None
    where: Place = NOWHERE

    @property
    def own(self) -> bool:
        """Whether its error is shared with the restorer's other rules; lent rules have none to share."""
        return self.source == "own"

    @property
    def form(self) -> str:
        """rate, factor, stage, board, wait, span or chance."""
        if self.about == "chance":
            return "chance"
        if self.wait:
            return "wait"
        if self.span:
            return "span"
        if self.modifier:
            return "factor"
        if self.per:
            return "rate"
        return "stage" if self.stage else "board"

    @property
    def centre(self) -> float:
        """The middle of the range on the log scale.

        >>> round(math.exp(Rule("r", low=2.0, high=8.0, odds=0.8).centre), 6)
        4.0
        """
        assert self.low is not None
        assert self.high is not None
        return (math.log(self.low) + math.log(self.high)) / 2

    @property
    def spread(self) -> float:
        """The log-scale standard deviation of a lognormal that holds `odds` of its cases in the range."""
        assert self.low is not None
        assert self.high is not None
        assert self.odds is not None
        z = NormalDist().inv_cdf((1 + self.odds) / 2)
        return (math.log(self.high) - math.log(self.low)) / (2 * z)

    @property
    def omega(self) -> float:
        """How unsure the rule's centre is held to be, on the log scale."""
        return max(self.spread, NARROWEST)
