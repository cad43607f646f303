"""What the log says of the boards in hand on the first day to come."""

import datetime as dt
import random
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.hands import MONDAY, SETTINGS, N, day, job, outlook, waits

from estimator.bench.drying import Scales
from estimator.bench.jobs import BENCH, QUEUE, RACK, BoardSeen
from estimator.bench.outlook import Hand, Outlook, days_at, log_up_to
from estimator.bench.promises import IN_DANGER
from estimator.forecast.calibration import Stretch
from estimator.log.steps.ringing import FIRST
from estimator.words.records import SHOP, Board, Entry, Log, Note, Told, Wait, WeightReading

WET = Board("a", state="on bench", assessed={"wetness": 1.0, "pieces": 2.0})


def hand(*, boards=(WET,), today=MONDAY, **log):
    return Hand(Log(boards=tuple(boards), **{name: tuple(rows) for name, rows in log.items()}), SETTINGS, None, waits(), today, 1, N)  # fmt: skip


def booked(stage, n, hours=1.0, until=None, board="a"):
    return Entry(board, day(n), stage, hours, until=None if until is None else day(until))


# ---- dates moved for how earlier ones went


def test_dates_of_boards_in_line_alone_are_moved_out_by_hand():
    """Ready on day 10, 20 or 30 from the log's last day on, sides half as far out again about the middle, noon of 20.

    19.5 · (9.5 / 19.5)^1.5 = 6.63, so day 7; 19.5 · (29.5 / 19.5)^1.5 = 36.3, so day 37: one less from the first day
    to come on.
    """
    ready = np.tile([9.0, 19.0, 29.0], (3, 1))
    jobs = [SimpleNamespace(place=place) for place in (BENCH, RACK, QUEUE)]
    moved = replace(outlook([]), stretch=Stretch(1.5, 1.5))._moved(ready, jobs)

    assert moved.tolist() == [[9, 19, 29], [9, 19, 29], [6, 19, 36]]
    assert ready[2].tolist() == [9, 19, 29]


# ---- up to which day


@pytest.mark.parametrize(
    ("last", "today", "up_to"),
    [
        (0, 0, 0),  # hours of today are written already
        (-1, 0, -1),
        (-10, 0, -10),
        (-11, 0, -1),  # nothing for more than ten days: nothing has been written
        (5, 0, 0),  # what was written of later days is of no later than today
        (None, 0, -1),
    ],
)
def test_up_to_which_day_the_log_tells(last, today, up_to):
    entries = () if last is None else (booked("strip", last),)
    assert log_up_to(Log(entries=entries), day(today)) == day(up_to)


def test_time_on_no_board_tells_of_its_day_too():
    assert log_up_to(Log(entries=(Entry(SHOP, day(-3), "", 0.0, note="away"),)), MONDAY) == day(-3)


# ---- what is seen


def test_a_stage_is_begun_on_the_first_day_of_its_rows_and_ended_on_the_last():
    rows = [
        booked("strip", -9, until=-7),
        booked("strip", -5),
        booked("strip", -4, 0.0),
        booked("gloss", -3, board="b"),
    ]
    seen = hand(entries=rows).seen(WET)
    assert (seen.begun, seen.ended) == ({"strip": day(-9)}, {"strip": day(-5)})
    assert seen.judged == WET.assessed


@pytest.mark.parametrize(
    ("first", "until", "stands", "over"),
    [
        (-3, None, True, False),
        (-3, 0, True, False),  # what comes next may begin today: it stands for no day more
        (-3, 4, True, False),
        (-3, -1, False, True),
        (0, None, False, False),  # begun on day 0: still to come
        (2, 5, False, False),
    ],
)
def test_a_wait_stands_from_its_first_day_until_its_end(first, until, stands, over):
    wait = Wait("a", day(first), None if until is None else day(until), "owner")
    seen = hand(waits=[wait]).seen(WET)
    assert seen.standing == ((wait,) if stands else ())
    assert seen.met == ({"owner": day(first)} if over else {})


def test_of_waits_that_are_over_the_last_beginning_counts_and_other_boards_do_not():
    ended = [Wait("a", day(n), day(n + 2), "owner") for n in (-5, -9, -20)] + [
        Wait("b", day(-4), day(-3), "parts")
    ]
    assert hand(waits=ended).seen(WET).met == {"owner": day(-5)}


@pytest.mark.parametrize(
    ("cause", "stage", "still"),
    [
        ("owner", "infill", False),  # the bench goes on: the answer has come, whatever the row says
        ("owner", "drying", True),  # the foam is looked at meanwhile
        ("artwork", "infill", True),  # only the logos need it
        ("artwork", "logos", False),
        ("drying", "drying", True),
        ("drying", "strip", True),  # nothing that has to wait for dry foam
        ("drying", "infill", False),
        ("drying", "gloss", False),
    ],
)
def test_a_row_without_its_end_is_over_once_what_had_to_wait_was_worked(cause, stage, still):
    wait = Wait("a", day(-6), None, cause)
    assert bool(hand(waits=[wait], entries=[booked(stage, -2)]).seen(WET).standing) is still
    assert (
        hand(waits=[wait], entries=[booked(stage, -6)]).seen(WET).standing
    )  # on its own first day: before it
    assert hand(waits=[wait], entries=[booked(stage, -2, 0.0)]).seen(WET).standing


def test_a_row_with_its_end_stands_until_then_whatever_was_worked():
    wait = Wait("a", day(-6), day(4), "owner")
    assert hand(waits=[wait], entries=[booked("infill", -2)]).seen(WET).standing == (wait,)


def test_all_weighings_since_a_board_was_hung_up_are_seen_those_of_today_too():
    rows = [WeightReading("a", day(n), kg) for n, kg in ((0, 7.0), (-8, 9.5), (-5, 9.0), (-2, 8.0))]
    rows += [WeightReading("b", day(-2), 3.0)]
    hung = hand(weighings=rows, waits=[Wait("a", day(-5), None, "drying")]).seen(WET)
    assert list(hung.weighed) == [(0.0, 9.0), (3.0, 8.0), (5.0, 7.0)]
    assert hung.scales == Scales.of(Log(), SETTINGS, seed=1)
    assert hand(weighings=rows).seen(WET).scales is None


def test_the_order_of_rows_in_the_log_does_not_matter():
    rows = {
        "entries": [booked("strip", -9), booked("drying", -4, 0.25), booked("strip", -7)],
        "waits": [Wait("a", day(-3), None, c) for c in ("owner", "artwork", "drying")] + [Wait("a", day(-6), day(-4), "owner")],
        "weighings": [WeightReading("a", day(-n), 8.0 + n) for n in range(3)],
    }  # fmt: skip
    mixed = {name: random.Random(3).sample(many, len(many)) for name, many in rows.items()}
    assert hand(**mixed).seen(WET) == hand(**rows).seen(WET)


def test_boards_in_hand_are_those_taken_on_and_not_over():
    states = ("asked", "waiting", "on bench", "stopped", "finished", "declined", "withdrawn")
    boards = [Board(state, state=state) for state in states]
    assert [b.board for b in hand(boards=boards).boards] == ["waiting", "on bench", "stopped"]


# ---- when to weigh


CURVE = [(t, 8.0 + 1.8 * np.exp(-((t / (20 / 3.6)) ** 0.8))) for t in range(7)]


WETTER = replace(WET, found={"wetness": 2.0})


def on_scales(last, today=0):
    """When to weigh a board that was hung up six days ago, to dry in 20 days, and was weighed up to a day of these."""
    hung = Wait("a", day(-6), None, "drying")
    weighed = [WeightReading("a", day(t - 6), kg) for t, kg in CURVE if t <= last]
    made = hand(boards=[WETTER], waits=[hung], weighings=weighed, entries=[booked("strip", -6)])
    drying = job(booked={"strip": 4.0}, done=["strip"], seen=BoardSeen(MONDAY, standing=(hung,)), drying=0.5)
    return made.weigh_on(WETTER, drying, day(today))


def test_a_board_is_weighed_again_when_a_loss_can_be_seen_and_never_twice_a_day():
    # of 1.8 kg of water exp(-(5 x 3.6/20)^.8) = .72 kg were left on the fifth day, .28 kg will be on the twelfth, and
    # .32 kg on the eleventh: .42 kg less, three times the error of the scale, can be seen on the twelfth, in six days
    assert on_scales(5) == day(6)
    assert on_scales(0) == MONDAY  # overdue
    assert on_scales(6, today=0) > MONDAY
    assert on_scales(-1) is None  # nobody weighs boards here


def test_a_board_that_dries_into_autumn_is_weighed_when_it_may_be_dry_by_days_of_the_season_then():
    """Hung up on 24 September, weighed every day up to the 30th, on whose evening one looks.

    Six summer days are left from 1 October on, nine of that month: dry 7 + 9 days after it was hung up, on 10 October,
    before the scales show a loss again.
    """
    first, hung_up, evening = (dt.date(2026, *one) for one in ((10, 1), (9, 24), (9, 30)))
    hung = Wait("a", hung_up, None, "drying")
    weighed = tuple(WeightReading("a", hung_up + dt.timedelta(days=t), kg) for t, kg in CURVE)
    log = Log((WETTER,), waits=(hung,), weighings=weighed)
    made = job(booked={"strip": 4.0}, done=["strip"], seen=BoardSeen(first, standing=(hung,)), drying=0.5)
    made = replace(made, waits=np.full_like(made.waits, 6.0))

    hand_ = Hand(log, SETTINGS, None, waits(), first, 1, N)
    assert hand_.weigh_on(WETTER, made, evening) == dt.date(2026, 10, 10)


def test_nothing_hangs_nothing_is_weighed():
    wet = WeightReading("b", day(-1), 8.0)
    made = hand(weighings=[wet])
    assert made.weigh_on(WET, job(strip=4.0, drying=0.5), MONDAY) is None
    hung = hand(weighings=[wet], waits=[Wait("a", day(-2), None, "drying")])
    seen = hung.seen(WET)
    drying = job(booked={"strip": 4.0}, done=["strip"], seen=seen, drying=0.5)
    assert (
        hung.weigh_on(WET, drying, MONDAY) is None
    )  # of this grade it holds .6 kg: the scales can tell nothing
    assert hung.weigh_on(WETTER, drying, MONDAY) == MONDAY
    assert hung.weigh_on(WETTER, job(infill=3.0), MONDAY) is None  # it was passed by


# ---- what was done again


def again(*rows):
    """Stages of a board that were done again; each row: the stage, the day, and what of it was done anew."""
    entries = [
        Entry("a", day(n), stage, 2.0 if hours is None else hours, of=of) for stage, n, of, hours in rows
    ]
    return set(hand(entries=entries).seen(WET).again)


@pytest.mark.parametrize(
    ("later", "hours", "stages"),
    [
        ([("infill", -6)], None, {"strip"}),  # infilled before: stripped once more since
        ([("infill", -6)], 0.0, set()),  # a row of no hours
        ([("infill", -4)], None, set()),  # on the same day: perhaps after it
        ([("infill", -2)], None, set()),
        ([("infill", -6), ("gloss", -2)], None, set()),  # one of what comes after was worked since
        ([("infill", -6), ("gloss", -5)], None, {"strip"}),
        ([], None, {"strip"}),
        ([], 0.0, set()),
    ],
)
def test_a_stage_is_done_again_where_nothing_that_comes_after_it_was_worked_since(later, hours, stages):
    rows = [
        ("strip", -9, "", None),
        *((stage, n, "", None) for stage, n in later),
        ("redo", -4, "strip", hours),
    ]

    assert again(*rows) == stages


def test_hours_on_what_is_done_again_are_hours_of_the_stage():
    rows = [booked("strip", -9), replace(booked("redo", -4), of="strip")]
    seen = hand(entries=rows).seen(WET)

    assert (seen.begun["strip"], seen.ended["strip"], seen.ended["redo"]) == (day(-9), day(-4), day(-4))


# ---- who is in which place, and what is told


def three(*accepted, told=(), notes=()):
    """Boards in line, each of six hours, that were taken on so many days ago."""
    boards = [
        Board(name, name, state="waiting", accepted=None if n is None else day(-n))
        for name, n in zip("abc", accepted, strict=True)
    ]
    jobs = [job(one.board, strip=6.0, law=waits(gloss=0)) for one in boards]
    return outlook(jobs, log=Log(tuple(boards), told=tuple(told), notes=tuple(notes)))


def test_boards_stand_in_the_order_in_which_they_were_taken_on_and_those_without_a_day_last():
    made = three(None, 5, 9)
    hand_ = made.hand
    object.__setattr__(
        hand_, "jobs", lambda boards: tuple(made.jobs["abc".index(one.board)] for one in boards)
    )

    assert [one.board for one in Outlook.of(hand_, made.capacity).boards] == ["c", "b", "a"]


def test_the_day_to_tell_an_owner_stands_where_the_one_told_last_is_as_sure():
    """Ready on Monday; told Friday first and Wednesday since: Wednesday stands, of a board in no log nothing was told."""
    rows = (Told("a", day(-9), last=day(4)), Told("a", day(-1), last=day(2), because="late"))
    made = three(3, 2, 1, told=rows)
    ready = np.zeros(N)

    assert made.to_tell("a", ready, MONDAY).tell == day(2)
    assert made.to_tell("b", ready, MONDAY).tell == made.to_tell("x", ready, MONDAY).tell == MONDAY
    assert made.to_tell("a", ready + 3, MONDAY).tell == day(3)


@pytest.mark.parametrize(("today", "by", "number"), [(0, 7, 7), (-1, 6, 6), (-9, -2, 0), (3, 10, 10)])
def test_an_owner_has_a_week_to_say_yes(today, by, number):
    assert three(3, 2, 1).if_yes(day(today)) == (day(by), number)


def test_a_board_is_ready_on_a_day_that_has_begun():
    made = three(3, 2, 1)

    assert days_at(MONDAY, np.array([0.2, 0.2]), [0.5]) == (day(1),)
    said = made.dates(np.arange(N, dtype=float))  # one draw on each of twenty days
    assert (said.low, said.likely, said.high) == (day(1), day(9), day(17))


def test_boards_without_a_day_told_are_worked_on_in_the_order_of_their_yes_not_of_the_asking():
    boards = [
        Board(name, name, state="waiting", asked=day(-asked), accepted=day(-accepted))
        for name, asked, accepted in (("a", 9, 2), ("b", 6, 4), ("c", 5, 3))
    ]
    made = outlook([job(b.board, strip=6.0, law=waits(gloss=0)) for b in boards], log=Log(tuple(boards)))
    assert np.argsort(made.usual_order).tolist() == [1, 2, 0]


def test_only_boards_in_hand_are_put_first_the_one_said_last_before_the_others():
    notes = [Note(name, MONDAY, f"ring: {IN_DANGER}, 2026-06-20: {FIRST}") for name in ("c", "gone", "b")]
    made = three(3, 2, 1, notes=notes)

    assert made.put_first == ("b", "c")
    assert made.usual_order.tolist() == [0, 1, 2]
    assert made.order.tolist() == [2, 0, 1]
    assert [made.place_of(name) for name in ("a", "c", "gone")] == [0, 2, None]


def test_a_board_in_line_has_its_turn_passed_by_once_another_that_came_later_was_begun():
    """Every sort of job is taken out of turn here; one taken on before the last was begun is not any more."""
    made = three(9, 5, 4)
    begun = Board("z", state="finished", accepted=day(-20), started=day(-5))
    earlier = Board("y", state="finished", accepted=day(-40), started=day(-30))
    log = replace(made.hand.log, boards=(*made.hand.log.boards, begun, earlier))
    hand_ = replace(made.hand, log=log)
    later = replace(made, hand=hand_)
    object.__setattr__(later, "chances", {"": (1e9, 1e-9)})

    assert later._ahead(1, N).all(axis=1).tolist() == [False, True, True, False]
    assert not replace(made, jobs=tuple(replace(one, place=BENCH) for one in made.jobs))._ahead(0, N).any()


def test_the_days_within_which_all_is_finished_are_those_of_the_week_and_two_months():
    """Eighteen hours at thirty a week, and sixty days; the long draws count."""
    made = three(3, 2, 1)
    long_ = replace(made.jobs[0], hours=np.where(np.arange(N) < 3, 60.0, 0.0)[None, :])

    assert made._long(made.jobs) == pytest.approx(7 * 18 / 30 + 60)
    assert made._long([replace(long_, hours=long_.hours)]) == pytest.approx(7 * 60 / 30 + 60)
