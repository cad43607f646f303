"""How sure a change is: an observed one, drawn towards none by how seldom changes are large."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from scipy.special import ndtr

from estimator.decide.pay import Made
from estimator.model.saved_fit import Array

Name = TypeVar("Name", bound=Hashable)

USUAL_CHANGE = 0.1  # log-sd of true changes: about a tenth [invented]
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
    """
    if group is None or group.boards < FEWEST or wanted <= 0:
        return None
    return shrunk(group.together - math.log(wanted), math.sqrt(group.square))
