"""How sure a change is: nine times in ten must be nine times in ten."""

import datetime as dt
import math

import numpy as np
import pytest

from estimator.decide.quarter.pay import USUAL_CHANGE, Made, below, between, log_pays, shrunk

DAY = dt.date(2026, 8, 3)


def boards(pays, hours=None):
    hours = np.full(len(pays), 20.0) if hours is None else hours
    return [
        Made(str(n), "", "", DAY, float(h), True, float(pay * h), 0.0)
        for n, (pay, h) in enumerate(zip(pays, hours, strict=True))
    ]


def test_a_change_by_hand():
    """Halfway to nought where luck is as wide as true changes are: .2 becomes .1, with an sd of .0707."""
    change = shrunk(0.2, 0.1)
    assert change.shrunk == pytest.approx(0.1)
    assert change.how_sure == pytest.approx(0.92135, abs=1e-5)
    assert shrunk(-0.2, 0.1).how_sure == pytest.approx(change.how_sure)
    assert shrunk(0.0, 0.1).how_sure == pytest.approx(0.5)


def test_the_standard_error_of_pay_is_that_which_is_seen():
    """Pay of 400 groups of 12 boards with luck of .35: their logs spread as their standard errors say."""
    rng = np.random.default_rng(3)
    logs, ses = [], []
    for _ in range(400):
        group = boards(40 * np.exp(0.35 * rng.standard_normal(12)), rng.uniform(10, 90, 12))
        found = log_pays({"a": group})["a"]
        logs.append(found.log)
        ses.append(found.square)
    assert np.std(logs) == pytest.approx(np.sqrt(np.mean(ses)), rel=0.1)


def test_what_is_sure_nine_times_in_ten_is_right_nine_times_in_ten():
    """Shops whose pay changes by about a tenth, ten boards a year: of changes said to be sure, at most 1 in 10 is wrong."""
    rng = np.random.default_rng(11)
    right, said = 0, 0
    for _ in range(3000):
        true = USUAL_CHANGE * rng.standard_normal()
        now = boards(40 * np.exp(true + 0.25 * rng.standard_normal(10)))
        before = boards(40 * np.exp(0.25 * rng.standard_normal(10)))
        logs = log_pays({"now": now, "before": before})
        change = between(logs["now"], logs["before"])
        if change.how_sure >= 0.9:
            said += 1
            right += (change.shrunk > 0) == (true > 0)
    assert said > 100
    assert right / said >= 0.9 - 2 * (0.09 / said) ** 0.5


def test_log_pay_by_hand():
    """Boards of 10 and 30 hours at 20 and 80 an hour: a quarter of log 20 and three quarters of log 80."""
    found = log_pays({"a": boards([20.0, 80.0], [10.0, 30.0])})["a"]
    middle = (math.log(20) + 3 * math.log(80)) / 4
    rests = (math.log(20) - middle) ** 2 + (math.log(80) - middle) ** 2

    assert found.log == pytest.approx(middle)
    assert found.square == pytest.approx((4 * 0.35**2 + rests) / 5 * (1 + 9) / 16)


def test_a_loss_counts_as_a_tenth_of_the_middle():
    found = log_pays({"a": boards([40.0, 50.0, -8.0])})["a"]
    assert found.log == pytest.approx((math.log(40) + math.log(50) + math.log(4.5)) / 3)


def test_pay_against_what_is_wanted_is_that_of_all_hours_together():
    """A board of 30 hours at 20 an hour and one of 10 at 108: 42 an hour, though the middle of their logs is 30."""
    group = log_pays({"a": boards([20.0, 108.0], [30.0, 10.0])})["a"]

    assert group.together == pytest.approx(math.log(42.0))
    assert below(group, 42.0).raw == pytest.approx(0.0, abs=1e-12)
    assert below(log_pays({"a": boards([40.0, 50.0, -120.0])})["a"], 42.0).raw == pytest.approx(
        math.log(4.5 / 42)
    )


def test_what_is_surely_below_what_is_wanted_is_so_nine_times_in_ten():
    """Sorts of twenty boards whose pay for all hours lies about a fifth off what is wanted, either way."""
    rng = np.random.default_rng(5)
    right = said = 0
    for _ in range(2000):
        true = 0.2 * rng.standard_normal()
        pays = 42 * np.exp(true + 0.35 * rng.standard_normal(20) - 0.35**2 / 2)
        change = below(log_pays({"a": boards(pays, rng.uniform(10, 60, 20))})["a"], 42.0)
        if change.raw < 0 and change.how_sure >= 0.9:
            said += 1
            right += true < 0
    assert said > 100
    assert right / said >= 0.9


def test_a_level_is_drawn_less_to_what_is_wanted_than_a_change_to_none():
    """Pay of sorts lies .3 from what is wanted: what is told of them is as far off, on average, as it truly is."""
    rng = np.random.default_rng(8)
    true = 0.3 * rng.standard_normal(600)
    told = [
        below(log_pays({"a": boards(42 * np.exp(t + 0.35 * rng.standard_normal(9) - 0.06))})["a"], 42.0)
        for t in true
    ]
    slope = np.polyfit([change.shrunk for change in told], true, 1)[0]
    assert 0.9 < slope < 1.1  # 1.9 where levels were drawn in as changes from year to year are


def test_few_boards_are_not_compared_and_losses_have_no_logarithm():
    logs = log_pays({"a": boards([40.0]), "b": boards([-5.0, -6.0]), "c": boards([30.0, 34.0])})

    assert "b" not in logs
    assert between(logs["a"], logs["c"]) is None
    assert below(logs["c"], 42.0).shrunk < 0
    assert below(logs["c"], 0.0) is None
    assert below(None, 42.0) is None
