"""Opening up first: finds are means over all that stays unknown, and eyes shut are worth nothing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.fits import SETTINGS, made_fit

from estimator.decide.weigh.open_first import (
    MOST_FINDS,
    Finds,
    Offer,
    chances_of,
    error_of,
    finds_of,
    mean_hours,
    opening_first,
)
from estimator.forecast.draws import Work, draw_hours

PLAIN = ((1.0, 1.0),)
USUAL = ((1.0, 0.95), (1.25, 0.7), (1.5, 0.4))
OFFER = Offer(price=1000.0, fee=80.0, credited=True, worth=40.0, target=42.0, requote=USUAL)


def finds(share, rest, materials=0.0, opening=2.0):
    rest = np.array(rest, dtype=float)
    return Finds(
        np.zeros(1, int), np.array(share), rest, np.broadcast_to(float(materials), rest.shape), opening
    )


ONE = finds([1.0], [20.0])


def test_with_nothing_shown_it_is_worth_less_than_nothing_by_what_it_costs():
    """However noisy the draws are: the fee that does not pay for its hours, and nothing else."""
    rng = np.random.default_rng(4)
    hours = rng.lognormal(3.0, 0.8, 4000)
    seen = finds_of(np.zeros((4000, 1)), hours, rng.lognormal(5, 0.5, 4000), np.full(4000, 2.0))
    for price in (200.0, 1200.0, 5000.0):
        offer = replace(OFFER, price=price, fee=0.0, requote=PLAIN)
        made = opening_first(seen, offer)

        assert made.seeing == 0
        mean = float(seen.share @ (seen.materials + 40 * seen.rest))
        cost = min(max(price - mean, 0.0), 80.0) - 80.0  # of 2 hours, unless the work goes on all the same
        assert made.value == pytest.approx(cost, abs=1e-9)
        assert made.value <= 0
        single = np.maximum(price - 40 * hours, 0).mean() - max(price - mean, 0)
        assert single > 0  # what the best of single draws would have made of it


def test_with_nothing_shown_the_risk_that_the_owner_goes_is_its_cost():
    made = opening_first(ONE, OFFER)  # 1,000 less 22 hours at 40 today; then 19 in 20 of 920 less 20 hours

    assert made.now == pytest.approx(120.0)
    assert made.first == pytest.approx(80 - 80 + 0.95 * (1000 - 80 - 800))
    assert made.value == pytest.approx(-6.0)
    assert made.becomes() == pytest.approx((0.95, 0.0, 0.05))


def test_no_more_is_asked_than_what_was_found_adds():
    made = opening_first(finds([0.8, 0.2], [20.0, 26.0]), OFFER)  # of a mean of 21.2

    times = 1 + 42 * 4.8 / 1000
    assert made.times == pytest.approx([1.0, times])
    assert made.chance == pytest.approx([0.95, np.interp(times, [1, 1.25], [0.95, 0.7])])


def test_a_find_that_nobody_pays_for_is_handed_back():
    made = opening_first(finds([0.5, 0.5], [10.0, 60.0]), replace(OFFER, requote=((1.0, 1.0), (1.2, 0.9))))

    assert made.times.tolist() == [1.0, 0.0]
    assert made.becomes() == pytest.approx((0.5, 0.0, 0.5))
    assert made.first == pytest.approx(0.5 * (920 - 400))


def test_a_fee_on_top_is_worth_the_fee_more_where_all_goes_on():
    offer = replace(OFFER, requote=PLAIN)
    top = opening_first(ONE, replace(offer, credited=False))

    assert top.first - opening_first(ONE, offer).first == pytest.approx(80.0)


@given(
    st.lists(st.tuples(st.floats(0.05, 1), st.floats(1, 100)), min_size=1, max_size=6),
    st.floats(100, 5000),
    st.lists(st.floats(0, 1), min_size=3, max_size=3),
    st.booleans(),
)
def test_what_is_seen_never_harms_and_owners_who_agree_oftener_never_harm(cases, price, chances, credited):
    shares = np.array([share for share, _ in cases])
    seen = finds(shares / shares.sum(), [rest for _, rest in cases], materials=30.0)
    requote = tuple(zip((1.0, 1.25, 1.5), sorted(chances, reverse=True), strict=True))
    offer = replace(OFFER, price=price, requote=requote, credited=credited)
    made = opening_first(seen, offer)

    assert made.seeing >= -1e-9
    assert opening_first(seen, offer.shifted(0.2)).first >= made.first - 1e-9
    assert opening_first(seen, offer.shifted(-0.2)).first <= made.first + 1e-9
    assert sum(made.becomes()) == pytest.approx(1.0)


@given(st.floats(0.01, 100))
def test_in_another_currency_it_is_as_many_times_as_much(times):
    seen = finds([0.7, 0.3], [20.0, 30.0], materials=50.0)
    other = finds([0.7, 0.3], [20.0, 30.0], materials=50.0 * times)
    offer = Offer(1000.0 * times, 80.0 * times, True, 40.0 * times, 42.0 * times, USUAL)

    assert opening_first(other, offer).value == pytest.approx(times * opening_first(seen, OFFER).value)


def test_draws_that_show_the_same_are_one_find():
    shown = np.array([[0.0, 1], [2, 0], [0, 1], [2, 0], [2, 0]])
    rest, materials = np.array([10.0, 20, 14, 22, 24]), np.array([1.0, 2, 3, 4, 6])
    seen = finds_of(shown, rest, materials, np.ones(5))

    assert seen.share.tolist() == [0.4, 0.6]
    assert seen.rest.tolist() == [12, 22]
    assert seen.materials.tolist() == [2, 4]
    assert seen.of.tolist() == [0, 1, 0, 1, 1]


def test_very_many_finds_are_put_together_by_what_they_cost():
    rng = np.random.default_rng(2)
    shown = rng.random((4000, 2))
    rest = 20 + 30 * shown[:, 0] + rng.standard_normal(4000)
    seen = finds_of(shown, rest, np.zeros(4000), np.ones(4000))

    assert len(seen.share) == MOST_FINDS
    assert seen.share @ seen.rest == pytest.approx(rest.mean())
    assert np.corrcoef(seen.rest[seen.of], 20 + 30 * shown[:, 0])[0, 1] > 0.99


def test_finds_agree_with_draws_made_anew_within_each():
    """Mean hours of a find in closed form, against nested draws of rates, pace and luck; and so is the worth."""
    n = 20_000
    fit = made_fit(n=400, unsure=0.2)
    rng = np.random.default_rng(3)
    values = {
        "area": 1.4,
        "pieces": rng.choice([0.0, 2.0, 9.0], n, p=[0.5, 0.3, 0.2]),
        "colours": 1.0,
        "brittle": rng.choice([0.0, 2.0], n),
        "masking": 1.0,
    }
    ones = np.ones(n, dtype=bool)
    happening = {"strip": ones, "infill": values["pieces"] > 0, "spray": ones, "check": ones}
    work = Work(values, happening, {}, frozenset())
    means = mean_hours(fit, values, chances_of(fit, work, SETTINGS), SETTINGS, n)
    shown = np.column_stack([values["pieces"], values["brittle"]])
    rest = means["infill"] + means["spray"] + means["check"]
    closed = finds_of(shown, rest, np.zeros(n), means["strip"])
    nested, opening = np.zeros((2, len(closed.share)))
    for k in range(len(closed.share)):
        at = np.flatnonzero(closed.of == k)[0]
        one = {q: float(np.asarray(v)[at]) if np.ndim(v) else v for q, v in values.items()}
        stages = [s for s in happening if s != "infill" or one["pieces"]]
        many = {s: np.ones(100_000, dtype=bool) for s in stages}
        drawn = draw_hours(fit, Work(one, many, {}, frozenset()), np.random.default_rng(k), 100_000)
        hours = dict(zip(drawn.stages, drawn.hours.mean(axis=1), strict=True))
        opening[k] = hours.pop("strip")
        nested[k] = sum(hours.values())

    assert len(closed.share) == 6
    assert closed.rest == pytest.approx(nested, rel=0.01)
    offer = Offer(1150.0, 250.0, True, 40.0, 42.0, USUAL)
    anew = Finds(closed.of, closed.share, nested, closed.materials, float(closed.share @ opening))
    made, slowly = opening_first(closed, offer), opening_first(anew, offer)
    assert made.seeing > 20
    assert made.value == pytest.approx(slowly.value, abs=6)
    assert made.seeing == pytest.approx(slowly.seeing, abs=6)


def test_the_error_is_that_of_a_mean_of_batches():
    values = np.random.default_rng(0).standard_normal(10)

    assert error_of(values) == pytest.approx(values.std(ddof=1) / 10**0.5)


def test_owners_who_agree_oftener_or_less_often_do_so_between_never_and_always():
    assert OFFER.shifted(0.2).requote == ((1.0, 1.0), (1.25, pytest.approx(0.9)), (1.5, pytest.approx(0.6)))
    assert OFFER.shifted(-0.5).requote == ((1.0, pytest.approx(0.45)), (1.25, pytest.approx(0.2)), (1.5, 0.0))
    moved = OFFER.shifted(0.1)
    assert (moved.price, moved.fee, moved.credited, moved.worth, moved.target) == (
        1000.0,
        80.0,
        True,
        40.0,
        42.0,
    )


def test_more_materials_that_are_found_may_be_asked_for_too():
    """As many hours either way, and 60 of materials half of the time: 30 more than on average."""
    seen = replace(finds([0.5, 0.5], [15.0, 15.0]), materials=np.array([0.0, 60.0]))

    assert opening_first(seen, OFFER).times == pytest.approx([1.0, 1.03])


def test_very_many_finds_are_not_put_together_by_the_luck_of_their_hours():
    """Hours spread by luck as far as by what is shown: within a find of ten they are off by 20 over the root of ten."""
    rng = np.random.default_rng(2)
    shown = rng.random((4000, 2))
    usual = 120 + 60 * shown[:, 0]
    seen = finds_of(shown, usual + 20 * rng.standard_normal(4000), np.zeros(4000), np.ones(4000))
    off = seen.rest - np.bincount(seen.of, usual) / np.bincount(seen.of)

    assert off.std() == pytest.approx(20 / 10**0.5, rel=0.15)
