"""Least squares on nine tables of work whose regressions were printed; the tables themselves are from memory.

Each expectation is as printed in the work named, as far as it is remembered; a table with one wrong figure would not
give it. Of the tenth table, of 18 software projects, no regression by least squares was printed.
"""

import numpy as np
import pandas as pd
import pytest
from studies.real_tables import HERE

from estimator.record.backtest.rivals import learn_linear

# file: intercept, slopes, residual standard deviation, R squared; every figure to the digits printed
PRINTED = {
    # Kutner, Nachtsheim, Neter & Li (2005), chapter 1: 62.37 + 3.5702 x, mean square 2384
    "lots_of_parts": ("62.37", ["3.5702"], "48.82", "0.8215"),
    # the same, problem 1.20: -.580 + 15.035 x, mean square 79.45
    "copiers": ("-0.5802", ["15.0352"], "8.914", "0.957"),
    # the same, problem 6.10
    "warehouse_weeks": ("4149.89", ["0.00079", "-13.166", "623.55"], "143.3", "0.688"),
    # Chatterjee & Hadi (2006), table 2.9: 4.162 + 15.509 x
    "computers_mended": ("4.162", ["15.509"], "5.392", "0.987"),
    # Montgomery, Peck & Vining (2012), section 2.11: -.0938 + .4071 x
    "shelves": ("-0.0938", ["0.4071"], "0.3051", "0.9947"),
    # Myers (1990), section 5.1
    "officers_quarters": (
        "134.968",
        ["-1.28377", "1.80351", "0.669150", "-21.4226", "5.61923", "-14.4803", "29.3248"],
        "455.167",
        "0.9613",
    ),
    # the same, section 4.8
    "hospitals": (
        "1962.948",
        ["-15.8517", "0.05593", "1.58962", "-4.21867", "-394.314"],
        "642.088",
        "0.9908",
    ),
}


@pytest.mark.parametrize("file", PRINTED)
def test_printed_regressions_follow_from_the_tables(file):
    data = pd.read_csv(HERE / f"{file}.csv").to_numpy(float)
    line = learn_linear(data[:, 1:], data[:, 0])
    intercept, slopes, sd, r_squared = PRINTED[file]
    got = [line.intercept, *line.slopes, line.residual_sd, line.r_squared]
    for value, printed in zip(got, [intercept, *slopes, sd, r_squared], strict=True):
        digits = len(printed.partition(".")[2])
        assert value == pytest.approx(float(printed), abs=0.5001 * 10**-digits), printed


def test_shelves_without_an_intercept():
    # Montgomery, Peck & Vining (2012), section 2.11: .4026 x
    data = pd.read_csv(HERE / "shelves.csv").to_numpy(float)
    line = learn_linear(data[:, 1:], data[:, 0], intercept=False)
    assert round(float(line.slopes[0]), 4) == 0.4026


def test_hours_of_software_by_function_points():
    # A. J. Albrecht & J. E. Gaffney (1983): hours = 54 x function points - 13390
    data = pd.read_csv(HERE / "software_24.csv")
    line = learn_linear(data["function_points"], data["khours"])
    assert int(1000 * line.slopes[0]) == 54
    assert round(1000 * line.intercept, -1) == -13390


def test_means_of_software_projects():
    # C. F. Kemerer (1987), table of the projects: means 219.25 months, 186.57 thousand lines, 999.14 points
    means = pd.read_csv(HERE / "software_15.csv").mean().round(2)
    assert means[["months", "klines", "function_points"]].tolist() == [219.25, 186.57, 999.14]


def test_all_tables_hold_numbers_of_zero_or_more():
    for file in sorted(HERE.glob("*.csv")):
        data = pd.read_csv(file).to_numpy(float)
        assert np.isfinite(data).all()
        assert (data >= 0).all()
        assert (data[:, 0] > 0).all()
