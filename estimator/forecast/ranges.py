"""The answer to "how many hours": what `range` prints, shows and draws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

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
    """When a board will be ready, at 8 in 10: by `high` 9 times in 10; for one not taken on, if its owner says yes."""

    low: dt.date
    likely: dt.date
    high: dt.date
    say_yes_by: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """Low, middle and high of hours, money or days, at the odds of the answer they stand in."""

    low: float
    likely: float
    high: float

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {"low": self.low, "likely": self.likely, "high": self.high}


@dataclass(frozen=True, slots=True)
class Cost(Spread):
    """What materials cost; `lent` where no past board tells of it."""

    lent: bool = False

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {"low": self.low, "likely": self.likely, "high": self.high, "lent": self.lent}


@dataclass(frozen=True, slots=True)
class Price:
    """The price that pays `target` an hour, after materials, with these odds."""

    for_target: float
    odds: float
    target: float

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {"for_target": self.for_target, "odds": self.odds, "target": self.target}


class Printed(Protocol):
    """What can be said as JSON."""

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""


@dataclass(frozen=True, slots=True)
class Range:
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
    added: Printed | None = None  # what the owner asked for since
    stretch_day: str = ""  # ISO date of the record that taught it
    look_next: tuple[
        LookNext, ...
    ] = ()  # the most telling first; what is worth less than an hour is left out

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `range`, numbers unrounded."""
        return {
            "board": self.board,
            "odds": self.odds,
            "view": self.view,
            "hours": {"low": self.low, "likely": self.likely, "high": self.high},
            "quantiles": dict(self.quantiles),
            "stages": [
                {
                    "stage": s.stage,
                    "low": s.low,
                    "likely": s.likely,
                    "high": s.high,
                    "so_far": s.so_far,
                    "done": s.done,
                }
                for s in self.stages
            ],
            "reasons": [{"stage": r.stage, "driver": r.driver, "hours": r.hours} for r in self.reasons],
            "rests_on": {"boards": self.boards, "rules": self.rules, "lent": self.lent},
            "outside_experience": [
                {
                    "driver": o.driver,
                    "value": o.value,
                    "seen_low": o.seen_low,
                    "seen_high": o.seen_high,
                    "how": o.how,
                }
                for o in self.outside
            ],
            "alike": [
                {"board": a.board, "called": a.called, "hours": a.hours, "differs": a.differs}
                for a in self.alike
            ],
            **({"over": dict(self.over)} if self.over else {}),
            "guess": self.guess,
            "chance_beyond_guess": self.chance_beyond_guess,
            "unknown": list(self.unknown),
            "worked_out": list(self.worked_out),
            "taken_as_none": list(self.taken_as_none),
            "ready": None
            if self.ready is None
            else {
                "low": self.ready.low,
                "likely": self.ready.likely,
                "high": self.ready.high,
                "say_yes_by": self.ready.say_yes_by,
            },
            "materials": None if self.materials is None else self.materials.as_dict(),
            "price": None if self.price is None else self.price.as_dict(),
            **({"added": self.added.as_dict()} if self.added else {}),
            "look_next": [{"driver": n.driver, "narrows_hours": n.narrows_hours} for n in self.look_next],
            "stretch": {"low": self.stretch[0], "high": self.stretch[1], "day": self.stretch_day or None},
        }
