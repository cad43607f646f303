"""A whole answer: what must hold of its numbers whatever the board, and what it says beside them."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as searched
from hypothesis import strategies as st
from making.fits import SETTINGS, made_fit

from estimator.forecast.answers import answer, look_next
from estimator.forecast.calibration import Stretch
from estimator.model.materials import learn_materials
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import NoAnswerError, UnreadableError
from estimator.words.records import FINISHED, ON_BENCH
from estimator.words.settings.schema import Driver, Kind, Settings, Stage

FIT = made_fit(n=200, unsure=0.15, chances={"stain": (1.0, 9.0)})
VALUES = {"area": 2.0, "pieces": 3.0, "colours": 2.0, "brittle": 1.0, "masking": 1.0}

quantities = st.fixed_dictionaries(
    {
        "area": st.floats(0, 4),
        "pieces": st.integers(0, 9),
        "colours": st.integers(0, 5),
        "brittle": st.integers(0, 2),
        "masking": st.integers(0, 2),
    }
)


def told(values=VALUES, fit=FIT, settings=SETTINGS, **options):
    return answer(fit, KnownBoard("b", assessed=values), settings, **options)


def in_hand(**fields):
    board = KnownBoard(
        "b", state=ON_BENCH, assessed=VALUES, booked=(("strip", 9.0, True), ("infill", 2.0, False))
    )
    return replace(board, **fields)


# ---- whatever the board


@given(quantities)
@searched(max_examples=15, deadline=None)
def test_reasons_sum_to_the_likely_hours(values):
    said = told(values)

    assert math.fsum(r.hours for r in said.reasons) == pytest.approx(said.likely, rel=1e-9)


def test_reasons_keep_their_proportions():
    """With much luck the mean is well above the middle; every reason comes down by the same."""
    said = told({**VALUES, "stain": 0.0}, made_fit(noise=0.8))
    hours = {(r.stage, r.driver): r.hours for r in said.reasons}

    assert hours["spray", "colours"] / hours["check", "once"] == pytest.approx(16 / 0.5, rel=0.05)
    assert hours["spray", "colours"] / hours["infill", "pieces"] == pytest.approx(16 / 4.5, rel=0.05)


@given(quantities, st.sampled_from(sorted(VALUES)), st.integers(1, 3))
@searched(max_examples=25, deadline=None)
def test_more_work_never_takes_fewer_hours(values, name, more):
    """The same luck on both sides; every driver and every condition."""
    highest = SETTINGS.modifiers[name].highest if name in SETTINGS.modifiers else 99
    raised = {**values, name: min(values[name] + more, highest)}
    less, said = told(values), told(raised)

    assert said.low >= less.low
    assert said.likely >= less.likely
    assert said.high >= less.high


@given(quantities, st.booleans())
@searched(max_examples=10, deadline=None)
def test_surer_ranges_hold_less_sure_ones(values, begun):
    board = in_hand(assessed=values) if begun else KnownBoard("b", assessed=values)
    half, eight, nine = (answer(FIT, board, SETTINGS, odds=odds) for odds in (0.5, 0.8, 0.9))

    assert nine.low <= eight.low <= half.low <= half.likely == eight.likely == nine.likely
    assert half.likely <= half.high <= eight.high <= nine.high
    for outer, inner in zip(nine.stages, half.stages, strict=True):
        assert outer.low <= inner.low <= inner.high <= outer.high


@given(st.floats(0.02, 0.98))
@searched(max_examples=10, deadline=None)
def test_a_range_is_cut_where_its_odds_say(odds):
    said = told(odds=odds)
    chances = told(over=[said.low, said.high]).over

    assert list(chances.values()) == pytest.approx([(1 + odds) / 2, (1 - odds) / 2], abs=1e-4)


# ---- numbers beside one another


def test_quantiles_are_those_of_the_range():
    said = told(odds=0.8)

    assert list(said.quantiles) == [f"{p / 100:.2f}" for p in range(5, 100, 5)]
    assert list(said.quantiles.values()) == sorted(said.quantiles.values())
    assert (said.quantiles["0.10"], said.quantiles["0.50"], said.quantiles["0.90"]) == (
        said.low,
        said.likely,
        said.high,
    )


def test_the_chance_to_pass_hours():
    said = told(over=[0, 30, 60.5, 1e5])

    assert list(said.over) == ["0", "30", "60.5", "100000"]
    assert list(said.over.values()) == sorted(said.over.values(), reverse=True)
    assert (said.over["0"], said.over["100000"]) == (1.0, 0.0)
    assert told(over=[said.likely]).over[f"{said.likely:g}"] == pytest.approx(0.5, abs=1e-3)


def test_a_range_of_the_whole_is_narrower_than_its_stages_together_and_wider_than_as_if_each_had_its_luck():
    said = told()
    width = [math.log(s.high / s.low) * s.likely for s in said.stages if s.low > 0]
    whole = math.log(said.high / said.low) * said.likely

    assert math.hypot(*width) * 1.05 < whole < sum(width)


def test_what_is_not_there_is_not_in_the_answer():
    said = told({**VALUES, "area": 0.0, "stain": 0.0})

    assert [s.stage for s in said.stages] == ["infill", "spray", "check"]
    assert {r.stage for r in said.reasons} == {"infill", "spray", "check"}


def test_the_same_question_has_the_same_answer_and_another_seed_hardly_another():
    first, again, other = told(), told(), told(seed=9)

    assert first == again
    assert other != first
    assert (other.low, other.likely, other.high) == pytest.approx(
        (first.low, first.likely, first.high), rel=0.02
    )


def test_rare_hours_of_a_stage_move_the_top_and_not_the_middle():
    never, often = (told({**VALUES, "stain": v}) for v in (0.0, 1.0))
    maybe = told()

    assert never.likely < maybe.likely < often.likely
    assert maybe.likely - never.likely < 0.25 * (often.likely - never.likely)


# ---- on the bench


def test_finished_stages_stand_as_booked_and_the_one_in_hand_takes_no_less():
    said = answer(FIT, in_hand(), SETTINGS)
    stages = {s.stage: s for s in said.stages}

    assert said.view == "now"
    assert (stages["strip"].low, stages["strip"].high, stages["strip"].done) == (9.0, 9.0, True)
    assert stages["infill"].low >= stages["infill"].so_far == 2.0
    assert not stages["infill"].done
    assert said.low >= 11


def test_a_slow_finished_stage_moves_the_rest_up():
    def rest(strip):
        said = answer(FIT, in_hand(booked=(("strip", strip, True),)), SETTINGS)
        return said.likely - strip

    assert rest(5.0) < rest(10.0) < rest(20.0)


def test_a_finished_board_has_the_hours_it_has():
    done = in_hand(state=FINISHED, booked=(("strip", 9.0, True), ("spray", 21.5, False)))
    said = answer(FIT, done, SETTINGS, over=[30.4, 30.5])
    assert list(said.over.values()) == [1.0, 0.0]

    assert (said.low, said.likely, said.high) == (30.5, 30.5, 30.5)
    assert math.fsum(r.hours for r in said.reasons) == pytest.approx(30.5)


@pytest.mark.parametrize("booked", [(), (("strip", 9.0, True),)])
def test_a_total_counts_the_hours_that_no_stage_holds(booked):
    said = answer(FIT, in_hand(state=FINISHED, booked=booked, hours=70.0), SETTINGS)

    assert (said.view, said.low, said.likely, said.high) == ("now", 70.0, 70.0, 70.0)
    assert [s.stage for s in said.stages] == [stage for stage, *_ in booked]
    assert math.fsum(r.hours for r in said.reasons) == pytest.approx(70.0)
    assert {r.driver for r in said.reasons} == {"booked"}


def test_opened_up_is_narrower_than_before_where_hidden_work_is_known():
    past = tuple(
        KnownBoard(f"p{i}", state=FINISHED, assessed={**VALUES, "pieces": float(p)})
        for i, p in enumerate((0, 2, 4, 8, 12))
    )
    unseen = {k: v for k, v in VALUES.items() if k != "pieces"}
    board = KnownBoard("b", state=ON_BENCH, assessed=unseen, found={"pieces": 4.0})
    fit = replace(FIT, boards=past)
    before, opened = (answer(fit, board, SETTINGS, view=view) for view in ("before", "opened"))

    assert opened.high - opened.low < before.high - before.low
    assert (before.unknown, opened.unknown) == (("pieces",), ())


# ---- a guess alone


def guessed(fit, guess=40.0, **options):
    return answer(fit, KnownBoard("b", guess=guess), SETTINGS, **options)


def test_a_guess_alone_is_told_as_usual_misses_have_it():
    """Times or over one and a half at 8 in 10: common practice, no source."""
    said = guessed(FIT)

    assert (said.low, said.likely, said.high) == pytest.approx((40 / 1.5, 40.0, 40 * 1.5), rel=0.02)
    assert [(r.stage, r.driver, r.hours) for r in said.reasons] == [("", "guess", said.likely)]
    assert (said.boards, said.rules, said.guess) == (0, 0, 40.0)
    assert said.chance_beyond_guess == pytest.approx(0.5, abs=0.02)


def test_past_guesses_move_a_guess_with_the_weight_of_their_boards():
    """Thirty boards that took twice as long as guessed, against thirty boards' worth of none."""
    few = tuple(KnownBoard(f"p{i}", guess=10.0, hours=20.0) for i in range(10))
    tenth = guessed(replace(FIT, boards=few), over=[79.9, 80.1])
    assert tenth.over["79.9"] - tenth.over["80.1"] == pytest.approx(10 / 40, abs=0.015)
    past = tuple(KnownBoard(f"p{i}", guess=10.0, hours=20.0) for i in range(30))
    said = guessed(replace(FIT, boards=(*past, KnownBoard("no guess", hours=5.0))), over=[79.9, 80.1])

    assert said.boards == 30
    # half of the draws stand at exactly twice; of the others .5 Phi(-log 2 / .316) are beyond
    assert said.over["79.9"] - said.over["80.1"] == pytest.approx(0.5, abs=0.015)
    assert said.chance_beyond_guess == pytest.approx(0.75, abs=0.015)  # and half of the others


def test_a_guess_beside_anything_else_is_not_alone():
    said = answer(FIT, KnownBoard("b", assessed=VALUES, guess=10.0), SETTINGS)

    assert said.guess == 10.0
    assert said.likely == told().likely
    assert said.chance_beyond_guess == 1.0


def test_a_guess_beside_a_sort_or_hours_is_not_alone_either():
    usual = {
        "area": (1.0, 2.0),
        "pieces": (1.0, 2.0),
        "colours": (1.0, 2.0),
        "brittle": (0.0, 1.0),
        "masking": (0.0, 1.0),
    }
    settings = replace(SETTINGS, kinds={"major": Kind("major", usual=usual)})
    by_kind = KnownBoard("b", guess=10.0, kind="major")
    with_hours = replace(by_kind, state=ON_BENCH, booked=(("check", 1.0, True),))

    for board in (by_kind, with_hours):
        said = answer(FIT, board, settings)
        assert {r.driver for r in said.reasons} > {"area", "pieces"}


# ---- no answer


@pytest.mark.parametrize("odds", [0.0, 1.0, -0.1, 8, math.nan])
def test_odds_that_are_none_are_refused(odds):
    with pytest.raises(UnreadableError, match="Give a chance between 0 and 1"):
        told(odds=odds)


def test_nothing_known_is_refused():
    with pytest.raises(NoAnswerError):
        answer(FIT, KnownBoard("b"), SETTINGS)


def test_numbers_are_plain_numbers():
    """So that they print as JSON."""
    said = told(over=[10]).as_dict()

    def walk(value):
        if isinstance(value, dict):
            return [leaf for v in value.values() for leaf in walk(v)]
        if isinstance(value, list):
            return [leaf for v in value for leaf in walk(v)]
        return [value]

    assert {type(leaf) for leaf in walk(said)} <= {float, int, str, bool, type(None)}
    assert not any(isinstance(leaf, np.generic) for leaf in walk(said))


# ---- money


PAST = tuple(
    KnownBoard(f"p{i}", state=FINISHED, assessed={**VALUES, "colours": float(i % 4)}, hours=40.0, materials=100.0 + 40 * (i % 4))
    for i in range(20)
)  # fmt: skip
PAID = replace(FIT, materials=learn_materials(replace(FIT, boards=PAST), SETTINGS))


def test_materials_and_a_price_come_with_the_hours():
    said, surer = told(fit=PAID), told(fit=PAID, odds=0.9)

    assert said.materials.low < said.materials.likely < said.materials.high
    assert said.materials.likely == pytest.approx(180.0, rel=0.1)
    assert not said.materials.lent
    assert (said.price.odds, said.price.target, surer.price.odds) == (0.8, 40.0, 0.9)
    low, high = 40 * said.likely + said.materials.low, 40 * said.high + said.materials.high
    assert low < said.price.for_target < high
    assert surer.price.for_target > said.price.for_target
    assert surer.materials.low < said.materials.low


def test_more_work_costs_more():
    assert told({**VALUES, "colours": 3.0}, PAID).price.for_target > told(fit=PAID).price.for_target


def test_of_a_finished_board_what_is_written_is_said_and_from_before_it_what_was_to_be_expected():
    done = KnownBoard(
        "b", state=FINISHED, assessed=VALUES, hours=20.0, booked=(("strip", 20.0, True),), materials=240.0
    )
    now, before = answer(PAID, done, SETTINGS), answer(PAID, done, SETTINGS, view="before")

    assert (now.materials.low, now.materials.high, now.price.for_target) == (240.0, 240.0, 40 * 20 + 240)
    for other in (before, answer(PAID, done, SETTINGS, view="finished")):
        assert other.materials.low < other.materials.high


def test_where_no_board_tells_materials_are_lent_and_without_a_wanted_pay_nothing_is_said():
    lent = told()
    free = replace(SETTINGS, workshop=replace(SETTINGS.workshop, target_pay=0.0))
    nothing, of_costs = told(settings=free), told(fit=PAID, settings=free)

    assert lent.materials.lent
    assert (nothing.materials, nothing.price) == (None, None)
    assert of_costs.price.for_target == pytest.approx(of_costs.materials.likely, rel=0.3)


def test_a_guess_alone_has_materials_by_the_hour_and_a_price():
    said = answer(PAID, KnownBoard("b", guess=40.0), SETTINGS)

    an_hour = math.exp(PAID.materials.per_hour[0])
    assert said.materials.likely == pytest.approx(an_hour * said.likely, rel=0.05)
    assert said.price.for_target > 40 * said.likely


# ---- what is said beside the hours


def test_hours_that_no_stage_holds_are_none_of_a_range_from_before_opening():
    done = in_hand(state=FINISHED, hours=70.0, booked=())

    assert answer(FIT, done, SETTINGS, view="before").likely == told().likely


@pytest.mark.parametrize(("view", "moved"), [("before", True), ("opened", False), ("finished", False)])
def test_only_a_range_from_before_opening_says_that_it_was_stretched(view, moved):
    said = told(view=view, stretch=Stretch(1.1, 1.3, "2026-05-01"))

    assert (said.stretch, said.stretch_day) == (((1.1, 1.3), "2026-05-01") if moved else ((1.0, 1.0), ""))


def test_what_rests_on_rules_alone_is_named_but_for_what_is_done():
    assert answer(replace(FIT, by_rules=("strip", "spray")), in_hand(), SETTINGS).by_rules == ("spray",)


def test_finished_boards_with_hours_of_which_nothing_is_learned_are_counted():
    booked = (("strip", 4.0, True),)
    boards = (
        KnownBoard("a", state=FINISHED, hours=9.0),
        KnownBoard("b", state=FINISHED, booked=booked),
        KnownBoard("c", state=ON_BENCH, booked=booked, hours=4.0),
        KnownBoard("d", state=FINISHED, hours=9.0, taught=("strip",)),
        KnownBoard("e", state=FINISHED),
    )
    assert told(fit=replace(FIT, boards=boards)).unused == 2


def test_what_follows_from_another_quantity_is_not_asked_for_itself():
    """A board of one side or of two, at forty hours a square metre; its glass follows from its sides."""
    settings = Settings(
        drivers={
            "sides": Driver("sides"),
            "glass": Driver("glass", unit="m2", source="outline", times="sides"),
        },
        stages={"strip": Stage("strip", drivers=("glass", "sides"))},
    )
    rates = {("strip", "glass"): 40.0, ("strip", "sides"): 1.0}
    past = tuple(KnownBoard(f"p{n}", state=FINISHED, assessed={"sides": 1.0 + n % 2}) for n in range(6))
    fit = made_fit(settings, rates, {}, boards=past)
    said = answer(fit, KnownBoard("b", length_m=2.8, width_m=0.55), settings)

    assert set(said.unknown) == {"sides", "glass"}
    assert [one.driver for one in said.look_next] == ["sides"]


def test_less_than_an_hour_is_not_worth_asking():
    rng = np.random.default_rng(1)
    pieces = rng.integers(0, 4, 20_000).astype(float)

    assert look_next(30 + 0.3 * pieces + 0.1 * rng.standard_normal(20_000), {"pieces": pieces}) == ()
    assert [one.driver for one in look_next(30 + 3.0 * pieces, {"pieces": pieces})] == ["pieces"]
