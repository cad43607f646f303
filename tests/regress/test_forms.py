"""The forms against doing it the long way, a reference library, and what they were made for."""

import numpy as np
import pytest
from scipy import optimize

from estimator.regress import additive_form as forms_additive
from estimator.regress.additive_form import learn_additive
from estimator.regress.log_forms import Drivers, learn_log_linear, learn_reference_class
from estimator.regress.process_form import Shapes, learn_process

PROBE = np.array([-0.5, 0.0, 0.5])


@pytest.fixture
def jobs():
    """Twelve jobs: two amounts, one yes/no column; hours add up, with luck of a quarter."""
    rng = np.random.default_rng(5)
    X = np.column_stack([rng.lognormal(1, 0.7, 12), rng.integers(0, 5, 12), rng.integers(0, 2, 12)])
    y = (0.5 + 0.8 * X[:, 0] + 1.2 * X[:, 1]) * np.exp(0.4 * X[:, 2] + 0.25 * rng.normal(size=12))
    return X, np.log(y)


def same_chances(told, i, one, t, tolerance):
    """Whether row i of `told` and the one row of `one` give the same chances near t."""
    ours = [told.rows(slice(i, i + 1)).chance_below(np.array([t + d]))[0] for d in PROBE]
    slow = [one.chance_below(np.array([t + d]))[0] for d in PROBE]
    assert ours == pytest.approx(slow, abs=tolerance)


def test_a_process_foretells_rows_left_out_as_without_them(jobs, monkeypatch):
    monkeypatch.setattr("estimator.regress.log_forms.KEPT", 10_000)  # all shapes stay
    monkeypatch.setattr("estimator.regress.log_forms.LEAST", 0.0)
    X, t = jobs
    drivers = Drivers.learn(X, t)  # scales stay
    told = learn_process(drivers, X, t).left_out
    for i in range(len(t)):
        rest = np.arange(len(t)) != i
        one = learn_process(drivers, X[rest], t[rest]).at(X[i : i + 1])
        same_chances(told, i, one, t[i], 1e-9)


def test_a_process_agrees_with_a_reference_library(jobs):
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct

    X, t = jobs
    drivers = Drivers.learn(X, t)
    form = learn_process(drivers, X, t)
    shape = form.shapes.some(slice(0, 1))
    F = drivers.logs(X)
    scale = shape.slope[0]
    kernel = ConstantKernel(shape.bend[0] ** 2, "fixed") * RBF(1 / shape.inverse_reach[0], "fixed")
    level = 1e7 * np.ones((12, 12))
    C = kernel(F) + DotProduct(0, "fixed")(F * scale)

    assert shape.covariance(F, F)[0] == pytest.approx(C, abs=1e-9)
    new = F[:3] + 0.3
    library = GaussianProcessRegressor(kernel, alpha=1.0, optimizer=None).fit(F, t - 1)
    ours = shape.covariance(new, F)[0] - (new * scale**2) @ F.T
    assert library.predict(new) == pytest.approx(ours @ np.linalg.solve(kernel(F) + np.eye(12), t - 1))
    flat = np.linalg.solve(C + np.eye(12) + level, t)  # a level of huge spread stands for a flat one
    near = shape.covariance(drivers.logs(X + 0.5), F)[0] + 1e7
    assert form.at(X + 0.5).place[:, 0] == pytest.approx(near @ flat, abs=1e-5)


def test_shapes_are_the_same_every_time():
    assert np.array_equal(Shapes.drawn(3, 10).slope, Shapes.drawn(3, 10).slope)


def test_the_mode_of_a_sum_is_where_a_general_search_finds_it(jobs):
    X, t = jobs
    drivers = Drivers.learn(X, t)
    parts, steps = forms_additive._columns(drivers, X)
    sd = np.array([2.0, 2.0, 2.0, 0.7]) * 3

    def cost(mode):
        off = t - forms_additive._median(mode, parts, steps)[0]
        return ((off - off.mean()) ** 2).sum() + ((mode / sd) ** 2).sum()

    found = optimize.minimize(cost, np.zeros(4), method="BFGS", options={"gtol": 1e-8})
    assert forms_additive._mode(parts, steps, t, sd, np.zeros(4)) == pytest.approx(found.x, abs=1e-4)


def test_slopes_of_a_sum_are_those_of_small_steps(jobs):
    X, t = jobs
    parts, steps = forms_additive._columns(Drivers.learn(X, t), X)
    mode = np.array([0.3, -1.0, 0.5, 0.2])
    _, slopes = forms_additive._median(mode, parts, steps)
    for k in range(4):
        step = np.eye(4)[k] * 1e-6
        up, down = (forms_additive._median(mode + s, parts, steps)[0] for s in (step, -step))
        assert slopes[:, k] == pytest.approx((up - down) / 2e-6, abs=1e-7)


@pytest.mark.parametrize("i", [0, 5])
def test_a_sum_foretells_rows_left_out_nearly_as_without_them(jobs, i):
    X, t = jobs
    drivers = Drivers.learn(X, t)
    told = learn_additive(drivers, X, t).left_out
    rest = np.arange(len(t)) != i
    one = learn_additive(drivers, X[rest], t[rest]).at(X[i : i + 1])
    same_chances(told, i, one, t[i], 0.1)  # the mode does not move


def test_each_form_wins_where_the_world_is_like_it():
    rng = np.random.default_rng(2)
    X = np.column_stack([rng.lognormal(0, 1, 40), rng.lognormal(0, 1, 40), rng.lognormal(0, 1, 40)])
    luck = 0.2 * rng.normal(size=40)
    worlds = {
        "multiplies": np.log(X) @ [0.9, 0.5, 0.0],
        "adds": np.log(0.3 + X @ [2.0, 1.0, 1.0]),
        "nothing": np.zeros(40),
    }
    for name, median in worlds.items():
        t = median + (luck if name != "nothing" else 5 * luck)
        drivers = Drivers.learn(X, t)
        scores = {
            "multiplies": learn_log_linear(drivers, X, t).left_out.log_density(t).sum(),
            "adds": learn_additive(drivers, X, t).left_out.log_density(t).sum(),
            "nothing": learn_reference_class(drivers, X, t).left_out.log_density(t).sum(),
        }
        assert max(scores, key=scores.get) == name, scores


def test_rates_and_factors_are_held_to_their_own_widths_by_every_strength(jobs, monkeypatch):
    """A constant and two amounts have rates, the yes/no column a factor."""
    widths = []

    def learn_lines(slopes, t, sd):
        widths.append(sd[0])
        return learned(slopes, t, sd)

    learned = forms_additive.learn_lines
    monkeypatch.setattr(forms_additive, "learn_lines", learn_lines)
    X, t = jobs
    learn_additive(Drivers.learn(X, t), X, t)
    rate, factor = forms_additive.RATE_SD, forms_additive.FACTOR_SD

    assert rate != factor
    assert np.array(widths) == pytest.approx(np.outer(forms_additive.STRENGTHS, [rate, rate, rate, factor]))


def test_a_sum_tells_new_rows_by_each_strength_as_well_as_it_fits_past_ones(jobs, monkeypatch):
    monkeypatch.setattr(forms_additive, "LEAST", 0.0)  # all strengths stay
    X, t = jobs
    form = learn_additive(Drivers.learn(X, t), X, t)
    evidence = np.array([one.lines.evidence[0] for one in form.sums])
    weight = np.exp(evidence) / np.exp(evidence).sum()
    told, without = form.at(X[:2] + 0.5), []
    past, new = (forms_additive._columns(form.drivers, rows) for rows in (X, X[:2] + 0.5))
    for i, one in enumerate(form.sums):
        sd = np.array([2.0, 2.0, 2.0, 0.7]) * one.strength
        assert one.at_mode == pytest.approx(forms_additive._mode(*past, t, sd, np.zeros(4)), abs=1e-3)
        # near the mode the straight line is the sum itself
        middle, slopes = forms_additive._median(one.at_mode, *new)
        line = one.lines.at(slopes).place[:, 0] - slopes @ one.at_mode
        assert told.place[:, i] == pytest.approx(middle + line)
        middle, slopes = forms_additive._median(one.at_mode, *past)
        foretold = one.lines.left_out.moved(middle - slopes @ one.at_mode)
        without.append(np.exp(evidence[i] - foretold.log_density(t)))

    assert form.weight == pytest.approx(weight)
    assert form.weight.max() > 3 * form.weight.min()
    assert told.weight == pytest.approx(np.tile(weight, (2, 1)))
    # a past row is foretold by what the others speak for
    assert form.left_out.weight == pytest.approx((np.array(without) / np.sum(without, axis=0)).T)


def test_a_few_shapes_foretell_rows_left_out_as_without_them(jobs, monkeypatch):
    monkeypatch.setattr("estimator.regress.process_form.DRAWN", 8)
    monkeypatch.setattr("estimator.regress.log_forms.LEAST", 0.0)
    X, t = jobs
    drivers = Drivers.learn(X, t)
    told = learn_process(drivers, X, t).left_out
    for i in (0, 7):
        rest = np.arange(len(t)) != i
        one = learn_process(drivers, X[rest], t[rest]).at(np.vstack([X[i], X[i] + 9.0])).rows(slice(0, 1))
        same_chances(told, i, one, t[i], 1e-9)
