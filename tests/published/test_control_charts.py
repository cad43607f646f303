"""The running mean and its limits against published examples and tables."""

import numpy as np
import pytest

from estimator.decide.quarter.control_chart import (
    OF_TWO,
    average_run_length,
    mean_limit,
    single_limits,
    weighted_means,
)
from estimator.decide.quarter.pay import variances

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: weight .3, from 50, standard deviation 2.0539, three of them
START, SD, ABOVE, BELOW = 50.0, 2.0539, 52.5884, 47.4115
# the same, 6.3.2.2: ten flow rates, their mean, mean moving range and limits (divisor 1.128)
FLOWS = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
MEAN, MOVING, UPPER, LOWER = 50.81, 1.8778, 55.8041, 45.8159
# Montgomery, Introduction to Statistical Quality Control: a chart of single values with limits at three sigma
SHEWHART = {0.0: 370.4, 1.0: 43.9}


def test_the_handbooks_moving_average_and_its_limits(published):
    table = published("nist_ewma")

    line = weighted_means(table["y"], 0.3, START)
    assert line == pytest.approx(table["ewma"], abs=0.0051)
    reach = mean_limit(SD, 0.3, 3.0)
    assert START + reach == pytest.approx(ABOVE, abs=1e-4)
    assert START - reach == pytest.approx(BELOW, abs=1.1e-4)
    assert (np.abs(line - START) < reach).all()  # no signal


def test_the_handbooks_chart_of_single_values():
    low, mean, high = single_limits(FLOWS)

    assert mean == pytest.approx(MEAN)
    assert np.abs(np.diff(FLOWS)).mean() == pytest.approx(MOVING, abs=1e-4)
    # with 1.128 in place of 1.12838, as printed
    assert (high - mean) * OF_TWO / 1.128 + mean == pytest.approx(UPPER, abs=2e-4)
    assert mean - (mean - low) * OF_TWO / 1.128 == pytest.approx(LOWER, abs=2e-4)


@pytest.mark.parametrize(("column", "weight", "limit"), [("l05", 0.5, 3.071), ("l003", 0.03, 2.437)])
def test_average_run_lengths_of_lucas_and_saccucci(published, column, weight, limit):
    table = published("lucas_saccucci_ewma_arl")

    for shift, length in zip(table["shift"], table[column], strict=True):
        # three figures are printed
        assert average_run_length(shift, weight, limit) == pytest.approx(length, rel=0.003)


def test_with_all_the_weight_on_the_newest_it_is_shewharts_chart():
    for shift, length in SHEWHART.items():
        assert average_run_length(shift, 1.0, 3.0) == pytest.approx(length, abs=0.05)


def test_ours_gives_a_false_alarm_in_371_boards():
    # weight .2 at 2.86: our own recomputation, by the same equation and by playing it below
    assert average_run_length(0.0) == pytest.approx(371.1, abs=0.1)
    rng = np.random.default_rng(1)
    lengths = []
    for _ in range(400):
        line, boards = 0.0, 0
        while abs(line) <= mean_limit():
            line = 0.2 * rng.standard_normal() + 0.8 * line
            boards += 1
        lengths.append(boards)
    assert np.mean(lengths) == pytest.approx(371, abs=3 * 371 / 20)


def test_labour_and_material_variances():
    """Horngren, Datar & Rajan, Cost Accounting, chapter 7, Webb Company; from memory, recomputed."""
    labour = variances(9000, 22, 8000, 20)
    assert (labour.rate, labour.hours, labour.total) == (18_000, 20_000, 38_000)
    material = variances(22_200, 28, 20_000, 30)
    assert (material.rate, material.hours, material.total) == (-44_400, 66_000, 21_600)
