"""Rules of thumb: a range with odds for a rate, a factor, a stage, a board, a wait, a span; or a chance."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import NormalDist

from estimator.words.problems import NOWHERE, Place

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
