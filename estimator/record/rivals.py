"""What anybody could do without this program: regressions, the median, the guess corrected; one contract.

Every rival is learned from past rows as a frozen object that answers `median(X)`, shape (n,), and
`quantiles(X, probs)`, shape (n, len(probs)), for new rows: where the next job will lie, not where the average
lies. X holds drivers as they were given, one column each, or one column alone as a vector; y holds hours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, stdtrit

from estimator.record.gamma_regression import learn_gamma
from estimator.record.least_squares import Array, hours, learn_linear, learn_loglinear, table, wide
from estimator.words.errors import NoAnswerError

__all__ = [
    "guess_times_usual_ratio",
    "learn_gamma",
    "learn_linear",
    "learn_loglinear",
    "median_of_past",
]

USUAL_FACTOR = 1.5  # a corrected guess holds 8 in 10 within x/÷ this, until the log says otherwise
USUAL_WORTH = 30  # past jobs that this counts as
FEWEST_GUESSES = 5


@dataclass(frozen=True)
class Past:
    """The median of past jobs, whatever the next one is; logs spread about it as Student's t says."""

    log_median: float
    log_sd: float  # of the next job's log hours
    spare: int

    def median(self, X: ArrayLike) -> Array:
        return hours(np.full(len(wide(X)), self.log_median))

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        logs = self.log_median + self.log_sd * stdtrit(self.spare, np.asarray(probs, dtype=float))
        return hours(np.tile(logs, (len(wide(X)), 1)))


@dataclass(frozen=True)
class UsualRatio:
    """A guess times what past jobs took against their guesses. Its X is the guesses, in hours."""

    log_ratios: Array  # of past jobs, in order of size

    def median(self, X: ArrayLike) -> Array:
        return self.quantiles(X, [0.5])[:, 0]

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        p = np.asarray(probs, dtype=float)
        usual = np.median(self.log_ratios) + ndtri(p) * math.log(USUAL_FACTOR) / ndtri(0.9)
        own, n = np.quantile(self.log_ratios, p, method="weibull"), len(self.log_ratios)
        return np.asarray(wide(X)[:, :1] * hours((n * own + USUAL_WORTH * usual) / (n + USUAL_WORTH)))


def median_of_past(y: ArrayLike) -> Past:
    """The median of past hours for every next job.

    Raises NoAnswerError where there are not two past jobs or hours are not above 0.

    >>> median_of_past([10.0, 20.0, 30.0, 45.0, 80.0]).median([[1.0], [2.0]]).round(1).tolist()
    [30.0, 30.0]
    """
    _, y = table(np.zeros(len(np.asarray(y))), y, above_zero=True)
    middle, spare = float(np.median(np.log(y))), len(y) - 1
    spread = float(((np.log(y) - middle) ** 2).sum()) / spare
    # the median itself is off by pi/2 times the variance of a mean, for normal logs
    return Past(middle, math.sqrt(spread * (1 + math.pi / 2 / len(y))), spare)


def guess_times_usual_ratio(past_guess: ArrayLike, past_actual: ArrayLike) -> UsualRatio:
    """A restorer's own guess, corrected by how his guesses usually went.

    The ratios' own quantiles are shrunk on the log scale towards ×/÷ 1.5 at 8 in 10 about their median, which
    counts as 30 jobs. Raises NoAnswerError where there are not five past guesses or a number is not above 0.

    >>> usual = guess_times_usual_ratio([10, 20, 30, 40, 50], [12, 24, 36, 48, 60])
    >>> usual.quantiles([25.0], [0.1, 0.5, 0.9]).round(1).tolist()
    [[21.2, 30.0, 42.5]]
    """
    guesses, actual = table(past_guess, past_actual, above_zero=True, fewest=FEWEST_GUESSES)
    if (guesses <= 0).any():
        raise NoAnswerError("a past guess is not above 0.", "Leave it out.")
    return UsualRatio(np.sort(np.log(actual) - np.log(guesses[:, 0])))
