"""What is still to do on a board, and what it waits for: by hand."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.hands import MONDAY, SETTINGS, N, day, drawn, job, row, waits

from estimator.bench.drying import Scales
from estimator.bench.jobs import BoardSeen, in_order, job_of, with_more_first
from estimator.forecast.draws import Work
from estimator.words.errors import NeverReadyError
from estimator.words.records import Wait
from estimator.words.settings.schema import Bench, Driver, Stage

STRIPPED = {"booked": {"strip": 4.0}, "done": ["strip"]}
OF_A_BOARD = {"strip": 4.0, "drying": 0.5, "infill": 3.0, "logos": 2.0, "gloss": 1.0}


def after(made, name):
    """The stages and messages that must be over before one begins."""
    return {made.stages[i] for i in np.flatnonzero(made.after[made.stages.index(name)])}


# ---- stages


def test_a_board_not_begun_has_all_its_hours_and_waits_to_come_and_stands_in_line():
    made = job(**OF_A_BOARD)
    assert (made.place, made.stages) == (
        "queue",
        ("strip", "drying", "infill", "logos", "gloss", "artwork", "owner"),
    )
    assert made.hours.sum(axis=0).tolist() == pytest.approx([10.5] * N)
    assert [row(made, name)[1] for name in ("drying", "gloss")] == pytest.approx([20.0, 3.0])


def test_a_board_with_one_stage_left_has_what_is_left_of_it():
    worked = {"strip": 4.0, "drying": 0.5, "infill": 3.0, "logos": 2.0, "gloss": 0.25}
    made = job(booked=worked, done=["strip", "drying", "infill", "logos"], gloss=1.0)
    assert (made.place, made.stages) == ("bench", ("gloss",))
    assert row(made, "gloss") == pytest.approx((0.75, 3.0, 0.0))


def test_what_took_longer_than_it_should_is_nearly_over_and_never_less():
    made = job(booked={"strip": 9.0}, strip=4.0, gloss=1.0)
    assert row(made, "strip")[0] == 0


def test_a_stage_that_was_passed_by_is_over():
    made = job(booked={"infill": 3.0}, strip=4.0, infill=5.0, gloss=1.0)
    assert made.stages == ("infill", "gloss")


def test_sessions_left_go_with_the_hours_left():
    twice = replace(
        SETTINGS, stages={**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], sessions=4)}
    )
    assert job(settings=twice, gloss=2.0).sessions[0, 0] == 4
    assert job(settings=twice, booked={"gloss": 1.0}, gloss=2.0).sessions[0, 0] == 2


def test_what_was_finished_stands_on_for_what_is_left_of_its_wait():
    seen = BoardSeen(MONDAY, ended={"gloss": day(-2)})
    made = job(booked={"gloss": 1.0}, done=["gloss"], seen=seen, law=waits(gloss=7.0), gloss=1.0)
    assert row(made, "gloss")[:2] == pytest.approx((0.0, 5.0))
    assert job(booked={"gloss": 1.0}, done=["gloss"], seen=seen, gloss=1.0).stages == (
        "gloss",
    )  # a day is left
    long_ago = BoardSeen(MONDAY, ended={"gloss": day(-4)})
    assert job(booked={"gloss": 1.0}, done=["gloss"], seen=long_ago, gloss=1.0).stages == ()


def test_foam_that_was_found_dry_does_not_dry_again():
    seen = BoardSeen(MONDAY, ended={"strip": day(-20), "drying": day(-1)})
    made = job(booked={"strip": 4.0, "drying": 0.5}, done=["strip", "drying"], seen=seen, **OF_A_BOARD)
    assert "drying" not in made.stages
    assert made.place == "bench"


# ---- a board that dries


def hung(first, season=1.0, until=None, **more):
    """A board hung up to dry on a day, as it is on the first of a month; how many days are left, of true ones."""
    month = dt.date(2026, 6, 1) if season == 1.0 else dt.date(2026, 10, 1)
    begun = month - dt.timedelta(days=first)
    seen = BoardSeen(
        month, standing=(Wait("a", begun, until and month + dt.timedelta(days=until), "drying"),), **more
    )
    made = job(**STRIPPED, seen=seen, **OF_A_BOARD)
    assert made.place == "rack"
    assert made.seasonal.tolist() == [name == "drying" for name in made.stages]
    return row(made, "drying")[1] * season


@pytest.mark.parametrize(("stood", "left"), [(0, 20), (5, 15), (19, 1)])
def test_a_board_that_dries_has_the_rest_of_its_days_to_stand(stood, left):
    # 20 days for certain; of day 0 itself nothing is known yet
    assert hung(stood) == pytest.approx(left, abs=0.05)


def test_a_board_may_be_dry_on_the_very_day_of_which_nothing_is_known_yet():
    # hung up two days ago, and wet on the day before day 0: of median 2 and log-sd .5, of those that take more than a
    # day (1 - .083) .455 are dry within two
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-2), None, "drying"),))
    made = job(**STRIPPED, seen=seen, law=waits(drying=2.0, spread=0.5), **OF_A_BOARD)
    dry = np.mean(made.waits[made.stages.index("drying")] == 0)
    assert dry == pytest.approx(0.455, abs=0.3)


def test_foam_dries_as_long_as_the_month_says_in_which_it_was_hung_up():
    # hung up on 26 September for 20 days of summer; half as long again would be true of 1 October on alone
    assert hung(5, season=1.5) == pytest.approx(15.0, abs=0.05)
    # in October itself 30 days
    begun = dt.date(2026, 10, 2)
    seen = BoardSeen(dt.date(2026, 10, 12), standing=(Wait("a", begun, None, "drying"),))
    made = job(**STRIPPED, seen=seen, **OF_A_BOARD)
    assert row(made, "drying")[1] * 1.5 == pytest.approx(20.0, abs=0.05)


def test_by_the_scales_too_foam_dries_as_long_as_the_month_says_in_which_it_was_hung_up():
    curve = [(t, 8.0 + 1.8 * np.exp(-((t / (20 / 3.6)) ** 0.8))) for t in (0.0, 2.0, 4.0)]
    weighed = {"weighed": curve, "scales": Scales()}
    # weighed as it dries in 20 days; the law says 20 of summer, so the wet month's 30 are contradicted in October alone
    assert hung(5, season=1.5, **weighed) == pytest.approx(hung(5, **weighed), abs=0.05)


def test_a_day_written_as_the_end_of_a_wait_is_its_end():
    assert hung(5, until=4) == pytest.approx(4.0)
    assert hung(5, season=1.5, until=3) == pytest.approx(3.0)


def test_the_stage_that_dries_may_have_any_name():
    renamed = {("rack" if name == "drying" else name): stage for name, stage in SETTINGS.stages.items()}
    renamed["infill"] = replace(renamed["infill"], after=("rack",))
    settings = replace(SETTINGS, stages=renamed)
    law = waits()
    law = replace(law, laws={("rack", grade): law.after("drying", grade) for grade in (0, 1)}, drying="rack")
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-5), None, "drying"),))
    made = job(**STRIPPED, seen=seen, law=law, settings=settings, strip=4.0, rack=0.5, infill=3.0)
    assert row(made, "rack")[:2] == pytest.approx((0.5, 15.0), abs=0.05)
    assert made.seasonal.tolist() == [True, False]


# ---- messages that are awaited


@pytest.mark.parametrize(("stood", "left"), [(1, 6), (3, 4), (8, 0)])
def test_a_board_that_waits_for_its_owner_begins_nothing_on_the_bench_before_the_answer(stood, left):
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-stood), None, "owner"),))
    made = job(**STRIPPED, seen=seen, **OF_A_BOARD)
    free = {name: made.free[made.stages.index(name), 0] for name in made.stages}
    assert made.place == "rack"
    assert free.pop("drying") == 0.0  # on the rack it goes on
    assert list(free.values()) == pytest.approx([left] * 3, abs=0.02)


def test_a_board_that_stopped_waits_for_an_answer_of_which_no_row_tells():
    seen = BoardSeen(MONDAY, ended={"strip": day(-9), "drying": day(-3)}, stopped=True)
    made = job(**STRIPPED, seen=seen, **OF_A_BOARD)
    assert made.place == "rack"
    assert row(made, "infill")[2] == pytest.approx(4.0, abs=0.05)
    parts = BoardSeen(
        MONDAY, ended={"strip": day(-3)}, stopped=True, standing=(Wait("a", day(-1), day(1), "parts"),)
    )
    assert row(job(**STRIPPED, seen=parts, **OF_A_BOARD), "infill")[2] == pytest.approx(4.0, abs=0.05)


def test_artwork_that_is_awaited_holds_up_what_needs_it_and_nothing_else():
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-2), None, "artwork"),))
    made = job(**STRIPPED, seen=seen, wet=0.0, **OF_A_BOARD)
    assert row(made, "logos")[2] == pytest.approx(5.0, abs=0.05)
    assert row(made, "infill")[2] == row(made, "gloss")[2] == 0.0
    last = job(**STRIPPED, seen=seen, wet=0.0, strip=4.0, logos=2.0, gloss=1.0)
    assert (made.place, last.place) == (
        "rack",
        "rack",
    )  # its foam is looked at first; nothing else can be worked
    assert job(booked={"infill": 1.0}, seen=seen, infill=3.0, logos=2.0).place == "bench"


@pytest.mark.parametrize("cause", ["curing", "queue", "away"])
def test_a_row_without_its_end_that_is_no_message_holds_up_nothing(cause):
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-2), None, cause),))
    assert job(**STRIPPED, seen=seen, **OF_A_BOARD).free.max() == 0
    until = BoardSeen(MONDAY, standing=(Wait("a", day(-2), day(3), cause),))
    assert row(job(**STRIPPED, seen=until, **OF_A_BOARD), "infill")[2] == 3.0


# ---- messages to come


def test_artwork_is_sent_for_once_the_first_stage_is_done():
    made = job(law=waits(comes=1.0), **OF_A_BOARD)
    assert row(made, "artwork")[:2] == pytest.approx((0.0, 7.0))
    assert after(made, "artwork") == {"strip"}
    assert "artwork" in after(made, "logos")
    assert "artwork" not in after(made, "infill")


def test_stages_that_need_the_same_share_one_message_that_comes_where_any_of_them_happens():
    both = {**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], needs=("artwork",))}
    settings = replace(SETTINGS, stages=both)
    some = np.arange(N) % 2 * 2.0  # logos in every other draw; the gloss coat in all
    made = job(law=waits(comes=1.0), settings=settings, strip=4.0, logos=some, gloss=1.0)
    days = made.waits[made.stages.index("artwork")]
    assert days.tolist() == pytest.approx([7.0] * N)
    assert all("artwork" in after(made, name) for name in ("logos", "gloss"))
    alone = job(law=waits(comes=1.0), strip=4.0, logos=some, gloss=1.0)
    assert alone.waits[alone.stages.index("artwork")].tolist() == pytest.approx((some * 3.5).tolist())


def test_stages_in_any_order_in_the_settings_wait_for_no_ring():
    mixed = {name: SETTINGS.stages[name] for name in ("logos", "gloss", "infill", "drying", "strip")}
    mixed["infill"] = replace(mixed["infill"], needs=("artwork",))
    made = job(law=waits(comes=1.0), settings=replace(SETTINGS, stages=mixed), **OF_A_BOARD)
    assert after(made, "artwork") == {"strip"}


@pytest.mark.parametrize(
    "known", [{"met": {"artwork": day(-9)}}, {"standing": (Wait("a", day(-2), None, "artwork"),)}]
)
def test_artwork_that_came_or_is_awaited_already_is_not_sent_for_again(known):
    made = job(law=waits(comes=1.0), seen=BoardSeen(MONDAY, **known), **OF_A_BOARD)
    assert "artwork" not in made.stages
    assert made.place == "queue"


def test_the_owner_s_answer_comes_after_what_is_shown_and_all_but_the_rack_waits_for_it():
    made = job(law=waits(comes=1.0), seen=BoardSeen(MONDAY, judged={"pieces": 1.0}), **OF_A_BOARD)
    assert row(made, "owner")[:2] == pytest.approx((0.0, 7.0))
    assert after(made, "owner") == {"strip"}
    assert {name for name in made.stages if "owner" in after(made, name)} == {"infill", "logos", "gloss"}


ASKED = Wait("a", day(-4), None, "owner")


@pytest.mark.parametrize(
    ("begun", "known", "asked"),
    [
        (day(-4), {"met": {"owner": day(-4)}}, False),  # on the very day
        (day(-5), {"met": {"owner": day(-4)}}, False),  # it came while the board is being stripped
        (day(-5), {"standing": (ASKED,)}, False),
        (day(-5), {"stopped": True}, False),
        (day(-5), {}, True),
        (day(-3), {"met": {"owner": day(-4)}}, True),  # that was about something else, before it was opened
    ],
)
def test_no_second_answer_is_waited_for_while_the_board_is_still_being_opened(begun, known, asked):
    seen = BoardSeen(MONDAY, begun={"strip": begun}, ended={"strip": day(-3)}, **known)
    made = job(booked={"strip": 2.0}, law=waits(comes=1.0), seen=seen, **OF_A_BOARD)
    assert ("owner" in made.stages) is asked


# ---- invariances


def test_luck_of_a_board_is_its_own_whatever_else_it_waits_for():
    law, spread = waits(comes=0.5, spread=0.4), {"strip": 4.0, "drying": 0.5, "infill": 3.0, "logos": 2.0}
    made, more = job(law=law, **spread), job(law=law, gloss=1.0, **spread)
    for name in made.stages:
        np.testing.assert_array_equal(
            made.waits[made.stages.index(name)], more.waits[more.stages.index(name)]
        )
    assert (job("b", law=law, **spread).waits != made.waits).any()


def test_a_board_of_which_nothing_is_left_is_a_job_without_stages():
    made = job(booked={"gloss": 1.0}, done=["gloss"], gloss=1.0)
    assert (made.stages, made.hours.shape, made.place) == ((), (0, N), "bench")


def test_a_stage_without_any_wait_needs_no_law():
    plain = replace(SETTINGS, bench=Bench(), stages={"sand": Stage("sand", drivers=("once",))})
    made = job(settings=plain, sand=2.0)
    assert (row(made, "sand"), made.n_draws) == ((2.0, 0.0, 0.0), N)


def test_a_wait_after_a_stage_is_over_once_what_comes_after_it_was_begun():
    """The foam that was let in would set for five days more; yet the logos were begun."""
    seen = BoardSeen(MONDAY, ended={"infill": day(-2), "logos": day(-1)})
    law = waits()
    law = replace(law, laws={**law.laws, ("infill", None): law.after("gloss", None)})
    done = {"booked": {"infill": 3.0, "logos": 1.0}, "seen": seen, "law": law, "logos": 2.0, "infill": 3.0}

    assert job(done=["infill"], **done).stages == ("logos",)
    assert job(booked={"infill": 3.0}, done=["infill"], seen=seen, law=law, infill=3.0, logos=2.0).stages == (
        "infill", "logos"
    )  # fmt: skip


def test_what_is_done_again_after_later_work_stands_again():
    """Let in anew two days ago, which would set for three: a day is left, though logos were begun before."""
    seen = BoardSeen(MONDAY, ended={"infill": day(-2), "logos": day(-4)}, again=frozenset({"infill"}))
    law = waits()
    law = replace(law, laws={**law.laws, ("infill", None): law.after("gloss", None)})
    made = job(
        booked={"infill": 3.0, "logos": 1.0}, done=["infill"], seen=seen, law=law, infill=3.0, logos=2.0
    )

    assert made.stages == ("infill", "logos")
    assert row(made, "infill")[:2] == (0.0, pytest.approx(1.0))


@pytest.mark.parametrize("of", ["hours", "waits", "free", "first"])
@pytest.mark.parametrize("number", [-0.5, np.inf, np.nan])
def test_days_and_hours_below_nothing_or_without_end_are_none(of, number):
    made = job(strip=4.0, gloss=1.0)
    in_order(made)
    wrong = np.array(getattr(made, of), dtype=float)
    wrong[..., 3] = number

    with pytest.raises(NeverReadyError, match="hours or days of it have no end"):
        in_order(replace(made, **{of: wrong}))


def test_work_that_comes_before_all_others_holds_up_work_and_no_message_and_stands_where_it_happens():
    """Two hours in every other draw, after which the board stands four days."""
    made = job(law=waits(comes=1.0), strip=4.0, logos=2.0)
    some = np.arange(N) % 2 * 2.0
    more = with_more_first(made, "redo", some, np.full(N, 4.0))

    assert more.stages == ("redo", *made.stages)
    assert more.hours[0].tolist() == some.tolist()
    assert more.waits[0].tolist() == (some * 2).tolist()
    assert {name for name in made.stages if "redo" in after(more, name)} == {"strip", "logos"}
    assert after(more, "logos") - {"redo"} == after(made, "logos")
    assert (more.sessions[0].max(), more.rack[0], more.seasonal[0], more.free[0].max()) == (
        1,
        False,
        False,
        0.0,
    )
    assert not with_more_first(made, "redo", some).waits[0].any()


def test_a_board_stands_after_a_stage_only_where_that_happens():
    some = np.arange(N) % 2 * 1.0
    made = job(strip=4.0, gloss=some)

    assert made.waits[made.stages.index("gloss")].tolist() == pytest.approx((some * 3.0).tolist())


@pytest.mark.parametrize(
    ("judged", "days"),
    [
        ({"pieces": 1.0}, 7.0),
        ({"pieces": 2.0}, 0.0),
        ({"pieces": 2.0 - 1e-9}, 0.0),  # of adding up
        (
            {"pieces": 2.0, "wetness": 0.0, "area": 1.0},
            0.0,
        ),  # foam is no work, and of the area nothing more is known
    ],
)
def test_an_answer_is_waited_for_as_often_as_with_hidden_work_only_where_more_turns_out_than_was_judged(
    judged, days
):
    """There are two pieces, and the foam is wet; where work was hidden owners are always asked here, else never."""
    settings = replace(SETTINGS, drivers={**SETTINGS.drivers, "area": Driver("area")})
    law = waits(comes=1.0)
    law = replace(law, chances={**law.chances, ("owner", True): (1e9, 1e-9), ("owner", False): (1e-9, 1e9)})
    made = job(law=law, seen=BoardSeen(MONDAY, judged=judged), settings=settings, **OF_A_BOARD)

    assert row(made, "owner")[1] == pytest.approx(days)


def test_what_the_first_stage_needs_is_sent_for_at_once():
    """It comes before that stage, and not after it."""
    stages = {**SETTINGS.stages, "strip": replace(SETTINGS.stages["strip"], needs=("artwork",))}
    made = job(law=waits(comes=1.0), settings=replace(SETTINGS, stages=stages), **OF_A_BOARD)

    in_order(made)
    assert (after(made, "artwork"), after(made, "strip")) == (set(), {"artwork"})


@pytest.mark.parametrize(("wet", "days"), [(0.4, 0.0), (0.6, 20.0), (1.0, 20.0), (1.6, 20.0)])
def test_a_grade_that_is_drawn_between_two_is_the_nearest_and_none_is_beyond_the_last(wet, days):
    assert row(job(wet=wet, **OF_A_BOARD), "drying")[1] == pytest.approx(days)


@pytest.mark.parametrize(("coats", "sessions", "left"), [(2.6, 3, 2), (3.4, 3, 2), (None, 1, 1)])
def test_sessions_are_as_many_as_there_are_of_what_makes_them(coats, sessions, left):
    """Of two hours half an hour is worked: a quarter of three sessions leaves two and a quarter."""
    stages = {**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], sessions="coats")}
    settings, values = replace(SETTINGS, stages=stages), {} if coats is None else {"coats": coats}

    def many(booked):
        work = Work(values, {}, booked, frozenset())
        made = job_of("a", work, drawn(gloss=2.0), BoardSeen(MONDAY), waits(), settings, seed=1)
        return made.sessions[made.stages.index("gloss"), 0]

    assert (many({}), many({"gloss": 1.0})) == (sessions, left)


def test_a_board_that_was_looked_at_while_it_hangs_is_on_the_rack_without_a_row():
    """The look at the drying is booked, and not over; nothing else says that it hangs."""
    hours = {"strip": 4.0, "drying": 0.5, "infill": 3.0}
    assert job(booked={"strip": 4.0, "drying": 0.25}, done=["strip"], **hours).place == "rack"
    assert job(booked={"strip": 2.0, "drying": 0.25}, **hours).place == "rack"
    assert job(booked={"strip": 2.0}, **hours).place == "bench"


def test_a_row_of_drying_that_runs_on_beside_later_work_keeps_no_board_on_the_rack():
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-9), day(3), "drying"),))
    made = job(booked={"strip": 4.0, "infill": 1.0}, done=["strip"], seen=seen, infill=3.0)

    assert (made.stages, made.place) == (("infill",), "bench")


def test_a_board_that_sets_and_waits_for_artwork_stands():
    """Its gloss coat needs no artwork, but cannot be begun while the foam that was let in still sets."""
    law = waits()
    law = replace(law, laws={**law.laws, ("infill", None): law.after("gloss", None)})
    waits_for = BoardSeen(MONDAY, ended={"infill": day(-1)}, standing=(Wait("a", day(-2), None, "artwork"),))
    made = job(booked={"infill": 3.0}, done=["infill"], seen=waits_for, law=law, infill=3.0, gloss=1.0)

    assert row(made, "infill")[:2] == pytest.approx((0.0, 2.0))
    assert made.place == "rack"


def test_of_two_messages_the_later_one_frees_the_bench_whichever_stands_first():
    rows = (Wait("a", day(-1), None, "owner"), Wait("a", day(-5), None, "parts"))  # six days left, and two
    for standing in (rows, rows[::-1]):
        made = job(**STRIPPED, seen=BoardSeen(MONDAY, standing=standing), **OF_A_BOARD)
        assert row(made, "infill")[2] == pytest.approx(6.0, abs=0.02)


def test_the_scales_tell_nothing_of_a_message():
    hung = {"weighed": [(0.0, 12.0), (2.0, 10.0), (4.0, 9.0)], "scales": Scales()}
    wait, law = Wait("a", day(-3), None, "owner"), waits(spread=0.6)
    plain, weighed = (
        job(**STRIPPED, seen=BoardSeen(MONDAY, standing=(wait,), **more), law=law, **OF_A_BOARD)
        for more in ({}, hung)
    )

    assert weighed.free.tolist() == plain.free.tolist()


def test_a_stage_that_was_begun_and_not_finished_is_open_though_a_later_one_was_worked():
    """Nobody finished the strip: two of its four hours are left. One that nobody began was passed by."""
    made = job(booked={"strip": 2.0, "infill": 3.0}, strip=4.0, drying=0.5, infill=5.0, gloss=1.0)

    assert "strip" in made.stages
    assert row(made, "strip")[0] == pytest.approx(2.0)
    assert "drying" not in made.stages
