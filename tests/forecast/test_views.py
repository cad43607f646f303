"""What is known of a board from where one looks, and what stands in for what is not."""

from dataclasses import replace

import numpy as np
import pytest
from making.fits import RATES, SETTINGS, made_fit
from making.hands import MONDAY, N, waits

from estimator.bench.jobs import BoardSeen, job_of
from estimator.forecast.calibration import Stretch
from estimator.forecast.views import default_view, drawn_board, revealing_stage, values_in, work_of_board
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import NoAnswerError
from estimator.words.records import ASKED, FINISHED, ON_BENCH, STOPPED, WAITING, WITHDRAWN
from estimator.words.settings.schema import Driver, Kind, Settings, Stage

JUDGED = {"area": 2.0, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 1.0, "stain": 0.0}
AS_FOUND = {"area": 2.2, "pieces": 5.0, "colours": 2.0, "brittle": 2.0, "stain": 1.0}
BOARD = KnownBoard("b", kind="major", state=ON_BENCH, assessed=JUDGED, found=AS_FOUND)


def seen(board, view, fit=None, settings=SETTINGS, n=20_000, seed=1):
    return work_of_board(fit or made_fit(), board, view, settings, np.random.default_rng(seed), n)


def past(name, *, kind="major", state=FINISHED, **values):
    return KnownBoard(name, kind=kind, state=state, assessed={**JUDGED, **values})


# ---- views


def test_before_opening_is_as_judged_and_finished_is_as_it_turned_out():
    assert values_in(BOARD, "before", SETTINGS) == JUDGED
    assert values_in(BOARD, "finished", SETTINGS) == {**JUDGED, **AS_FOUND}


def test_opened_up_shows_what_the_revealing_stage_and_the_asking_show():
    settings = replace(SETTINGS, drivers={**SETTINGS.drivers, "colours": Driver("colours", known="infill")})

    assert revealing_stage(settings) == "strip"
    assert values_in(BOARD, "opened", settings) == {**JUDGED, **AS_FOUND, "colours": JUDGED["colours"]}


def test_without_a_stage_that_reveals_only_what_was_asked_is_sure():
    plain = Settings(
        drivers={"colours": Driver("colours")}, stages={"spray": Stage("spray", drivers=("colours",))}
    )

    assert revealing_stage(plain) == ""
    board = KnownBoard("b", assessed={"colours": 1.0}, found={"colours": 2.0})
    assert values_in(board, "opened", plain) == {"colours": 2.0}


@pytest.mark.parametrize(
    ("state", "booked", "found", "view"),
    [
        (ASKED, (), {}, "before"),
        (WAITING, (), {"pieces": 1.0}, "before"),
        (ON_BENCH, (), {}, "before"),
        (ON_BENCH, (), {"pieces": 1.0}, "now"),
        (STOPPED, (("strip", 3.0, True),), {}, "now"),
        (STOPPED, (), {"pieces": 1.0}, "now"),
        (FINISHED, (("strip", 3.0, True),), {}, "now"),
        (FINISHED, (), {"pieces": 1.0}, "before"),
        (WITHDRAWN, (("strip", 3.0, False),), {}, "now"),
    ],
)
def test_a_board_begun_is_seen_as_it_is_now(state, booked, found, view):
    assert default_view(replace(BOARD, state=state, booked=booked, found=found)) == view


def test_a_finished_board_known_by_its_total_is_seen_as_it_is_now():
    assert default_view(replace(BOARD, state=FINISHED, booked=(), found={}, hours=70.0)) == "now"


@pytest.mark.parametrize("view", ["before", "opened", "finished", "now"])
def test_a_sometimes_stage_is_as_the_view_knows_it(view):
    """Judged not to happen, it did."""
    to_do, unknown = seen(BOARD, view)

    assert ("stain" in to_do.happening) == (view != "before")
    assert unknown == ()


def test_a_sometimes_stage_of_which_nothing_is_known_happens_as_often_as_past_boards_say():
    board = replace(BOARD, assessed={k: v for k, v in JUDGED.items() if k != "stain"})
    to_do, _ = seen(board, "before", made_fit(chances={"stain": (3.0, 17.0)}))

    assert to_do.happening["stain"].mean() == pytest.approx(3 / 20, abs=0.01)


def test_a_stage_with_none_of_its_work_does_not_happen_and_set_up_alone_does():
    to_do, _ = seen(replace(BOARD, assessed={**JUDGED, "area": 0.0, "colours": 0.0}), "before")

    assert set(to_do.happening) == {"infill", "check"}


def test_a_board_in_hand_keeps_its_hours():
    booked = (("strip", 6.5, True), ("infill", 2.0, False))
    board = replace(BOARD, booked=booked, coarse={"strip": 0.01}, counted=("infill",))
    to_do, _ = seen(board, "now")
    earlier, _ = seen(board, "before")

    assert (to_do.booked, to_do.done) == ({"strip": 6.5, "infill": 2.0}, {"strip"})
    assert (to_do.coarse, to_do.counted) == ({"strip": 0.01}, {"infill"})
    assert (earlier.booked, earlier.done, earlier.coarse, earlier.counted) == ({}, set(), {}, set())


@pytest.mark.parametrize("state", [FINISHED, WITHDRAWN])
def test_a_board_that_is_over_has_the_hours_it_has(state):
    """Whether or not its last stage was called done, and whatever is not known of it."""
    booked = (("strip", 6.5, True), ("spray", 2.0, False))
    to_do, unknown = seen(KnownBoard("x", state=state, booked=booked), "now")

    assert set(to_do.happening) == to_do.done == {"strip", "spray"}
    assert unknown == ()
    judged = KnownBoard("x", state=state, booked=booked, assessed=JUDGED)
    assert seen(judged, "now")[0].passed_by == ()  # two pieces were to be let in: nobody asks any more


def test_hours_on_a_stage_without_planned_work_are_of_the_unplanned_sort():
    rates = {**RATES, ("infill", "unplanned"): 6.0}
    board = replace(BOARD, found={}, assessed={**JUDGED, "pieces": 0.0}, booked=(("infill", 2.0, False),))
    to_do, _ = seen(board, "now", made_fit(rates=rates))

    assert np.all(np.broadcast_to(to_do.values["infill unplanned"], 3) == 1.0)
    assert to_do.happening["infill"].all()


# ---- what is not known


def without(*names, **more):
    return KnownBoard(
        "new", kind="major", assessed={k: v for k, v in JUDGED.items() if k not in names}, **more
    )


def test_quantities_not_known_come_together_from_one_past_board_of_the_kind():
    pairs = [(1.0, 0.0), (2.0, 1.0), (3.0, 2.0), (4.0, 2.0), (9.0, 2.0)]
    boards = (
        *(past(f"m{i}", pieces=p, brittle=b) for i, (p, b) in enumerate(pairs)),
        past("other kind", kind="minor", pieces=50.0),
        past("not finished", state=ON_BENCH, pieces=60.0),
        KnownBoard("half known", kind="major", state=FINISHED, assessed={"pieces": 70.0}),
    )
    to_do, unknown = seen(without("pieces", "brittle"), "before", made_fit(boards=boards))
    drawn = list(zip(to_do.values["pieces"].tolist(), to_do.values["brittle"].tolist(), strict=True))

    assert unknown == ("pieces", "brittle")
    assert set(drawn) == set(pairs)
    assert [drawn.count(pair) / len(drawn) for pair in pairs] == pytest.approx([0.2] * 5, abs=0.02)


def test_a_board_of_no_kind_draws_from_all_kinds():
    boards = (past("a", pieces=1.0), past("b", kind="minor", pieces=2.0))
    to_do, _ = seen(replace(without("pieces"), kind=""), "before", made_fit(boards=boards))

    assert set(to_do.values["pieces"].tolist()) == {1.0, 2.0}


def test_past_boards_give_what_they_turned_out_to_have():
    donor = replace(past("a", pieces=1.0), found={"pieces": 7.0})
    to_do, _ = seen(without("pieces"), "before", made_fit(boards=(donor,)))

    assert set(to_do.values["pieces"].tolist()) == {7.0}


USUAL = replace(
    SETTINGS,
    kinds={"major": Kind("major", usual={"pieces": (1.0, 5.0), "brittle": (0.0, 2.0), "area": (1.5, 3.5)})},
)


def test_with_no_past_board_the_kind_s_usual_quantities_stand_in():
    to_do, _ = seen(without("pieces", "brittle", "area"), "before", settings=USUAL, n=100_000)
    pieces, brittle, area = (to_do.values[q] for q in ("pieces", "brittle", "area"))

    assert np.mean((pieces >= 1) & (pieces <= 5)) == pytest.approx(
        0.89, abs=0.01
    )  # 8 in 10 widened by rounding
    assert np.all(pieces == np.round(pieces))
    assert np.all(pieces >= 0)
    assert set(brittle.tolist()) <= {0.0, 1.0, 2.0}
    assert np.quantile(area, [0.1, 0.5, 0.9]) == pytest.approx([1.5, 2.5, 3.5], abs=0.03)
    assert abs(np.corrcoef(area, pieces)[0, 1]) < 0.02


@pytest.mark.parametrize(("n_past", "share"), [(0, 1.0), (2, 0.6), (5, 0.0), (8, 0.0)])
def test_past_boards_take_over_from_the_usual_quantities(n_past, share):
    boards = tuple(past(f"m{i}", pieces=100.0) for i in range(n_past))
    to_do, _ = seen(without("pieces"), "before", made_fit(boards=boards), USUAL)

    assert np.mean(to_do.values["pieces"] != 100) == pytest.approx(share, abs=0.02)


def test_a_stage_happens_in_the_draws_that_have_its_work():
    """A stage with one quantity that is known to be none and one that is drawn."""
    settings = replace(
        SETTINGS, stages={"spray": Stage("spray", drivers=("colours", "pieces"))}, modifiers={}
    )
    rates = {("spray", "colours"): 8.0, ("spray", "pieces"): 1.0}
    boards = (past("a", pieces=0.0), past("b", pieces=3.0))
    fit = made_fit(settings, rates, {}, boards=boards)
    to_do, _ = seen(KnownBoard("new", assessed={"colours": 0.0}), "before", fit, settings)

    assert np.array_equal(to_do.happening["spray"], to_do.values["pieces"] > 0)
    assert 0.4 < to_do.happening["spray"].mean() < 0.6


def test_an_area_follows_from_the_outline_and_the_number_of_faces():
    settings = Settings(
        drivers={
            "sides": Driver("sides"),
            "glass": Driver("glass", unit="m2", source="outline", times="sides"),
        },
        stages={"strip": Stage("strip", drivers=("glass", "sides"))},
        kinds={"major": Kind("major", usual={"sides": (0.0, 2.0)})},
    )
    fit = made_fit(settings, {("strip", "glass"): 3.0, ("strip", "sides"): 1.0}, {})
    board = KnownBoard("new", kind="major", length_m=2.8, width_m=0.55, outline="long")
    to_do, unknown = seen(board, "before", fit, settings)
    face = to_do.values["glass"][to_do.values["sides"] == 1][0]

    assert set(unknown) == {"sides", "glass"}
    assert 0.75 * 2.8 * 0.55 < face < 0.85 * 2.8 * 0.55
    assert to_do.values["glass"] == pytest.approx(face * to_do.values["sides"])


def test_a_quantity_that_no_stage_uses_need_not_be_known():
    settings = replace(SETTINGS, drivers={**SETTINGS.drivers, "photos": Driver("photos", blank="unknown")})

    assert seen(replace(BOARD, found={}), "before", settings=settings)[1] == ()


# ---- no answer


def test_what_nobody_can_know_is_refused_with_the_cure():
    with pytest.raises(
        NoAnswerError, match=r"board: pieces is not known.*usual\. Say what you see.*pieces=1"
    ):
        seen(without("pieces"), "before")


def test_where_no_sort_of_job_is_named_the_cure_is_to_name_one():
    major = {"major": Kind("major", usual={"pieces": (1.0, 5.0)})}

    with pytest.raises(NoAnswerError, match=r"Name the sort of job, as kind=major; or say what you see"):
        seen(replace(without("pieces"), kind=""), "before", settings=replace(SETTINGS, kinds=major))


def test_work_of_which_nothing_tells_is_refused_with_the_cure():
    fit = made_fit(untold=(("spray", "colours"), ("infill", "pieces")))

    with pytest.raises(NoAnswerError, match=r"(?s)Spray \(Colours\).*stage spray.*as colours=0"):
        seen(without(), "before", fit)
    assert (
        "spray"
        not in seen(KnownBoard("x", assessed={**JUDGED, "colours": 0.0, "pieces": 0.0}), "before", fit)[
            0
        ].happening
    )


def test_set_up_of_which_nothing_tells_is_refused_where_the_stage_happens():
    fit = made_fit(untold=(("spray", "once"),))

    with pytest.raises(NoAnswerError, match=r"Spray, and neither"):
        seen(without(), "before", fit)


def test_work_of_which_nothing_tells_is_no_matter_where_there_is_none_of_it():
    settings = replace(SETTINGS, stages={"strip": Stage("strip", drivers=("area", "pieces"))}, modifiers={})
    rates = {("strip", "area"): 3.0, ("strip", "pieces"): 1.0}
    fit = made_fit(settings, rates, {}, untold=(("strip", "pieces"),))
    board = KnownBoard("x", assessed={"area": 2.0, "pieces": 0.0, "colours": 0.0})

    assert set(seen(board, "before", fit, settings)[0].happening) == {"strip"}


def test_a_finished_stage_needs_nothing_told():
    fit = made_fit(untold=(("strip", "area"),))
    board = replace(BOARD, booked=(("strip", 5.0, True),))

    assert seen(board, "now", fit)[0].done == {"strip"}


@pytest.mark.parametrize("view", ["now", "opened", "finished", "before"])
def test_hours_are_widened_as_the_record_taught_where_one_looks_from_before_opening_alone(view):
    """Hours over the middle twice as far from it, in times: 1.5 times the middle becomes 2.25 times."""
    begun = replace(BOARD, booked=(("strip", 4.0, True),))
    plain, wide = (
        drawn_board(made_fit(), begun, view, SETTINGS, n_draws=101, stretch=stretch)[1].total
        for stretch in (Stretch(1.0, 1.0, ""), Stretch(1.0, 2.0, "2026-09-30"))
    )

    if view == "before":
        middle = np.sort(plain)[50]
        assert wide == pytest.approx(np.where(plain > middle, plain**2 / middle, plain))
        assert plain.max() > 1.2 * middle
    else:
        assert wide.tolist() == plain.tolist()


# ---- passed by


def test_a_stage_without_hours_that_others_were_worked_after_takes_none():
    """Foam was let in and nothing is written of the stripping: it is over, and its hours are not counted."""
    begun = replace(BOARD, booked=(("infill", 4.0, False),))
    to_do, _ = seen(begun, "now")

    assert "strip" not in to_do.happening
    assert to_do.passed_by == ("strip",)
    assert {"infill", "spray", "stain"} <= to_do.happening.keys()
    before, _ = seen(begun, "before")
    assert "strip" in before.happening
    assert before.passed_by == ()


def test_what_need_not_have_been_is_not_named_as_passed_by():
    begun = replace(BOARD, assessed={**JUDGED, "pieces": 0.0}, found={}, booked=(("spray", 4.0, False),))

    assert seen(begun, "now")[0].passed_by == ("strip",)


def test_range_and_bench_count_the_same_hours_left():
    """Passed by, denied though later work is begun, begun, and not begun."""
    found = {**AS_FOUND, "stain": 0.0}
    for booked in (
        (("infill", 4.0, False),),
        (("strip", 6.0, False), ("infill", 4.0, False)),
        (("strip", 6.0, True), ("infill", 4.0, True)),
        (("strip", 2.0, False),),
    ):
        work, drawn, _ = drawn_board(
            made_fit(), replace(BOARD, found=found, booked=booked), "now", SETTINGS, n_draws=N
        )
        job = job_of("b", work, drawn, BoardSeen(MONDAY), waits(), SETTINGS, seed=1)
        left = drawn.total - sum(hours for _, hours, _ in booked)
        assert job.hours.sum(axis=0) == pytest.approx(left), booked


def test_unplanned_work_comes_on_top_of_what_is_planned():
    """In one board of ten colours come that nobody planned; where some are planned the stage happens in every draw."""
    fit = made_fit(chances={"spray": (1e6, 9e6), "infill": (1e6, 9e6)})
    board = replace(BOARD, found={}, assessed={**JUDGED, "colours": 0.0})
    for view in ("before", "opened", "now"):
        to_do, _ = seen(board, view, fit)
        assert to_do.happening["spray"].mean() == pytest.approx(0.1, abs=0.01), view
        assert to_do.happening["infill"].all()
    assert "spray" not in seen(board, "finished", fit)[0].happening


def test_a_stage_that_shares_its_name_with_what_makes_it_comes_unplanned_too():
    stages = {"colours": Stage("colours", drivers=("colours",))}
    settings = replace(SETTINGS, stages=stages, modifiers={})
    fit = made_fit(settings, {("colours", "colours"): 8.0}, {}, chances={"colours": (1e6, 9e6)})
    to_do, _ = seen(KnownBoard("new", assessed={"colours": 0.0}), "before", fit, settings)

    assert to_do.happening["colours"].mean() == pytest.approx(0.1, abs=0.01)


def test_what_was_asked_for_later_comes_on_top_of_what_is_drawn_and_no_grade_is_above_the_last():
    """A past board of three pieces, and as brittle as boards are; one piece more was asked for, and a grade."""
    fit = made_fit(boards=(past("a", pieces=3.0, brittle=2.0),))
    to_do, _ = seen(without("pieces", "brittle", later={"pieces": 1.0, "brittle": 1.0}), "before", fit)

    assert set(to_do.values["pieces"].tolist()) == {4.0}
    assert set(to_do.values["brittle"].tolist()) == {2.0}
    mild = made_fit(boards=(past("a", pieces=3.0, brittle=0.0),))
    to_do, _ = seen(without("brittle", later={"brittle": 1.0}), "before", mild)
    assert set(to_do.values["brittle"].tolist()) == {1.0}


def test_a_sometimes_stage_that_was_asked_for_later_happens():
    plain = replace(BOARD, found={}, assessed={k: v for k, v in JUDGED.items() if k != "stain"})
    fit = made_fit(chances={"stain": (1e6, 9e6)})

    assert seen(replace(plain, later={"stain": 1.0}), "before", fit)[0].happening["stain"].all()
    assert seen(plain, "before", fit)[0].happening["stain"].mean() == pytest.approx(0.1, abs=0.01)


def test_only_what_belongs_to_a_board_for_certain_is_named_as_passed_by():
    """A stain comes sometimes; of the pieces nobody knows whether there are any."""
    stages = {**SETTINGS.stages, "spray": replace(SETTINGS.stages["spray"], after=("infill", "stain"))}
    settings = replace(SETTINGS, stages=stages)
    begun = without("pieces", "stain", state=ON_BENCH, booked=(("spray", 4.0, False),))
    to_do, _ = seen(begun, "now", made_fit(boards=(past("a", pieces=0.0), past("b", pieces=3.0))), settings)

    assert to_do.passed_by == ("strip",)
    assert not {"strip", "infill", "stain"} & to_do.happening.keys()


@pytest.mark.parametrize(
    ("low", "high", "unit", "whole"), [(1.0, 5.0, "", True), (0.5, 5.0, "", False), (1.0, 5.0, "m", False)]
)
def test_what_is_counted_in_whole_ones_is_usual_in_whole_ones(low, high, unit, whole):
    drivers = {**SETTINGS.drivers, "pieces": Driver("pieces", unit=unit)}
    kinds = {"major": Kind("major", usual={"pieces": (low, high)})}
    to_do, _ = seen(without("pieces"), "before", settings=replace(SETTINGS, drivers=drivers, kinds=kinds))
    pieces = to_do.values["pieces"]

    assert (pieces == np.round(pieces)).all() == whole


def test_an_area_is_in_the_unit_of_its_driver_and_of_no_length_it_is_not_known():
    """A square metre is 10.764 square feet (the international foot, .3048 m by definition)."""
    settings = Settings(
        drivers={"glass": Driver("glass", unit="ft2", source="outline")},
        stages={"strip": Stage("strip", drivers=("glass",))},
    )
    fit = made_fit(settings, {("strip", "glass"): 0.3}, {})
    board = KnownBoard("new", length_m=2.8, width_m=0.55, outline="long")
    to_do, _ = seen(board, "before", fit, settings)

    assert to_do.values["glass"] == pytest.approx(board.face_m2 / 0.3048**2)
    with pytest.raises(NoAnswerError, match="glass is not known"):
        seen(replace(board, length_m=None), "before", fit, settings)


def test_the_cure_names_a_sort_of_job_that_says_what_is_usual_where_none_was_named():
    usual = {"pieces": (1.0, 5.0)}
    kinds = {n: Kind(n, usual={} if n == "odd" else usual) for n in ("minor", "major", "odd")}
    settings = replace(SETTINGS, kinds=kinds)

    with pytest.raises(NoAnswerError, match=r"as kind=major; or say what you see"):
        seen(replace(without("pieces"), kind=""), "before", settings=settings)
    with pytest.raises(NoAnswerError, match=r"\. Say what you see"):
        seen(replace(without("pieces"), kind="odd"), "before", settings=settings)
    odd = replace(SETTINGS, kinds={"odd": kinds["odd"]})
    with pytest.raises(NoAnswerError, match=r"\. Say what you see"):
        seen(replace(without("pieces"), kind=""), "before", settings=odd)


@pytest.mark.parametrize(("untold", "field"), [("colours", "known"), ("once", "")])
def test_the_page_points_to_what_was_said_of_a_board_only_where_leaving_it_out_helps(untold, field):
    with pytest.raises(NoAnswerError) as refused:
        seen(without(), "before", made_fit(untold=(("spray", untold),)))

    assert refused.value.field == field
