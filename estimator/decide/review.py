"""What `quarter` says, shows and draws: one result, in the order in which it is read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from estimator.decide.afterwards import Afterwards
from estimator.decide.all_overruns import InAll
from estimator.decide.change import Change
from estimator.decide.charges import Charge
from estimator.decide.control import Chart
from estimator.decide.gaps import Gaps
from estimator.decide.in_hand import InHand
from estimator.decide.kept import Kept
from estimator.decide.overruns import BoardOverrun
from estimator.decide.pay import Made, Pay, Short
from estimator.decide.periods import Quarter
from estimator.decide.stood import Stood, TurnedDown
from estimator.decide.suggestions import Suggestion
from estimator.decide.till import Clock, Owing, Till
from estimator.record.verdicts import Verdict

PAID, JUST_SHORT, SHORT, BELOW_LEAST = "paid", "just short", "short", "below the least"
NEARLY = 0.9  # of the pay wanted, from which on it is just short


@dataclass(frozen=True, slots=True)
class Group:
    """The boards of one group over twelve months, and over the twelve before.

    by: kind, wetness or spray_colours; name: of the group, empty for boards of no sort; quarter: of the quarter alone
    change: of its pay from the one to the other, None where too few boards tell
    over: hours over guessed hours of its boards with a guess, None without any
    """

    by: str
    name: str
    pay: Pay
    before: Pay
    quarter: Pay
    change: Change | None
    over: float | None

    def as_dict(self) -> dict[str, Any]:
        """As JSON: its own figures on top, `before` and `quarter` beside them."""
        return {
            self.by: self.name,
            **self.pay.as_dict(),
            "over_guess": self.over,
            "before": self.before.as_dict(),
            "quarter": self.quarter.as_dict(),
            "change": None if self.change is None else self.change.shrunk,
            "how_sure": None if self.change is None else self.change.how_sure,
        }


@dataclass(frozen=True)
class WentOver(InAll):
    """What made the boards of a quarter go over, in hours that add up.

    boards: those with a guess made before and all their hours; left_out: how many others were made ready
    paid_by: of tellings because of hidden work, how often each paid; charged: price charged above that quoted, of
        boards that hid work
    """

    left_out: int
    paid_by: Mapping[str, int]
    charged: float

    @property
    def hid(self) -> tuple[BoardOverrun, ...]:
        """The boards that hid work, to the half hour, most first."""
        hidden = [one for one in self.boards if one.hours["hidden"] >= 0.5]
        return tuple(sorted(hidden, key=lambda one: -one.hours["hidden"]))

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "boards": [one.as_dict() for one in self.boards],
            "left_out": self.left_out,
            "guessed": self.guessed,
            "took": self.took,
            "parts": self.hours,
            "hid_work": len(self.hid),
            "paid_by": dict(self.paid_by),
            "charged": self.charged,
        }


@dataclass(frozen=True)
class Review:
    """A quarter looked back on; money and hours of its boards as they are known today, all else as of its end.

    made: the boards made ready in it, in that order; pay: theirs; overheads: for each hour at the bench
    last_year: pay of the same quarter a year before; quarters: of the last nine, the oldest first
    groups: over twelve months, by kind first; year, year_before: all boards of them
    verdicts: of the restorer's own rules of thumb, None where they could not be told
    decided: boards that were thought over, looked at afterwards
    in_hand: at the end of the quarter, or today; owing: boards ready by then, owed on or not fetched today
    chart: None without a track record; notes: what could not be told, and why
    """

    quarter: Quarter
    currency: str
    wanted: float
    least: float
    made: tuple[Made, ...]
    gaps: Gaps
    pay: Pay
    overheads: float
    last_year: Pay
    quarters: tuple[tuple[str, Pay], ...]
    short: Short | None
    hours_kept: Kept
    dates_kept: Kept
    went_over: WentOver | None
    stood: tuple[Stood, ...]
    suggestions: tuple[Suggestion, ...]
    groups: tuple[Group, ...]
    year: Pay
    year_before: Pay
    verdicts: tuple[Verdict, ...] | None
    turned_down: TurnedDown
    owing: tuple[Owing, ...]
    payments_written: bool
    charges: tuple[Charge, ...]
    in_hand: tuple[InHand, ...]
    decided: Afterwards
    clock: Clock
    till: Till
    chart: Chart | None
    notes: tuple[str, ...] = ()

    @property
    def verdict(self) -> str | None:
        """Whether it paid, in a word; None where no board tells."""
        if self.pay.all is None:
            return None
        if self.pay.all >= self.wanted:
            return PAID
        if self.pay.all < self.least:
            return BELOW_LEAST
        return JUST_SHORT if self.pay.all >= NEARLY * self.wanted else SHORT

    @property
    def after_overheads(self) -> float | None:
        """Pay an hour after rent and power."""
        return None if self.pay.all is None else self.pay.all - self.overheads

    @property
    def owed(self) -> float | None:
        """All that is owed on boards ready by the end of the quarter; None where no payment is ever written."""
        return math.fsum(one.owed or 0.0 for one in self.owing) if self.payments_written else None

    @property
    def by_kind(self) -> tuple[Group, ...]:
        """The groups by kind."""
        return tuple(group for group in self.groups if group.by == "kind")

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `quarter`, numbers unrounded."""
        return {
            "quarter": self.quarter.name,
            "first": self.quarter.first,
            "last": self.quarter.last,
            "looked_at_until": self.quarter.end,
            "running": self.quarter.running,
            "boards": self.pay.boards,
            "hours": self.pay.hours,
            "income": self.pay.income,
            "materials": self.pay.materials,
            "pay_per_hour": self.pay.per_hour,
            "counted": {
                "boards": self.pay.counted,
                "hours": self.pay.counted_hours,
                "brought": self.pay.brought,
            },
            "verdict": self.verdict,
            "wanted": self.wanted,
            "least": self.least,
            "overheads_per_hour": self.overheads,
            "after_overheads": self.after_overheads,
            "short": None if self.short is None else asdict(self.short),
            "missing": self.gaps.as_dict(),
            "kept": {"hours": self.hours_kept.as_dict(), "dates": self.dates_kept.as_dict()},
            "went_over": None if self.went_over is None else self.went_over.as_dict(),
            "waits": [asdict(one) for one in self.stood],
            "suggestions": [one.as_dict() for one in self.suggestions],
            "by_kind": [group.as_dict() for group in self.by_kind],
            "by_group": [group.as_dict() for group in self.groups if group.by != "kind"],
            "year": self.year.as_dict(),
            "year_before": self.year_before.as_dict(),
            "same_quarter_last_year": self.last_year.as_dict(),
            "quarters": [{"quarter": name, **pay.as_dict()} for name, pay in self.quarters],
            "rules": None if self.verdicts is None else [_rule(one) for one in self.verdicts],
            "turned_down": self.turned_down.as_dict(),
            "owed": self.owed,
            "owing": [one.as_dict() for one in self.owing],
            "charges": [one.as_dict() for one in self.charges],
            "in_hand": [one.as_dict() for one in self.in_hand],
            "decided": self.decided.as_dicts(),
            "clock": self.clock.as_dict(),
            "till": self.till.as_dict(),
            "chart": None if self.chart is None else self.chart.as_dict(),
            "each": [one.as_dict() for one in self.made],
            "notes": list(self.notes),
        }


def _rule(verdict: Verdict) -> dict[str, Any]:
    """A verdict as far as the quarter needs it."""
    return {
        "name": verdict.name,
        "verdict": verdict.verdict,
        "looks": verdict.looks,
        "inside": verdict.inside,
        "below": verdict.below,
        "above": verdict.above,
        "of": verdict.of,
    }
