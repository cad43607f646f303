"""What anybody could do without this program: regressions, the median of past boards, the guess corrected."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import qr, solve_triangular
from scipy.special import ndtri, stdtrit

from estimator.model.saved_fit import Array, KnownBoard
from estimator.record.backtest.track_record import CORRECTED, MEDIAN, REGRESSION
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED
from estimator.words.settings.schema import Settings

FARTHEST = 50.0  # log hours; a regression that runs further is held there, so that hours stay finite


@dataclass(frozen=True)
class Columns:
    """The columns of a table that say something of their own, and how far new rows lie from their middle."""

    kept: NDArray[np.intp]  # places of the columns, surest first
    middle: Array  # (k,), 0 where there is no intercept
    root: Array  # (k, k); distances from the middle are lengths of (x - middle) @ root
    weight: float  # what an intercept adds: 1 / rows, or 0

    def leverage(self, X: ArrayLike) -> Array:
        """x'(X'X)^-1 x of rows, shape (n,); that of past rows is at most 1 and sums to the rank."""
        steps = (wide(X)[:, self.kept] - self.middle) @ self.root
        return np.asarray(self.weight + (steps**2).sum(axis=1))


@dataclass(frozen=True)
class LeastSquares:
    """A plane through past rows; the next row lies about it as Student's t says."""

    intercept: float
    slopes: Array  # (columns,), 0 for columns left out
    intercept_error: float  # standard errors
    slope_errors: Array
    residual_sd: float
    r_squared: float  # without intercept: of the squares about 0
    spare: int  # rows less coefficients
    columns: Columns

    def median(self, X: ArrayLike) -> Array:
        """The plane at new rows, shape (n,)."""
        return np.asarray(wide(X) @ self.slopes + self.intercept)

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Points that the next rows stay under with the chances `probs`, shape (n, len(probs))."""
        steps = stdtrit(self.spare, np.asarray(probs, dtype=float))
        next_sd = self.residual_sd * np.sqrt(1 + self.columns.leverage(X))
        return np.asarray(self.median(X)[:, None] + next_sd[:, None] * steps)


@dataclass(frozen=True)
class LogLinearRegression:
    """Least squares of log hours; what it answers are hours."""

    logs: LeastSquares

    def median(self, X: ArrayLike) -> Array:
        """Median hours of new rows, shape (n,)."""
        return hours(self.logs.median(X))

    def quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Hours that the next jobs stay under with the chances `probs`, shape (n, len(probs))."""
        return hours(self.logs.quantiles(X, probs))


def learn_linear(X: ArrayLike, y: ArrayLike, *, intercept: bool = True) -> LeastSquares:
    """Least squares with the next row's interval.

    Raises NoAnswerError where there are not two rows, where a number is missing, or (without an intercept)
    where there are not more rows than columns.

    Source: D. C. Montgomery, E. A. Peck & G. G. Vining, *Introduction to Linear Regression Analysis*, on the
    prediction of new observations.

    >>> line = learn_linear([1.0, 2.0, 3.0, 4.0], [2.0, 4.1, 5.9, 8.0])
    >>> round(line.intercept, 2), line.slopes.round(2).tolist()
    (0.05, [1.98])
    >>> line.quantiles([5.0], [0.1, 0.5, 0.9]).round(2).tolist()
    [[9.67, 9.95, 10.23]]
    """
    X, y = table(X, y)
    columns, q = independent(X, intercept=intercept)
    spare = len(y) - len(columns.kept) - intercept
    if spare < 1:
        if not intercept:
            raise NoAnswerError(
                f"{len(y)} past jobs cannot tell {X.shape[1]} quantities apart.", "It takes more jobs."
            )
        return learn_linear(np.zeros_like(X), y)
    about = y - (y.mean() if intercept else 0.0)
    along = q.T @ about
    left = about - q @ along
    left -= q @ (q.T @ left)  # once more, for the digits
    slopes, slope_errors = np.zeros((2, X.shape[1]))
    slopes[columns.kept] = columns.root @ along
    residual_sd = math.sqrt(float(left @ left) / spare)
    slope_errors[columns.kept] = residual_sd * np.sqrt((columns.root**2).sum(axis=1))
    at_zero = float(columns.leverage(np.zeros((1, X.shape[1])))[0])
    squares = float(about @ about)
    return LeastSquares(
        intercept=float(y.mean() - columns.middle @ slopes[columns.kept]) if intercept else 0.0,
        slopes=slopes,
        intercept_error=residual_sd * math.sqrt(at_zero),
        slope_errors=slope_errors,
        residual_sd=residual_sd,
        r_squared=1 - float(left @ left) / squares if squares else 0.0,
        spare=spare,
        columns=columns,
    )


def learn_loglinear(X: ArrayLike, y: ArrayLike) -> LogLinearRegression:
    """Least squares of log hours on the columns as they are: a regression without further thought.

    Raises NoAnswerError as `learn_linear`, and where hours are not above 0.

    >>> learn_loglinear([0.0, 1.0, 2.0, 3.0], [1.0, 2.0, 4.0, 8.0]).median([4.0]).round(6).tolist()
    [16.0]
    """
    X, y = table(X, y, above_zero=True)
    return LogLinearRegression(learn_linear(X, np.log(y)))


def independent(X: Array, *, intercept: bool) -> tuple[Columns, Array]:
    """The columns that say something of their own, and an orthonormal base of them, centred where asked."""
    middle = X.mean(axis=0) if intercept else np.zeros(X.shape[1])
    centred = X - middle
    size, length = np.linalg.norm(X, axis=0), np.linalg.norm(centred, axis=0)
    least = 4 * max(X.shape) * np.finfo(float).eps
    varied = np.flatnonzero(length > least * size)
    q, r, order = qr(centred[:, varied] / length[varied], mode="economic", pivoting=True)
    order = varied[order][: len(r)]
    own = np.abs(np.diag(r)) > least * size[order] / length[order]
    rank = len(own) if own.all() else int(np.argmin(own))
    kept, q, r = order[:rank], q[:, :rank], r[:rank, :rank]
    root = solve_triangular(r, np.eye(rank)) / length[kept, None]
    return Columns(kept, middle[kept], root, 1 / len(X) if intercept else 0.0), q


def table(X: ArrayLike, y: ArrayLike, *, above_zero: bool = False, fewest: int = 2) -> tuple[Array, Array]:
    """Past rows as arrays, (n, k) and (n,). Raises NoAnswerError where nothing can be learned from them."""
    X, y = wide(X), np.asarray(y, dtype=float)
    if len(X) != len(y):
        raise ValueError(f"{len(X)} rows of drivers, but {len(y)} of hours")
    if len(y) < fewest:
        raise NoAnswerError(f"{len(y)} past jobs cannot say how much jobs vary.", f"It takes {fewest}.")
    if not (np.isfinite(X).all() and np.isfinite(y).all()):
        raise NoAnswerError("a number of a past job is missing.", "Leave out that job or that quantity.")
    if above_zero and (y <= 0).any():
        raise NoAnswerError("a past job took no time.", "Leave it out.")
    return X, y


def wide(X: ArrayLike) -> Array:
    """A table as (n, k); a vector is one column."""
    X = np.asarray(X, dtype=float)
    return X[:, None] if X.ndim == 1 else X


def hours(logs: Array) -> Array:
    """Hours of log hours, held finite."""
    return np.asarray(np.exp(np.clip(logs, -FARTHEST, FARTHEST)))


USUAL_FACTOR = 1.5  # a corrected guess holds 8 in 10 within x/÷ this, until the log says otherwise
USUAL_WORTH = 30  # past jobs that this counts as
FEWEST_GUESSES = 5


@dataclass(frozen=True)
class PastHours:
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


def median_of_past(y: ArrayLike) -> PastHours:
    """The median of past hours for every next job.

    Raises NoAnswerError where there are not two past jobs or hours are not above 0.

    >>> median_of_past([10.0, 20.0, 30.0, 45.0, 80.0]).median([[1.0], [2.0]]).round(1).tolist()
    [30.0, 30.0]
    """
    _, y = table(np.zeros(len(np.asarray(y))), y, above_zero=True)
    middle, spare = float(np.median(np.log(y))), len(y) - 1
    spread = float(((np.log(y) - middle) ** 2).sum()) / spare
    # the median itself is off by pi/2 times the variance of a mean, for normal logs
    return PastHours(middle, math.sqrt(spread * (1 + math.pi / 2 / len(y))), spare)


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


FEWEST = 5  # past boards that a median or a usual ratio is taken of
BOARDS_A_COLUMN = 5  # past boards for each quantity of the regression
LENGTH = "length"


def rivals_then(
    past: Sequence[KnownBoard], board: KnownBoard, settings: Settings, probs: Sequence[float]
) -> dict[str, Array]:
    """Hours of a board at the chances `probs`, by each rival that has enough past boards.

    past: boards as they stood on the day; those that are not finished, or of which hours are missing, are left out

    The regression is of log hours on the logs of 1 + what there was to do, as judged: those quantities that go most
    closely with past hours, one for every five boards.
    """
    finished = [b for b in past if b.state == FINISHED and b.hours]
    took = np.array([b.hours for b in finished], dtype=float)
    said: dict[str, Array] = {}
    if len(finished) >= FEWEST:
        said[MEDIAN] = median_of_past(took).quantiles([[0.0]], probs)[0]
    guessed = [(b.guess, b.hours) for b in finished if b.guess and b.hours]
    if board.guess and len(guessed) >= FEWEST:
        usual = guess_times_usual_ratio(*np.array(guessed).T)
        said[CORRECTED] = usual.quantiles([board.guess], probs)[0]
    columns = _columns(finished, board, settings)
    most = len(finished) // BOARDS_A_COLUMN - 1
    if columns and most >= 1:
        X = np.log1p(np.array([list(columns[name][0]) for name in columns]).T)
        x = np.log1p(np.array([columns[name][1] for name in columns]))
        chosen = np.argsort(-_correlated(X, np.log(took)), kind="stable")[:most]
        with suppress(NoAnswerError):
            said[REGRESSION] = learn_loglinear(X[:, chosen], took).quantiles(x[None, chosen], probs)[0]
    return said


def _columns(
    finished: Sequence[KnownBoard], board: KnownBoard, settings: Settings
) -> Mapping[str, tuple[tuple[float, ...], float]]:
    """The quantities that are known of every past board and of this one, and that differ among past boards."""
    lengths = [b.length_m for b in finished]
    columns: dict[str, tuple[tuple[float, ...], float]] = {}
    if board.length_m and all(lengths):
        columns[LENGTH] = (tuple(length or 0.0 for length in lengths), board.length_m)
    for name in (*settings.drivers, *settings.modifiers):
        if name in board.assessed and all(name in b.assessed for b in finished):
            columns[name] = (tuple(b.assessed[name] for b in finished), board.assessed[name])
    return {name: column for name, column in columns.items() if len(set(column[0])) > 1}


def _correlated(X: Array, y: Array) -> Array:
    """The size of each column's correlation with y."""
    X, y = X - X.mean(axis=0), y - y.mean()
    size = np.sqrt((X**2).sum(axis=0) * (y**2).sum())
    return np.abs(X.T @ y) / np.where(size > 0, size, 1.0)
