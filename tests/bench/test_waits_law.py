import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from estimator.bench.waits import Lent, Said, WaitLaw, WaitsSeen, learn, no_wait

FINE = 4000


def rng(seed=1):
    return np.random.default_rng(seed)


def exact(*days):
    return WaitsSeen.of([(d - 1, d, True) for d in days])


NOTHING = WaitsSeen.of([])


def one(lent, seen=NOTHING, said=(), *, apart=0.3, n=FINE):
    return learn([lent], [seen], said, shops_apart=apart, rng=rng(), n_draws=n)[0]


# ---- drawing


def test_draws_are_the_lognormal_of_its_numbers():
    law = WaitLaw(np.array([math.log(20.0)]), np.array([0.4]))
    drawn = np.log(law.draw(rng(), 40_000))
    assert drawn.mean() == pytest.approx(math.log(20), abs=0.01)
    assert drawn.std() == pytest.approx(0.4, abs=0.01)


def test_boards_that_stand_by_one_law_share_what_is_not_known_of_it():
    law = WaitLaw(np.log([1.0, 10.0, 100.0]), np.zeros(3))
    assert law.draw(rng(1), 7).round(9).tolist() == [1, 10, 100, 1, 10, 100, 1]


def test_no_wait_is_0_days_also_later_on():
    assert no_wait(5).draw(rng(), 9).tolist() == [0.0] * 9
    assert no_wait(5).draw_given(3.0, rng(), 9).tolist() == [0.0] * 9


# By the definition of a conditional law: draws that outlast the days so far, those days taken off.
@pytest.mark.parametrize("so_far", [0.0, 5.0, 20.0, 40.0])
def test_days_still_to_come_are_those_of_draws_that_last_so_long(so_far):
    law = WaitLaw(np.log(np.array([12.0, 30.0])), np.array([0.5, 0.3]))
    all_ = law.draw(rng(2), 400_000)
    slowly = all_[all_ > so_far] - so_far
    drawn = law.draw_given(so_far, rng(3), 100_000)
    points = [0.05, 0.25, 0.5, 0.75, 0.95]
    np.testing.assert_allclose(np.quantile(drawn, points), np.quantile(slowly, points), rtol=0.04, atol=0.05)


def test_a_board_that_stands_for_longer_than_any_law_allows_stands_on():
    law = WaitLaw(np.log(np.full(50, 2.0)), np.full(50, 0.1))
    left = law.draw_given(500.0, rng(), 1000)
    assert np.isfinite(left).all()
    assert left.min() > 0
    assert 1 < np.median(left) < 50


def test_some_draws_of_no_wait_are_no_draws_of_a_board_that_stands():
    law = WaitLaw(np.array([-np.inf, math.log(9.0)]), np.array([0.0, 0.3]))
    assert (law.draw(rng(), 10)[::2] == 0).all()
    assert law.draw_given(4.0, rng(), 100).min() > 0


# ---- learning


def test_a_lent_range_holds_8_in_10_of_days_and_more_for_what_is_not_known():
    lent = Lent.between(14, 45)
    days = one(lent).draw(rng(), 40_000)
    assert np.median(days) == pytest.approx(math.sqrt(14 * 45), rel=0.03)
    inside = ((days > 14) & (days < 45)).mean()
    spread = math.hypot(lent.spread, 0.3, 0.2)
    assert inside == pytest.approx(2 * NormalDist(0, spread).cdf(math.log(45) - lent.centre) - 1, abs=0.03)
    assert inside < 0.8


def test_a_low_end_of_no_days_is_a_tenth_of_the_high_one():
    assert Lent.between(0, 10).centre == pytest.approx(math.log(math.sqrt(10)))
    assert Lent.between(0, 10).spread == pytest.approx(math.log(10) / 2 / 1.2815516)  # the usual table's z
    assert Lent.between(2, 10).centre == pytest.approx(math.log(math.sqrt(20)))


# Slowly: the same posterior by sums over a fine grid with the exact normal law, the shift taken together with the
# grade's own part, since one grade has both.
def slowly(lent, cases, apart):
    centre, width = np.linspace(lent.centre - 2, lent.centre + 2, 801)[:, None], np.linspace(-3, 3, 301)
    spread = np.exp(math.log(lent.spread) + 0.4 * width)
    log = stats.norm.logpdf(centre, lent.centre, math.hypot(apart, 0.2)) - 0.5 * width**2
    for over, most, sure in cases:
        above = stats.norm.cdf(math.log(most), centre, spread) if most < np.inf else 1.0
        below = stats.norm.cdf(math.log(over), centre, spread) if over > 0 else 0.0
        log = log + np.log(np.maximum(above - below + (0 if sure else 0.05 * below), 1e-300))
    share = np.exp(log - log.max())
    share /= share.sum()
    middle = (share * centre).sum()
    sd = math.sqrt((share * (centre - middle) ** 2).sum())
    return middle, sd, (share * np.log(spread)).sum()


@pytest.mark.parametrize(
    "cases",
    [
        [],
        [(d - 1, d, True) for d in (9, 12, 14, 15, 20, 33, 9, 12)],
        [(4, 12, True), (0, 9, True), (20, np.inf, True), (11, 12, True)],
        [(d - 1, d, False) for d in (6, 7, 7, 8, 8, 9, 30)],
        [(6, 7, True)] * 40,
    ],
)
def test_learned_as_by_a_slow_sum(cases):
    lent = Lent.between(5, 16)
    law = one(lent, WaitsSeen.of(cases), n=20_000)
    middle, sd, spread = slowly(lent, cases, 0.3)
    assert law.log_median.mean() == pytest.approx(middle, abs=0.012)
    assert law.log_median.std() == pytest.approx(sd, rel=0.06)
    assert np.log(law.log_sd).mean() == pytest.approx(spread, abs=0.03)
    assert law.cases == len(cases)


def test_what_is_learned_of_one_grade_moves_the_others_by_what_they_share():
    lent = [Lent.between(5, 16), Lent.between(14, 45)]
    cases = exact(*[5] * 30)  # 8.9 held, 4.5 seen
    seen, unseen = learn(lent, [cases, NOTHING], shops_apart=0.3, rng=rng(), n_draws=FINE)
    alone = one(lent[1])
    off = seen.log_median.mean() - lent[0].centre
    moved = unseen.log_median.mean() - alone.log_median.mean()
    # of a normal prior the shared part takes .3² of the .3² + .2² that the seen one has moved by
    assert moved == pytest.approx(off * 0.09 / 0.13, abs=0.05)


def test_a_rule_moves_the_middle_and_a_rule_far_off_moves_it_little():
    lent = Lent.between(14, 45)
    near, far = (one(lent, said=[Said(lent.centre + by, 0.2, (0,))]) for by in (-0.3, -3.0))
    alone = one(lent).log_median.mean()
    assert -0.25 < near.log_median.mean() - alone < -0.1
    assert abs(far.log_median.mean() - alone) < 0.15
    both = learn(
        [lent, lent],
        [NOTHING, NOTHING],
        [Said(lent.centre - 0.3, 0.2, (0, 1))],
        shops_apart=0.3,
        rng=rng(),
        n_draws=FINE,
    )
    assert [law.log_median.mean() < lent.centre - 0.1 for law in both] == [True, True]


def test_a_rule_weighs_as_a_slow_sum_has_it():
    lent = Lent.between(14, 45)
    shift = np.linspace(-3, 3, 6001)
    says = stats.t.pdf((-0.5 - shift) / math.hypot(0.05, 0.2), 3)
    share = stats.norm.pdf(shift, 0, 0.3) * says
    law = one(lent, said=[Said(lent.centre - 0.5, 0.05, (0,))], n=40_000)
    assert law.log_median.mean() - lent.centre == pytest.approx((share * shift).sum() / share.sum(), abs=0.01)


def test_many_boards_say_it_louder_than_a_rule_that_is_wrong():
    lent = Lent.between(14, 45)
    boards = rng(7).lognormal(math.log(21), 0.4, 20)
    law = one(lent, exact(*np.ceil(boards)), [Said(math.log(7.7), 0.3, (0,))])
    assert np.median(np.ceil(law.draw(rng(), FINE))) == pytest.approx(np.median(np.ceil(boards)), rel=0.12)


@given(st.lists(st.integers(1, 60), max_size=8), st.integers(2, 5))
def test_in_other_units_everything_is_so_many_times_as_long(days, times):
    cases = [(d - 1.0, float(d), True) for d in days]
    lent = Lent.between(5, 16)
    law = one(lent, WaitsSeen.of(cases), n=300)
    many = one(
        Lent(lent.centre + math.log(times), lent.spread),
        WaitsSeen.of([(times * a, times * b, c) for a, b, c in cases]),
        n=300,
    )
    np.testing.assert_allclose(many.log_median, law.log_median + math.log(times), atol=1e-6)
    np.testing.assert_allclose(many.log_sd, law.log_sd)


@given(st.lists(st.integers(4, 30), max_size=6), st.integers(4, 30))
def test_a_board_that_still_stands_makes_it_longer(days, so_far):
    lent, cases = Lent.between(5, 16), [(d - 1, d, True) for d in days]
    without = one(lent, WaitsSeen.of(cases), n=1000)
    standing = one(lent, WaitsSeen.of([*cases, (so_far, np.inf, True)]), n=1000)
    assert standing.log_median.mean() > without.log_median.mean() - 0.02
    at_once = one(lent, WaitsSeen.of([*cases, (0.0, so_far, True)]), n=1000)
    assert at_once.log_median.mean() < standing.log_median.mean()


def test_a_case_beyond_all_reason_does_not_break_it():
    law = one(Lent.between(5, 16), exact(7, 8, 9, 10, 3000))
    assert np.isfinite(law.log_median).all()
    assert np.isfinite(law.log_sd).all()


def test_the_same_seed_gives_the_same_law():
    a, b = (one(Lent.between(5, 16), exact(7, 8), n=50) for _ in range(2))
    assert (a.log_median == b.log_median).all()
    assert (a.log_sd == b.log_sd).all()
