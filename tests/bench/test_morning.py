"""A morning at the bench by hand: whom to ring, what to touch, what to leave, which change of order helps."""

import datetime as dt
from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.hands import MONDAY, SETTINGS, N, day, job, outlook, waits, with_bench

from estimator.bench.jobs import BoardSeen
from estimator.bench.morning import (
    STILL_TO_COME,
    _able,
    _swap,
    bench_day,
    dust_first,
    promise_of_one_more,
    sinks,
)
from estimator.bench.outlook import Outlook
from estimator.bench.promises import ANSWER_DUE, IN_DANGER, IS_READY, Dates, Promise, Touch
from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.log.steps.ringing import FIRST
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import Board, Entry, Log, Note, Told, Wait, WeightReading
from estimator.words.settings.schema import DUSTY, QUIET, SPRAY, WET, Away, Bench, Settings, Stage

ONE_PLACE = with_bench(places=1)
STRIPPED = {"booked": {"strip": 4.0}, "done": ["strip"]}
HALF = np.arange(N) % 2  # 0 in every other draw


def board(name, told=None, *, state="on bench", accepted=0, **more):
    return Board(
        name, called=f"the {name}", state=state, accepted=day(accepted),
        promised_last=None if told is None else day(told), **more,
    )  # fmt: skip


def morning(jobs, boards, *, settings=SETTINGS, law=None, today=0, up_to=-1, **log):
    """All that is said of jobs by hand; log: rows that stand beside the boards."""
    rows = {name: tuple(many) for name, many in log.items()}
    made = outlook(
        jobs, log=Log(boards=tuple(boards), **rows), settings=settings, law=law, today=day(up_to + 1)
    )
    return bench_day(made, day(today), day(up_to))


def only(many):
    (one,) = many
    return one


def waiting(cause, since=-3, until=None, board="a"):
    return Wait(board, day(since), None if until is None else day(until), cause)


# ---- one board


def test_a_board_with_one_stage_left():
    # 12 hours at six a day, and three days to set: Friday
    said = morning([job(booked={"gloss": 1.0}, gloss=13.0)], [board("a", told=4)])
    promise, touch = only(said.promises), only(said.touch)
    assert promise.ready == Dates(day(4), day(4), day(4))
    assert promise.points == (day(4),) * 10
    assert (promise.on, promise.next_stage, promise.from_day, promise.why) == ("bench", "gloss", MONDAY, "")
    assert (promise.chance_kept, promise.chance_first, promise.hours_left) == (1.0, 1.0, 12.0)
    assert (touch.board, touch.name, touch.stage) == ("a", "the a", "gloss")
    assert touch.why == "the day you told comes first"
    assert (said.leave, said.ring, said.swap) == ((), (), None)


def test_a_board_of_which_nothing_is_left_has_no_next_stage():
    said = morning([job(booked={"gloss": 1.0}, done=["gloss"], gloss=1.0)], [board("a", told=4)])
    promise = only(said.promises)
    assert (promise.next_stage, promise.ready.high, promise.hours_left) == ("", MONDAY, 0.0)
    assert (said.touch, said.leave) == ((), ())
    assert promise.as_dict()["next_stage"] is None


def test_a_board_that_dries_is_left_until_it_is_dry():
    wait = waiting("drying", -5)
    made = job(booked={"strip": 4.0, "drying": 0.5}, done=["strip"], seen=BoardSeen(MONDAY, standing=(wait,)),
               law=waits(drying=19.5), drying=0.5, infill=3.0)  # fmt: skip
    said = morning([made], [board("a")], waits=[wait])
    leave = only(said.leave)
    assert (leave.board, leave.until, leave.why) == ("a", day(15), "the foam is drying")
    assert (only(said.promises).on, said.touch) == ("rack", ())


def test_a_board_whose_gloss_sets_is_left_until_it_is_hard():
    seen = BoardSeen(MONDAY, ended={"infill": day(-1)})
    slow = replace(
        SETTINGS, stages={**SETTINGS.stages, "infill": replace(SETTINGS.stages["infill"], wait_days=(3, 3))}
    )
    law = waits()
    law = replace(law, laws={**law.laws, ("infill", None): law.after("gloss")})
    made = job(booked={"infill": 3.0}, done=["infill"], seen=seen, law=law, settings=slow, gloss=1.0)
    leave = only(morning([made], [board("a")], settings=slow).leave)
    assert (leave.until, leave.why) == (day(2), "let in foam has to set")


def test_a_board_that_waits_for_its_owner_is_rung_about_and_left():
    wait = waiting("owner")
    made = job(**STRIPPED, seen=BoardSeen(MONDAY, standing=(wait,)), law=waits(message=6.5), infill=9.0)
    said = morning([made], [board("a", told=30)], waits=[wait])
    assert (only(said.leave).until, only(said.leave).why) == (day(4), "waiting for the owner")
    ring = only(said.ring)
    assert (ring.why, ring.name, ring.tell, ring.about) == (ANSWER_DUE, "the a", None, day(-3))


def test_in_winter_what_is_left_of_the_drying_is_as_long_as_it_is():
    # 2 November: hung up five days ago, 10.3 days of summer are 15.45 of winter, of which 10.45 are left
    winter = dt.date(2026, 11, 2)
    wait = Wait("a", winter - dt.timedelta(5), None, "drying")
    law = waits(drying=10.3)
    made = job(booked={"strip": 4.0, "drying": 0.5}, done=["strip"], seen=BoardSeen(winter, standing=(wait,)), law=law,
               drying=0.5, infill=3.0)  # fmt: skip
    log = Log(boards=(board("a"),), waits=(wait,))
    said = bench_day(outlook([made], log=log, law=law, today=winter), winter, winter - dt.timedelta(1))
    assert only(said.leave).until == winter + dt.timedelta(11)
    assert only(said.promises).ready.high == winter + dt.timedelta(11)


def test_a_board_that_stopped_waits_for_an_answer_since_its_last_hours():
    seen = BoardSeen(MONDAY, ended={"strip": day(-2)}, stopped=True)
    made = job(booked={"strip": 2.0}, seen=seen, strip=4.0)
    rows = [Entry("a", day(-6), "drying", 0.5), Entry("a", day(-2), "strip", 2.0)]
    said = morning([made], [board("a", state="stopped")], entries=rows)
    assert (only(said.ring).why, only(said.ring).about) == (ANSWER_DUE, day(-2))
    unworked = morning([made], [board("a", state="stopped")])
    assert only(unworked.ring).about is None


def test_an_answer_that_must_have_come_is_not_asked_for():
    rows = {"waits": [waiting("owner", -6)], "entries": [Entry("a", day(-2), "infill", 1.0)]}
    made = job(booked={"infill": 1.0}, infill=9.0)
    assert morning([made], [board("a")], **rows).ring == ()


# ---- what a board is said to stand for


def test_artwork_is_named_where_it_holds_up_what_comes_next_and_not_before():
    wait = waiting("artwork", -2)
    seen = BoardSeen(MONDAY, standing=(wait,))
    last = job(
        booked={"infill": 3.0}, done=["infill"], seen=seen, law=waits(message=6.5), logos=2.0, gloss=1.0
    )
    said = morning([last], [board("a")], waits=[wait])
    assert (only(said.leave).why, only(said.leave).until) == ("waiting for artwork", day(5))
    before = job(booked={"infill": 1.0}, seen=seen, infill=9.0, logos=2.0)
    said = morning([before], [board("a")], waits=[wait])
    assert (said.leave, only(said.touch).stage) == ((), "infill")


def test_of_two_messages_the_one_is_named_that_holds_up_what_comes_next():
    rows = [waiting("artwork", -5), waiting("owner", -3)]
    made = job(
        **STRIPPED,
        seen=BoardSeen(MONDAY, standing=tuple(rows)),
        law=waits(message=6.5),
        infill=9.0,
        logos=2.0,
    )
    assert only(morning([made], [board("a")], waits=rows).leave).why == "waiting for the owner"


def test_a_row_of_artwork_left_open_is_not_named_once_the_logos_are_done():
    rows = [waiting("artwork", -9), waiting("owner", -2)]
    worked = [Entry("a", day(-4), "logos", 2.0)]
    made = job(booked={"logos": 2.0}, done=["logos"], seen=BoardSeen(MONDAY, standing=(rows[1],)), gloss=1.0)
    said = morning([made], [board("a")], waits=rows, entries=worked)
    assert only(said.leave).why == "waiting for the owner"


@pytest.mark.parametrize("order", [("strip", "drying", "infill"), ("infill", "drying", "strip")])
def test_a_stage_that_may_not_happen_is_not_what_a_board_stands_for(order):
    # infill happens in one draw of four: not what comes next, nor what holds up the gloss coat
    stages = {name: SETTINGS.stages[name] for name in (*order, "logos", "gloss")}
    settings = replace(SETTINGS, stages={**stages, "logos": replace(stages["logos"], needs=())})
    wait = waiting("drying", -5)
    made = job(booked={"strip": 4.0, "drying": 0.5}, done=["strip"], seen=BoardSeen(MONDAY, standing=(wait,)),
               settings=settings, law=waits(drying=19.5), drying=0.5, infill=np.where(np.arange(N) % 4, 0, 3.0), gloss=1.0)  # fmt: skip
    leave = only(morning([made], [board("a")], settings=settings, waits=[wait]).leave)
    assert (leave.until, leave.why) == (day(15), "the foam is drying")


# ---- whom to ring


@pytest.mark.parametrize(("late", "rings"), [(7, False), (8, False), (9, True), (20, True)])
def test_a_date_is_in_danger_where_it_is_kept_less_than_six_times_in_ten(late, rings):
    # ready on Monday, or in so many of twenty draws on Tuesday
    made = job(booked={"infill": 1.0}, infill=1.0 + np.where(np.arange(N) < late, 12.0, 6.0))
    said = morning([made], [board("a", told=0)])
    assert only(said.promises).chance_kept == pytest.approx(1 - late / N)
    if rings:
        ring = only(said.ring)
        assert (ring.why, ring.tell, ring.about) == (IN_DANGER, day(1), day(0))
        assert only(said.touch).why == "its date is in danger"
    else:
        assert said.ring == ()


def test_the_date_told_last_is_in_danger_and_not_the_one_that_was_told_before():
    made = job(booked={"infill": 1.0}, infill=13.0)
    told = [Told("a", day(-9), last=day(0)), Told("a", day(-1), last=day(5), because="late")]
    said = morning([made], [board("a")], told=told)
    assert (said.ring, only(said.promises).chance_kept, only(said.promises).chance_first) == ((), 1.0, 0.0)


@pytest.mark.parametrize(("ago", "rings"), [(0, True), (90, True), (91, False)])
def test_a_board_that_stands_ready_is_rung_about_for_a_quarter(ago, rings):
    done = board("z", state="finished", ready=day(-ago))
    said = morning([], [done])
    assert [(r.why, r.about, r.name) for r in said.ring] == (
        [(IS_READY, day(-ago), "the z")] if rings else []
    )
    assert morning([], [replace(done, collected=day(0))]).ring == ()
    assert morning([], [replace(done, state="withdrawn")]).ring == ()


def test_dates_in_danger_come_first_the_worst_at_the_head():
    """Six hours are done on Monday, in so many of twenty draws twelve on Tuesday; told is a day that was told anew."""
    late = {"a": 10, "b": 19, "c": 12, "d": 0}
    jobs = [
        job(n, booked={"infill": 1.0}, infill=7.0 + np.where(np.arange(N) < k, 6.0, 0.0))
        for n, k in late.items()
    ]
    boards = [*(board(n) for n in late), board("z", state="finished", ready=day(-1))]
    told = [
        one
        for n in late
        for one in (Told(n, day(-9), last=day(-3)), Told(n, day(-1), last=day(0), because="late"))
    ]
    said = morning(jobs, boards, settings=with_bench(places=4, hours_by_weekday=(60.0,) * 7), told=told)

    assert [(r.board, r.why, r.about) for r in said.ring] == [
        ("b", IN_DANGER, day(0)), ("c", IN_DANGER, day(0)), ("a", IN_DANGER, day(0)), ("z", IS_READY, day(-1))
    ]  # fmt: skip


def test_an_owner_is_told_an_open_day_where_the_sure_one_is_none():
    """Its gloss coat is hard on Saturday: Monday is told."""
    said = morning([job(booked={"gloss": 1.0}, gloss=13.0, law=waits(gloss=4.0))], [board("a", told=0)])

    assert only(said.promises).ready.high == day(5)
    assert only(said.ring).tell == day(7)


# ---- what to touch


def test_boards_that_are_begun_come_first_then_as_many_in_line_as_have_a_place():
    begun = {"booked": {"infill": 1.0}, "infill": 4.0}
    jobs = [job("a", **begun), *(job(name, strip=2.0) for name in "bcd")]
    boards = [
        board("a", told=40),
        *(board(n, told=t, state="waiting") for n, t in (("b", 60), ("c", 50), ("d", None))),
    ]
    said = morning(jobs, boards, settings=with_bench(places=2))
    assert [(t.board, t.why) for t in said.touch] == [
        ("a", "the day you told comes first"),
        ("c", "a place is free, and it is next in line"),
    ]
    four = morning(jobs, boards, settings=with_bench(places=4))
    assert [t.board for t in four.touch] == ["a", "c"]  # one board is looked over a day
    assert four.able == ("a", "c", "b", "d")
    assert [t.board for t in morning(jobs, boards, settings=ONE_PLACE).touch] == ["a"]


def test_a_board_on_the_rack_takes_no_place_from_the_next_in_line():
    wait = waiting("drying", -5)
    dries = job("a", booked={"strip": 4.0, "drying": 0.5}, done=["strip"], seen=BoardSeen(MONDAY, standing=(wait,)),
                law=waits(drying=19.5), drying=0.5, infill=3.0)  # fmt: skip
    boards = [board("a"), board("b", state="waiting")]
    said = morning([dries, job("b", strip=2.0)], boards, settings=ONE_PLACE, waits=[wait])
    assert {p.board: p.on for p in said.promises} == {"a": "rack", "b": "queue"}
    assert said.able == ("b",)
    assert [(t.board, t.why) for t in said.touch] == [("b", "a place is free, and it is next in line")]


def test_of_boards_that_can_be_worked_on_the_day_told_first_comes_first():
    jobs = [job(name, booked={"infill": 1.0}, infill=2.0) for name in "abc"]
    boards = [board("a", told=60), board("b"), board("c", told=50)]
    said = morning(jobs, boards, settings=with_bench(places=3))
    assert [(t.board, t.why) for t in said.touch] == [
        ("c", "the day you told comes first"),
        ("a", "the day you told comes next"),
        ("b", "it can be worked on"),
    ]


@pytest.mark.parametrize(("today", "touched"), [(4, True), (5, False), (6, False), (7, True), (8, False)])
def test_on_a_day_without_hours_nothing_is_touched(today, touched):
    free = with_bench(away=(Away(day(8), day(8)),))
    made = job(booked={"infill": 1.0}, infill=4.0)
    said = morning([made], [board("a")], settings=free, today=today, up_to=today - 1)
    assert bool(said.touch) is touched


def test_hours_of_a_day_add_up_to_no_more_than_it_has():
    # six hours: four on a, two of b's five; nothing is left for c
    jobs = [
        job(name, booked={"infill": 1.0}, infill=1.0 + hours)
        for name, hours in zip("abc", (4, 5, 1), strict=True)
    ]
    boards = [board(name, told=told) for name, told in zip("abc", (40, 50, 60), strict=True)]
    said = morning(jobs, boards, settings=with_bench(places=3))
    assert [(t.board, t.hours) for t in said.touch] == [("a", 4.0), ("b", 2.0)]
    assert said.able == ("a", "b", "c")
    capped = with_bench(places=3, most_hours_a_day_on_one_board=2.5)
    assert [(t.board, t.hours) for t in morning(jobs, boards, settings=capped).touch] == [
        ("a", 2.5), ("b", 2.5), ("c", 1.0)
    ]  # fmt: skip


def test_what_waits_for_an_answer_is_not_touched():
    jobs = [job("a", booked={"infill": 1.0}, infill=4.0), job("b", booked={"infill": 1.0}, infill=4.0)]
    boards = [board("a", state="stopped"), board("b")]
    said = morning(jobs, boards)
    assert [ring.board for ring in said.ring] == ["a"]
    assert [t.board for t in said.touch] == ["b"]


def test_a_board_whose_foam_is_dry_goes_on_and_none_is_touched_to_look_at_the_drying():
    dry = job(booked={"strip": 4.0}, done=["strip"], wet=0.0, drying=0.5, infill=3.0)
    said = morning([dry], [board("a")])
    assert (only(said.promises).next_stage, only(said.touch).stage) == ("infill", "infill")
    checks_alone = job(booked={"strip": 4.0}, done=["strip"], wet=0.0, drying=0.5)
    assert morning([checks_alone], [board("a")]).touch == ()


def test_nothing_dusty_comes_after_what_is_still_wet():
    aired = {"infill": DUSTY, "gloss": WET}
    stages = {n: replace(s, air=aired.get(n, QUIET)) for n, s in SETTINGS.stages.items()}
    settings = replace(with_bench(places=3), stages=stages)
    jobs = [
        job("a", booked={"gloss": 1.0}, settings=settings, gloss=3.0),
        job("b", booked={"infill": 1.0}, settings=settings, infill=3.0),
    ]
    boards = [board("a", told=40), board("b", told=50)]
    said = morning(jobs, boards, settings=settings)
    assert [(t.board, t.stage) for t in said.touch] == [("b", "infill"), ("a", "gloss")]
    assert [t.board for t in morning(jobs, boards, settings=with_bench(places=3)).touch] == ["a", "b"]
    # what has set within its own hours is no matter for the rest of the day
    at_once = replace(settings, stages={**stages, "gloss": replace(stages["gloss"], wait_days=(0.0, 0.0))})
    kept = (Touch("a", "a", "gloss", "", 3.0), Touch("b", "b", "infill", "", 3.0))
    assert [t.board for t in dust_first(kept, settings)] == ["b", "a"]
    assert [t.board for t in dust_first(kept, at_once)] == ["b", "a"]
    sprays = replace(
        settings, stages={**stages, "logos": replace(stages["logos"], air=SPRAY, wait_days=(0.5, 1.0))}
    )
    mixed = (kept[0], Touch("c", "c", "logos", "", 1.0), Touch("d", "d", "strip", "", 1.0), kept[1])
    assert [t.stage for t in dust_first(mixed, sprays)] == ["infill", "strip", "logos", "gloss"]


# ---- a change of order


def swapped(*, a_until=10, law=None, **more):
    """a was promised first and told anew since; it takes 24 hours or 36. b takes six, and was told day 5."""
    jobs = [job("a", strip=24.0 + 12 * HALF), job("b", strip=6.0)]
    boards = [board(n, told=t, state="waiting", accepted=-30) for n, t in (("a", 3), ("b", 5))]
    # another was begun since they came: their turn has been passed by, and none of them goes before the other
    boards.append(board("z", state="finished", accepted=-40, started=day(-20), collected=day(-9)))
    told = [Told("a", day(-9), last=day(3)), Told("a", day(-1), last=day(a_until), because="late")]
    told += [Told("b", day(-9), last=day(5))]
    return morning(jobs, boards, settings=ONE_PLACE, told=told, law=law, **more)


def test_a_change_of_order_that_helps():
    # a ends on day 3 or 7, so b on day 4 or 8; b first ends today, and a on day 4 or 8, within day 10
    said = swapped()
    assert {p.board: p.chance_kept for p in said.promises} == {"a": 1.0, "b": 0.5}
    swap = said.swap
    assert (swap.board, swap.name, dict(swap.before), dict(swap.after)) == (
        "b",
        "the b",
        {"a": 1.0, "b": 0.5},
        {"a": 1.0, "b": 1.0},
    )
    assert swap.gain == pytest.approx(0.5)
    assert [ring.board for ring in said.ring] == ["b"]


def test_a_change_of_order_that_costs_as_much_as_it_gives_is_not_spoken_of():
    assert swapped(a_until=7).swap is None  # a is ready on day 8 in every other draw


def test_a_change_of_order_that_sinks_another_is_not_proposed(monkeypatch):
    assert swapped().swap is not None
    monkeypatch.setattr("estimator.bench.morning.SUNK", 1.0)
    assert swapped().swap is not None  # nobody falls under it
    sunk = {"a": 1.0, "b": 0.5}, {"a": 0.04, "b": 1.0}
    monkeypatch.undo()
    assert sinks(*sunk)
    assert not sinks(sunk[0], {"a": 0.06, "b": 1.0})


def test_the_chances_before_a_change_are_those_of_the_promises(monkeypatch):
    # tried with four draws, of which all but one are the long ones
    monkeypatch.setattr(
        "estimator.bench.morning.Outlook.thinned", lambda made, _=0: _first(made, [1, 3, 5, 2])
    )
    said = swapped()
    kept = {p.board: p.chance_kept for p in said.promises}
    assert dict(said.swap.before) == kept == {"a": 1.0, "b": 0.5}
    # it gains .75 in those four: more than there is
    assert dict(said.swap.after) == {"a": 1.0, "b": 1.0}
    assert said.as_dict()["change_of_order"]["before"] == kept


def _first(made, draws):
    wide = ("hours", "waits", "sessions", "free")
    jobs = [
        replace(one, first=one.first[draws], **{name: getattr(one, name)[:, draws] for name in wide})
        for one in made.jobs
    ]
    return replace(made, jobs=tuple(jobs))


# ---- the rest of the page


def test_the_next_free_start_and_by_when_to_say_yes():
    # two boards of 12 hours take Monday to Thursday; two places hold them until their last hours are worked
    jobs = [job(name, booked={"infill": 1.0}, infill=13.0) for name in "ab"]
    said = morning(jobs, [board("a"), board("b")], settings=ONE_PLACE)
    assert said.next_start == Dates(day(4), day(4), day(4))
    assert said.say_yes_by == day(7)


def test_where_the_hours_come_from_goes_with_who_takes_them():
    jobs, boards = [job(strip=4.0)], [board("a", state="waiting")]
    assert morning(jobs, boards).capacity == "the week in your settings"  # nobody came before today
    one = [replace(boards[0], accepted=day(-1))]
    assert morning(jobs, one).capacity == f"the week in your settings, {STILL_TO_COME}"
    past = [
        board(f"p{i}", state="finished", accepted=-10 * i - 40, started=day(-10 * i - 35), ready=day(-10 * i - 30), collected=day(-10 * i - 30))
        for i in range(9)
    ]  # fmt: skip
    rows = [Entry(b.board, b.started, "strip", 3.0) for b in past]
    assert (
        morning(jobs, [*boards, *past], entries=rows).capacity
        == f"the week in your settings, {STILL_TO_COME}"
    )


def test_where_later_boards_have_no_names_their_hours_are_said_to_be_left_out():
    made = outlook([job(strip=4.0)], [board("a", state="waiting")])
    less = "less 7 in 100 hours for later boards that go before others"
    made = replace(made, capacity=replace(made.capacity, less=less))
    assert bench_day(made, MONDAY, day(-1)).capacity == f"the week in your settings, {less}"


def test_a_drying_board_is_put_on_the_scales():
    wait = waiting("drying", -6)
    wet = board("a", found={"wetness": 2.0})
    made = job(**STRIPPED, seen=BoardSeen(MONDAY, standing=(wait,)), drying=0.5, infill=3.0)
    other = [WeightReading("b", day(-200), 8.0)]
    said = morning([made], [wet], waits=[wait], weighings=other)
    assert [(one.board, one.name, one.day) for one in said.scales] == [("a", "the a", MONDAY)]
    assert said.as_dict()["weigh_again"] == [{"board": "a", "on": MONDAY.isoformat()}]
    assert morning([made], [wet], waits=[wait]).scales == ()


def test_boards_left_out_have_their_reasons_under_their_short_names():
    made = outlook([], [board("a"), board("b")])
    made = replace(made, left_out={"b": "the b can never be finished: a and b wait for one another."})
    said = bench_day(made, MONDAY, day(-1))
    assert said.names == {"b": "the b"}
    assert said.as_dict()["left_out"] == {"b": "the b can never be finished: a and b wait for one another."}


def test_the_order_of_rows_in_the_log_does_not_matter():
    jobs = [job("a", booked={"infill": 1.0}, infill=4.0), job("b", strip=8.0)]
    boards = [
        board("a", told=3),
        board("b", told=5, state="waiting"),
        board("z", state="finished", ready=day(-1)),
    ]
    rows = [waiting("owner", -3), waiting("parts", -2, until=4)]
    seen = BoardSeen(MONDAY, standing=tuple(rows))
    jobs[0] = job("a", **STRIPPED, seen=seen, infill=4.0)
    said = morning(jobs, boards, waits=rows)
    assert morning(jobs, boards[::-1], waits=rows[::-1]).as_dict() == said.as_dict()


# ---- a board that is not taken on yet, and which boards a change of order is tried with


def test_a_board_not_taken_on_waits_until_its_owner_says_yes():
    """Seven days to say yes, six hours then: Monday week; the queue is its place and nothing was told."""
    made = outlook([job("a", booked={"infill": 1.0}, infill=13.0)], [board("a")])
    new = job("new", strip=6.0 + 0.5 * (np.arange(N) < 1), first=7, law=waits(gloss=0))
    object.__setattr__(
        made.hand, "job", lambda _board, _seen, first=0: replace(new, first=np.full(N, float(first)))
    )
    promise, by = promise_of_one_more(made, KnownBoard("new", called="egg"), MONDAY)

    assert by == day(7)
    assert (promise.board, promise.name, promise.on, promise.from_day) == ("new", "egg", "queue", day(7))
    assert (promise.ready, promise.hours_left) == (Dates(day(7), day(7), day(7)), 6.0)
    assert (promise.told, promise.chance_kept, promise.next_stage, promise.points) == (
        None,
        None,
        "",
        (day(7),) * 10,
    )


def tried(*chances, why=(), gains=(), loses=None, on="bench", seen=None):
    """Which board is to go first, of boards whose days are kept so often; gains: dates kept more with each first.

    loses: the board that is to go first, another, and how much less often the day of that one is kept
    """
    names = "abcde"[: len(chances)]
    promises = [
        SimpleNamespace(board=n, name=n, chance_kept=c, why="waits" if n in why else "", on=on)
        for n, c in zip(names, chances, strict=True)
    ]
    gain = dict(zip(names, gains, strict=False))
    ready = np.ones((len(names), 100))  # told for day 1: kept; a row of twos: missed

    def finished(order=None, last=None):
        if seen is not None:
            seen.append((last, None if order is None else order.tolist()))
        days = ready + 1
        kept = 0 if loses is None else 10  # so many of a hundred are kept as they stand
        days[:, :kept] = 1
        if order is not None:
            first = names[int(np.argmin(order))]
            days[names.index(first), : kept + round(100 * gain.get(first, 0.0))] = 1
            if loses is not None and loses[0] == first:
                days[names.index(loses[1]), : round(100 * loses[2])] = 2
        return SimpleNamespace(ready=days)

    made = SimpleNamespace(
        boards=promises,
        order=np.arange(len(names)),
        hand=SimpleNamespace(day=MONDAY),
        thinned=lambda _n: Thin(finished),
    )
    told = {n: SimpleNamespace(last=day(1)) for n in names}
    if seen is not None:
        told["a"].last = day(4)
    swap = _swap(made, promises, told)
    return None if swap is None else (swap.board, pytest.approx(swap.gain))


@dataclass(frozen=True)
class Thin:
    finished: object
    stretch: object = None


def test_the_board_that_helps_most_goes_first_of_those_whose_dates_are_in_danger_and_not_hopeless():
    """.3 of a date each; b gains .5. One at 9 in 10 needs none, one at 1 in 100 nothing helps."""
    assert tried(0.3, 0.3, gains=(0.3, 0.5)) == ("b", 0.5)
    assert tried(0.3, 0.9, gains=(0.3, 0.9)) == ("a", 0.3)
    assert tried(0.3, 0.01, gains=(0.3, 0.9)) == ("a", 0.3)
    assert tried(0.9, 0.9, gains=(0.9, 0.9)) is None


def test_a_quarter_of_a_date_is_worth_a_change_and_what_stands_is_not_tried():
    assert tried(0.3, gains=(0.25,)) == ("a", 0.25)
    assert tried(0.3, gains=(0.24,)) is None
    assert tried(0.3, 0.3, why=("b",), gains=(0.3, 0.5)) == ("a", 0.3)


def test_the_three_of_which_most_can_be_hoped_are_tried():
    assert tried(0.1, 0.4, 0.3, 0.2, gains=(0.9, 0.3, 0.3, 0.4)) == ("d", 0.4)


def test_work_of_the_day_goes_by_the_sessions_that_are_left_and_by_the_usual_draw():
    """Nine hours in three sessions are three a day; in most draws four, in a few ten."""
    thrice = replace(
        SETTINGS, stages={**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], sessions=3)}
    )
    made = job(booked={"infill": 3.0}, done=["infill"], settings=thrice, gloss=9.0)
    assert [t.hours for t in morning([made], [board("a")], settings=thrice).touch] == [3.0]
    some = job(booked={"infill": 1.0}, infill=1.0 + np.where(np.arange(N) < 5, 5.5, 4.0))
    assert [t.hours for t in morning([some], [board("a")]).touch] == [4.0]
    rare = np.select(
        [np.arange(N) < 8, np.arange(N) < 14], [0.0, 2.0], 4.0
    )  # where it happens three, as usual
    often = job(booked={"infill": 1.0}, infill=1.0 + rare)
    assert [t.hours for t in morning([often], [board("a")]).touch] == [3.0]
    for hours, said in ((2.3, 2.5), (2.2, 2.0), (2.8, 3.0)):
        nearly = job(booked={"infill": 1.0}, infill=1.0 + hours)
        assert [t.hours for t in morning([nearly], [board("a")]).touch] == [said]
    little = job(booked={"infill": 1.0}, infill=1.1)
    assert [t.hours for t in morning([little], [board("a")]).touch] == [0.5]


def test_a_wait_that_is_over_is_no_answer_due_and_of_two_the_first_counts():
    rows = [waiting("owner", -5), waiting("owner", -3), waiting("owner", -9, until=2)]
    made = job(**STRIPPED, seen=BoardSeen(MONDAY, standing=tuple(rows[:2])), infill=9.0)
    assert only(morning([made], [board("a")], waits=rows[:2]).ring).about == day(-5)
    dated = job(**STRIPPED, seen=BoardSeen(MONDAY, standing=(rows[2],)), infill=9.0)
    assert morning([dated], [board("a")], waits=rows[2:]).ring == ()


def test_what_stands_in_line_is_not_left_alone_but_waits_its_turn():
    wait = waiting("artwork", -2)
    made = job("a", seen=BoardSeen(MONDAY, standing=(wait,)), law=waits(message=6.5), logos=2.0)
    said = morning([replace(made, place="queue")], [board("a", state="waiting")], waits=[wait])

    assert (only(said.promises).on, only(said.promises).why) == ("queue", "waiting for artwork")
    assert (said.leave, said.touch) == ((), ())


def test_promises_stand_in_the_order_in_which_boards_are_ready_and_scales_by_their_day():
    jobs = [
        job(n, booked={"infill": 1.0}, infill=1.0 + hours)
        for n, hours in zip("abc", (18, 6, 12), strict=True)
    ]
    said = morning(
        jobs, [board(n, told=40) for n in "abc"], settings=with_bench(places=3, hours_by_weekday=(40.0,) * 7)
    )

    assert [p.board for p in said.promises] == ["b", "c", "a"]
    assert said.promise_of("c").board == "c"
    assert said.promise_of("x") is None


def test_a_change_that_makes_another_date_hopeless_is_not_proposed_whatever_it_gains():
    """b gains half a date, a falls from .07 to .03; from .11 to .07 it may."""
    assert tried(0.07, 0.3, gains=(0.0, 0.5), loses=("b", "a", 0.04)) is None
    assert tried(0.11, 0.3, gains=(0.0, 0.5), loses=("b", "a", 0.04)) == ("b", 0.46)


def test_what_waits_in_line_is_tried_too_for_it_may_be_begun_first():
    assert tried(0.3, 0.3, why=("b",), gains=(0.3, 0.5), on="queue") == ("b", 0.5)


def test_another_order_puts_one_board_first_and_leaves_the_others_as_they_are():
    """Played to the last of the days told; b goes first, then a, c and d."""
    seen = []
    tried(0.9, 0.3, 0.9, 0.9, gains=(0.0, 0.4), seen=seen)

    assert seen == [(day(4), None), (day(4), [1, 0, 2, 3])]


def test_days_are_tried_as_they_are_played_without_the_stretch(monkeypatch):
    tried_with = []
    finished = Outlook.finished
    monkeypatch.setattr(
        Outlook,
        "finished",
        lambda made, *a, **more: (
            tried_with.append((more.get("last"), made.stretch)),
            finished(made, *a, **more),
        )[1],
    )
    made = outlook([job("a", strip=24.0 + 12 * HALF), job("b", strip=6.0)], [
        board(n, told=t, state="waiting") for n, t in (("a", 3), ("b", 5))], settings=ONE_PLACE)  # fmt: skip
    made = replace(made, stretch=Stretch(1.2, 1.5, "2026-05-01"))
    said = bench_day(made, MONDAY, day(-1))

    assert said.stretch == made.stretch
    assert {stretch for last, stretch in tried_with if last is not None} == {UNSTRETCHED}


def two(stage, *, settings=SETTINGS, **hours):
    """How many of two boards in line whose next stage is this one are touched on a day."""
    jobs = [job(name, settings=settings, **{stage: 2.0, **hours}) for name in "ab"]
    boards = [board(name, told=told, state="waiting") for name, told in (("a", 40), ("b", 50))]
    return [
        t.board
        for t in morning(jobs, boards, settings=replace(settings, bench=with_bench(places=3).bench)).touch
    ]


def test_a_look_over_a_board_is_what_comes_before_all_work_and_by_no_quantity():
    counted = replace(
        SETTINGS, stages={**SETTINGS.stages, "strip": replace(SETTINGS.stages["strip"], drivers=("pieces",))}
    )

    assert two("strip") == ["a"]
    assert two("strip", settings=counted) == ["a", "b"]
    assert two("gloss") == ["a", "b"]  # it comes after others


def test_one_board_is_looked_over_a_day_whatever_is_worked_between():
    jobs = [job("a", strip=1.0), job("b", infill=1.0), job("c", strip=1.0)]
    boards = [board(n, told=t, state="waiting") for n, t in (("a", 40), ("b", 50), ("c", 60))]

    assert [t.board for t in morning(jobs, boards, settings=with_bench(places=4)).touch] == ["a", "b"]


def test_what_was_put_first_is_said_to_be_though_its_date_is_in_danger_and_the_day_told_first_comes_after_it():
    """Of b no day was told; c was told today, which cannot be kept."""
    jobs = [job(name, booked={"infill": 1.0}, infill=3.0) for name in "ab"]
    jobs.append(job("c", booked={"infill": 1.0}, infill=9.0))
    boards = [board("a", told=40), board("b"), board("c", told=0)]

    def why(*first):
        notes = [Note(name, MONDAY, f"ring: {IN_DANGER}, 2026-06-20: {FIRST}") for name in first]
        bench = with_bench(places=3, hours_by_weekday=(20.0,) * 7)
        return {t.board: t.why for t in morning(jobs, boards, settings=bench, notes=notes).touch}

    assert why("b")["b"] == why("c")["c"] == "you put it first"
    assert why("b")["a"] == "the day you told comes next"  # after c's
    assert why()["c"] == "its date is in danger"
    only_two = [replace(one, promised_last=None) if one.board == "c" else one for one in boards]
    said = morning(
        jobs,
        only_two,
        settings=with_bench(places=3),
        notes=[Note("b", MONDAY, f"ring: {IN_DANGER}, 2026-06-20: {FIRST}")],
    )
    assert [(t.board, t.why) for t in said.touch][:2] == [
        ("b", "you put it first"), ("a", "the day you told comes first")
    ]  # fmt: skip


def test_promises_stand_by_the_sure_day_and_hours_left_and_the_day_to_begin_are_the_middle_ones():
    """a takes six hours, or thirty in a third of the draws; b twelve; what c needs comes on Wednesday or on Saturday."""
    a = job("a", booked={"infill": 1.0}, infill=7.0 + 24 * (np.arange(N) % 3 == 0))
    b = job("b", booked={"infill": 1.0}, infill=13.0)
    c = job("c", booked={"infill": 1.0}, infill=2.0)
    c = replace(c, free=np.where(HALF, 5.0, 2.0)[None, :])
    bench = with_bench(places=3, hours_by_weekday=(60.0,) * 7)
    said = morning([a, b, c], [board(name) for name in "abc"], settings=bench).promises

    assert [(p.board, p.ready.low, p.ready.high, p.hours_left) for p in said] == [
        ("b", day(1), day(1), 12.0), ("a", day(0), day(4), 6.0), ("c", day(2), day(5), 1.0)
    ]  # fmt: skip
    assert said[2].from_day == day(4)


def test_boards_that_dry_are_weighed_in_the_order_of_their_days_and_others_not():
    made = outlook([job(n, strip=4.0) for n in "abc"], [board(n) for n in "abc"])
    days = {"a": day(5), "b": None, "c": day(2)}
    object.__setattr__(made.hand, "weigh_on", lambda one, _job, _today: days[one.board])

    assert [(one.board, one.day) for one in bench_day(made, MONDAY, day(-1)).scales] == [
        ("c", day(2)),
        ("a", day(5)),
    ]


def test_a_board_left_out_that_has_no_short_name_stands_under_its_number():
    made = replace(
        outlook([], [Board("26-003", state="waiting")]), left_out={"26-003": "26-003 can never be finished."}
    )

    assert bench_day(made, MONDAY, day(-1)).names == {"26-003": "26-003"}


def test_the_last_day_written_and_that_weeks_differ_are_handed_on():
    rows = [Entry("a", day(-4), "infill", 1.0)]
    made = outlook([job(booked={"infill": 1.0}, infill=2.0)], log=Log((board("a"),), entries=tuple(rows)))
    made = replace(made, capacity=replace(made.capacity, apart="the week in your settings has 29 hours"))
    said = bench_day(made, MONDAY, day(-1))

    assert (said.last_entry, said.log_up_to) == (day(-4), day(-1))
    assert said.weeks_apart == "the week in your settings has 29 hours"


def test_what_dries_under_another_name_is_foam_that_dries():
    renamed = {("rack" if name == "drying" else name): stage for name, stage in SETTINGS.stages.items()}
    renamed |= {
        "rack": replace(renamed["rack"], name="rack"),
        "infill": replace(renamed["infill"], after=("rack",)),
    }
    settings, law, wait = replace(SETTINGS, stages=renamed), waits(), waiting("drying", -5)
    law = replace(law, laws={("rack", grade): law.after("drying", grade) for grade in (0, 1)}, drying="rack")
    made = job(
        **STRIPPED, seen=BoardSeen(MONDAY, standing=(wait,)), law=law, settings=settings, rack=0.5, infill=3.0
    )
    said = morning([made], [board("a")], settings=settings, law=law, waits=[wait])

    assert only(said.leave).why == "the foam is drying"


@pytest.mark.parametrize(
    ("air", "wait", "last"), [(SPRAY, (0.0, 0.0), False), (SPRAY, (0.0, 1.0), True), (WET, (0.0, 0.5), True)]
)
def test_what_sets_within_its_own_hours_is_no_matter_and_what_may_take_longer_is(air, wait, last):
    """Logos first, then gloss of some air, then quiet work."""
    stages = {**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], air=air, wait_days=wait)}
    stages |= {"logos": replace(stages["logos"], air=QUIET), "infill": replace(stages["infill"], air=QUIET)}
    touch = [
        Touch(n, n, stage, "", 1.0) for n, stage in zip("abc", ("logos", "gloss", "infill"), strict=True)
    ]

    order = [t.board for t in dust_first(touch, replace(SETTINGS, stages=stages))]
    assert order == (["a", "c", "b"] if last else ["a", "b", "c"])


def test_what_can_be_worked_on_comes_in_the_order_of_work_and_nothing_that_stands_on_the_rack():
    """Of three on the bench the second comes first; one on the rack stands for its wait alone."""
    shop = Settings(stages={"strip": Stage("strip"), "dry": Stage("dry", on="rack")}, bench=Bench(places=3))
    boards = tuple(Board(name) for name in "abcd")
    made = SimpleNamespace(
        boards=boards, order=np.array([2, 0, 3, 1]), hand=SimpleNamespace(boards=()), settings=shop
    )
    dates = Dates(MONDAY, MONDAY, MONDAY)
    promises = [
        Promise(name, name, on, dates, (MONDAY,) * 10, None, None, 4.0, stage, MONDAY, why)
        for name, on, stage, why in (
            ("a", "bench", "strip", ""), ("b", "bench", "strip", ""), ("c", "bench", "strip", "the foam is drying"), ("d", "rack", "dry", ""),
        )
    ]  # fmt: skip

    assert [one.board for one in _able(made, promises)] == ["b", "a"]
