"""Whether boards have lately taken longer, or less, than was said, by more than luck: a weighted mean with limits.

Each board is a normal score: where in its own forecast the hours that it took have landed. The mean forgets: the
newest board counts a fifth, the one before four fifths of that, and so on. One rule: the mean outside its limits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from estimator.model.saved_fit import Array
from estimator.words.json_form import HIDDEN, JsonForm
from estimator.words.records import WithName

WEIGHT, LIMIT = 0.2, 2.86  # of the newest board; standard deviations of the mean
FEWEST = 8  # boards before which nothing is said
NODES = 240  # of the integral equation


def weighted_means(values: ArrayLike, weight: float = WEIGHT, start: float = 0.0) -> Array:
    """The exponentially weighted moving average after each value, shape (n,).

    Source: Roberts (1959), Technometrics 1:239-250; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.

    >>> weighted_means([52.0, 47.0], 0.3, 50.0).round(2).tolist()
    [50.6, 49.52]
    """
    line, at = [], start
    for value in np.asarray(values, dtype=float).tolist():
        at = weight * value + (1 - weight) * at
        line.append(at)
    return np.array(line)


def mean_limit(sd: float = 1.0, weight: float = WEIGHT, limit: float = LIMIT) -> float:
    """How far from the middle the weighted mean may lie, once many values are in it.

    >>> round(mean_limit(2.0539, 0.3, 3.0), 4)
    2.5884
    """
    return limit * sd * math.sqrt(weight / (2 - weight))


def average_run_length(shift: float, weight: float = WEIGHT, limit: float = LIMIT) -> float:
    """How many values it takes on average until the mean leaves its limits, from a mean of nought.

    shift: of the values' mean, in their standard deviations; 0: how many until a false alarm

    The integral equation of the run length, solved at Gauss-Legendre nodes.

    Source: Crowder (1987), Technometrics 29:401-407; values in Lucas & Saccucci (1990), Technometrics 32:1-29, table 3.

    >>> round(average_run_length(0.0, 0.5, 3.071)), round(average_run_length(1.0, 0.5, 3.071), 1)
    (500, 17.5)
    """
    half = mean_limit(1.0, weight, limit)
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    at, share = nodes * half, weights * half

    def density(start: Array) -> Array:
        score = (at[None, :] - (1 - weight) * start[:, None]) / weight - shift
        return np.asarray(np.exp(-(score**2) / 2) / math.sqrt(2 * math.pi) / weight * share[None, :])

    lengths = np.linalg.solve(np.eye(NODES) - density(at), np.ones(NODES))
    return float(1 + (density(np.zeros(1)) @ lengths)[0])


OF_TWO = 2 / math.sqrt(math.pi)  # mean distance of two standard normal values, the d2 of control charts


def single_limits(values: ArrayLike) -> tuple[float, float, float]:
    """The mean of single values, and the limits between which they lie by luck: from how far neighbours lie apart.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.

    >>> low, mean, high = single_limits([1.0, 2.0, 1.0, 2.0])
    >>> round(mean, 2), round(high - mean, 2)
    (1.5, 2.66)
    """
    x = np.asarray(values, dtype=float)
    reach = 3 * float(np.abs(np.diff(x)).mean()) / OF_TWO
    mean = float(x.mean())
    return mean - reach, mean, mean + reach


@dataclass(frozen=True, slots=True)
class Landed(WithName):
    """A finished board: where in the forecast shown on its quote date its hours landed, as a normal score.

    finished: ISO date; score: above 0 it took longer than half were to; line: the weighted mean after it
    """

    board: str
    called: str = field(metadata=HIDDEN)
    finished: str
    score: float
    line: float = 0.0
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name


@dataclass(frozen=True, slots=True)
class Chart(JsonForm):
    """The boards in the order in which they were finished, with the weighted mean of their scores.

    limit: how far the mean may lie from nought; first, last: the ISO dates between which a signal counts
    """

    boards: tuple[Landed, ...]
    limit: float
    first: str
    last: str

    @property
    def looked_at(self) -> tuple[Landed, ...]:
        """The boards of the quarter."""
        return tuple(one for one in self.boards if self.first <= one.finished <= self.last)

    @property
    def enough(self) -> bool:
        """Whether there are boards enough to say anything."""
        return len(self.boards) >= FEWEST

    @property
    def single(self) -> tuple[float, float, float] | None:
        """Limits and mean of the single scores, by how far neighbours lie apart: a picture, and no signal."""
        return single_limits([one.score for one in self.boards]) if self.enough else None

    @property
    def signal(self) -> int:
        """1 where boards of the quarter took longer than said by more than luck, -1 quicker, else 0.

        The newest signal counts where there are several.
        """
        beyond = [one.line for one in self.looked_at if abs(one.line) > self.limit] if self.enough else []
        return int(math.copysign(1, beyond[-1])) if beyond else 0

    @property
    def back(self) -> bool:
        """Whether the mean lies within its limits again."""
        return bool(self.signal) and abs(self.boards[-1].line) <= self.limit

    @property
    def since(self) -> str:
        """The day on which the first board was finished of those that led to the signal; empty without one."""
        if not self.signal:
            return ""
        begun = ""
        for one in self.boards:
            if one.line * self.signal <= 0:
                begun = ""
            else:
                begun = begun or one.finished
            if one in self.looked_at and one.line * self.signal > self.limit:
                return begun
        return begun

    def _json(self) -> dict[str, Any]:
        # by hand: what is told of the line follows from its boards
        single = self.single
        return {
            "limit": self.limit,
            "signal": {1: "slower", -1: "quicker"}.get(self.signal),
            "since": self.since or None,
            "back": self.back,
            "single": single and dict(zip(("low", "mean", "high"), single, strict=True)),
            "boards": self.boards,
        }


def chart_of(landed: Sequence[Landed], first: str, last: str) -> Chart:
    """The chart of all boards finished by a day; first, last: ISO dates of the quarter."""
    known = sorted((one for one in landed if one.finished <= last), key=lambda one: (one.finished, one.board))
    line = weighted_means([one.score for one in known])
    return Chart(
        tuple(replace(one, line=at) for one, at in zip(known, line.tolist(), strict=True)),
        mean_limit(),
        first,
        last,
    )
