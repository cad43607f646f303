import numpy as np
import pytest

from estimator.decide.overruns.variance_shares import could_find, slopes


def made(n=40, seed=0):
    rng = np.random.default_rng(seed)
    x = rng.standard_normal((n, 2))
    y = np.column_stack(
        [x @ [1.0, 0.0] + rng.standard_normal(n) * (1 + np.abs(x[:, 0])), rng.standard_normal(n)]
    )
    return x, y


def test_slopes_and_spreads_are_those_worked_out_by_hand():
    """HC3: each residual over 1 less its leverage (J. S. Long & L. H. Ervin 2000, The American Statistician 54:217-224)."""
    from scipy.stats import t

    x, y = made()
    found = slopes(x, y)
    X = np.column_stack([np.ones(40), x])
    bread = np.linalg.inv(X.T @ X)
    beta = bread @ X.T @ y
    leverage = np.einsum("ij,jk,ik->i", X, bread, X)
    raw = []
    for j in range(2):
        off = (y - X @ beta)[:, j] / (1 - leverage)
        spread = np.sqrt(np.diag(bread @ (X.T * off**2) @ X @ bread))[1:]
        assert found.slope[:, j] == pytest.approx(beta[1:, j], abs=1e-12)
        assert (found.high - found.low)[:, j] == pytest.approx(2 * t.ppf(0.9, 37) * spread, rel=1e-9)
        raw += (2 * t.sf(np.abs(beta[1:, j]) / spread, 37)).tolist()

    # S. Holm (1979): the k-th least of m times m - k + 1, never below one before it, never above 1
    order, least, holm = np.argsort(raw), 0.0, np.empty(4)
    for rank, at in enumerate(order):
        least = max(least, min(raw[at] * (4 - rank), 1.0))
        holm[at] = least
    assert found.p_adjusted.T.ravel() == pytest.approx(holm, rel=1e-9)


def test_an_outcome_that_does_not_move_tells_nothing_and_costs_nothing():
    x, y = made()
    alone, beside = slopes(x, y[:, :1]), slopes(x, np.column_stack([y[:, 0], np.zeros(40)]))
    assert beside.slope[:, 1].tolist() == beside.low[:, 1].tolist() == [0.0, 0.0]
    assert beside.p_adjusted[:, 1].tolist() == [1.0, 1.0]
    assert beside.p_adjusted[:, 0] == pytest.approx(alone.p_adjusted[:, 0])


def test_doubt_adds_as_the_spread_of_its_own_slopes():
    x, y = made()
    doubt = (
        0.5 * np.random.default_rng(1).standard_normal((200, 1, 1)) * x[None, :, :1] * np.array([1.0, 0.0])
    )
    sure, unsure = slopes(x, y), slopes(x, y, doubt)
    more = (unsure.high - unsure.low) ** 2 - (sure.high - sure.low) ** 2
    assert more[0, 0] > 0.1
    assert more[1, 0] == pytest.approx(0, abs=1e-9)  # the doubt goes with the first regressor alone
    assert more[:, 1] == pytest.approx([0, 0], abs=1e-12)


def test_noise_is_seldom_named():
    named = sum((slopes(*(noise(seed))).p_adjusted < 0.05).any() for seed in range(12))
    assert named <= 3  # fewer than 1 of 12 expected


def noise(seed):
    rng = np.random.default_rng([seed, 9])
    return rng.standard_normal((40, 3)), rng.standard_normal((40, 2))


@pytest.mark.parametrize(("n", "k"), [(60, 6)])
def test_what_could_be_found_is_found_eight_times_in_ten(n, k):
    """A regressor that makes just such a share of the one outcome, among k; .05 as wrong names."""
    share = could_find(n, k, 1)
    rng = np.random.default_rng(n)
    found = wrong = 0
    for _ in range(60):
        x = rng.standard_normal((n, k))
        y = rng.standard_normal((n, 1))
        y[:, 0] += x[:, 0] * np.sqrt(share / (1 - share))
        named = slopes(x, y).p_adjusted < 0.05
        found += named[0, 0]
        wrong += named[1:].any()
    assert 0.66 <= found / 60 <= 0.94
    assert wrong / 60 <= 0.1
    assert could_find(2 * n, k, 1) < share < could_find(n, k + 3, 1)
