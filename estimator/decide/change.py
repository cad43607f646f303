"""How sure a change is: an observed one, drawn towards none by how seldom changes are large."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scipy.special import ndtr

from estimator.decide.pay import Made

USUAL_CHANGE = 0.1  # log-sd of true changes: about a tenth [invented]
SPREAD, SPREAD_WORTH = (
    0.25,
    4.0,
)  # log-sd of one board's pay before any tells, and boards that it counts for [invented]
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


def shrunk(raw: float, se: float) -> Change:
    """An observed change with its standard error, where true changes are N(0, .1²).

    >>> change = shrunk(0.2, 0.1)
    >>> round(change.shrunk, 3), round(change.how_sure, 3)
    (0.1, 0.921)
    """
    kept = USUAL_CHANGE**2 / (USUAL_CHANGE**2 + se**2)
    middle, sd = kept * raw, math.sqrt(kept) * se
    return Change(raw, middle, float(ndtr(middle / sd)) if sd else float(raw > 0))


@dataclass(frozen=True, slots=True)
class LogPay:
    """The log of a group's pay an hour, brought over hours, and its squared standard error."""

    log: float
    square: float
    boards: int


def log_pays(groups: Mapping[str, Sequence[Made]]) -> dict[str, LogPay]:
    """The log pay of each group of boards that brought anything; the luck of a board is the same in all groups.

    The standard error of a ratio of sums by its boards' own rests: sum (brought - pay × hours)² / (sum brought)².

    Source: Cochran (1977), Sampling Techniques, 3rd ed., section 6.4, for the ratio's variance.
    """
    counted = {name: [one for one in some if one.counted] for name, some in groups.items()}
    sums = {name: _sums(some) for name, some in counted.items()}
    usable = {name for name, (brought, hours) in sums.items() if brought > 0 and hours > 0}
    squares, freedom = SPREAD_WORTH * SPREAD**2, SPREAD_WORTH
    for name in usable:
        brought, hours = sums[name]
        pay, usual = brought / hours, brought / len(counted[name])
        squares += math.fsum((((one.brought or 0) - pay * one.hours) / usual) ** 2 for one in counted[name])
        freedom += len(counted[name]) - 1
    each = squares / freedom
    return {
        name: LogPay(math.log(sums[name][0] / sums[name][1]), each / len(counted[name]), len(counted[name]))
        for name in counted
        if name in usable
    }


def _sums(made: Sequence[Made]) -> tuple[float, float]:
    """What boards brought, and their hours."""
    return math.fsum(one.brought or 0.0 for one in made), math.fsum(one.hours for one in made)


def between(now: LogPay | None, before: LogPay | None) -> Change | None:
    """How pay has changed; None with fewer than two boards on a side."""
    if now is None or before is None or min(now.boards, before.boards) < FEWEST:
        return None
    return shrunk(now.log - before.log, math.sqrt(now.square + before.square))


def below(group: LogPay | None, wanted: float) -> Change | None:
    """How far a group's pay lies from what is wanted, below it being less than nought; None where nothing is wanted."""
    if group is None or group.boards < FEWEST or wanted <= 0:
        return None
    return shrunk(group.log - math.log(wanted), math.sqrt(group.square))
