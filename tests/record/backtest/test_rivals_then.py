"""Other ways of saying hours, from what was known on the day."""

import numpy as np
import pytest
import statsmodels.api as sm

from estimator.model.saved_fit import KnownBoard
from estimator.record.backtest.rivals import guess_times_usual_ratio, median_of_past, rivals_then
from estimator.record.backtest.track_record import CORRECTED, MEDIAN, REGRESSION
from estimator.words.records import FINISHED, ON_BENCH
from estimator.words.settings.schema import Driver, Modifier, Settings

PROBS = (0.1, 0.5, 0.9)
SETTINGS = Settings(
    drivers={name: Driver(name) for name in ("area", "colours", "logos")}, modifiers={"wet": Modifier("wet")}
)


def past(n, seed=1):
    rng = np.random.default_rng(seed)
    boards = []
    for i in range(n):
        area, colours, logos = rng.uniform(0.5, 3), int(rng.poisson(1.5)), int(rng.integers(0, 3))
        hours = 4 * (1 + area) ** 1.2 * (1 + colours) ** 0.5 * np.exp(0.2 * rng.standard_normal())
        boards.append(
            KnownBoard(
                f"p{i}", state=FINISHED, length_m=2.4, hours=float(hours), guess=float(hours / 1.3),
                assessed={"area": float(area), "colours": float(colours), "logos": float(logos), "wet": 0.0},
            )
        )  # fmt: skip
    return boards


NEXT = KnownBoard(
    "n", length_m=2.4, guess=20.0, assessed={"area": 2.0, "colours": 2.0, "logos": 1.0, "wet": 1.0}
)


def test_each_is_the_rival_that_it_names():
    boards = past(30)
    said = rivals_then(boards, NEXT, SETTINGS, PROBS)
    took = [b.hours for b in boards]
    assert said[MEDIAN] == pytest.approx(median_of_past(took).quantiles([[0.0]], PROBS)[0])
    usual = guess_times_usual_ratio([b.guess for b in boards], took)
    assert said[CORRECTED] == pytest.approx(usual.quantiles([20.0], PROBS)[0])


def test_the_regression_is_least_squares_on_logs_as_statsmodels_has_it():
    boards = past(30)
    said = rivals_then(boards, NEXT, SETTINGS, PROBS)
    names = ("area", "colours", "logos")  # length and wet are the same on all past boards
    X = np.log1p([[b.assessed[name] for name in names] for b in boards])
    model = sm.OLS(np.log([b.hours for b in boards]), sm.add_constant(X)).fit()
    x = np.concatenate([[1.0], np.log1p([NEXT.assessed[name] for name in names])])[None, :]
    frame = model.get_prediction(x).summary_frame(alpha=0.2)
    mine = [frame["obs_ci_lower"].iloc[0], frame["mean"].iloc[0], frame["obs_ci_upper"].iloc[0]]
    assert np.log(said[REGRESSION]) == pytest.approx(mine)


def test_few_boards_give_few_columns_and_the_closest_come_first():
    boards = past(10)  # one column
    said = rivals_then(boards, NEXT, SETTINGS, PROBS)
    X = np.log1p([[b.assessed[name] for name in ("area", "colours", "logos")] for b in boards])
    y = np.log([b.hours for b in boards])
    best = int(np.argmax([abs(np.corrcoef(X[:, i], y)[0, 1]) for i in range(3)]))
    model = sm.OLS(y, sm.add_constant(X[:, [best]])).fit()
    at = np.log1p(NEXT.assessed[("area", "colours", "logos")[best]])
    assert np.log(said[REGRESSION][1]) == pytest.approx(model.params @ [1.0, at])


def test_too_few_boards_tell_nothing_and_unfinished_ones_do_not_count():
    boards = [*past(4), *(KnownBoard(f"o{i}", state=ON_BENCH, hours=9.0) for i in range(9))]
    assert rivals_then(boards, NEXT, SETTINGS, PROBS) == {}
    assert set(rivals_then(past(5), NEXT, SETTINGS, PROBS)) == {MEDIAN, CORRECTED}


def test_a_board_without_guess_has_no_corrected_guess():
    bare = KnownBoard("n", assessed=NEXT.assessed)
    assert CORRECTED not in rivals_then(past(30), bare, SETTINGS, PROBS)


def test_a_quantity_that_some_past_board_lacks_is_left_out():
    boards = past(30)
    boards[3] = KnownBoard("q", state=FINISHED, hours=20.0, assessed={"area": 1.0, "wet": 0.0})
    said = rivals_then(boards, NEXT, SETTINGS, PROBS)
    X = np.log1p([[b.assessed["area"]] for b in boards])
    model = sm.OLS(np.log([b.hours for b in boards]), sm.add_constant(X)).fit()
    assert np.log(said[REGRESSION][1]) == pytest.approx(model.params @ [1.0, np.log1p(2.0)])
