"""Lives of motorettes, some of them not ended: the law that waits are learned by, against its published fit."""

import math

import numpy as np
import pytest

from estimator.bench.waits import Lent, WaitsSeen, learn

# W. Nelson & G. J. Hahn (1972), Technometrics 14:247-276, the 30 motorettes above 150 degrees: lognormal lives,
# -10.471 + 8.322 x 1000/(273.2 + degrees), scale .604; at 130 degrees half are dead after 26095.677 hours, 1 in 10
# after 12033.185, 9 in 10 after 56592.20. As printed by the reference output of an R package.
SLOPE, SCALE = 8.322, 0.604
AT_130 = {0.1: 12033.185, 0.5: 26095.677, 0.9: 56592.20}


@pytest.fixture
def motors(published):
    """Hours as they would be at 130 degrees by the published slope, to one in a hundred; infinite where it ran on."""
    table = published("motors")
    hot = table["temp"] > 150
    warmer = 1000 / (273.2 + 130) - 1000 / (273.2 + table["temp"][hot])
    hours = table["time"][hot] * np.exp(SLOPE * warmer)
    dead = table["cens"][hot] == 1
    return WaitsSeen.of(
        [(h * 0.995, h * 1.005, True) if d else (h, np.inf, True) for h, d in zip(hours, dead, strict=True)]
    )


def test_middle_spread_and_ends_are_the_published_ones(motors):
    # hardly anything held beforehand: a middle ten times too low, within a factor of a hundred
    vague = Lent(math.log(AT_130[0.5] / 10), SCALE)
    (law,) = learn([vague], [motors], shops_apart=2.5, rng=np.random.default_rng(1), n_draws=4000)

    assert law.cases == 30
    assert np.median(law.log_median) == pytest.approx(math.log(AT_130[0.5]), abs=0.04)
    assert np.median(law.log_sd) == pytest.approx(SCALE, rel=0.05)
    days = law.draw(np.random.default_rng(2), 200_000)
    for share, hours in AT_130.items():
        assert (days <= hours).mean() == pytest.approx(share, abs=0.03)


def test_without_those_that_ran_on_it_would_be_too_short(motors):
    ended = np.isfinite(motors.most)
    short = WaitsSeen(motors.over[ended], motors.most[ended], motors.sure[ended])
    lent = Lent(math.log(AT_130[0.5]), SCALE)
    (law,) = learn([lent], [short], shops_apart=2.5, rng=np.random.default_rng(1))

    assert np.median(law.log_median) < math.log(AT_130[0.5]) - 0.2
