"""Ranges before opening hold 8 times in 10 where boards hide work, in shops that nobody's model made."""

import numpy as np
import pytest
from making.hidden_work import hiding_shop
from scipy.special import ndtri

from estimator.forecast import views
from estimator.forecast.views import drawn_board
from estimator.model.fit import fit, known_board

SHOPS, PAST, COMING, DRAWS = 24, 40, 20, 1500
NORMAL = (2 / np.pi) ** 0.5  # the mean of a standard normal variate's distance from nought


def landed(seed):
    """Where each board to come landed in its range before opening, as a standard normal point."""
    settings, log, coming, took = hiding_shop(seed, PAST, COMING)
    learned = fit(log, settings, seed=seed, n_draws=256)
    points = []
    for j, (board, hours) in enumerate(zip(coming, took, strict=True)):
        _, drawn, _ = drawn_board(
            learned, known_board(board), "before", settings, seed=seed + 1000 * j, n_draws=DRAWS
        )
        points.append(ndtri(((drawn.total < hours).sum() + 0.5) / (DRAWS + 1)))
    return points


@pytest.fixture(scope="module")
def points():
    return np.array([landed(seed) for seed in range(SHOPS)])


def test_before_opening_holds_and_a_fifth_more_or_less_spread_would_be_seen(points):
    """Measured .76 inside and 1.11 of a normal variate's distance; a fifth less or more spread makes it 1.39 or .93."""
    assert 0.72 < (np.abs(points) < ndtri(0.9)).mean() < 0.84
    assert 0.99 < np.abs(points).mean() / NORMAL < 1.25


def test_hidden_work_is_in_what_is_said(points, monkeypatch):
    """Boards take a little more than said, for hidden work is taken lightly: .18 of a spread; left out, it were .71."""
    assert 0.0 < points.mean() < 0.3
    monkeypatch.setattr(views, "surprised", lambda *_: {})
    assert np.mean([landed(seed) for seed in range(SHOPS // 3)]) > 0.5
