"""What `bench` says: by when each board in hand is ready, whom to ring, what to touch and what to leave."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.ranges import Ready
from estimator.words.json_form import HIDDEN, JsonForm, named
from estimator.words.kept_form import result_from_json
from estimator.words.odds import as_said
from estimator.words.records import WithName

DAYS_VERSION = 2  # of all that is kept of the days to come
WORTH_A_CALL = 0.6  # chance of keeping a date below which its owner is rung
SPAN, SURE = 0.8, 0.9  # chance of a range of days, and with which an owner is told its later end
IN_DANGER, IS_READY, ANSWER_DUE = "date in danger", "ready", "waiting for the owner"  # why one rings


def worth_a_call(chance: float | None) -> bool:
    """Whether an owner is rung for a date that is kept so often: as it is said, so that what reads alike is alike.

    >>> worth_a_call(0.5), worth_a_call(0.56), worth_a_call(0.62), worth_a_call(None)
    (True, False, False, False)
    """
    return chance is not None and as_said(chance) < WORTH_A_CALL


@dataclass(frozen=True, slots=True)
class Dates(JsonForm):
    """A range of days at 8 in 10: before `low` 1 in 10, after `high` 1 in 10, half are later than `likely`.

    `tell` is the day to tell an owner, never before `high`: left out, that one; `low` the day before which it is not
    likely.
    """

    low: dt.date
    likely: dt.date
    high: dt.date
    tell: dt.date = dt.date.min

    def __post_init__(self) -> None:
        object.__setattr__(self, "tell", max(self.tell, self.high))


@dataclass(frozen=True, slots=True)
class ToldDates:
    """The dates that an owner goes by, those told last; and those of the first telling, on which one is judged.

    A change that the owner asked for moves these by the days that it adds.
    """

    first: dt.date | None
    last: dt.date
    first_last: dt.date
    first_first: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Promise(WithName, JsonForm):
    """One board in hand.

    on: bench, rack or queue
    chance_kept: of being ready by the last date told last; None where none was told
    chance_first: the same for the last date of the first telling
    next_stage: what comes next, empty where nothing is left; from_day: when it can be worked on, most likely
    why: what it stands for until then, empty where it can be worked on today
    """

    board: str
    called: str
    on: str
    ready: Dates
    points: tuple[dt.date, ...]  # the 5, 15 ... 95 % points: ten boards on a calendar tape
    told: ToldDates | None
    chance_kept: float | None
    hours_left: float
    next_stage: str
    from_day: dt.date
    why: str = ""
    chance_first: float | None = None
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name

    @property
    def said_ready(self) -> Ready:
        """When it is ready, as a range says it."""
        return Ready(self.ready.low, self.ready.likely, self.ready.high, tell=self.ready.tell)

    def _json(self) -> dict[str, Any]:
        # by hand: what was first told and what was told last are objects of their own
        told = self.told
        return {
            "board": self.board,
            "called": self.called,
            "on": self.on,
            "ready": self.ready,
            "promised": None if told is None else {"first": told.first_first, "last": told.first_last},
            "chance_kept": self.chance_first,
            "told_last": None if told is None else {"first": told.first, "last": told.last},
            "chance_of_told_last": self.chance_kept,
            "hours_left": self.hours_left,
            "next_stage": self.next_stage or None,
        }


@dataclass(frozen=True, slots=True)
class Ring(JsonForm):
    """An owner to ring: why, and the date to tell where there is one.

    about: the date told that is in danger, or since when the board is ready or waits
    said: the day on which it was said first, where that is over
    """

    board: str
    name: str = field(metadata=HIDDEN)
    why: str
    tell: dt.date | None = None
    about: dt.date | None = None
    said: dt.date | None = field(default=None, metadata=HIDDEN)


@dataclass(frozen=True, slots=True)
class Worse:
    """A board that became a week or more later since its dates were looked at on an earlier day, and the day to tell.

    days: by how many; found, later: what was written since of how it turned out, and of what its owner asked for
    why: what it stands for now and did not; before: names of boards that are ready before it now and were not
    idle: it could be worked on, and no hours were written on it since
    """

    board: str
    name: str = field(metadata=HIDDEN)
    days: int
    tell: dt.date
    found: Mapping[str, float]
    later: Mapping[str, float] = field(default_factory=dict)
    why: str = ""
    before: tuple[str, ...] = ()
    idle: bool = False


@dataclass(frozen=True, slots=True)
class Touch:
    """A board to work on today, on which stage, for how many hours, and why it is among them."""

    board: str
    name: str = field(metadata=HIDDEN)
    stage: str
    why: str
    hours: float = 0.0


@dataclass(frozen=True, slots=True)
class Leave:
    """A board to leave alone, until when, and why."""

    board: str
    name: str = field(metadata=HIDDEN)
    until: dt.date
    why: str


@dataclass(frozen=True, slots=True)
class WeighIn:
    """A drying board, and the day on which to put it on the scales next."""

    board: str
    name: str = field(metadata=HIDDEN)
    day: dt.date = field(metadata=named("on"))


@dataclass(frozen=True, slots=True)
class Swap:
    """The change of order that helps most: this board first; chances of the dates told, before and after."""

    board: str = field(metadata=named("first"))
    name: str = field(metadata=HIDDEN)
    before: Mapping[str, float]
    after: Mapping[str, float]

    @property
    def gain(self) -> float:
        """Dates kept more, on average."""
        return sum(self.after.values()) - sum(self.before.values())


@dataclass(frozen=True)
class BenchDay(JsonForm):
    """Every promise as of a day.

    worse: boards that became a week or more later since an earlier day, the worst first
    ring: whom to ring today, of those in danger three at most; ring_later: the others
    rung_already: those of whom it was said before, and is still so
    log_up_to: the last day of which the log tells; next_start: when work on one more board could begin
    say_yes_by: the day up to which that stands
    capacity: where the hours come from, in words; left_out: boards that no date can be given for, and why
    last_entry: the last day with hours written down, None where there is none; names: what boards left out are called
    scales: drying boards to weigh; weeks_apart: that the week in the settings is not the week as it came, in words
    able: ids of all boards that can be worked on and have a place, also where today has no hours left for them
    stretch: by which dates of boards in line are moved, as past ranges of dates went
    """

    today: dt.date
    log_up_to: dt.date
    promises: tuple[Promise, ...]
    ring: tuple[Ring, ...]
    touch: tuple[Touch, ...]
    leave: tuple[Leave, ...]
    next_start: Dates
    say_yes_by: dt.date
    swap: Swap | None = None
    capacity: str = ""
    left_out: Mapping[str, str] | None = None
    last_entry: dt.date | None = None
    names: Mapping[str, str] | None = None
    rung_already: tuple[Ring, ...] = ()
    stretch: Stretch = UNSTRETCHED
    scales: tuple[WeighIn, ...] = ()
    weeks_apart: str = ""
    able: tuple[str, ...] = ()
    worse: tuple[Worse, ...] = ()
    ring_later: tuple[Ring, ...] = ()

    def promise_of(self, board: str) -> Promise | None:
        """The board in hand with this id; None where no date can be given for it, or it is not in hand."""
        return next((one for one in self.promises if one.board == board), None)

    def _json(self) -> dict[str, Any]:
        """The JSON of `bench`."""
        # by hand: another order than that of the fields, and only those rung already have the day it was said
        return {
            "today": self.today,
            "log_up_to": self.log_up_to,
            "became_later": self.worse,
            "ring_today": self.ring,
            "ring_later": self.ring_later,
            "rung_already": [{**ring.as_dict(), "said": ring.said} for ring in self.rung_already],
            "boards": self.promises,
            "next_start": self.next_start,
            "say_yes_by": self.say_yes_by,
            "touch_today": self.touch,
            "leave": self.leave,
            "weigh_again": self.scales,
            "change_of_order": self.swap,
            "left_out": self.left_out or {},
            "last_entry": self.last_entry,
            "weeks_apart": self.weeks_apart or None,
            "stretch_of_dates": {
                "low": self.stretch.low,
                "high": self.stretch.high,
                "day": self.stretch.day or None,
            },
        }


def kept_day(text: str) -> BenchDay | None:
    """The day that was kept as a text; None for any other text.

    >>> kept_day("nonsense")
    """
    with suppress(ValueError):
        return result_from_json(text, BenchDay)
    return None
