"""The days to come: exact where they can be worked out by hand, and the same as a slow replay everywhere."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as searched
from hypothesis import strategies as st
from making.slowly import slowly

from estimator.bench.jobs import Job
from estimator.bench.simulation import simulate
from estimator.words.errors import NoAnswerError

SHARED = Path(__file__).resolve().parents[2] / "shared"
WEEK = np.array([6.0, 6.0, 6.0, 6.0, 5.0, 0.0, 0.0])


def a_job(
    hours,
    waits=0.0,
    after=None,
    *,
    sessions=1,
    rack=(),
    free=0.0,
    seasonal=(),
    place="queue",
    first=0.0,
    name="b",
):
    hours = np.asarray(hours, dtype=float)
    hours = hours[:, None] if hours.ndim == 1 else hours
    shape, n = hours.shape, len(hours)
    return Job(
        board=name, stages=tuple(f"s{i}" for i in range(n)), hours=hours,
        waits=np.broadcast_to(np.asarray(waits, dtype=float).reshape(-1, 1) if np.ndim(waits) == 1 else waits, shape) * 1.0,
        after=np.tri(n, k=-1, dtype=bool) if after is None else after,
        sessions=np.broadcast_to(sessions, shape).astype(np.int64),
        rack=np.isin(range(n), rack), free=np.broadcast_to(free, shape) * 1.0, seasonal=np.isin(range(n), seasonal),
        place=place, first=np.broadcast_to(first, shape[1:]) * 1.0,
    )  # fmt: skip


def run(*jobs, hours=WEEK, places=3, most=100.0, order=None, season=None, **more):
    days = np.broadcast_to(
        np.asarray(hours, dtype=float).reshape(-1, 1), (np.size(hours), jobs[0].n_draws if jobs else 1)
    )
    ranks = np.arange(len(jobs)) if order is None else np.array(order)
    return simulate(jobs, days, places=places, most_on_one=most, order=ranks, season=season, **more)


def ready(*jobs, **options):
    return run(*jobs, **options).ready[:, 0].tolist()


@pytest.mark.parametrize(("hours", "day"), [(1, 0), (6, 0), (6.5, 1), (29, 4), (29.5, 7), (58, 11)])
def test_one_board_without_waits_takes_its_hours_over_the_hours_a_day(hours, day):
    # a week of 6, 6, 6, 6, 5 hours: 29 a week, and nothing at its end
    assert ready(a_job([hours])) == [day]


def test_a_board_takes_in_only_so_many_hours_a_day():
    assert ready(a_job([12.0]), most=4.0) == [2]
    assert ready(a_job([12.0]), most=4.5) == [2]
    assert ready(a_job([13.5]), most=4.5) == [2]
    assert ready(a_job([13.6]), most=4.5) == [3]


@pytest.mark.parametrize(("wait", "day"), [(0.0, 0), (0.5, 1), (1.0, 1), (2.3, 3), (7.0, 7)])
def test_what_follows_a_wait_begins_when_it_is_over(wait, day):
    assert ready(a_job([1.0, 1.0], waits=[wait, 0.0]), hours=[6.0]) == [day]


def test_the_last_wait_counts_until_ready():
    done = run(a_job([1.0], waits=[4.5]), hours=[6.0])
    assert (done.worked_out[0, 0], done.ready[0, 0]) == (0, 5)


def test_a_night_lies_between_sessions():
    assert ready(a_job([3.0], sessions=3), hours=[6.0]) == [2]
    assert ready(a_job([3.0, 1.0], sessions=[[3], [1]]), hours=[6.0]) == [2]


def test_stages_that_need_not_wait_for_each_other_fill_a_wait():
    beside = np.zeros((3, 3), dtype=bool)
    beside[2] = [True, True, False]  # the last comes after both others
    assert ready(a_job([1.0, 1.0, 1.0], waits=[5.0, 0.0, 0.0], after=beside), hours=[1.0]) == [5]
    chain = np.tri(3, k=-1, dtype=bool)
    assert ready(a_job([1.0, 1.0, 1.0], waits=[5.0, 0.0, 0.0], after=chain), hours=[1.0]) == [6]


def test_a_message_begins_with_what_it_follows_and_holds_up_what_needs_it():
    after = np.zeros((3, 3), dtype=bool)
    after[1, 0] = after[1, 2] = after[2, 0] = (
        True  # stage 1 needs stage 0, and message 2, sent for after stage 0
    )
    assert ready(a_job([2.0, 1.0, 0.0], waits=[0.0, 0.0, 9.0], after=after), hours=[1.0]) == [10]


def test_a_stage_that_does_not_happen_passes_on_what_comes_before_it():
    chain = np.zeros((3, 3), dtype=bool)
    chain[1, 0] = chain[2, 1] = True
    assert ready(a_job([1.0, 0.0, 1.0], waits=[3.0, 0.0, 0.0], after=chain), hours=[6.0]) == [3]


def test_a_wait_begun_in_winter_lasts_longer():
    season = np.array([1.0, 1.0, 1.5, 1.5])
    assert ready(a_job([1.0], waits=[10.0], seasonal=[0]), hours=[6.0], season=season) == [10]
    assert ready(a_job([1.0], waits=[10.0], seasonal=[0], first=2), hours=[6.0], season=season) == [17]
    assert ready(a_job([1.0], waits=[10.0], first=2), hours=[6.0], season=season) == [12]


def test_there_are_only_so_many_places():
    three = [a_job([10.0], name=f"b{i}") for i in range(3)]
    assert ready(*three, hours=[3.0], most=1.0, places=3) == [9, 9, 9]
    assert ready(*three, hours=[3.0], most=1.0, places=1) == [9, 19, 29]


def test_a_board_that_stands_for_two_days_gives_up_its_place_and_one_on_the_rack_needs_none():
    drying = a_job([1.0, 1.0], waits=[6.0, 0.0], name="drying")
    other = a_job([9.0], name="other")
    assert ready(drying, other, hours=[3.0], most=3.0, places=1) == [6, 3]
    night = a_job([1.0, 1.0], waits=[1.0, 0.0], name="night")
    assert ready(night, other, hours=[3.0], most=3.0, places=1) == [1, 4]


@pytest.mark.parametrize(("wait", "others_day"), [(1.0, 2), (2.0, 1)])
def test_a_place_is_given_up_in_the_evening_before_two_days(wait, others_day):
    # what stands for a night only keeps its place
    first = a_job([1.0, 1.0], waits=[wait, 0.0], name="first")
    assert run(first, a_job([9.0], name="other"), hours=[3.0], places=1).started[1, 0] == others_day


def test_one_board_that_comes_back_from_the_rack_is_squeezed_in():
    here = [a_job([30.0], place="bench", name=f"here {i}") for i in range(2)]
    back = [a_job([1.0], place="rack", name=f"back {i}") for i in range(3)]
    new = a_job([1.0], name="new")
    # four hours: one on each of the two that are here and on one that comes back; the others only one after another
    days = run(*here, *back, new, hours=[4.0], most=1.0, places=2).ready[:, 0].tolist()
    assert days == [29, 29, 0, 1, 2, 30]


def test_a_board_that_is_begun_comes_before_those_in_line():
    waiting, begun = a_job([3.0], name="first in order"), a_job([3.0], place="rack", name="begun")
    assert ready(waiting, begun, hours=[3.0], places=1) == [1, 0]


def test_checks_on_the_rack_need_no_place():
    on_rack = a_job([1.0], rack=[0], place="rack")
    assert ready(a_job([6.0], place="bench"), on_rack, hours=[3.0], places=1, order=[1, 0]) == [2, 0]


def test_the_next_free_start_is_where_a_place_and_hours_are_left():
    done = run(a_job([6.0]), a_job([6.0]), hours=[3.0], places=2)
    assert done.first_free.tolist() == [4]
    assert run(a_job([6.0]), hours=[3.0], places=3, most=2.0).first_free.tolist() == [0]


def test_the_critical_path_of_a_published_network():
    # Hillier & Lieberman, Introduction to Operations Research, the Reliable Construction Co.: 44 weeks
    with (SHARED / "hl_pert.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    names = [row["activity"] for row in rows]
    after = np.array([[other in row["predecessors"] for other in names] for row in rows])
    weeks = [(float(r["optimistic"]) + 4 * float(r["likely"]) + float(r["pessimistic"])) / 6 for r in rows]
    job = a_job([1e-6] * len(names), waits=weeks, after=after)
    assert ready(job, hours=[1e9], most=1e9) == [44]


durations = st.sampled_from([0.0, 0.0, 0.5, 1.0, 2.0, 3.7, 13.0])


@st.composite
def jobs_of(draw):
    n_draws = 3
    made = []
    for j in range(draw(st.integers(1, 4))):
        n = draw(st.integers(1, 5))
        after = np.zeros((n, n), dtype=bool)
        for i in range(n):
            for k in range(i):
                after[i, k] = draw(st.booleans())
        some = st.lists(durations, min_size=n_draws, max_size=n_draws)
        made.append(
            a_job(
                np.array([draw(some) for _ in range(n)]),
                np.array([draw(some) for _ in range(n)]),
                after,
                sessions=np.array([[draw(st.integers(1, 3))] * n_draws for _ in range(n)]),
                rack=[i for i in range(n) if draw(st.integers(0, 3)) == 0],
                free=np.array([draw(some) for _ in range(n)]),
                seasonal=[i for i in range(n) if draw(st.booleans())],
                place=draw(st.sampled_from(["bench", "rack", "queue", "queue"])),
                first=np.array(draw(some)),
                name=f"b{j}",
            )
        )
    return made


@searched(max_examples=100, deadline=None)
@given(
    jobs_of(), st.integers(1, 3), st.sampled_from([1.5, 4.0, 100.0]), st.sampled_from([None, 7]), st.randoms()
)
def test_a_slow_replay_of_the_same_draws_gives_the_same_days(jobs, places, most, shuffled, luck):
    jobs = [
        Job(**{**vars(job), "place": "rack" if job.place == "bench" and i >= places else job.place})
        for i, job in enumerate(jobs)
    ]
    order = luck.sample(range(len(jobs)), len(jobs))
    hours = np.array([3.0, 0.0, 2.5, 4.0])
    season = np.array([1.0] * 5 + [1.4] * 5)
    ahead = np.array([[luck.random() < 0.3 for _ in range(3)] for _ in jobs])
    more = {"season": season, "ahead": ahead, "shuffled": shuffled}
    done = run(*jobs, hours=hours, places=places, most=most, order=order, **more)
    for draw in range(3):
        days, started, worked, first_free = slowly(
            jobs,
            lambda day: hours[day % 4],
            places=places,
            most_on_one=most,
            order=order,
            season=season,
            ahead=ahead[:, draw],
            turn=shuffled
            and (lambda day, at=draw: np.random.default_rng([7, day]).random((len(jobs), 3))[:, at]),
            draw=draw,
        )
        assert done.ready[:, draw].tolist() == days
        assert done.started[:, draw].tolist() == started
        assert done.worked[:, draw] == pytest.approx(worked)
        assert done.first_free[draw] == first_free
    assert done.worked == pytest.approx(np.array([job.hours.sum(axis=0) for job in jobs]), abs=1e-6)


A_SERVICE = 40  # days: so long that a place which is free in the morning, not at once, hardly matters


def in_line(arrive, took):
    """First days of boards that come to one pair of hands with one place, each after those before it (Lindley 1952)."""
    free, begun = np.zeros(arrive.shape[1:]), []
    for came, days in zip(arrive, took, strict=True):
        begun.append(np.maximum(came, free))
        free = begun[-1] + np.ceil(days)
    return np.array(begun)


QUEUES = {
    # waits in line, in services: load / (1 - load) x (1 + cv^2) / 2, Pollaczek and Khinchine
    "M/M/1": (lambda rng, n: rng.exponential(1.0, n), 0.5, 1.0),
    "M/D/1": (lambda _, n: np.ones(n), 0.5, 0.5),
    "M/G/1, Erlang-2": (lambda rng, n: rng.gamma(2, 0.5, n), 0.5, 0.75),
    # Hillier & Lieberman, Introduction to Operations Research, County Hospital: 2 an hour come, 3 can be served,
    # and wait 2/3 hours, two services
    "one doctor": (lambda rng, n: rng.exponential(1.0, n), 2 / 3, 2.0),
}


@pytest.mark.parametrize("name", QUEUES)
def test_waits_in_line_are_those_of_a_queue(name):
    service, load, expected = QUEUES[name]
    rng = np.random.default_rng(3)
    arrive = np.ceil(np.cumsum(rng.exponential(A_SERVICE / load, (30, 20)), axis=0))
    took = service(rng, arrive.shape) * A_SERVICE
    jobs = [a_job(took[i][None, :], first=arrive[i], name=f"b{i}") for i in range(len(took))]
    done = run(*jobs, hours=[1.0], places=1, most=1.0)
    assert np.array_equal(done.started, in_line(arrive, took))

    many = (400, 2000)  # in the same way as above, and long enough to forget the empty start
    arrive = np.ceil(np.cumsum(rng.exponential(A_SERVICE / load, many), axis=0))
    waits = (in_line(arrive, service(rng, many) * A_SERVICE) - arrive)[many[0] // 2 :] / A_SERVICE
    assert waits.mean() == pytest.approx(expected, rel=0.05)
    assert (waits > 0).mean() == pytest.approx(load, abs=0.015)


def test_as_many_boards_are_here_as_come_a_day_times_the_days_they_stay():
    # Little (1961): L = lambda W, over a stretch that begins and ends empty, exactly
    rng = np.random.default_rng(4)
    arrive = np.cumsum(rng.exponential(3.0, 40))
    jobs = [a_job([rng.uniform(2, 9)], first=np.ceil(at), name=f"b{i}") for i, at in enumerate(arrive)]
    done = run(*jobs, hours=[3.0], places=2, most=2.0)
    stay = done.ready[:, 0] - np.ceil(arrive)
    end = int(done.ready.max())
    here = [np.sum((np.ceil(arrive) <= day) & (day < done.ready[:, 0])) for day in range(end)]
    assert np.mean(here) == pytest.approx(len(jobs) / end * stay.mean())


def first_comers(luck, waits):
    """A shop of four boards and one more, by order of coming, in 50 draws, with waits out of these."""
    shape = (3, 50)
    first = np.sort(luck.integers(0, 15, (5, shape[1])), axis=0)
    return [
        a_job(
            luck.integers(1, 7, shape),
            luck.choice(waits, shape),
            sessions=luck.integers(1, 4, shape),
            first=first[i],
            place="bench" if i == 0 else "queue",
            name=f"b{i}",
        )
        for i in range(5)
    ]


@pytest.mark.parametrize(
    ("waits", "places"),
    [
        ([0.0, 0.5, 1.0], 1),  # no board stands for two days
        ([0.0, 0.5, 1.0], 2),
        ([0.0, 1.0, 5.0, 9.0], 5),  # there is a place for each
    ],
)
@pytest.mark.parametrize("most", [2.5, 4.5, 100.0])
@pytest.mark.parametrize("seed", range(4))
def test_one_more_board_at_the_end_of_the_line_moves_no_other(waits, places, most, seed):
    boards = first_comers(np.random.default_rng(seed), waits)
    before = run(*boards[:-1], places=places, most=most).ready
    assert np.array_equal(run(*boards, places=places, most=most).ready[:-1], before)


def test_where_boards_come_back_from_the_rack_to_few_places_one_more_moves_others_both_ways():
    # as in the anomalies of Graham (1969): a delay can make way for another board
    luck = np.random.default_rng(1)
    earlier = later = 0
    for _ in range(5):
        boards = first_comers(luck, [0.0, 1.0, 5.0, 9.0])
        moved = run(*boards, places=2).ready[:-1] - run(*boards[:-1], places=2).ready
        earlier, later = earlier + (moved < 0).sum(), later + (moved > 0).sum()
    assert later > earlier > 0


def test_luck_of_the_day_belongs_to_a_board_whoever_else_is_here_and_in_whatever_order():
    boards = [a_job(np.full((1, 200), 20.0), name=f"b{i}") for i in range(2)]
    late = a_job(np.full((1, 200), 20.0), first=500, name="late")
    two = run(*boards, shuffled=7).ready
    assert (two[0] != two[1]).any()
    assert np.array_equal(run(*boards, late, shuffled=7).ready[:2], two)
    assert np.array_equal(run(*boards, shuffled=7, order=[1, 0]).ready, two)


def test_no_board_is_a_shop_that_is_free():
    done = simulate([], WEEK[:, None], places=3, most_on_one=4.5, order=np.array([], dtype=np.int64))
    assert done.ready.shape[0] == 0
    assert done.first_free.tolist() == [0]


def test_a_draw_that_waits_for_years_takes_its_years():
    # one in four waits as no board does: the others are as they would be alone, and the search ends
    waits = np.zeros((2, 4))
    waits[0] = [0.0, 3.0, 5000.0, 1e9]
    job = a_job(np.ones((2, 4)), waits, name="b")
    assert run(job, hours=[6.0]).ready[0].tolist() == [0, 3, 5000, 10958]
    assert run(job, a_job(np.ones((1, 4))), hours=[6.0]).ready[0].tolist() == [0, 3, 5000, 10958]
    assert ready(a_job([1.0, 1.0, 1.0], waits=[1e9, 1e9, 0.0]), hours=[6.0]) == [2 * 10958]


@pytest.mark.parametrize(
    ("job", "options", "said"),
    [
        (a_job([5.0]), {"hours": [0.0]}, "for ten years nothing can be worked"),
        (a_job([5.0]), {"places": 0}, "never finished"),
        (a_job([5.0]), {"hours": [1e-6]}, "in thirty years too little"),
        (a_job([5.0, 1.0], after=np.array([[False, True], [True, False]])), {}, "wait for one another"),
        (a_job([5.0, 1.0], waits=[np.inf, 0.0]), {}, "no end"),
        (a_job([np.nan]), {}, "no end"),
    ],
)
def test_a_board_that_can_never_be_finished_is_named_and_ends_the_search(job, options, said):
    with pytest.raises(NoAnswerError, match=said) as told:
        run(job, **options)
    assert "board b" in str(told.value)


def test_a_board_is_not_worked_on_on_days_on_which_it_is_closed():
    shut = np.array([True, True, False, False, False, False, False])
    assert ready(replace(a_job([1]), closed=shut), a_job([1], name="c")) == [2, 0]


def test_the_hours_of_a_day_go_to_the_stage_whose_turn_is_first():
    late, soon = (
        replace(a_job([6]), turns=np.array([5.0])),
        replace(a_job([6], name="c"), turns=np.array([2.0])),
    )
    assert ready(late, soon) == [1, 0]
    assert ready(a_job([6]), a_job([6], name="c")) == [0, 1]


def test_a_board_is_opened_up_as_soon_as_it_comes_and_then_waits_its_turn():
    opens = np.array([True, False])
    one, two = (replace(a_job([3, 12], [4, 0], rack=(0,), name=name), opens=opens) for name in "ab")
    plain = [a_job([3, 12], [4, 0], rack=(0,), name=name) for name in "ab"]
    both = run(one, two, places=1)
    assert both.started[:, 0].tolist() == [0, 0]
    # dry on Friday: five hours of a, six on Monday and the last on Tuesday; b gets the place the day after
    assert both.ready[:, 0].tolist() == run(*plain, places=1).ready[:, 0].tolist() == [8, 10]
    # a board that comes on Friday is stripped before the other goes on, and still has its place behind it
    late = replace(two, first=np.array([4.0]))
    long = replace(one, hours=np.array([[3.0], [16.0]]))
    assert run(long, late, places=1).ready[:, 0].tolist() == [9, 14]
    assert run(long, replace(plain[1], first=np.array([4.0])), places=1).ready[0, 0] == 8


def test_hours_that_found_nothing_to_do_are_made_up_for_on_shorter_days_of_work():
    days = np.array([6.0, 6.0, 2.0, 0.0, 6.0, 0.0, 0.0])
    board = a_job([3, 12], [2, 0])  # stands until Wednesday
    assert ready(board, hours=days) == [7]
    assert ready(board, hours=days, usual=days) == [7]  # no day is shorter than usual
    # three hours of Monday and six of Tuesday were left over: Wednesday has six, Thursday none, Friday six
    assert ready(board, hours=days, usual=np.array([6.0] * 7)) == [4]


def test_one_absurd_draw_of_a_hundred_is_ready_far_off_and_spoils_nothing():
    """A law of hours with a long tail has a draw of a hundred lives now and then."""
    hours = np.full((1, 200), 12.0)
    hours[0, [7, 9]] = 1e7
    days = simulate(
        [a_job(hours)], np.tile(WEEK[:, None], 200), places=1, most_on_one=6.0, order=np.array([0])
    )

    assert 3660 <= days.ready[0, 7] < np.inf  # so that days of two orders can be taken from one another
    assert set(np.delete(days.ready[0], [7, 9]).tolist()) == {1.0}

    hours[0, :3] = 1e7  # more are no accident
    with pytest.raises(NoAnswerError):
        simulate([a_job(hours)], np.tile(WEEK[:, None], 200), places=1, most_on_one=6.0, order=np.array([0]))


def test_a_stage_that_stands_for_two_others_waits_for_the_longer_whichever_began_first():
    """Monday six hours that set nine days, Tuesday six that set one: the third begins on Wednesday of next week."""
    both = [[0, 0, 0], [0, 0, 0], [1, 1, 0]]
    long_first = a_job([6, 6, 6], [9, 1, 0], np.array(both, dtype=bool))
    short_first = a_job([6, 6, 6], [1, 9, 0], np.array(both, dtype=bool))

    assert ready(long_first) == [9]
    assert ready(short_first) == [10]


def test_what_is_not_free_before_a_day_is_not_free_by_the_end_of_a_wait():
    """Its parts come on Saturday, and the week goes on on Monday; the wait was over on Tuesday."""
    assert ready(a_job([6, 6], [1, 0], free=[[0.0], [5.0]])) == [7]


def test_one_more_board_can_begin_once_a_place_is_free_whatever_hours_are_left():
    """Six hours a day, of which the board on the one place takes two for three days."""
    assert run(a_job([6.0]), hours=[6.0], places=1, most=2.0).first_free.tolist() == [3]
    assert run(a_job([6.0]), hours=[6.0], places=2, most=2.0).first_free.tolist() == [0]


def test_what_is_put_first_has_the_hours_of_each_day_first_whoever_s_luck_it_is():
    """Ten hours each, six a day: Tuesday, and two of them Monday to Thursday; the others come as they come to hand."""
    boards = [a_job(np.full((1, 50), 10.0), name=f"b{i}") for i in range(3)]
    for order in ([0, 1, 2], [2, 0, 1]):
        one, two = (run(*boards, hours=[6.0], shuffled=7, order=order, first=n).ready for n in (1, 2))
        at = [order.index(rank) for rank in range(3)]
        assert (one[at[0]] == 1).all()
        assert (two[at[0]] == 1).all()
        assert (two[at[1]] == 3).all()
        assert len({*one[at[1]]}) > 1


def test_hours_that_were_made_up_for_are_not_made_up_for_again():
    """Nine hours of Monday and Tuesday found nothing to do: four on Wednesday, four on Thursday and one on Friday."""
    days = np.array([6.0, 6.0, 2.0, 2.0, 2.0, 2.0, 2.0])
    # 6 and 6 and 3, then two a day up to Sunday: 19, and the last one on Monday
    assert ready(a_job([3, 20], [2, 0]), hours=days, usual=np.array([6.0] * 7)) == [7]


def test_a_board_is_closed_on_its_own_days_of_the_week():
    saturday = np.arange(7) == 5
    assert ready(replace(a_job([36.0]), closed=saturday), hours=[6.0]) == [6]


def test_a_board_without_hours_is_begun_when_it_is_ready():
    done = run(a_job([0.0], waits=[4.5]), hours=[6.0])
    assert (done.started[0, 0], done.ready[0, 0], done.worked[0, 0]) == (5, 5, 0)
