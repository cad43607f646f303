"""What became of each rule of thumb: what past boards say of it, how surely, and what range they suggest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from estimator.forecast.ranges import Spread
from estimator.words.json_form import JsonForm, json_fields
from estimator.words.phrases import round_hours, say_value

HOLDS, TOO_LOW, TOO_HIGH, TOO_SURE, NOT_ENOUGH = (
    "holds",
    "too low",
    "too high",
    "too sure",
    "not enough boards",
)
LOOKS = {TOO_LOW: "low", TOO_HIGH: "high", TOO_SURE: "narrow"}
VERDICTS_VERSION = 5
SURE = 0.9  # chance from which it is said that the restorer's rules share an error


@dataclass(frozen=True, slots=True)
class Verdict(JsonForm):
    """One rule of thumb and what became of it.

    text, odds, low, high, share: as the restorer said it; unit: hours, days, times as long, or empty
    lent: not the restorer's own, and then never accused: it speaks of shops, not of this one's boards
    inside, below, above: past cases; of: all of them; of a chance `inside` counts how often it happened
    evidence: the bet against the rule, 1 at the start; looks: low, high, narrow or None
    would_do: cases in all after which it could be said to hold, or None
    log, both: what the log says without the rule, and with it; suggested: (low, high) at the same odds
    cases: board and amount, in the order of the log; sides: of each -1 below what is said, 0 within, 1 above, as
        counted: a rate is within where it is on any reading of set-up and hard boards, wherever its amount lies
    conflict: of a rate or a factor, how seldom a right rule would lie as far from what the log says without it
    """

    name: str
    text: str
    form: str
    lent: bool
    odds: float | None
    low: float | None
    high: float | None
    share: float | None
    verdict: str
    looks: str | None
    inside: int
    below: int
    above: int
    of: int
    evidence: float
    would_do: int | None
    log: Spread | None
    both: Spread | None
    suggested: tuple[float, float] | None
    worth_boards: float
    accepted: tuple[float, float] | None = None
    cases: tuple[tuple[str, float], ...] = ()
    conflict: float | None = None
    sides: tuple[int, ...] = ()

    @property
    def unit(self) -> str:
        """What its amounts are: hours, days or times; empty for a chance."""
        return {"wait": "days", "span": "days", "factor": "times", "chance": ""}.get(self.form, "hours")

    def said(self, low: float, high: float) -> str:
        """A range of its amounts in words, as long a figure as each deserves.

        A stage or a board is shown as hours are; of smaller things two figures are enough.
        """
        if self.form in {"stage", "board"}:
            low, high = round_hours(low), round_hours(high)
        elif self.unit == "days":
            low, high = (float(round(day)) if day >= 1 else 0.5 for day in (low, high))
        else:
            low, high = (
                float(f"{amount:.3g}" if self.unit == "times" else f"{amount:.2g}") for amount in (low, high)
            )
        words = _ends(low, high)
        return f"{words} {'times as long' if self.unit == 'times' else self.unit}"

    @property
    def own_words(self) -> str:
        """The range or the share as the restorer said it."""
        if self.share is not None:
            of = next((n for n in (10, 20) if abs(self.share * n - round(self.share * n)) < 1e-9), 100)
            return f"{self.share * of:g} in {of}"
        assert self.low is not None
        assert self.high is not None
        unit = {"hours": "h"}.get(self.unit, self.unit)
        return f"{_ends(self.low, self.high)} {unit}"

    @property
    def accused(self) -> bool:
        """Whether the cases say that the rule is wrong."""
        return self.verdict in LOOKS

    def _json(self) -> dict[str, Any]:
        """The verdict as JSON has it."""
        # by hand: pairs have names in JSON, and the unit follows from the form
        said = json_fields(self)
        for name, ends in (("suggested", self.suggested), ("accepted", self.accepted)):
            said[name] = ends and {"low": ends[0], "high": ends[1]}
        cases = [{"board": board, "amount": amount} for board, amount in self.cases]
        return {**said, "cases": cases, "unit": self.unit}


def _ends(low: float, high: float) -> str:
    """Two amounts in figures: with halves as ½ where no other fraction stands beside them."""
    halves = all(2 * end % 1 == 0 for end in (low, high))
    ends = [say_value(end) if halves else f"{end:,g}" for end in (low, high)]
    return f"{ends[0]} to {ends[1]}" if ends[0] != ends[1] else f"about {ends[0]}"


@dataclass(frozen=True, slots=True)
class SharedError:
    """The error that the restorer's own rules share, from the fit.

    lean: how far they run low, log scale; scale: how many times too sure they are; both medians
    runs_low, too_sure: the chances that lean is above 0, and scale above 1
    """

    lean: float
    scale: float
    runs_low: float
    too_sure: float

    @property
    def leans(self) -> bool:
        """Whether it may be said that the rules run low, or high."""
        return max(self.runs_low, 1 - self.runs_low) > SURE

    @property
    def overdone(self) -> bool:
        """Whether it may be said that they are too sure, or too careful."""
        return max(self.too_sure, 1 - self.too_sure) > SURE


@dataclass(frozen=True, slots=True)
class Verdicts(JsonForm):
    """All rules of a workshop, in the order of the settings, and the error that the own ones share."""

    rules: tuple[Verdict, ...]
    shared: SharedError | None
