"""Least squares against certified values and against tables printed in books.

Certified: NIST, Statistical Reference Datasets, linear regression (the data and all digits are theirs; the residual
standard deviations of Filip, Wampler 3-5 and NoInt2 are from memory and were recomputed in exact arithmetic).
"""

import numpy as np
import pytest

from estimator.record.backtest.rivals import learn_linear
from estimator.words.errors import NoAnswerError


def powers(x, highest):
    return np.column_stack([x**k for k in range(1, highest + 1)])


def numbers(fit):
    return np.append(fit.intercept, fit.slopes), np.append(fit.intercept_error, fit.slope_errors)


def test_norris(published):
    t = published("nist_norris")
    fit = learn_linear(t["x"], t["y"])
    b, sd = numbers(fit)

    assert b == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-9)
    assert sd == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-9)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-9)
    assert fit.r_squared == pytest.approx(0.999993745883712, rel=1e-9)


def test_longley(published):
    """Longley (1967), J. Am. Stat. Assoc. 62:819-841, as certified by NIST."""
    t = published("nist_longley")
    names = ("deflator", "gnp", "unemployed", "armed_forces", "population", "year")
    fit = learn_linear(np.column_stack([t[name] for name in names]), t["employment"])
    b, sd = numbers(fit)

    assert b == pytest.approx(
        [
            -3482258.63459582,
            15.0618722713733,
            -0.358191792925910e-01,
            -2.02022980381683,
            -1.03322686717359,
            -0.511041056535807e-01,
            1829.15146461355,
        ],
        rel=1e-10,
    )
    assert sd == pytest.approx(
        [
            890420.383607373,
            84.9149257747669,
            0.334910077722432e-01,
            0.488399681651699,
            0.214274163161675,
            0.226073200069370,
            455.478499142212,
        ],
        rel=1e-10,
    )
    assert fit.residual_sd == pytest.approx(304.854073561965, rel=1e-10)
    assert fit.r_squared == pytest.approx(0.995479004577296, rel=1e-10)


def test_filip_on_which_pseudo_inverses_lose_every_digit(published):
    t = published("nist_filip")
    X = powers(t["x"], 10)
    fit = learn_linear(X, t["y"])
    b, sd = numbers(fit)
    certified = [
        -1467.48961422980,
        -2772.17959193342,
        -2316.37108160893,
        -1127.97394098372,
        -354.478233703349,
        -75.1242017393757,
        -10.8753180355343,
        -1.06221498588947,
        -0.670191154593408e-01,
        -0.246781078275479e-02,
        -0.402962525080404e-04,
    ]

    assert b == pytest.approx(certified, rel=1e-6)
    assert sd == pytest.approx(
        [
            298.084530995537,
            559.779865474950,
            466.477572127796,
            227.204274477751,
            71.6478660875927,
            15.2897178747400,
            2.23691159816033,
            0.221624321934227,
            0.142363763154724e-01,
            0.535617408889821e-03,
            0.896632837373868e-05,
        ],
        rel=1e-6,
    )
    assert fit.residual_sd == pytest.approx(0.334801051324544e-02, rel=1e-6)
    plain = np.linalg.lstsq(np.column_stack([np.ones(len(X)), X]), t["y"], rcond=None)[0]
    assert np.abs(plain / certified - 1).max() > 0.1  # the trap is real


WAMPLER_SD = (
    2152.32624678170,
    2363.55173469681,
    779.343524331583,
    101.475507550350,
    5.64566512170752,
    0.112324854679312,
)


@pytest.mark.parametrize(
    ("y", "b", "noise", "rel"),
    [
        ("y1", [1.0] * 6, 0, 1e-6),
        ("y2", [10.0**-k for k in range(6)], 0, 1e-6),
        ("y3", [1.0] * 6, 1, 1e-6),
        ("y4", [1.0] * 6, 100, 1e-5),
        ("y5", [1.0] * 6, 10_000, 1e-4),
    ],
)
def test_wampler(published, y, b, noise, rel):
    """Wampler (1970), J. Am. Stat. Assoc. 65:549-565, as certified by NIST."""
    t = published("nist_wampler")
    fit = learn_linear(powers(t["x"], 5), t[y])
    found, sd = numbers(fit)

    assert found == pytest.approx(b, rel=rel)
    if noise:
        assert sd == pytest.approx([noise * s for s in WAMPLER_SD], rel=1e-9)
        assert fit.residual_sd == pytest.approx(noise * 2360.14502379268, rel=1e-9)
    else:
        assert fit.residual_sd < 1e-8


def test_pontius(published):
    t = published("nist_pontius")
    b, sd = numbers(learn_linear(powers(t["x"], 2), t["y"]))

    assert b == pytest.approx(
        [0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14], rel=1e-9
    )
    assert sd == pytest.approx(
        [0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16], rel=1e-9
    )


def test_lines_through_the_origin(published):
    t = published("nist_noint1")
    fit = learn_linear(t["x"], t["y"], intercept=False)

    assert fit.slopes == pytest.approx([2.07438016528926], rel=1e-12)
    assert fit.slope_errors == pytest.approx([0.165289256198347e-01], rel=1e-12)
    assert fit.residual_sd == pytest.approx(3.56753034006338, rel=1e-12)
    assert fit.r_squared == pytest.approx(0.999365492298663, rel=1e-12)  # of the squares about 0
    assert fit.intercept == fit.intercept_error == 0

    t = published("nist_noint2")
    fit = learn_linear(t["x"], t["y"], intercept=False)

    assert fit.slopes == pytest.approx([0.727272727272727], rel=1e-12)
    assert fit.slope_errors == pytest.approx([0.420827318078432e-01], rel=1e-12)
    assert fit.residual_sd == pytest.approx(0.369274472937998, rel=1e-12)


# D. C. Montgomery, E. A. Peck & G. G. Vining, Introduction to Linear Regression Analysis, 5th ed. (Wiley 2012):
# 25 deliveries, minutes on cases and feet (Examples 3.1, 3.9, 3.12; the interval is printed on p. 104), and
# 15 more (Table 11.3, p. 381).


@pytest.fixture
def deliveries(published):
    t = published("mpv_delivery")
    return np.column_stack([t["cases"], t["distance_ft"]]), t["minutes"]


def test_the_book_s_interval_for_a_new_delivery(deliveries):
    fit = learn_linear(*deliveries)
    b, sd = numbers(fit)

    assert b == pytest.approx([2.34123115, 1.61590721, 0.01438483], abs=5e-9)  # from memory, and recomputed
    assert sd == pytest.approx([1.096730, 0.170735, 0.003613], abs=5e-7)
    assert fit.residual_sd**2 == pytest.approx(10.6239, abs=5e-4)  # printed; the data give 10.62417
    assert fit.r_squared == pytest.approx(0.9596, abs=5e-5)
    assert fit.median([[8, 275]]) == pytest.approx([19.22], abs=5e-3)
    assert fit.quantiles([[8, 275]], [0.025, 0.975])[0] == pytest.approx([12.28, 26.16], abs=5e-3)
    assert fit.quantiles([[8, 275]], [0.025, 0.975])[0] == pytest.approx([12.284559, 26.164073], abs=5e-7)
    # The book prints 0.05346 for this distance; its own data give 0.0539725518.
    assert fit.columns.leverage([[8, 275]]) == pytest.approx([0.0539725518], abs=5e-11)


def test_the_book_s_line_on_cases_alone(deliveries):
    X, y = deliveries
    fit = learn_linear(X[:, 0], y)
    b, sd = numbers(fit)

    assert b == pytest.approx([3.321, 2.1762], abs=5e-4)
    assert sd == pytest.approx([1.371, 0.1240], abs=5e-4)
    assert fit.residual_sd == pytest.approx(4.18140, abs=5e-6)
    assert fit.r_squared == pytest.approx(0.930, abs=5e-4)


def test_how_far_each_delivery_lies_from_the_others(deliveries):
    """Leverages, Cook's distance, R-student, PRESS: Example 6.1 of the book and after."""
    X, y = deliveries
    fit = learn_linear(X, y)
    h = fit.columns.leverage(X)
    left = y - fit.median(X)
    residual = left[8] / (fit.residual_sd * np.sqrt(1 - h[8]))
    without = learn_linear(np.delete(X, 8, 0), np.delete(y, 8))
    student = left[8] / (without.residual_sd * np.sqrt(1 - h[8]))
    press = float(((left / (1 - h)) ** 2).sum())

    assert h[:6] == pytest.approx(
        [0.10180178, 0.07070164, 0.09873476, 0.08537479, 0.07501050, 0.04286693], abs=5e-9
    )
    assert h[[8, 21]] == pytest.approx([0.49829, 0.39158], abs=5e-6)
    assert h.sum() == pytest.approx(3, rel=1e-12)
    assert residual**2 / 3 * h[8] / (1 - h[8]) == pytest.approx(3.41835, abs=2e-3)
    assert student == pytest.approx(4.31078, abs=5e-6)
    assert student * np.sqrt(h[8] / (1 - h[8])) == pytest.approx(4.2961, abs=5e-5)
    assert press == pytest.approx(459.0393, abs=5e-5)
    # left out one at a time, the slow way
    slow = [y[i] - learn_linear(np.delete(X, i, 0), np.delete(y, i)).median(X[[i]])[0] for i in range(25)]
    assert left / (1 - h) == pytest.approx(slow, rel=1e-9)


def test_points_outside_the_deliveries_though_each_quantity_is_inside(deliveries):
    """Section 3.8, Examples 3.13 and 3.14 of the book; distances from memory, and recomputed."""
    X, _ = deliveries
    distance = learn_linear(*deliveries).columns.leverage

    assert distance(X).max() == pytest.approx(0.49829, abs=6e-6)
    assert distance([[20, 250], [28, 500], [8, 1200]]) == pytest.approx([0.58917, 0.89874, 0.86736], abs=6e-6)


def test_fifteen_further_deliveries(deliveries, published):
    """Sums recomputed from the printed tables; the book's rounded coefficients give about 332.28."""
    t = published("mpv_delivery_new15")
    fit = learn_linear(*deliveries)
    X = np.column_stack([t["cases"], t["distance_ft"]])
    left = t["minutes"] - fit.median(X)
    low, high = fit.quantiles(X, [0.025, 0.975]).T

    assert float(left @ left) == pytest.approx(331.83226, abs=5e-6)
    assert ((low <= t["minutes"]) & (t["minutes"] <= high)).sum() == 14


def test_a_thermometer_s_correction(published):
    """JCGM 100:2008 (GUM), Annex H.3: data of Table H.6; results from memory, and recomputed."""
    t = published("gum_h3")
    fit = learn_linear(t["t"] - 20, t["b"])
    at_30 = fit.residual_sd * np.sqrt(fit.columns.leverage([10.0]))

    assert (fit.intercept, fit.intercept_error) == pytest.approx((-0.1712, 0.0029), abs=5e-5)
    assert (fit.slopes[0], fit.slope_errors[0]) == pytest.approx((0.00218, 0.00067), abs=5e-6)
    assert fit.residual_sd == pytest.approx(0.0035, abs=5e-5)
    assert (fit.median([10.0])[0], at_30[0]) == pytest.approx((-0.1494, 0.0041), abs=5e-5)


def test_weighted_rows(published):
    """S. Weisberg, Applied Linear Regression, 3rd ed. (2005), Table 5.1; the data are from memory."""
    t = published("weisberg_physics")
    root = 1 / t["sd"]
    fit = learn_linear(np.column_stack([root, root * t["x"]]), root * t["y"], intercept=False)

    assert fit.slopes == pytest.approx([148.4732, 530.8354], abs=5e-5)
    assert fit.slope_errors == pytest.approx([8.079, 47.55], abs=5e-3)
    assert fit.residual_sd == pytest.approx(1.657, abs=5e-4)
    assert fit.spare == 8


def test_a_prior_told_as_mean_times_at_settings_is_worth_so_many_rows(deliveries):
    """Conditional means: Bedrick, Christensen & Johnson (1996), J. Am. Stat. Assoc. 91:1450-1460 (theorem; numbers ours)."""
    X, y = deliveries
    told, minutes, worth = (
        np.array([[5, 200], [15, 500], [25, 1200]]),
        np.array([14, 33, 60]),
        np.array([4, 2, 1]),
    )
    root = np.sqrt(np.append(np.ones(25), worth))
    A = np.column_stack([np.ones(28), np.vstack([X, told])])
    fit = learn_linear(A * root[:, None], np.append(y, minutes) * root, intercept=False)
    P = A[25:].T @ (worth[:, None] * A[25:])
    D = A[:25].T @ A[:25]
    conjugate = np.linalg.solve(P + D, A[25:].T @ (worth * minutes) + A[:25].T @ y)

    assert fit.slopes == pytest.approx([2.50047489, 1.59791241, 0.01449505], abs=5e-9)
    assert fit.slopes == pytest.approx(conjugate, rel=1e-9)


def test_as_many_columns_as_rows_through_the_origin_is_no_answer():
    with pytest.raises(NoAnswerError, match="2 past jobs cannot tell 2 quantities apart"):
        learn_linear([[1, 2], [3, 5]], [1, 2], intercept=False)
