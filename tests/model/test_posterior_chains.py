"""Chains against laws whose quantiles are known, and against a plain random walk that takes its time."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from studies.shops import simulate

from estimator.forecast.draws import Work, draw_hours
from estimator.model.fit import fit
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.posterior import Posterior, _between, chains, normal_posterior
from estimator.model.priors import terms_of
from estimator.model.saved_fit import SETTLED, SavedFit

AT = (0.05, 0.1, 0.5, 0.9, 0.95)
STANDARD = [NormalDist().inv_cdf(p) for p in AT]


class Normal:
    """A normal law of many dimensions."""

    def __init__(self, mean, covariance):
        self.mean, self.precision = np.asarray(mean, dtype=float)[:, None], np.linalg.inv(covariance)

    def value_and_gradient(self, x):
        pull = self.precision @ (x - self.mean)
        return -0.5 * ((x - self.mean) * pull).sum(axis=0), -pull


class LogOfGamma:
    """Logs of independent gamma variables of shape `a`: skew, and never normal."""

    def __init__(self, a, size):
        self.a, self.size = a, size

    def value_and_gradient(self, x):
        with np.errstate(over="ignore"):
            grown = np.exp(x)
        return (self.a * x - grown).sum(axis=0), self.a - grown


class Cut(Normal):
    """A standard normal that cannot be computed below nothing: half of one."""

    def value_and_gradient(self, x):
        value, gradient = super().value_and_gradient(x)
        out = np.any(x < 0, axis=0)
        return np.where(out, np.nan, value), np.where(out, np.nan, gradient)


def drawn(law, mode, covariance, seed=1, n=4096):
    posterior = Posterior(np.asarray(mode, dtype=float), np.linalg.cholesky(np.atleast_2d(covariance)), 0.0)
    return chains(law, posterior, n, np.random.default_rng(seed))


# ---- known laws

CORRELATED = 0.9 * np.ones((6, 6)) + 0.1 * np.eye(6)


@pytest.mark.parametrize("scale", [1.0, 0.3, 3.0])
def test_a_normal_law_is_recovered_however_wrong_its_approximation(scale):
    """The approximation stands two sd off, is so many times too wide, and knows nothing of the correlation."""
    mean = np.arange(6.0)
    found = drawn(Normal(mean, CORRELATED), mean + 2, scale**2 * np.eye(6))

    for i in range(6):
        assert np.quantile(found.draws[i], AT) == pytest.approx(mean[i] + np.array(STANDARD), abs=0.15)
    assert np.cov(found.draws) == pytest.approx(CORRELATED, abs=0.12)
    assert found.spread < 1.1


def test_a_skew_law_is_recovered_where_its_approximation_is_not():
    """Quantiles of a gamma variable of shape a half are those of a squared normal, halved."""
    a = 0.5
    found = drawn(LogOfGamma(a, 3), [math.log(a)] * 3, np.eye(3) / a)
    exact = [math.log(NormalDist().inv_cdf((1 + p) / 2) ** 2 / 2) for p in AT]
    normal = [math.log(a) + z / math.sqrt(a) for z in STANDARD]

    found_points = np.quantile(found.draws, AT)  # of all three, which are alike
    assert found_points[2:] == pytest.approx(exact[2:], abs=0.1)
    assert found_points[:2] == pytest.approx(exact[:2], abs=0.45)
    assert abs(normal[1] - exact[1]) > 1  # so that the check is one


def test_where_there_is_no_density_no_chain_stays():
    found = drawn(Cut([0.0, 0.0], np.eye(2)), [0.7, 0.7], 0.1 * np.eye(2))

    assert np.all(found.draws >= 0)
    assert np.quantile(found.draws[0], 0.5) == pytest.approx(NormalDist().inv_cdf(0.75), abs=0.1)


def test_as_many_draws_as_asked_for_and_the_same_for_a_seed():
    law = Normal([0.0], np.eye(1))
    first, again, other = (drawn(law, [0.0], np.eye(1), seed, n=100).draws for seed in (1, 1, 2))

    assert first.shape == (1, 100)
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_chains_that_have_not_met_go_on_and_as_many_draws_are_kept():
    """Two rounds of each chain cannot tell; the same number of draws then comes from longer ones."""
    law, root = Normal(np.arange(6.0), CORRELATED), np.eye(6)
    near = Posterior(np.arange(6.0), root, 0.0)
    short, long = (chains(law, near, 64, np.random.default_rng(3), patience=p) for p in (0, 6))

    assert short.spread > SETTLED >= long.spread
    assert short.draws.shape == long.draws.shape == (6, 64)


def test_chains_have_met_where_what_forecasts_are_made_of_has_whatever_the_rest_does():
    """The parameters judged are the density's own, not the coordinates in which the chains move."""
    turned = np.array([[0.6, -0.8], [0.8, 0.6]])

    class FarApart(Normal):
        """The second number has two places, and no chain comes from one to the other."""

        def value_and_gradient(self, x):
            value, gradient = np.empty(x.shape[1]), -x.copy()
            near = np.where(x[1] < 0, -6.0, 6.0)
            gradient[1] = near - x[1]
            value[:] = -0.5 * (x[0] ** 2 + (x[1] - near) ** 2)
            return value, gradient

    law = FarApart([0.0, 0.0], np.eye(2))
    near = Posterior(np.zeros(2), turned * np.array([1.0, 6.0]), 0.0)
    first, second = (
        chains(law, near, 1024, np.random.default_rng(1), judged=slice(i, i + 1)).spread for i in (0, 1)
    )
    assert first < 1.05
    assert second > 2


# ---- a long random walk on a small shop


def walked(density, posterior, rng, walkers=200, moves=5000, burn=1500, every=35):
    """Random-walk Metropolis in the normal approximation's coordinates, walkers side by side; (size, n)."""
    size = density.size
    x = posterior.mode[:, None] + posterior.root @ rng.standard_normal((size, walkers))
    value = density.value_and_gradient(x)[0]
    step, kept = 2.38 / math.sqrt(size), []
    for move in range(moves):
        to = x + step * posterior.root @ rng.standard_normal((size, walkers))
        up = density.value_and_gradient(to)[0]
        yes = np.log(rng.random(walkers)) < up - value
        x, value = np.where(yes, to, x), np.where(yes, up, value)
        if move >= burn and move % every == 0:
            kept.append(x)
    return np.concatenate(kept, axis=1)


def learned(density, draws):
    """A saved fit with these draws."""
    n, layout = density.numbers(draws), density.table.layout
    level = density.level_to_come(draws, np.random.default_rng(9))
    return SavedFit(
        "", layout.stages, layout.parts, layout.conditions, (n.log_rate + level).T, n.effect.T, n.loading.T, n.noise.T,
        n.lean, n.scale,
    )  # fmt: skip


def ranges(fitted, boards):
    """Points of the hours of boards that are still to come."""
    said = []
    for j, board in enumerate(boards):
        stages = {"strip", "laminate", "sand", "finish", "shape"}
        stages |= {
            s for s, d in (("infill", "pieces"), ("spray", "colours"), ("logo", "logos")) if board.assessed[d]
        }
        work = Work(board.assessed, {s: np.ones(1, dtype=bool) for s in stages}, {}, frozenset())
        total = draw_hours(fitted, work, np.random.default_rng(j), 40_000).total
        said.append(np.quantile(total, [0.1, 0.5, 0.9]))
    return np.array(said)


@pytest.mark.parametrize("totals_only", [False, True])
def test_ranges_of_a_small_log_are_those_of_a_long_random_walk(totals_only):
    """Twelve boards by stage or as totals: where the normal approximation is poorest."""
    shop = simulate(3, 12, 4, totals_only=totals_only)
    density = Density(table := table_of(shop.log, shop.settings), terms_of(table, shop.log, shop.settings))
    long = learned(density, walked(density, normal_posterior(density), np.random.default_rng(8)))
    quick = fit(shop.log, shop.settings, seed=5)

    assert ranges(quick, shop.coming) == pytest.approx(ranges(long, shop.coming), rel=0.03)


def test_how_far_chains_are_from_having_met_by_hand():
    """Two chains at 0 and 2, and at 4 and 6: within 2, the means 1 and 5 spread by 8; (2 / 2 + 8) / 2 = 4.5."""
    kept = np.array([[[0.0, 4.0]], [[2.0, 6.0]]])

    assert _between(kept) == pytest.approx([4.5**0.5])
    assert _between(np.array([[[0.0, 2.0]], [[2.0, 0.0]]])) == pytest.approx([0.5**0.5])


@pytest.mark.parametrize(("n", "tells"), [(32, False), (33, True)])
def test_of_one_draw_a_chain_nothing_tells_whether_they_have_met(n, tells):
    near = Posterior(np.zeros(2), np.eye(2), 0.0)
    found = chains(Normal([0.0, 0.0], np.eye(2)), near, n, np.random.default_rng(1))

    assert (found.draws.shape, math.isfinite(found.spread)) == ((2, n), tells)
