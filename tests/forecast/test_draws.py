"""Draws of a board's stages against closed forms, brute force, and what must always hold."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.fits import RATES, SETTINGS, made_fit, work

from estimator.forecast.calibration import Stretch
from estimator.forecast.draws import Drawn, Work, draw_hours, usual_hours

BOARD = {"area": 2.0, "pieces": 3.0, "colours": 2.0, "brittle": 1.0, "masking": 2.0}
STAGES = ("strip", "infill", "spray")
MEDIANS = {"strip": 7 * math.exp(0.3), "infill": 4.5, "spray": 20 * math.exp(0.4)}
SEEN = np.random.default_rng


def drawn(fit, to_do, seed=1, n=20_000):
    return draw_hours(fit, to_do, SEEN(seed), n)


def by_stage(result):
    return dict(zip(result.stages, result.hours, strict=True))


# ---- nothing booked


def test_medians_are_work_times_conditions():
    """Half a board's draws of a stage lie below the sum of its parts times the factors of its conditions."""
    hours = by_stage(drawn(made_fit(), work(BOARD, STAGES, n=200_000), n=200_000))

    assert {s: np.median(h) for s, h in hours.items()} == pytest.approx(MEDIANS, rel=0.01)


def test_stages_go_together_as_their_shared_pace_says():
    """Mean and variance of a sum of lognormals with one shared part, in closed form."""
    loading = np.array([0.3, 0.1, 0.25, 0.2, 0.2])
    noise = np.array([0.2, 0.4, 0.3, 0.3, 0.3])
    n = 400_000
    total = drawn(made_fit(loading=loading, noise=noise), work(BOARD, STAGES, n=n), n=n).total
    mean = np.array([MEDIANS[s] for s in STAGES]) * np.exp((loading[:3] ** 2 + noise[:3] ** 2) / 2)
    shared = np.outer(loading[:3], loading[:3]) + np.diag(noise[:3] ** 2)
    whole = np.outer(mean, mean) * np.expm1(shared)

    assert total.mean() == pytest.approx(mean.sum(), rel=0.003)
    assert total.var() == pytest.approx(whole.sum(), rel=0.02)
    # as if each stage had its own luck, a total would be too sure of itself
    assert total.var() > 1.25 * np.trace(whole)


def test_a_total_is_the_sum_of_its_stages_draw_by_draw():
    result = drawn(made_fit(n=7, unsure=0.2), work(BOARD, STAGES))

    assert result.total == pytest.approx(result.hours.sum(axis=0))
    assert result.hours.shape == (3, 20_000)
    assert result.stages == STAGES


def test_what_is_not_known_of_the_rates_widens_all_draws():
    for unsure in (0.0, 0.3):
        fit = made_fit(n=500, unsure=unsure, loading=1e-6, noise=0.2)
        spread = np.log(drawn(fit, work({"pieces": 4.0}, ["infill"])).hours[0]).std()

        own = fit.parts.index(("infill", "pieces"))
        assert spread == pytest.approx(
            math.hypot(fit.log_rate[:, own].std(), np.sqrt((fit.noise[:, 1] ** 2).mean())), rel=0.03
        )


def test_a_stage_that_does_not_happen_takes_no_hours_and_gives_no_reason():
    often = np.arange(20_000) % 4 > 0
    result = drawn(
        made_fit(), Work(BOARD, {"strip": np.ones(20_000, dtype=bool), "stain": often}, {}, frozenset())
    )
    hours = by_stage(result)

    assert "infill" not in hours
    assert np.all((hours["stain"] > 0) == often)
    assert {s for s, _, _ in result.reasons} == {"strip", "stain"}


def test_a_stage_s_draws_do_not_hang_on_the_other_stages():
    """Common random numbers: adding work to a board moves no other stage."""
    fit = made_fit(n=9, unsure=0.2)
    alone, with_more = (by_stage(drawn(fit, work(BOARD, stages))) for stages in (["spray"], STAGES))

    assert np.array_equal(alone["spray"], with_more["spray"])


def test_the_same_seed_gives_the_same_draws_and_another_one_hardly_others():
    fit = made_fit(n=50, unsure=0.1)
    to_do = work(BOARD, STAGES)
    first, again, other = (drawn(fit, to_do, seed).total for seed in (1, 1, 2))

    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
    assert np.quantile(other, [0.1, 0.5, 0.9]) == pytest.approx(np.quantile(first, [0.1, 0.5, 0.9]), rel=0.02)


# ---- reasons


@given(
    st.fixed_dictionaries(
        {"area": st.floats(0.1, 4), "pieces": st.integers(1, 9), "colours": st.integers(1, 5),
         "brittle": st.integers(0, 2), "masking": st.integers(0, 2)}
    ),
    st.floats(0.1, 200),
)  # fmt: skip
@settings(max_examples=25, deadline=None)
def test_reasons_sum_to_the_mean_hours(values, so_far):
    fit = made_fit(n=20, unsure=0.3)
    n = 2000
    to_do = work(values, STAGES, booked={"strip": 5.0, "infill": so_far}, done=["strip"], n=n)
    result = drawn(fit, to_do, n=n)

    assert math.fsum(h for *_, h in result.reasons) == pytest.approx(result.total.mean(), rel=1e-9)
    assert all(h > 0 for *_, h in result.reasons)
    assert ("strip", "booked", 5.0) in result.reasons


def test_reasons_are_shared_out_by_work_and_by_condition():
    """Without luck: set-up 4 h, two colours 16 h, and masking's e^.4 - 1 of both."""
    fit = made_fit(loading=1e-9, noise=1e-9)
    result = drawn(fit, work(BOARD, ["spray"], n=10), n=10)

    assert {(d): h for _, d, h in result.reasons} == pytest.approx(
        {"once": 4.0, "colours": 16.0, "masking": 20 * math.expm1(0.4)}, rel=1e-6
    )


# ---- on the bench


def test_finished_stages_say_what_the_pace_is():
    """The normal regression of the next stage on those finished, in closed form."""
    loading, noise = np.array([0.3, 0.15, 0.25, 0.2, 0.2]), np.array([0.25, 0.4, 0.3, 0.3, 0.3])
    coarse = {"strip": 0.02, "infill": 0.3}
    n = 200_000
    booked = {"strip": 2 * MEDIANS["strip"], "infill": 0.7 * MEDIANS["infill"]}
    to_do = work(BOARD, STAGES, booked=booked, done=["strip", "infill"], coarse=coarse, n=n)
    left = np.log(by_stage(drawn(made_fit(loading=loading, noise=noise), to_do, n=n))["spray"])
    own = noise[:2] ** 2 + [0.02, 0.3]
    shared = np.outer(loading[:2], loading[:2]) + np.diag(own)
    pull = loading[2] * loading[:2] @ np.linalg.inv(shared)
    mean = math.log(MEDIANS["spray"]) + pull @ np.log([2, 0.7])
    variance = loading[2] ** 2 + noise[2] ** 2 - pull @ loading[:2] * loading[2]

    assert left.mean() == pytest.approx(mean, abs=0.005)
    assert left.var() == pytest.approx(variance, rel=0.02)


def test_a_slow_strip_moves_every_later_stage_up():
    fit = made_fit(n=40, unsure=0.1)

    def rest(strip):
        to_do = work(BOARD, STAGES, booked={"strip": strip}, done=["strip"])
        return np.quantile(by_stage(drawn(fit, to_do))["spray"], [0.1, 0.5, 0.9])

    assert np.all(rest(4.0) < rest(9.0))
    assert np.all(rest(9.0) < rest(25.0))


def test_hours_written_coarsely_say_less_of_the_pace():
    fit = made_fit()

    def rest(coarse):
        to_do = work(BOARD, STAGES, booked={"strip": 30.0}, done=["strip"], coarse={"strip": coarse})
        return np.median(by_stage(drawn(fit, to_do))["spray"])

    assert rest(0.0) > 1.05 * rest(1.0) > rest(1e9) > 0.97 * MEDIANS["spray"]


def test_a_stage_of_whose_usual_hours_nothing_tells_says_nothing_of_the_pace():
    booked = {"strip": 30.0}
    to_do = work(BOARD, STAGES, booked=booked, done=["strip"])
    nothing = drawn(made_fit(untold=(("strip", "area"),)), to_do)
    not_begun = drawn(made_fit(), work(BOARD, STAGES))

    assert np.array_equal(by_stage(nothing)["spray"], by_stage(not_begun)["spray"])


def told_once(fit, booked, done, counted, n, seed=4):
    """Hours of stages by brute force: a draw that would have ended a stage in hand before now is thrown away.

    What the fit has counted throws away paces and lucks only, until one of each draw of the rates is left.
    """
    rng = np.random.default_rng(seed)
    at = rng.integers(0, fit.n_draws, n)
    work_done = {
        "strip": np.exp(fit.log_rate[:, 0]) + 2 * np.exp(fit.log_rate[:, 1]),
        "infill": 3 * np.exp(fit.log_rate[:, 2]),
        "spray": np.exp(fit.log_rate[:, 3]) + 2 * np.exp(fit.log_rate[:, 4]),
    }
    slower = {"strip": fit.effect[:, 0], "infill": 0.0, "spray": 2 * fit.effect[:, 1]}
    middle = {s: np.log(work_done[s]) + slower[s] for s in STAGES}

    def law(s, at):
        i = STAGES.index(s)
        return middle[s][at], fit.loading[at, i], fit.noise[at, i]

    def paces(at):
        """By the textbook's regression on the one finished stage; the fit's draws know of it already."""
        u = rng.standard_normal(len(at))
        for s in done:
            m, loading, noise = law(s, at)
            slope = loading / (loading**2 + noise**2)
            # a joint draw of pace and stage, corrected by what the stage really took
            u += slope * (np.log(booked[s]) - m - loading * u - noise * rng.standard_normal(len(at)))
        return u

    def all_stages(at):
        u = paces(at)
        return {
            s: np.full(len(at), booked[s])
            if s in done
            else np.exp(law(s, at)[0] + law(s, at)[1] * u + law(s, at)[2] * rng.standard_normal(len(at)))
            for s in STAGES
        }

    def ended(hours, stages):
        return (
            np.any([hours[s] <= booked[s] for s in stages], axis=0)
            if stages
            else np.zeros(len(hours["strip"]), bool)
        )

    in_hand = [s for s in booked if s not in done]
    hours = all_stages(at)
    while len(again := np.flatnonzero(ended(hours, counted))):
        for s, h in all_stages(at[again]).items():
            hours[s][again] = h
    keep = ~ended(hours, [s for s in in_hand if s not in counted])
    return {s: h[keep] for s, h in hours.items()}


@pytest.mark.parametrize(
    ("booked", "done", "counted"),
    [
        ({"infill": 7.0}, [], []),
        ({"strip": 12.0, "infill": 3.0}, ["strip"], []),
        ({"strip": 14.0, "infill": 6.0, "spray": 20.0}, ["strip"], []),
        ({"infill": 7.0}, [], ["infill"]),
        ({"strip": 14.0, "infill": 6.0, "spray": 35.0}, ["strip"], ["infill", "spray"]),
    ],
)
def test_stages_in_hand_are_as_brute_force_has_them(booked, done, counted):
    fit = made_fit(n=1000, unsure=0.15, loading=np.array([0.3, 0.2, 0.25, 0.2, 0.2]))
    n = 60_000
    ours = by_stage(drawn(fit, work(BOARD, STAGES, booked=booked, done=done, counted=counted, n=n), n=n))
    slow = told_once(fit, booked, done, counted, 200_000)
    at = [0.1, 0.5, 0.9]

    assert len(slow["spray"]) > 8_000
    for stage in set(STAGES) - set(done):
        assert np.quantile(ours[stage], at) == pytest.approx(np.quantile(slow[stage], at), rel=0.025), stage
    assert np.quantile(sum(ours.values()), at) == pytest.approx(
        np.quantile(sum(slow.values()), at), rel=0.025
    )


def test_what_the_fit_has_counted_does_not_weigh_on_the_rates_again():
    """Infill runs far over; its rate in the draws that are left tells whether it was counted once or twice."""
    fit = made_fit(n=1000, unsure=0.3, loading=1e-6)
    likely = {}
    for counted in ([], ["infill"]):
        to_do = work(BOARD, STAGES, booked={"infill": 8.0}, counted=counted)
        likely[bool(counted)] = np.median(by_stage(drawn(fit, to_do))["infill"])

    assert likely[False] > likely[True] > 8.0


@given(st.floats(0.01, 5000))
@settings(max_examples=30, deadline=None)
def test_a_stage_in_hand_takes_no_less_than_it_has(so_far):
    n = 2000
    to_do = work(BOARD, STAGES, booked={"infill": so_far}, n=n)
    hours = by_stage(drawn(made_fit(n=30, unsure=0.2), to_do, n=n))

    assert np.all(np.isfinite(hours["infill"]))
    assert np.all(hours["infill"] >= so_far)
    assert np.all(np.isfinite(hours["spray"]))


def test_what_hangs_together_in_a_draw_stays_together_when_draws_are_kept():
    """Half the boards have an infill of nine pieces and no stain, half one piece and a stain; the infill runs on.

    After the many hours of infill nine pieces are nearly sure, and with them no stain.
    """
    n = 20_000
    nine = np.arange(n) % 2 == 0
    to_do = Work(
        {"pieces": np.where(nine, 9.0, 1.0)},
        {"infill": np.ones(n, dtype=bool), "stain": ~nine},
        {"infill": 12.0},
        frozenset(),
    )
    hours = by_stage(drawn(made_fit(), to_do))

    assert np.mean(hours["stain"] > 0) < 0.01


def test_hours_booked_on_a_stage_that_is_done_are_those_hours():
    to_do = work(BOARD, STAGES, booked={"strip": 11.25}, done=["strip"])
    result = drawn(made_fit(n=5, unsure=0.2), to_do)

    assert np.all(by_stage(result)["strip"] == 11.25)
    assert result.done == {"strip"}


def test_work_that_was_not_planned_has_a_rate_of_its_own():
    rates = {**RATES, ("infill", "unplanned"): 6.0}
    to_do = work({"pieces": 0.0, "infill unplanned": 1.0}, ["infill"])
    hours = drawn(made_fit(rates=rates), to_do).hours[0]

    assert np.median(hours) == pytest.approx(6.0, rel=0.02)


def test_usual_hours_are_of_stages_that_happen_alone():
    """Strip is an hour and 2 times 3, its brittle glass e^.3 times as long; without colours nothing is set up to spray."""
    values = {"area": 2.0, "pieces": 0.0, "colours": 0.0, "brittle": 1.0, "masking": 2.0}
    hours = dict(zip(SETTINGS.stages, usual_hours(made_fit(), values, SETTINGS).tolist(), strict=True))

    assert hours == pytest.approx(
        {"strip": 7 * math.exp(0.3), "infill": 0.0, "spray": 0.0, "stain": 0.0, "check": 0.5}
    )


def test_a_board_with_nothing_to_do_is_stretched_to_nothing():
    nothing = Drawn((), np.zeros((0, 4)), (), frozenset())

    assert nothing.stretched(Stretch(1.2, 1.3, "2026-05-01")).total.tolist() == [0.0] * 4
