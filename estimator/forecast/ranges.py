"""The answer to "how many hours": what `range` prints, shows and draws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from estimator.words.json_form import JsonForm

if TYPE_CHECKING:
    from estimator.forecast.looks import LookedSo

INK_FROM = 12  # past boards: a range that rests on fewer is pencil, guessed


@dataclass(frozen=True, slots=True)
class StageRange:
    """Hours of one stage; `so_far` are hours already booked on it, `done` whether it is finished."""

    stage: str
    low: float
    likely: float
    high: float
    so_far: float = 0.0
    done: bool = False


@dataclass(frozen=True, slots=True)
class Reason:
    """Hours that one driver, modifier or set-up (`once`) of a stage adds to the likely hours."""

    stage: str
    driver: str
    hours: float


@dataclass(frozen=True, slots=True)
class Alike:
    """A past board that is most alike, what it took, and what differed, in words (may be empty)."""

    board: str
    called: str
    hours: float
    differs: str = ""


@dataclass(frozen=True, slots=True)
class Outside:
    """A driver outside past experience: beyond what was seen, or an unusual mix ("together")."""

    driver: str
    value: float
    seen_low: float
    seen_high: float
    how: str  # "beyond" or "together"


@dataclass(frozen=True, slots=True)
class LookNext:
    """A quantity that is not known, and how many hours its answer would take off the range at 8 in 10."""

    driver: str
    narrows_hours: float


@dataclass(frozen=True, slots=True)
class Ready:
    """When a board will be ready, at 8 in 10: by `high` 9 times in 10; for one not taken on, if its owner says yes.

    tell: the day to tell its owner, never before `high`: left out, that one
    """

    low: dt.date
    likely: dt.date
    high: dt.date
    say_yes_by: dt.date | None = None
    tell: dt.date = dt.date.min

    def __post_init__(self) -> None:
        object.__setattr__(self, "tell", max(self.tell, self.high))


@dataclass(frozen=True, slots=True)
class Spread(JsonForm):
    """Low, middle and high of hours, money or days, at the odds of the answer they stand in."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Cost(Spread):
    """What materials cost; `lent` where no past board tells of it."""

    lent: bool = False


@dataclass(frozen=True, slots=True)
class Price(JsonForm):
    """The price that pays `target` an hour, after materials, with these odds."""

    for_target: float
    odds: float
    target: float


@dataclass(frozen=True, slots=True)
class Range(JsonForm):
    """Hours of one board at the odds asked for, and what the answer rests on. All hours unrounded."""

    board: str
    odds: float
    view: str  # before, opened, finished
    low: float
    likely: float
    high: float
    quantiles: Mapping[str, float]  # "0.05", "0.10", ... "0.95": hours
    stages: tuple[StageRange, ...]
    reasons: tuple[Reason, ...]  # hours that sum to `likely`
    boards: int  # past boards that the answer rests on
    rules: int  # rules of thumb that it rests on
    outside: tuple[Outside, ...] = ()
    alike: tuple[Alike, ...] = ()
    over: Mapping[str, float] = field(default_factory=dict)  # "40": chance of passing 40 h
    guess: float | None = None  # the restorer's own hours
    unknown: tuple[str, ...] = ()  # quantities not known, drawn from boards of the kind
    worked_out: tuple[str, ...] = ()  # quantities worked out from the outline
    taken_as_none: tuple[str, ...] = ()  # of a described board: not named, and counted as none
    lent: int = 0  # of `rules`, how many are lent
    chance_beyond_guess: float | None = None
    stretch: tuple[float, float] = (1.0, 1.0)  # of the low and the high side, as past ranges went
    ready: Ready | None = None
    materials: Cost | None = None  # None where nothing tells of them
    price: Price | None = None
    added: JsonForm | None = None  # what the owner asked for since
    stretch_day: str = ""  # ISO date of the record that taught it
    widened: float = 1.0  # how many times as wide it is because the log has not seen so much
    by_rules: tuple[str, ...] = ()  # stages whose own hours rest on rules, though the log tells of boards
    settled: bool = True  # drawn anew it would be the same
    passed_by: tuple[
        str, ...
    ] = ()  # stages without hours though what comes after them was worked: taken as over
    looked_so: LookedSo | None = None  # how boards that looked like it turned out, where that is worth a line
    unused: int = 0  # finished boards with hours that teach nothing: nobody wrote what there was to do
    look_next: tuple[
        LookNext, ...
    ] = ()  # the most telling first; what is worth less than an hour is left out

    def _json(self) -> dict[str, Any]:
        """The JSON of `range`, numbers unrounded."""
        # by hand: what belongs together stands in one object, and two keys are there only where they were asked for
        return {
            "board": self.board,
            "odds": self.odds,
            "view": self.view,
            "hours": Spread(self.low, self.likely, self.high),
            "quantiles": self.quantiles,
            "stages": self.stages,
            "reasons": self.reasons,
            "rests_on": {
                "boards": self.boards,
                "rules": self.rules,
                "lent": self.lent,
                "unused": self.unused,
            },
            "outside_experience": self.outside,
            "widened": self.widened,
            "stages_by_rules": self.by_rules,
            "settled": self.settled,
            "stages_passed_by": self.passed_by,
            "alike": self.alike,
            **({"over": self.over} if self.over else {}),
            "guess": self.guess,
            "chance_beyond_guess": self.chance_beyond_guess,
            "unknown": self.unknown,
            "worked_out": self.worked_out,
            "taken_as_none": self.taken_as_none,
            "ready": self.ready,
            "materials": self.materials,
            "price": self.price,
            **({"added": self.added} if self.added else {}),
            "look_next": self.look_next,
            "looked_so": self.looked_so,
            "stretch": {
                "low": self.stretch[0],
                "high": self.stretch[1],
                "day": self.stretch_day or None,
            },
        }
