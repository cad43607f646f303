"""What an owner asks for since: the difference on the same draws, apart from hidden work, whatever is finished."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.asked_more import BEGUN, BOARD, EXACT, FIT, JUDGED, N, more
from making.fits import RATES, SETTINGS, made_fit

from estimator.forecast.calibration import Stretch
from estimator.forecast.scope_change import asked_since, draw_more
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
from estimator.words.records import ASKED, DECLINED, FINISHED, WAITING, WITHDRAWN
from estimator.words.settings.schema import Driver, Settings, Stage


def past(hidden, n=12):
    """Finished boards on which so many pieces more came to light."""
    return tuple(
        KnownBoard(
            f"p{i}", "", "major", FINISHED, 2.84, 0.56, assessed=JUDGED, found={**JUDGED, "pieces": 3.0 + hidden[i % len(hidden)]}, hours=30.0,
        )
        for i in range(n)
    )  # fmt: skip


# ---- by hand


def test_constant_rates_make_what_a_hand_adds_up():
    assert more(fit=EXACT, colours=1).hours == pytest.approx(np.full(N, 8.0))
    assert more(fit=EXACT, pieces=2, area="0.5").hours == pytest.approx(np.full(N, 3.0 + 1.5))
    # a board without colours needs setting up for the first
    plain = replace(BOARD, assessed={**JUDGED, "colours": 0.0})
    assert more(plain, fit=EXACT, colours=1).hours == pytest.approx(np.full(N, 4.0 + 8.0))
    # one grade more of masking makes spraying e^.2 times as long
    assert more(fit=EXACT, masking=1).hours == pytest.approx(np.full(N, 12.0 * (np.exp(0.2) - 1)))


def test_a_stage_that_is_asked_for_comes():
    there = more(fit=replace(EXACT, chances={"stain": (0.0, 1e9)}), stain="yes")

    assert there.hours == pytest.approx(np.full(N, 2.0))


def test_areas_grow_with_the_faces_that_are_asked_for():
    settings = Settings(
        drivers={
            "gloss": Driver("gloss"),
            "area": Driver("area", unit="m2", source="outline", times="gloss"),
        },
        stages={"gloss": Stage("gloss", drivers=("area",))},
    )
    fit = made_fit(settings, {("gloss", "area"): 4.0}, {}, loading=0.0, noise=1e-9)
    board = KnownBoard("a", state=WAITING, assessed={"gloss": 1.0, "area": 1.1}, length_m=2.8, width_m=0.56)
    none = replace(board, assessed={"gloss": 0.0, "area": 0.0})

    assert more(board, fit, settings, gloss=1).hours == pytest.approx(np.full(N, 4.4))
    assert more(none, fit, settings, gloss=1).hours == pytest.approx(np.full(N, 4 * none.face_m2))
    with pytest.raises(UnreadableError, match="length and width"):
        more(replace(none, length_m=None), fit, settings, gloss=1)
    assert more(replace(none, length_m=None), fit, settings, gloss=1, area=1.2).hours == pytest.approx(
        np.full(N, 4.8)
    )


# ---- the same draws


@pytest.mark.parametrize("board", [BOARD, BEGUN])
def test_nothing_more_changes_nothing(board):
    for added in ({}, {"colours": 0}, {"pieces": "none", "masking": 0}):
        same = more(board, **added)
        assert not same.hours.any()
        assert np.array_equal(same.drawn_before.hours, same.drawn_after.hours)


@pytest.mark.parametrize("board", [BOARD, BEGUN])
def test_more_takes_longer_in_every_draw(board):
    assert (more(board, colours=1).hours > 0).all()
    assert (more(board, pieces=1).hours > 0).all()
    assert (more(board, area=0.2).hours > 0).all()


@pytest.mark.parametrize("board", [BOARD, replace(BEGUN, booked=BEGUN.booked[:1])])
def test_what_is_asked_for_in_two_goes_is_the_same_together(board):
    once, _ = asked_since(board, {"colours": 1}, SETTINGS)
    both, _ = asked_since(once, {"pieces": 2}, SETTINGS)
    first = draw_more(FIT, board, once, SETTINGS, n_draws=N)
    whole = draw_more(FIT, board, both, SETTINGS, n_draws=N)

    assert more(board, colours=1, pieces=2).hours == pytest.approx(whole.hours)
    if board is BOARD:
        second = draw_more(FIT, once, both, SETTINGS, n_draws=N)
        assert first.hours + second.hours == pytest.approx(whole.hours)


@given(st.permutations(["colours", "pieces", "area", "masking", "stain"]))
def test_the_order_in_which_things_are_asked_for_changes_nothing(order):
    amounts = {"colours": "1", "pieces": 2, "area": 0.3, "masking": 1, "stain": 1}
    one, grown = asked_since(BEGUN, amounts, SETTINGS)
    other, same = asked_since(BEGUN, {name: amounts[name] for name in order}, SETTINGS)

    assert (one, grown) == (other, same)


def test_the_range_of_a_board_is_what_it_was_and_what_came_on_top():
    told = more(colours=1)
    said = draw_more(FIT, asked_since(BOARD, {"colours": 1}, SETTINGS)[0], BOARD, SETTINGS, n_draws=N)

    assert np.array_equal(told.drawn_after.total, said.drawn_before.total)
    assert np.array_equal(told.drawn_before.total, said.drawn_after.total)


def test_a_stretch_moves_what_comes_on_top_as_it_moves_the_ranges():
    then, _ = asked_since(BOARD, {"colours": 1}, SETTINGS)
    wide = Stretch(1.5, 1.5)
    drawn = draw_more(FIT, BOARD, then, SETTINGS, n_draws=N, stretch=wide)

    assert drawn.hours == pytest.approx(
        drawn.drawn_after.total - more(colours=1).drawn_before.stretched(wide).total
    )
    begun, _ = asked_since(BEGUN, {"colours": 1}, SETTINGS)
    plain = draw_more(FIT, BEGUN, begun, SETTINGS, n_draws=N, stretch=wide)
    assert np.array_equal(plain.hours, more(BEGUN, colours=1).hours)


# ---- what is finished, and what is in hand


def test_more_of_a_finished_stage_takes_the_hours_of_that_alone():
    exact = more(BEGUN, EXACT, area=0.5)
    # a board in hand is of brittle glass, which makes it e^.3 times as long
    assert exact.hours == pytest.approx(np.full(N, 0.5 * 3.0 * np.exp(0.3)))
    luckily = more(BEGUN, made_fit(), area=0.5)
    assert np.median(luckily.hours) == pytest.approx(0.5 * 3.0 * np.exp(0.3), rel=0.15)
    assert luckily.on("strip") == pytest.approx(luckily.hours)


def test_what_was_booked_without_a_plan_is_no_part_of_what_is_asked_for():
    """Two hours of spraying that nobody had planned, then a colour is asked for: with its set-up, and whole."""
    rates = {**RATES, ("spray", "unplanned"): 20.0}
    fit = made_fit(SETTINGS, rates, loading=0.0, noise=1e-9)
    board = replace(
        BEGUN, assessed={**JUDGED, "colours": 0.0}, booked=(("strip", 9.0, True), ("spray", 2.0, True))
    )
    spray = replace(SETTINGS.stages["spray"], drivers=("colours",))
    shop = replace(SETTINGS, stages={**SETTINGS.stages, "spray": spray})
    fit = replace(fit, log_rate=np.where([p == ("spray", "once") for p in fit.parts], -50.0, fit.log_rate))

    assert more(board, fit, shop, colours=1).on("spray") == pytest.approx(np.full(N, 8.0))


def test_what_was_booked_says_as_much_of_the_boards_pace_as_before():
    told = more(BEGUN, area=0.5)

    for stage in ("infill", "spray", "check"):
        assert np.array_equal(told.on(stage), np.zeros(N))


def test_more_of_a_stage_in_hand_keeps_the_hours_that_are_booked():
    told = more(BEGUN, pieces=1)
    at = told.drawn_after.stages.index("infill")

    assert (told.drawn_after.hours[at] >= 3.0).all()
    assert np.mean(told.hours) == pytest.approx(1.5, rel=0.2)


# ---- apart from hidden work


def test_what_was_judged_and_what_was_hidden_stay_as_they_are():
    then, grown = asked_since(BEGUN, {"pieces": 2, "colours": 1}, SETTINGS)

    assert grown == {"pieces": 2.0, "colours": 1.0}
    assert then.assessed == BEGUN.assessed
    assert then.later == {"pieces": 2.0, "colours": 1.0}
    assert then.found["pieces"] - then.assessed["pieces"] - then.later["pieces"] == 5.0 - 3.0
    assert then.found["brittle"] == 1.0
    again, _ = asked_since(then, {"pieces": 1}, SETTINGS)
    assert again.later == {"pieces": 3.0, "colours": 1.0}


def test_hidden_work_is_drawn_as_before():
    fit = made_fit(n=200, unsure=0.1, boards=past([0.0, 2.0, 4.0]))
    told = more(fit=fit, pieces=1)
    pieces = [np.broadcast_to(work.values["pieces"], N) for work in (told.before, told.after)]

    assert np.unique(pieces[0]).size > 1
    assert np.array_equal(pieces[1], pieces[0] + 1)


def test_of_what_is_not_known_there_is_so_much_more():
    fit = made_fit(n=200, unsure=0.1, boards=past([0.0, 2.0, 4.0]))
    open_ = replace(BOARD, assessed={q: v for q, v in JUDGED.items() if q != "pieces"})
    told = more(open_, fit, pieces=1)

    assert np.array_equal(told.after.values["pieces"], told.before.values["pieces"] + 1)
    assert (told.hours > 0).all()


# ---- refused, in words


@pytest.mark.parametrize("state", [FINISHED, DECLINED, WITHDRAWN])
def test_nothing_more_is_asked_of_a_board_that_is_over(state):
    with pytest.raises(UsageError, match=r"(?i)red nine-four"):
        asked_since(replace(BOARD, state=state), {"colours": 1}, SETTINGS)
    asked_since(replace(BOARD, state=ASKED), {"colours": 1}, SETTINGS)


@pytest.mark.parametrize(
    ("name", "value", "wrong"),
    [
        ("colour", 1, '"colour" is nothing'),
        ("length", "9-6", '"length" is nothing'),
        ("colours", "-2", "colours=-2: that takes off more"),
        ("colours", -2, "there is only 1"),
        ("colours", "1.5", "colours=1.5: there are only whole ones"),
        ("colours", "½", "only whole ones"),
        ("colours", "?", r"colours=\?: that does not say"),
        ("colours", "", "that does not say"),
        ("colours", "same", "that does not say"),
        ("colours", "many", "colours=many"),
        ("colours", "nan", "colours=nan"),
        ("area", "-2.5", "area=-2.5"),
        ("masking", 3, "masking=3"),
        ("masking", "some more", "masking=some more"),
        ("stain", "2", "stain=2"),
    ],
)
def test_what_cannot_be_asked_for_is_said_with_its_place_and_its_cure(name, value, wrong):
    with pytest.raises(EstimatorError, match=wrong) as error:
        asked_since(BOARD, {"pieces": 1, name: value}, SETTINGS)

    assert error.value.cure


def test_a_condition_cannot_be_worse_than_the_worst():
    half = replace(BOARD, assessed={**JUDGED, "masking": 1.0})
    then, _ = asked_since(half, {"masking": 1}, SETTINGS)

    assert then.wanted["masking"] == 2.0
    with pytest.raises(UnreadableError, match=r"on top of 1, and 2 is the most.*Write 1 at most"):
        asked_since(half, {"masking": 2}, SETTINGS)


@given(st.sampled_from([*SETTINGS.quantities, "x"]), st.text(max_size=6) | st.floats() | st.integers())
def test_whatever_is_asked_for_is_read_or_refused_in_words(name, value):
    try:
        then, grown = asked_since(BOARD, {name: value}, SETTINGS)
    except EstimatorError:
        return
    assert then.later[name] == grown[name] >= -BOARD.wanted.get(name, 0.0)


def test_none_more_may_be_said_of_what_is_not_known_and_of_what_is_finished():
    open_ = replace(BOARD, assessed={q: v for q, v in JUDGED.items() if q != "pieces"})
    over = replace(BEGUN, booked=tuple((stage, 4.0, True) for stage in SETTINGS.stages))

    assert asked_since(open_, {"pieces": 0}, SETTINGS)[1] == {"pieces": 0.0}
    assert asked_since(over, {"colours": 0}, SETTINGS)[1] == {"colours": 0.0}


def test_what_makes_no_hours_may_be_taken_off_whatever_is_finished():
    settings = replace(SETTINGS, drivers={**SETTINGS.drivers, "photos": Driver("photos")})
    board = replace(BEGUN, assessed={**JUDGED, "photos": 3.0})

    assert asked_since(board, {"photos": -1}, settings)[1] == {"photos": -1.0}


def test_faces_may_be_asked_for_where_nobody_knows_of_their_area():
    settings = Settings(
        drivers={
            "gloss": Driver("gloss"),
            "area": Driver("area", unit="m2", source="outline", times="gloss"),
        },
        stages={"gloss": Stage("gloss", drivers=("area",))},
    )
    board = KnownBoard("a", state=WAITING, assessed={"gloss": 1.0})

    assert asked_since(board, {"gloss": 1}, settings)[1] == {"gloss": 1.0}
