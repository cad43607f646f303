import datetime as dt
import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.bench import drying
from estimator.bench.drying import Scales, weighed_since
from estimator.bench.waits import WINTER_MONTHS, WaitLaw, Waits
from estimator.demo.workshop import make_shop
from estimator.words.records import Board, Entry, Log, Wait, WeightReading
from estimator.words.settings.schema import Modifier, Settings, Stage

MAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    modifiers={"wetness": Modifier("wetness", stages=("drying",), grades=("dry", "damp", "wet", "soaked"))},
    stages={
        "strip": Stage("strip"),
        "drying": Stage(
            "drying",
            after=("strip",),
            on="rack",
            wait_by={"wetness": ((0, 0), (5, 16), (14, 45), (35, 110))},
        ),
    },
)
SOAKED = WaitLaw(np.log(np.full(200, 50.0)), np.full(200, 0.45))


def rng(seed=1):
    return np.random.default_rng(seed)


def curve(days, dry_after, *, board=5.5, water=4.5, times=3.6, power=0.8):
    return [(float(t), board + water * math.exp(-((times * t / dry_after) ** power))) for t in days]


def days_until_dry(weighed, *, law=SOAKED, grade=3, wet_for=0.0, season=1.0, n=4000, seed=1, scales=None):
    return (scales or Scales()).dry_after(
        law, weighed, rng(seed), n, grade=grade, wet_for=wet_for, season=season
    )


def width(days):
    """Of the days in logs, at 8 in 10."""
    return np.subtract(*np.log(np.quantile(days, [0.9, 0.1])))


# ---- one board


def test_without_weighings_the_law_stands():
    alone = days_until_dry([], wet_for=20, season=1.35)
    law = 20 + 1.35 * SOAKED.draw_given(20 / 1.35, rng(), 4000)
    np.testing.assert_allclose(alone, law)


def test_in_winter_a_board_takes_so_many_times_as_long():
    weighed = curve(range(0, 21, 4), 45)
    slow = [(1.35 * days, kg) for days, kg in weighed]
    summer, winter = (days_until_dry(w, season=s) for w, s in ((weighed, 1.0), (slow, 1.35)))
    np.testing.assert_allclose(winter, 1.35 * summer)


@pytest.mark.parametrize("true", [30, 50, 100])
def test_a_curve_moves_the_day_and_narrows_it(true):
    weighed = curve(range(0, true // 2, 3), true)
    known = Scales(times_sd=0.15)  # as after a dozen boards
    alone = days_until_dry([], wet_for=true // 2)
    told = days_until_dry(weighed, wet_for=true // 2, scales=known)
    assert width(told) < 0.9 * width(alone)
    assert np.quantile(told, 0.1) < true < np.quantile(told, 0.9)
    assert abs(np.log(np.median(told) / true)) < max(abs(np.log(np.median(alone) / true)), 0.1)


def test_more_weighings_tell_more():
    three, ten = (
        days_until_dry(curve(np.linspace(0, 30, n), 60), wet_for=30, scales=Scales(times_sd=0.1))
        for n in (3, 30)
    )
    assert width(ten) < width(three)


def test_the_less_is_known_of_how_far_on_its_curve_a_board_is_dry_the_wider():
    weighed = curve(range(0, 31, 3), 60)
    sure, unsure = (days_until_dry(weighed, wet_for=30, scales=Scales(times_sd=sd)) for sd in (0.05, 0.6))
    assert width(sure) < 0.8 * width(unsure)


def test_a_board_is_not_dry_on_a_day_on_which_it_was_wet():
    assert days_until_dry(curve([0, 10, 20, 30], 30), wet_for=30).min() > 30


# Slowly: dry board and water summed over a fine grid of normal densities.
def test_the_fit_of_a_curve_as_by_a_slow_sum():
    weighed = [(0.0, 9.7), (5.0, 8.4), (12.0, 7.5)]
    board = np.linspace(-15, 30, 1501)[:, None]
    water = np.linspace(-10, 20, 1501)

    def slowly(time, power):
        log = -0.5 * ((board - drying.BOARD_KG) / drying.BOARD_SD_KG) ** 2 - 0.5 * ((water - 4.5) / 2.0) ** 2
        for days, kg in weighed:
            left = math.exp(-((days / time) ** power))
            log = log - 0.5 * ((kg - board - water * left) / drying.SCALE_SD_KG) ** 2
        return np.logaddexp.reduce(log.ravel())

    times, powers = np.array([4.0, 8.0, 14.0, 14.0]), np.array([0.8, 0.8, 0.8, 0.5])
    fit = drying._log_fit(weighed, times, powers, (4.5, 2.0))
    slow = np.array([slowly(t, p) for t, p in zip(times, powers, strict=True)])
    np.testing.assert_allclose(fit - fit[0], slow - slow[0], atol=0.02)


@settings(max_examples=30)
@given(st.integers(30, 90), st.integers(3, 9), st.floats(-1.5, 1.5), st.randoms(use_true_random=False))
def test_a_heavier_board_or_weighings_in_another_order_change_nothing(true, n, kg, random):
    weighed = curve(np.linspace(0, true / 2, n), true)
    other = [(days, weight + kg) for days, weight in weighed]
    random.shuffle(other)
    days, same = (days_until_dry(w, n=2000) for w in (weighed, other))
    np.testing.assert_allclose(np.median(same), np.median(days), rtol=0.08)


def test_so_little_water_that_the_scales_cannot_tell_leaves_the_law():
    damp = curve([0, 3, 5], 7, water=0.6)
    np.testing.assert_array_equal(days_until_dry(damp, grade=1), days_until_dry([], grade=1))
    much = curve([0, 3, 5], 30, water=4.5)  # it was wetter than it looked
    assert np.median(days_until_dry(much, grade=1)) != np.median(days_until_dry([], grade=1))
    backwards = days_until_dry(much[::-1], grade=1)
    np.testing.assert_allclose(backwards, days_until_dry(much, grade=1))


def test_where_the_grade_is_not_known_a_curve_tells_all_the_same():
    told = days_until_dry(curve(range(0, 31, 3), 60, water=3.0), grade=None, wet_for=30)
    assert width(told) < 0.8 * width(days_until_dry([], grade=None, wet_for=30))


def test_a_weighing_beyond_all_reason_does_not_break_it():
    days = days_until_dry([(0.0, 9.0), (3.0, 900.0), (6.0, 8.0)])
    assert np.isfinite(days).all()
    assert days.min() > 0


def test_the_same_seed_gives_the_same_days():
    weighed = curve([0, 5, 9], 40)
    np.testing.assert_array_equal(days_until_dry(weighed, seed=3), days_until_dry(weighed, seed=3))


# Common practice, no source: foam is dry when it loses less than half in a hundred of its weight in three days.
@pytest.mark.parametrize(("grade", "days"), [(1, 7), (2, 21), (3, 50)])
def test_lent_numbers_agree_with_how_dry_foam_is_known(grade, days):
    (_, then), (_, later) = curve([days, days + 3], days, water=drying.WATER_KG[grade])
    assert 0.003 < (then - later) / then < 0.008
    (_, then), (_, later) = curve([days / 3, days / 3 + 3], days, water=drying.WATER_KG[grade])
    assert (then - later) / then > 0.01


# ---- when to weigh


def test_a_board_is_weighed_at_once_then_when_a_loss_can_be_seen_then_when_it_may_be_dry():
    scales = Scales()
    dry = np.exp(np.log(50) + 0.45 * rng().standard_normal(4000))
    assert scales.weigh_again(dry, [], grade=3, today=0) == 0
    # 4.5 kg of water lose .42 kg within the first day: of 3.6 times in 50 days a fourteenth, to the power .8
    assert scales.weigh_again(dry, [(0.0, 10.0)], grade=3, today=0) == 1
    assert scales.weigh_again(dry, [(0.0, 10.0)], grade=3, today=9) == 0  # overdue
    assert 3 < scales.weigh_again(dry, [(12.0, 7.5)], grade=3, today=12) < 9
    soonest = math.ceil(np.quantile(dry, 0.1))
    assert scales.weigh_again(dry, [(25.0, 6.0)], grade=1, today=25) == soonest - 25
    assert scales.weigh_again(dry, [(90.0, 6.0)], grade=3, today=90) == 1


# ---- past boards


def shop(true_times, n=12, weighings=6, seed=3):
    """Boards that dried in about 50 days, so many times their curve's own; their scale is .05 kg off."""
    luck = rng(seed)
    boards, waits, weights = [], [], []
    for b in range(n):
        name, days = f"b{b}", int(50 * math.exp(0.4 * luck.standard_normal()))
        boards.append(Board(name, found={"wetness": 3.0}))
        waits.append(Wait(name, MAY, MAY + dt.timedelta(days=days), "drying"))
        for t, kg in curve(np.linspace(0, days, weighings).astype(int), days, water=3.0, times=true_times):
            kg_shown = kg + 0.05 * luck.standard_normal()
            weights.append(WeightReading(name, MAY + dt.timedelta(days=t), kg_shown))
    return Log(boards=tuple(boards), waits=tuple(waits), weighings=tuple(weights))


@pytest.mark.parametrize("times", [2.6, 3.6, 5.0])
def test_past_boards_tell_how_far_on_its_curve_a_board_is_called_dry(times):
    scales = Scales.of(shop(times), SETTINGS)
    assert math.exp(scales.times) == pytest.approx(times, rel=0.12)
    assert scales.times_sd < 0.2 < Scales().times_sd
    assert scales.boards == 12


def test_past_boards_tell_how_much_water_a_grade_holds():
    scales = Scales.of(shop(3.6), SETTINGS)
    assert set(scales.water) == {3}
    mean, sd = scales.water[3]
    assert mean == pytest.approx(3.0, rel=0.05)
    assert sd == pytest.approx(0.25 * mean)
    assert Scales.of(shop(3.6, n=2), SETTINGS).water == {}


def test_boards_weighed_too_seldom_or_not_yet_dry_tell_nothing():
    assert Scales.of(shop(3.6, weighings=2), SETTINGS).boards == 0
    assert Scales.of(shop(3.6, weighings=3), SETTINGS).boards == 12
    past = shop(3.6)
    at_once = replace(past, waits=tuple(replace(wait, until=wait.first) for wait in past.waits),
                      weighings=tuple(replace(one, date=MAY) for one in past.weighings))  # fmt: skip
    assert Scales.of(at_once, SETTINGS).boards == 0
    still = replace(past, waits=tuple(replace(wait, until=None) for wait in past.waits))
    assert Scales.of(still, SETTINGS).boards == 0
    nothing = Scales.of(Log(), SETTINGS)
    assert math.exp(nothing.times) == pytest.approx(3.6)
    assert nothing.times_sd == pytest.approx(Scales().times_sd, rel=0.03)
    assert Scales.of(past, Settings()).boards == 12  # a shop without grades has curves too


def test_weighings_are_counted_from_the_day_on_which_a_board_was_hung_up():
    days = [dt.timedelta(days=n) for n in (-3, 0, 4, 9)]
    weighings = [WeightReading("a", MAY + d, 8.0 - d.days / 10) for d in reversed(days)]
    log = Log(weighings=(*weighings, WeightReading("b", MAY, 3.0)))
    assert weighed_since(log, "a", MAY) == [(0.0, 8.0), (4.0, 7.6), (9.0, 7.1)]
    assert weighed_since(log, "a", MAY, MAY + days[2]) == [(0.0, 8.0), (4.0, 7.6)]


# ---- the invented workshop


def test_boards_on_the_scales_of_the_invented_workshop():
    """From what was weighed by half and by three quarters of the time; `tests/studies/study_drying.py` has many shops."""
    held, off = [], {"alone": [], "weighed": []}
    for seed in (1, 2, 3, 4):
        made = make_shop(seed)
        waits, scales = Waits.of(made.log, made.settings), Scales.of(made.log, made.settings)
        hung_up = [wait for wait in made.log.waits if wait.cause == "drying" and wait.until]
        for wait, part in product(hung_up, (0.5, 0.75)):
            grade = round(made.log.by_id[wait.board].found.get("wetness", 0))
            days = (wait.until - wait.first).days
            so_far = round(part * days)
            told = weighed_since(made.log, wait.board, wait.first, wait.first + dt.timedelta(days=so_far))
            if grade < 2 or len(told) < 2:
                continue
            more = {
                "grade": grade,
                "wet_for": so_far,
                "season": 1.35 if wait.first.month in WINTER_MONTHS else 1.0,
            }
            for name, weighed in (("alone", []), ("weighed", told)):
                drawn = scales.dry_after(waits.after("drying", grade), weighed, rng(), 2000, **more)
                spread = np.abs(drawn - rng(2).permutation(drawn)).mean()
                off[name].append(np.abs(drawn - days).mean() - spread / 2)
            low, high = np.quantile(np.ceil(drawn), [0.1, 0.9])
            held.append(low <= days <= high)
    assert len(held) > 60
    assert 0.75 < np.mean(held) < 0.98
    assert np.mean(off["weighed"]) < 0.97 * np.mean(off["alone"])


def test_scales_tell_something_from_a_kilogram_of_water_or_lost_from_the_first_weighing_to_the_last():
    """Damp foam holds .6 kg, dry foam .3, wet foam 1.8; of a grade that is not known 1.5."""
    scales = Scales()

    assert [scales.tell([], grade) for grade in (0, 1, 2, 3, None, 4)] == [
        False,
        False,
        True,
        True,
        True,
        True,
    ]
    assert scales.tell([(3.0, 9.0), (0.0, 10.0)], 1)
    assert not scales.tell(
        [(0.0, 9.0), (2.0, 9.5), (5.0, 8.2)], 1
    )  # that it was heavier meanwhile is an error
    assert drying._held(None, 2) == (1.8, 0.9)
    assert drying._held({2: (2.0, 0.4)}, 2) == (2.0, 0.4)


def test_the_next_weighing_is_when_the_mean_loss_since_the_last_one_can_be_seen_by_hand():
    """Half of the draws dry in 40 days, half in 200: of 4.5 kg .376 and .438 go within five and six days of day 12.

    Three times the error of a difference is .424. What was lost already tells of how much water there is.
    """
    scales, dry = Scales(), np.repeat([40.0, 200.0], 50)

    assert scales.weigh_again(dry, [(12.0, 7.5)], grade=3, today=12) == 6
    assert scales.weigh_again(dry, [(0.0, 10.0), (12.0, 7.5)], grade=3, today=12) == 6
    assert scales.weigh_again(dry, [(0.0, 12.0), (12.0, 7.5)], grade=1, today=12) == 6


def test_what_past_boards_on_the_scales_tell_by_hand():
    """Still wet on the fourth day and dry on the sixteenth: between 5 and 16 days, about the root of 80.

    Of boards that lost nothing the error of a weighing stands in; exp(-3.6^.8) of the water is left where one is dry.
    """
    rows = (Entry("a", MAY + dt.timedelta(4), "drying", 0.25, note="still wet"),
            Entry("a", MAY + dt.timedelta(16), "drying", 0.25, note="dry"))  # fmt: skip
    weights = tuple(WeightReading("a", MAY + dt.timedelta(n), 9.0 - n / 10) for n in (0, 4, 9))
    board = Board("a", found={"wetness": 3.0}, assessed={"wetness": 1.0})
    [(grade, days, weighed)] = drying._past_boards(
        Log((board,), rows, waits=(Wait("a", MAY, None, "drying"),), weighings=weights), SETTINGS
    )
    assert (grade, days, len(weighed)) == (3, pytest.approx(80**0.5), 3)

    none = (0, 5.0, ((0.0, 9.0), (5.0, 9.2)))
    [mean, sd] = drying._water([none] * 3)[0]
    assert (mean, sd) == pytest.approx((0.1066, 0.25 * 0.1066), abs=1e-4)
    assert drying._water([(None, 5.0, none[2])] * 3) == {}
