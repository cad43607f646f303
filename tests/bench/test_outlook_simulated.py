"""What the days to come are played with: whose hours, which season, until when, and which days are moved out after."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.hands import MONDAY, SETTINGS, N, day, job, outlook, waits, with_bench

from estimator.bench.morning import bench_day
from estimator.bench.orders import Comings
from estimator.bench.outlook import Hand, expected, seasons
from estimator.bench.promises import IN_DANGER
from estimator.forecast.calibration import Stretch
from estimator.log.steps.ringing import FIRST
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import Board, Log, Note

CAME = Comings(4, 40.0, np.array([6.0]), np.array([1]), ("minor",))
BY_HAND = with_bench(places=2, most_hours_a_day_on_one_board=5.0, winter_drying=1.5)


@pytest.fixture
def played(monkeypatch):
    """What each playing of days was given: jobs, the hours to come, and all else by name; ready in draws 0, 1, 2 ..."""
    given = []

    def simulate(jobs, capacity, **more):
        given.append(SimpleNamespace(jobs=[one.board for one in jobs], capacity=capacity, **more))
        ready = np.tile(np.arange(float(N)), (len(jobs), 1))
        return replace(DONE, ready=ready)

    monkeypatch.setattr("estimator.bench.outlook.simulate", simulate)
    return given


DONE = outlook([job("a", strip=6.0)]).finished()
BOARDS = tuple(Board(name, name, state="waiting", accepted=day(-n)) for name, n in (("a", 3), ("b", 2)))


def shop(*, comings=None, notes=(), stretch=None, today=MONDAY):
    jobs = [job(one.board, strip=6.0, law=waits(gloss=0)) for one in BOARDS]
    made = outlook(jobs, log=Log(BOARDS, notes=tuple(notes)), settings=BY_HAND, today=today)
    return replace(made, comings=comings, **({} if stretch is None else {"stretch": stretch}))


def test_boards_to_come_are_played_behind_those_in_hand_and_hours_are_not_taken_off_for_them_too(played):
    made, one = shop(comings=CAME), job("new", strip=3.0)
    made.finished([one])
    made.finished([one], others=False)
    shop().finished()
    with_others, without, nobody = played

    assert with_others.jobs[:4] == ["a", "b", "new", "to come 1"]
    assert with_others.until.tolist() == [True] * 3 + [False] * (len(with_others.jobs) - 3)
    assert with_others.order.tolist() == list(range(len(with_others.jobs)))
    assert with_others.ahead.shape == (len(with_others.jobs), N)
    assert (without.jobs, without.until) == (["a", "b", "new"], None)
    assert [one.capacity.all_of_them for one in played] == [True, False, False]
    assert (nobody.places, nobody.most_on_one, nobody.shuffled) == (2, 5.0, 1)


def test_days_end_when_the_one_asked_about_is_ready(played):
    shop(comings=CAME).finished(alone=1)
    shop().finished(alone=0)

    assert np.flatnonzero(played[0].until).tolist() == [1]
    assert played[1].until.tolist() == [True, False]


def test_foam_dries_by_the_season_of_the_days_to_come(played):
    shop(today=dt.date(2026, 9, 30)).finished()

    assert played[0].season[:3].tolist() == [1.0, 1.5, 1.5]
    assert len(played[0].season) == 3 * 366
    assert np.array_equal(played[0].season, seasons(dt.date(2026, 9, 30), BY_HAND.bench))


def test_what_is_put_first_has_the_hours_first_but_in_an_order_that_is_tried(played):
    made = shop(notes=[Note("b", MONDAY, f"ring: {IN_DANGER}, 2026-06-20: {FIRST}")])
    made.finished()
    made.finished(order=np.array([0, 1]))
    shop().finished()

    assert [(one.order.tolist(), one.first) for one in played] == [([1, 0], 1), ([0, 1], 0), ([0, 1], 0)]


def test_days_that_are_moved_out_after_are_played_to_their_end(played):
    """The last day asked about is one of days as they are told: before the stretch there is none."""
    shop().finished(last=day(9))
    shop(stretch=Stretch(2.0, 2.0)).finished(last=day(9))
    shop().finished()

    assert [one.last for one in played] == [9, None, None]


@pytest.mark.usefixtures("played")
def test_days_of_boards_in_line_are_moved_out_and_the_day_of_one_more_board_is_not():
    made = shop(stretch=Stretch(2.0, 2.0))

    assert made.finished().ready[0].tolist() != list(range(N))
    assert made.finished(free_alone=True).ready[0].tolist() == list(range(N))
    assert shop().finished().ready[0].tolist() == list(range(N))


def test_one_more_board_is_the_one_behind_those_in_hand_and_no_board_to_come(monkeypatch):
    """Ready on day 7 where all in hand are on day 3 and those to come on day 99."""
    made, more = shop(comings=CAME), job("new", strip=3.0)
    firsts = []
    monkeypatch.setattr(
        "estimator.bench.outlook.Hand.job", lambda _h, _b, _s, first=0: (firsts.append(first), more)[1]
    )
    monkeypatch.setattr(
        "estimator.bench.outlook.simulate",
        lambda jobs, _capacity, **_: replace(
            DONE, ready=np.repeat([3.0, 3.0, 7.0, *[99.0] * (len(jobs) - 3)], N).reshape(len(jobs), N)
        ),
    )
    board = SimpleNamespace(board="new")
    one, ready, by = made.days_of_one_more(board, MONDAY)
    dates, yes = made.of_one_more(board, MONDAY)

    assert (one, ready[:, 0].tolist(), by, firsts) == (more, [3.0, 3.0, 7.0], day(7), [7, 7])
    assert (dates.likely, yes) == (day(7), day(7))


# ---- what boards are made from


def with_later(**later):
    """A board of three pieces, of which so many were asked for since."""
    row = Board("a", state="waiting", assessed={"pieces": 2.0}, later=later)
    known = KnownBoard("a", state="waiting", assessed={"pieces": 2.0}, later=later)
    hand = Hand(Log((row,)), SETTINGS, SimpleNamespace(boards=(known,)), waits(), MONDAY, 1, N)
    return row, known, hand


def test_what_owners_asked_for_since_makes_no_board_to_come_longer(monkeypatch):
    """Ten hours a piece: two were taken on, one came to it since."""
    monkeypatch.setattr(
        Hand, "job_judged", lambda _hand, row, known: job(row.board, strip=10.0 * known.wanted["pieces"])
    )
    asked, _, hand = with_later(pieces=1.0)
    [much] = expected(
        replace(hand, log=Log((replace(asked, accepted=day(-1)),))),
        [replace(asked, accepted=day(-1))],
        [job(strip=30.0)],
    ).hours
    plain, _, bare = with_later()
    [whole] = expected(
        replace(bare, log=Log((replace(plain, accepted=day(-1)),))),
        [replace(plain, accepted=day(-1))],
        [job(strip=30.0)],
    ).hours

    assert (much, whole) == (20.0, 30.0)


def test_a_board_judged_otherwise_is_held_against_what_is_wanted_of_it_then(monkeypatch):
    seen = []
    monkeypatch.setattr(Hand, "job", lambda _hand, board, of: seen.append((board, of)))
    row, known, hand = with_later(pieces=1.0)
    hand.job_judged(row, replace(known, later={"pieces": 4.0}))

    [(board, of)] = seen
    assert (board.later, dict(of.judged)) == ({"pieces": 4.0}, {"pieces": 6.0})
    assert dict(hand.seen(row).judged) == {"pieces": 3.0}


@pytest.mark.parametrize(("state", "stopped"), [("stopped", True), ("on bench", False), ("waiting", False)])
def test_a_board_that_stopped_is_seen_so(state, stopped):
    row, _, hand = with_later()
    assert hand.seen(replace(row, state=state)).stopped is stopped


def test_one_more_board_can_begin_by_the_boards_in_hand_alone(played):
    """Boards to come would have the place first, of whom nobody has asked yet."""
    bench_day(shop(comings=CAME), MONDAY, day(-1))
    [free] = [one for one in played if one.free_alone]

    assert free.jobs == ["a", "b"]
