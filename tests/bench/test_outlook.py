"""The days to come of boards in hand, by hand; what changes nothing; and what has no answer."""

import datetime as dt
import random
from dataclasses import replace

import numpy as np
import pytest
from making.hands import MONDAY, SETTINGS, N, day, job, outlook, waits, with_bench

from estimator.bench.calendar import capacity_of
from estimator.bench.jobs import BoardSeen
from estimator.bench.outlook import Hand, Outlook, days_at, told_dates
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Entry, Log, Told, Wait
from estimator.words.settings.schema import Away

ONE_PLACE = with_bench(places=1)
STRIPPED = {"booked": {"strip": 4.0}, "done": ["strip"]}


def ready(*jobs, **more):
    """On which days boards are ready, in every draw the same."""
    days = outlook(jobs, **more).days.ready
    assert (days == days[:, :1]).all()
    return days[:, 0].tolist()


def board(name, accepted=0, told=None, **more):
    more = {"state": "waiting", **more}
    return Board(name, accepted=day(accepted), promised_last=None if told is None else day(told), **more)


# ---- plain situations


def test_a_board_with_one_stage_left():
    # 12 of 13 hours are left, six a day: Monday and Tuesday; then the gloss coat sets for three days
    assert ready(job(booked={"gloss": 1.0}, gloss=13.0)) == [4]


def test_a_board_that_dries_is_ready_so_long_after_it_is_dry():
    # hung up five days ago for 19.5 days: dry on day 15, a Tuesday; six hours that day, and three days to set
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-5), None, "drying"),))
    rest = {"seen": seen, "law": waits(drying=19.5), "infill": 3.0, "logos": 2.0, "gloss": 1.0}
    assert ready(job(booked={"strip": 4.0, "drying": 0.5}, done=["strip"], drying=0.5, **rest)) == [18]
    # it hangs by its row alone, whether looking at it takes hours or none
    assert ready(job(**STRIPPED, strip=4.0, **rest)) == [18]


def test_a_board_that_waits_for_its_owner_is_begun_when_the_answer_has_come():
    # three of 6.5 days have gone by: the answer is there on day 4, a Friday; 9 hours take until Monday
    seen = BoardSeen(MONDAY, standing=(Wait("a", day(-3), None, "owner"),))
    assert ready(job(**STRIPPED, seen=seen, law=waits(message=6.5), infill=9.0)) == [7]


def test_two_boards_and_one_place():
    jobs = [job(name, law=waits(gloss=0), strip=12.0) for name in ("a", "b")]
    assert ready(*jobs, settings=ONE_PLACE) == [1, 3]
    # who was promised first comes first
    boards = [board("a", told=20), board("b", told=10)]
    assert ready(*jobs, boards=boards, settings=ONE_PLACE) == [3, 1]
    # with a place each they share the hours of the days
    days = outlook(jobs).days.ready
    assert days.max() == 3
    assert set(days.min(axis=0)) <= {1, 2, 3}


def test_days_away_and_weekends_are_not_worked():
    away = with_bench(away=(Away(day(1), day(2)),))
    assert ready(job(strip=12.0), settings=away) == [3]
    assert ready(job(strip=36.0)) == [7]


@pytest.mark.parametrize("because", ["late", "asked later"])
def test_the_first_date_told_makes_the_order_also_after_it_was_told_anew(because):
    boards = [board("a", told=3), board("b", told=5)]
    log = Log(
        boards=tuple(boards),
        told=(Told("a", day(-9), last=day(3)), Told("a", day(-1), last=day(30), because=because)),
    )
    made = outlook([job(n, strip=12.0) for n in ("a", "b")], log=log, settings=ONE_PLACE)
    assert made.order.tolist() == [0, 1]
    assert made.told["a"].last == day(30)


def test_a_board_more_at_the_end_of_the_line_makes_nobody_late():
    first, second = job("a", strip=12.0), job("b", strip=6.0)
    alone, both = outlook([first], settings=ONE_PLACE), outlook([first, second], settings=ONE_PLACE)
    np.testing.assert_array_equal(alone.days.ready[0], both.days.ready[0])
    more = alone.finished([second])
    np.testing.assert_array_equal(more.ready, both.days.ready)


@pytest.mark.parametrize("places", [1, 2])
def test_a_board_asked_about_alone_is_ready_when_it_is_among_all(places):
    luck = np.random.default_rng(5)
    hours = {name: luck.gamma(3.0, 6.0, N) for name in "abcde"}
    jobs = [job(name, law=waits(gloss=3), strip=much, gloss=2.0) for name, much in hours.items()]
    made = outlook(jobs, settings=with_bench(places=places))
    for at in range(len(jobs)):
        np.testing.assert_array_equal(made.finished(alone=at).ready[at], made.days.ready[at])
    assert (made.finished(alone=0).ready[-1] < made.days.ready[-1]).any()  # the days ended before


def test_the_first_draws_alone_are_the_first_of_all():
    luck = np.linspace(1, 40, N)
    made = outlook([job("a", strip=luck), job("b", strip=luck[::-1])], settings=ONE_PLACE)
    np.testing.assert_array_equal(made.thinned(7).days.ready, made.days.ready[:, :7])


def test_a_range_of_days_holds_eight_of_ten():
    made = outlook([job(strip=6.0 * np.arange(1, 21))], settings=with_bench(hours_by_weekday=(6.0,) * 7))
    said = made.dates(made.days.ready[0])
    # ready on days 0 to 19, one each: two before day 2, half by day 9, eighteen by day 17
    assert (said.low, said.likely, said.high) == (day(1), day(9), day(17))


# ---- what was told


def test_dates_told_are_those_of_the_last_telling_and_of_the_first():
    rows = [
        Told("a", day(-20), first=day(1), last=day(5)),
        Told("a", day(-2), last=day(30), because="late"),
        Told("a", day(-9), hours_low=20, hours_high=30, because="late"),  # no day was spoken of
        Told("b", day(-20), last=day(5)),
        Told(
            "b", day(-3), last=day(15), because="asked later", adds_days=4
        ),  # the owner's own change: so many days are excused
        Told("f", day(-3), last=day(15), because="asked later", adds_days=4),  # the row was first
        Told("d", day(-3), hours_high=30),
    ]
    boards = [Board(name, promised_last=day(9)) for name in "abcdf"] + [Board("e")]
    told = told_dates(rows, boards)
    assert (told["a"].last, told["a"].first_last, told["a"].first_first) == (day(30), day(5), day(1))
    assert (told["b"].last, told["b"].first_last) == (day(15), day(9))
    assert (told["f"].last, told["f"].first_last) == (day(15), day(13))
    assert told["c"].last == told["d"].last == told["c"].first_last == day(9)
    assert "e" not in told
    assert told_dates(rows[::-1], boards) == told


def test_days_count_as_soon_as_so_many_draws_are_ready_on_them():
    assert days_at(MONDAY, np.array([0.0, 1.0, 2.0, 9.0]), (0.25, 0.5, 0.51, 1.0)) == (
        day(0),
        day(1),
        day(2),
        day(9),
    )


# ---- invariances


def shop(names=("a", "b", "c"), *, called=("", "", ""), mixed=None, more=(), entries=()):
    """Three boards with luck of their own, as they lie in the log in any order."""
    boards = [
        board(name, -i, told=9 * i + 2, called=other)
        for i, (name, other) in enumerate(zip(names, called, strict=True))
    ]
    law = waits(spread=0.5, comes=0.5)
    jobs = {
        name: job(name, law=law, strip=4.0 + 3 * np.arange(N) % 7, logos=5.0, gloss=2.0) for name in names
    }
    rows = [*boards, *more]
    if mixed is not None:
        random.Random(mixed).shuffle(rows)
    hand = _Made(Log(boards=tuple(rows), entries=tuple(entries)), SETTINGS, None, law, MONDAY, 1, N)
    object.__setattr__(hand, "made", jobs)
    return Outlook.of(hand, capacity_of(hand.log, SETTINGS.bench, MONDAY, seed=1))


class _Made(Hand):
    """Boards in hand whose jobs are made by hand."""

    def jobs(self, boards):
        return tuple(self.made[board.board] for board in boards)


def by_board(made):
    return {board.board: made.days.ready[i].tolist() for i, board in enumerate(made.boards)}


@pytest.mark.parametrize("mixed", range(3))
def test_the_order_of_rows_in_the_log_does_not_matter(mixed):
    assert by_board(shop(mixed=mixed)) == by_board(shop())


def test_nor_does_that_of_past_boards_like_which_others_are_expected():
    past = [
        board(f"p{i}", -9 * i - 60, started=day(-9 * i - 50), ready=day(-9 * i - 40), state="finished")
        for i in range(9)
    ]
    rows = [Entry(b.board, b.started, "strip", 2.0 + i) for i, b in enumerate(past)]
    alone, plain = shop(), shop(more=past, entries=rows)
    assert plain.comings.came == 11  # with the two in hand that came before day 0
    assert by_board(plain) != by_board(alone)
    for mixed in range(3):
        assert by_board(shop(mixed=mixed, more=past, entries=rows[::-1])) == by_board(plain)


def test_a_board_more_that_is_finished_changes_nothing():
    over = [
        Board("z", state="finished", ready=day(-3)),
        Board("y", state="declined"),
    ]
    assert by_board(shop(more=over)) == by_board(shop())


def test_other_short_names_change_nothing_and_other_ids_only_the_luck():
    assert by_board(shop(called=("red", "green", "blue"))) == by_board(shop())
    other = shop(("26-001", "26-002", "26-003"))
    middles = [[np.median(days) for days in by_board(made).values()] for made in (shop(), other)]
    np.testing.assert_allclose(middles[0], middles[1], atol=3)


# ---- no answer


def never(*jobs, **more):
    with pytest.raises(NoAnswerError) as refused:
        outlook(jobs, **more).days  # noqa: B018
    return refused.value


def test_without_hours_in_the_calendar_no_day_is_named():
    error = never(job(strip=4.0), settings=with_bench(hours_by_weekday=(0.0,) * 7))
    assert "never finished" in error.wrong
    assert "hours_by_weekday" in error.cure
    ages = with_bench(away=(Away(MONDAY, dt.date(2046, 1, 1)),))
    assert "never finished" in never(job(strip=4.0), settings=ages).wrong


def test_without_a_place_nothing_is_finished_and_the_search_ends():
    assert (
        "places"
        in never(job(strip=4.0), job("b", strip=4.0), job("c", strip=1.0), settings=with_bench(places=0)).cure
    )


@pytest.mark.parametrize(
    "spoilt", [{"after": np.ones((5, 5), dtype=bool)}, {"hours": np.full((5, N), np.inf)}]
)
def test_a_board_that_can_never_be_finished_is_left_out_by_its_short_name_and_the_others_go_on(spoilt):
    made = shop(called=("", "ink seven-two", ""))
    jobs = made.hand.made
    whole = jobs["b"]
    assert len(whole.stages) == 5
    object.__setattr__(made.hand, "made", {**jobs, "b": replace(whole, **spoilt)})
    left = Outlook.of(made.hand, made.capacity)
    assert [b.board for b in left.boards] == ["c", "a"]
    assert left.left_out["b"].startswith("ink seven-two can never be finished: ")
    assert len(left.finished(others=False).ready) == 2


def test_no_board_in_hand_is_a_shop_that_is_free_today():
    made = outlook([])
    assert made.days.ready.shape == (0, 1)
    assert made.dates(made.days.first_free).high == MONDAY


# ---- days that need not be played to their end


def several():
    return outlook(
        [
            job(name, law=waits(gloss=3), strip=hours, infill=5.0)
            for name, hours in (("a", 12), ("b", 30), ("c", 9))
        ]
    )


@pytest.mark.parametrize("last", [0, 4, 9, 200])
def test_days_that_end_sooner_tell_the_same_of_boards_that_are_ready_by_then(last):
    whole = several().finished().ready
    short = several().finished(last=several().hand.day + dt.timedelta(last)).ready

    assert len(set(whole.ravel().tolist())) > 3
    assert np.array_equal(short[short <= last], whole[whole <= last])
    assert np.array_equal(short <= last, whole <= last)


def test_days_that_end_when_one_more_board_can_begin_tell_the_same_of_that():
    whole, short = several().finished(), several().finished(free_alone=True)

    assert np.array_equal(short.first_free, whole.first_free)
    assert short.first_free.min() > 0
