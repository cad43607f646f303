"""The highest point and the curvature there, and draws from that normal."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from making import small_shop

from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.posterior import FLATTEST, Posterior, normal_posterior, posterior_near
from estimator.model.priors import terms_of
from estimator.words.errors import NoAnswerError


class Normal:
    """A density that is normal, with its mean and covariance."""

    def __init__(self, mean, covariance):
        self.mean, self.precision = np.asarray(mean, dtype=float), np.linalg.inv(covariance)
        self.table = SimpleNamespace(n_rows=1)

    def start(self):
        return np.zeros(len(self.mean))

    def value_and_gradient(self, x):
        off = x - self.mean[:, None]
        pull = self.precision @ off
        return -0.5 * (off * pull).sum(axis=0), -pull


MEAN = [1.0, -2.0, 0.5]
COVARIANCE = np.array([[1.0, 0.7, 0.0], [0.7, 0.8, -0.2], [0.0, -0.2, 0.3]])


def test_of_a_normal_the_mode_is_the_mean_and_the_root_squares_to_the_covariance():
    found = normal_posterior(Normal(MEAN, COVARIANCE))

    assert found.mode == pytest.approx(MEAN, abs=1e-6)
    assert found.root @ found.root.T == pytest.approx(COVARIANCE, abs=1e-6)
    assert found.value == pytest.approx(0.0, abs=1e-9)


def test_a_direction_of_which_nothing_is_known_is_no_wider_than_the_flattest():
    found = normal_posterior(Normal([0.0, 0.0], np.diag([1.0, 1e6])))

    assert found.root @ found.root.T == pytest.approx(np.diag([1.0, 1 / FLATTEST]), abs=1e-6)


def test_begun_from_another_density_s_normal_it_is_the_same_in_the_density_s_own_coordinates():
    root = np.array([[0.5, 0.0, 0.0], [0.2, 2.0, 0.0], [-0.3, 0.1, 0.7]])
    found = posterior_near(Normal(MEAN, COVARIANCE), np.array([3.0, 1.0, -1.0]), root)

    assert found.mode == pytest.approx(MEAN, abs=1e-5)
    assert found.root @ found.root.T == pytest.approx(COVARIANCE, abs=1e-5)


def test_draws_have_the_covariance_and_their_mean_is_the_mode():
    posterior = Posterior(np.array(MEAN), np.linalg.cholesky(COVARIANCE), 0.0)
    draws = posterior.draws(40_000, np.random.default_rng(1))

    assert draws.shape == (3, 40_000)
    assert draws.mean(axis=1) == pytest.approx(MEAN, abs=1e-12)  # in pairs about the mode
    assert np.cov(draws) == pytest.approx(COVARIANCE, abs=0.02)
    assert draws[:, :20_000] + draws[:, 20_000:] == pytest.approx(
        2 * np.array(MEAN)[:, None] + np.zeros(20_000)
    )


def test_pairs_leave_quantiles_as_they_are():
    posterior = Posterior(np.zeros(1), np.ones((1, 1)), 0.0)
    draws = np.concatenate([posterior.draws(64, np.random.default_rng(seed))[0] for seed in range(500)])

    assert np.quantile(draws, [0.1, 0.5, 0.9]) == pytest.approx([-1.2816, 0.0, 1.2816], abs=0.02)


@pytest.mark.parametrize("n", [1, 2, 7])
def test_as_many_draws_as_asked_for(n):
    assert Posterior(np.zeros(2), np.eye(2), 0.0).draws(n, np.random.default_rng(1)).shape == (2, n)


def small_density():
    log, settings = small_shop.log(), small_shop.SETTINGS
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


def test_at_the_mode_nothing_pulls_and_every_way_leads_down():
    density = small_density()
    found = normal_posterior(density)
    value, gradient = density.value_and_gradient(found.mode[:, None])

    assert value[0] == pytest.approx(found.value)
    assert gradient[:, 0] @ found.root == pytest.approx(np.zeros(density.size), abs=2e-3)
    around = found.mode[:, None] + 0.05 * found.root @ np.random.default_rng(1).standard_normal(
        (density.size, 60)
    )
    assert np.all(density.value_and_gradient(around)[0] < found.value)


def test_the_curvature_is_that_of_the_value():
    """Along each axis of the root the density falls as a standard normal does, near the mode."""
    density = small_density()
    found = normal_posterior(density)
    step = 0.02
    axes = found.root
    falls = [
        float(density.value_and_gradient((found.mode + side * step * axes[:, i])[:, None])[0][0])
        - found.value
        for i in range(density.size)
        for side in (1, -1)
    ]
    both = np.array(falls).reshape(-1, 2).mean(axis=1)

    assert both == pytest.approx(np.full(density.size, -0.5 * step**2), rel=0.01)


class Nowhere(Normal):
    """A density that cannot be computed anywhere."""

    def value_and_gradient(self, x):
        return np.full(x.shape[1], math.nan), np.full(x.shape, math.nan)


def test_where_no_highest_point_is_found_that_is_said():
    with pytest.raises(NoAnswerError, match="likeliest rates") as refused:
        normal_posterior(Nowhere(MEAN, COVARIANCE))
    assert refused.value.action.verb == "check"
