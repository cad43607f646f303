"""Closed forms against printed figures and against doing it the long way."""

import numpy as np
import pytest
from scipy import integrate, stats

from estimator.regress.log_forms import PRIOR_ROWS, PRIOR_SQUARES, learn_lines
from estimator.regress.mixture import weights_of

WIDE = 1e5


@pytest.fixture
def rows():
    rng = np.random.default_rng(3)
    F = rng.normal(size=(9, 3))
    return F, F @ [1.0, 0.3, 0.0] + 2 + 0.4 * rng.normal(size=9)


def published(name):
    from pathlib import Path

    with (Path(__file__).resolve().parents[2] / "shared" / f"{name}.csv").open(encoding="utf-8") as file:
        head = file.readline().strip().split(",")
        return dict(zip(head, np.loadtxt(file, delimiter=",", unpack=True), strict=True))


# ---- D. C. Montgomery, E. A. Peck & G. G. Vining, Introduction to Linear Regression Analysis, 5th ed. (Wiley 2012):
# Example 3.1 (coefficients 1.61591, .01438 and the estimate 19.22 at 8 cases and 275 feet), PRESS 459.0393 (Table 4.1)


def test_without_a_ridge_the_line_is_that_of_least_squares():
    table = published("mpv_delivery")
    F, t = np.column_stack([table["cases"], table["distance_ft"]]), table["minutes"]
    lines = learn_lines(F, t, np.full((1, 2), WIDE))

    assert lines.slopes[0] == pytest.approx([1.61591, 0.01438], abs=5e-6)
    assert lines.at(np.array([[8.0, 275.0]])).place[0, 0] == pytest.approx(19.22, abs=0.005)
    assert ((t - lines.left_out.place[:, 0]) ** 2).sum() == pytest.approx(459.0393, abs=5e-4)


# ---- P. D. Hoff, A First Course in Bayesian Statistical Methods (Springer 2009), section 9.2: oxygen uptake of
# twelve men; under a unit-information prior slopes are 12/13 of least squares'. Printed figures from memory.


def test_a_ridge_in_the_tables_own_shape_shrinks_all_slopes_alike():
    table = published("hoff_oxygen")
    F = np.column_stack([table["aerobic"], table["age"], table["aerobic"] * table["age"]])
    steps = F - F.mean(axis=0)
    root = np.linalg.inv(
        np.linalg.cholesky(steps.T @ steps)
    ).T  # F @ root has columns of length 1, at right angles
    lines = learn_lines(F @ root, table["y"], np.full((1, 3), np.sqrt(12)))

    assert root @ lines.slopes[0] == pytest.approx([12.10, 1.93, -0.29], abs=0.005)


# ---- the long way


def joint(F, t, size):
    """Log density of t, up to a constant for any number of rows, by summing over all spreads; the level is flat."""
    n = len(t)
    contrasts = np.linalg.qr(np.column_stack([np.ones(n), np.eye(n)[:, 1:]]))[0][:, 1:].T
    C = contrasts @ ((F * size**2) @ F.T + np.eye(n)) @ contrasts.T
    normal = stats.multivariate_normal(cov=C)

    def at(log_v):
        v = np.exp(log_v)
        return np.exp(
            normal.logpdf(contrasts @ t / np.sqrt(v)) - ((n - 1 + PRIOR_ROWS) * log_v + PRIOR_SQUARES / v) / 2
        )

    return np.log(integrate.quad(at, -30, 30, epsabs=0, epsrel=1e-11, limit=500)[0]) - np.log(n) / 2


def test_evidence_is_the_joint_density_up_to_a_constant(rows):
    F, t = rows
    sizes = np.array([[0.1, 1.0, 2.0], [3.0, 0.5, 0.5], [1.0, 1.0, 1.0]])
    evidence = learn_lines(F, t, sizes).evidence
    slow = np.array([joint(F, t, size) for size in sizes])

    assert evidence - evidence[0] == pytest.approx(slow - slow[0], abs=1e-6)


def test_a_row_left_out_is_foretold_as_by_a_fit_without_it(rows, monkeypatch):
    monkeypatch.setattr("estimator.regress.log_forms.LEAST", 0.0)  # all lines stay
    F, t = rows
    sizes = np.random.default_rng(1).lognormal(size=(30, 3))
    told = learn_lines(F, t, sizes).left_out
    for i in range(len(t)):
        rest = np.arange(len(t)) != i
        one = learn_lines(F[rest], t[rest], sizes).at(F[i : i + 1])
        at = np.linspace(t[i] - 1, t[i] + 1, 5)
        ours = [told.rows(slice(i, i + 1)).chance_below(at[j : j + 1])[0] for j in range(5)]
        slow = [one.chance_below(at[j : j + 1])[0] for j in range(5)]
        assert ours == pytest.approx(slow, abs=1e-9)


def test_densities_one_after_another_multiply_to_the_evidence(rows):
    F, t = rows
    size = np.array([[0.7, 0.2, 1.5]])
    chain = sum(
        learn_lines(F[:k], t[:k], size).at(F[k : k + 1]).log_density(t[k : k + 1])[0]
        for k in range(4, len(t))
    )
    whole = joint(F, t, size[0]) - joint(F[:4], t[:4], size[0])

    assert chain == pytest.approx(whole, abs=1e-6)


def test_more_columns_than_rows_are_no_trouble():
    rng = np.random.default_rng(0)
    F, t = rng.normal(size=(6, 40)), rng.normal(size=6)
    told = learn_lines(F, t, np.full((2, 40), 3.0)).at(F)

    assert np.isfinite(told.place).all()
    assert (told.scale > 0).all()


def test_weights_without_a_row_follow_from_those_with_it():
    weight, without = weights_of(np.log([1.0, 3.0]), np.log([[0.5, 0.5], [0.1, 0.3]]))

    assert weight == pytest.approx([0.25, 0.75])
    assert without == pytest.approx(np.array([[0.25, 0.75], [0.5, 0.5]]))
