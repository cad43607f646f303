"""Sums of stages as one lognormal, against the sums themselves."""

import math

import numpy as np
import pytest

from estimator.model.matrices import CellBuilder, Layout
from estimator.model.stage_sums import Numbers, slopes, sums

LAYOUT = Layout(("a", "b", "c"), (("a", "x"), ("b", "x"), ("c", "x")), (("b", "m"),))
RATE, LOADING, NOISE = np.array([3.0, 8.0, 1.5]), np.array([0.25, 0.1, 0.3]), np.array([0.3, 0.2, 0.4])


def cells(*rows):
    """Rows of stage to quantity, those of one stage first; the condition of b is 1."""
    builder = CellBuilder(LAYOUT)
    for row, stages in enumerate(rows):
        for stage, amount in stages.items():
            builder.add(row, stage, {"x": amount}, {"m": 1.0} if stage == "b" else {})
    return builder.freeze(len(rows))


def numbers(effect=0.5):
    column = lambda values: np.array(values, dtype=float)[:, None]  # noqa: E731
    return Numbers(
        log_rate=column(np.log(RATE)),
        effect=column([effect]),
        loading=column(LOADING),
        noise=column(NOISE),
        drift=column([0.1, -0.2, 0.3]),
        lean=np.zeros(1),
        scale=np.ones(1),
    )


def test_one_stage_stays_exactly_what_it_is():
    s = sums(cells({"b": 2.0}), numbers())

    assert s.log_median[0, 0] == pytest.approx(math.log(16) + 0.5)
    assert (s.variance[0, 0], s.loading[0, 0], s.drift[0, 0]) == pytest.approx((0.04, 0.1, -0.2))


def test_a_sum_of_one_stage_is_that_stage():
    """As the formulas of a sum have it too."""
    alone, twice = (
        sums(cells({"b": 2.0}), numbers()),
        sums(cells({"b": 2.0}, {"b": 2.0, "a": 1e-12}), numbers()),
    )

    for name in ("log_median", "variance", "loading", "drift"):
        assert getattr(twice, name)[1, 0] == pytest.approx(getattr(alone, name)[0, 0], rel=1e-9)


def test_a_sum_has_the_mean_and_the_variance_of_its_stages_and_nearly_their_pull():
    stages = {"a": 2.0, "b": 1.0, "c": 4.0}
    s = sums(cells(stages), numbers())
    rng = np.random.default_rng(1)
    n = 400_000
    middle = np.array([6.0, 8 * math.exp(0.5), 6.0])[:, None]
    u = rng.standard_normal(n)
    luck = NOISE[:, None] * rng.standard_normal((3, n))
    even = (middle * np.exp(luck)).sum(axis=0)
    whole = (middle * np.exp(luck + LOADING[:, None] * u)).sum(axis=0)
    mu, v = s.log_median[0, 0], s.variance[0, 0]

    assert math.exp(mu + v / 2) == pytest.approx(even.mean(), rel=0.002)
    assert math.expm1(v) * math.exp(2 * mu + v) == pytest.approx(even.var(), rel=0.01)
    assert mu == pytest.approx(np.median(np.log(even)), abs=0.005)
    assert s.loading[0, 0] == pytest.approx(np.cov(np.log(whole), u)[0, 1], rel=0.03)


def test_slopes_are_those_of_the_numbers_of_the_rows():
    """Against differences, for any function of the rows: here a sum with weights."""
    made = cells({"a": 1.0}, {"a": 2.0, "b": 1.0}, {"b": 0.5, "c": 4.0, "a": 1.0})
    rng = np.random.default_rng(2)
    weights = {name: rng.standard_normal((3, 1)) for name in ("log_median", "variance", "loading", "drift")}
    n = numbers()

    def value(n):
        s = sums(made, n)
        return sum(float((w * getattr(s, name)).sum()) for name, w in weights.items())

    back = slopes(
        made, n, sums(made, n), by_median=weights["log_median"], by_variance=weights["variance"],
        by_loading=weights["loading"], by_drift=weights["drift"],
    )  # fmt: skip
    step = 1e-6
    for field, slope, on_log in (
        ("log_rate", back.log_rate, False),
        ("effect", back.effect, False),
        ("drift", back.drift, False),
        ("noise", back.log_noise, True),
        ("loading", back.log_loading, True),
    ):
        for i in range(len(slope)):
            sides = []
            for side in (step, -step):
                moved = numbers()
                at = getattr(moved, field)
                at[i] = at[i] * math.exp(side) if on_log else at[i] + side
                sides.append(value(moved))
            assert (sides[0] - sides[1]) / (2 * step) == pytest.approx(
                float(slope[i, 0]), rel=1e-5, abs=1e-8
            ), field
