"""Other ways of saying hours, each from what it would have had to go by on the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress

import numpy as np

from estimator.model.saved_fit import Array, KnownBoard
from estimator.record.rivals import guess_times_usual_ratio, learn_loglinear, median_of_past
from estimator.record.track_record import CORRECTED, MEDIAN, REGRESSION
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED
from estimator.words.settings import Settings

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
