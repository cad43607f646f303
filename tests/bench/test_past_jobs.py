"""A past year as jobs: hours, waits and days at work as the log has them, by hand."""

import datetime as dt
from types import SimpleNamespace

import numpy as np
import pytest
from making.fits import SETTINGS as FITTED
from making.fits import made_fit
from making.hands import SETTINGS as HANDS
from making.hands import waits as hand_waits

from estimator.bench.past_jobs import AsTheModelSays, PastYear, _at_once, _Course, opening_of
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, ON_BENCH, Board, Entry, Log, Told, Wait
from estimator.words.settings.schema import Bench, Driver, Settings, Stage

MONDAY = dt.date(2026, 3, 2)
SETTINGS = Settings(
    bench=Bench(
        places=1,
        hours_by_weekday=(6.0,) * 5 + (0.0, 0.0),
        most_hours_a_day_on_one_board=6.0,
        winter_drying=1.35,
    ),
    drivers={"pieces": Driver("pieces", known="strip")},
    stages={
        "strip": Stage("strip", drivers=("once",)),
        "drying": Stage("drying", after=("strip",), on="rack"),
        "infill": Stage("infill", drivers=("pieces",), after=("drying",)),
        "gloss": Stage("gloss", after=("infill",)),
    },
)


def day(n):
    return MONDAY + dt.timedelta(days=n)


class NoLuck:
    """It goes as it went, but for a setting time of so many days and waits of so many."""

    def __init__(self, n=2, sets=1.0, waits=5.0):
        self.n, self.sets, self.waits = n, sets, waits

    def hours(self, _board):
        return {"strip": np.full(self.n, 8.0)}

    def stood(self, _board, _stage):
        return np.full(self.n, self.sets)

    def waited(self, _board, _cause):
        return np.full(self.n, self.waits)


def finished(name, accepted, ready, **more):
    return Board(name, state=FINISHED, accepted=day(accepted), ready=day(ready), **more)


LOG = Log(
    boards=(finished("a", 0, 10), Board("b", state=ON_BENCH, accepted=day(-3)), Board("c", accepted=day(1))),
    entries=(
        Entry("a", day(0), "strip", 3.0),
        Entry("a", day(1), "strip", 1.0),
        Entry("a", day(8), "infill", 2.0),
        Entry("b", day(2), "strip", 5.0),
        Entry("a", day(9), "gloss", 1.5),
        Entry("shop", day(3), "", 2.0),
        Entry("b", day(10), "infill", 4.0),
    ),
    told=(Told("a", day(0), first=day(9), last=day(11)),),
    waits=(Wait("a", day(1), day(8), "drying"), Wait("b", day(2), None, "owner")),
)


@pytest.fixture(scope="module")
def year():
    return PastYear.of(LOG, SETTINGS, day(10), NoLuck(), 2)


def test_the_boards_that_were_worked_on_in_the_order_in_which_they_were_begun(year):
    assert [board.board for board in year.boards] == ["a", "b"]
    assert (year.first, year.last) == (day(10 - 364), day(10))
    assert year.told[0] == 364 - 10 + 11
    assert year.ready[0] == 364
    assert np.isnan(year.ready[1])


def test_days_have_the_hours_that_were_worked_on_boards_and_after_the_year_those_of_the_week(year):
    at = 364 - 10  # the number of the first Monday
    assert year.worked[at : at + 11].tolist() == [3, 1, 5, 0, 0, 0, 0, 0, 2, 1.5, 4]
    assert year.worked.sum() == 16.5
    later = year.hours(363, 9, 2)
    assert later[:, 0].tolist() == [1.5, 4, 6, 0, 0, 6, 6, 6, 6]
    assert year.most_on_one == 5


def test_a_board_goes_turn_by_turn_and_waits_as_it_did_in_the_first_draw(year):
    a = year.jobs[0]
    assert a.stages == ("0 strip", "1 infill", "2 gloss", "3 drying")
    assert a.hours[:, 0].tolist() == [4, 2, 1.5, 0]
    assert a.waits[:, 0].tolist() == [1, 1, 1, 7]  # of the week after stripping setting accounts for a day
    assert a.after.tolist() == [[0, 0, 0, 0], [1, 0, 0, 1], [0, 1, 0, 0], [1, 0, 0, 0]]
    assert a.rack.tolist() == [False, False, False, True]
    assert a.turns.tolist() == [354, 362, 363, 0]


def test_luck_redraws_hours_in_their_ratio_and_waits(year):
    a, b = year.jobs
    assert a.hours[:, 1].tolist() == [8, 2, 1.5, 0]
    assert a.waits[3, 1] == 5 * 1.35  # days of summer, in March
    assert b.hours[:, 1].tolist() == [8, 4]


@pytest.mark.parametrize(("begins", "days"), [(0, 5 * 1.35), (92, 5.0), (280, 5 * 1.35)])
def test_foam_dries_by_the_season_in_which_it_began_to(begins, days):
    """On 2 March, 2 June and 7 December of one year, which begins in winter."""
    at = [begins, begins + 1, begins + 9]
    log = Log(
        (finished("a", begins, begins + 9),),
        tuple(
            Entry("a", day(n), stage, 2.0) for n, stage in zip(at, ("strip", "strip", "infill"), strict=True)
        ),
        waits=(Wait("a", day(at[1]), day(at[2]), "drying"),),
    )
    year = PastYear.of(log, SETTINGS, day(300), NoLuck(), 2)

    assert year.first == dt.date(2025, 12, 28)
    assert year.jobs[0].waits[-1, 1] == pytest.approx(days)


def test_a_wait_without_its_end_is_none_and_one_before_all_work_holds_the_first_turn_back(year):
    assert len(year.jobs[1].stages) == 2
    early = Log(LOG.boards, LOG.entries, LOG.told, (Wait("b", day(-2), day(2), "artwork"),))
    b = PastYear.of(early, SETTINGS, day(10), NoLuck(), 2).jobs[1]
    assert b.free[:, 0].tolist() == [364 - 10 + 2, 0]
    assert b.first[0] == 364 - 10 - 3


def test_a_board_begun_before_the_year_has_the_hours_left_and_stands_on_the_bench():
    log = Log(
        (finished("a", 0, 380), finished("b", 300, 381)),
        (
            Entry("a", day(0), "strip", 3.0),
            Entry("a", day(370), "strip", 1.0),
            Entry("b", day(371), "strip", 2.0),
        ),
    )
    year = PastYear.of(log, SETTINGS, day(381), NoLuck(), 2)
    assert [job.place for job in year.jobs] == ["bench", "queue"]
    assert year.jobs[0].hours[:, 0].tolist() == [1.0]
    assert year.jobs[0].hours[:, 1].tolist() == [2.0]  # eight for the whole, of which four were three and one
    assert year.ready.tolist() == [363, 364]


def test_what_opens_a_board_up_is_all_up_to_what_shows_the_foam(year):
    assert opening_of(year.jobs[0], SETTINGS).tolist() == [True, False, False, False]


def test_many_turns_become_whole_stages():
    rows = tuple(Entry("a", day(n), ("strip", "infill")[n % 2], 1.0) for n in range(60))
    year = PastYear.of(Log((finished("a", 0, 60),), rows), SETTINGS, day(60), NoLuck(), 2)
    assert year.jobs[0].stages == ("0 strip", "1 infill")
    assert year.jobs[0].hours[:, 0].tolist() == [30, 30]


def test_a_year_without_a_finished_board_tells_nothing():
    with pytest.raises(NoAnswerError, match="no board was finished"):
        PastYear.of(LOG, SETTINGS, day(5), NoLuck(), 2)


# ---- what counts of a year, and what of a board's course


def a_year(entries, waits=(), *, luck=None, told=(), boards=None, last=60):
    boards = boards or (finished("a", 0, 30),)
    rows = tuple(Entry(board, day(n), stage, hours) for board, n, stage, hours in entries)
    return PastYear.of(Log(boards, rows, tuple(told), tuple(waits)), SETTINGS, day(last), luck or NoLuck(), 2)


TWO = (("a", 0, "strip", 4.0), ("a", 9, "infill", 2.0))


def days_stood(*waits, entries=TWO, **more):
    """The turns and waits of a board, and the days that it stands after each, as it went."""
    (job,) = a_year(entries, waits, **more).jobs
    return dict(zip(job.stages, job.waits[:, 0].tolist(), strict=True))


def test_days_away_and_in_the_queue_are_no_waits_of_the_board():
    plain = days_stood()
    assert days_stood(Wait("a", day(1), day(5), "away"), Wait("a", day(1), day(5), "queue")) == plain
    assert days_stood(Wait("a", day(1), day(5), "owner")) == {**plain, "2 owner": 4.0}


def test_what_was_worked_and_told_after_the_last_day_is_none_of_the_year():
    rows = (*TWO, ("a", 40, "gloss", 3.0), ("b", 41, "strip", 5.0))
    both = (finished("a", 0, 39), finished("b", 0, 45))
    year = a_year(rows, boards=both, last=39)

    assert [board.board for board in year.boards] == ["a"]
    assert (year.worked.sum(), year.ready.tolist()) == (6.0, [364.0])
    assert np.isnan(a_year((*rows, ("b", 20, "strip", 1.0)), boards=both, last=39).ready).tolist() == [
        False,
        True,
    ]


def test_the_day_told_first_is_the_one_that_counts():
    told = (Told("a", day(0), last=day(11)), Told("a", day(5), last=day(40), because="late"))
    assert a_year(TWO, told=told).told.tolist() == [364 - 60 + 11]


@pytest.mark.parametrize(
    ("begins", "sets", "stands"),
    [(9, 1.0, 1.0), (3, 5.0, 3.0), (9, 4.3, 5.0), (20, 50.0, 14.0), (0, 5.0, 0.0)],
)
def test_a_board_sets_for_as_long_as_is_usual_and_no_longer_than_it_stood_nor_than_two_weeks(
    begins, sets, stands
):
    rows = (("a", 0, "strip", 4.0), ("a", begins, "infill", 2.0))
    assert days_stood(entries=rows, luck=NoLuck(sets=sets))["0 strip"] == stands


@pytest.mark.parametrize(("ready", "stands"), [(9, 0.0), (12, 3.0), (30, 14.0)])
def test_after_its_last_turn_it_stands_until_it_is_ready_two_weeks_at_most(ready, stands):
    assert days_stood(boards=(finished("a", 0, ready),))["1 infill"] == stands


@pytest.mark.parametrize(
    ("until", "board", "found"),
    [
        (
            20,
            finished("a", 0, 20),
            {"1 infill": 0.0, "2 owner": 8.0},
        ),  # that it was ready then is told by the wait
        (18, finished("a", 0, 20), {"1 infill": 11.0, "2 owner": 6.0}),
        (21, finished("a", 0, 20), {"1 infill": 11.0}),  # it was ready before: no wait of its course
    ],
)
def test_a_wait_after_the_last_turn_counts_where_it_ended_before_the_board_was_ready(until, board, found):
    said = days_stood(Wait("a", day(12), day(until), "owner"), boards=(board,))
    assert {name: much for name, much in said.items() if name != "0 strip"} == found


def test_a_wait_hangs_on_the_turn_before_it_and_holds_up_the_one_after_it():
    (job,) = a_year(TWO, [Wait("a", day(3), day(9), "parts"), Wait("a", day(0), day(10), "owner")]).jobs
    after = dict(zip(job.stages, job.after.tolist(), strict=True))

    assert job.stages == ("0 strip", "1 infill", "2 parts", "3 owner")
    assert after["2 parts"] == after["3 owner"] == [True, False, False, False]
    assert after["1 infill"] == [True, False, True, False]  # the owner's answer came after it was begun
    assert job.waits[2:, 1].tolist() == [5.0, 5.0]


# ---- boards on the go at once


def evenings(rows, waits=(), sets=1.0):
    entries = [Entry("a", day(n), stage, 2.0) for n, stage in rows]
    course = _Course(finished("a", 0, 60), entries, waits, SETTINGS, day(-100), day(100))
    return [(one - day(0)).days for one in course.evenings(NoLuck(sets=sets))]


def test_a_board_is_on_the_go_between_days_of_work_a_week_apart_at_most():
    assert evenings([(0, "infill"), (3, "infill"), (4, "gloss")]) == [0, 1, 2, 3]
    assert evenings([(0, "infill"), (7, "infill")]) == [0, 1, 2, 3, 4, 5, 6]
    assert evenings([(0, "infill"), (8, "infill")]) == []
    assert evenings([(0, "infill")]) == []


def test_nor_while_it_hangs_sets_for_two_days_or_waits():
    assert evenings([(0, "drying"), (3, "drying"), (4, "infill"), (5, "infill")]) == [4]
    assert evenings([(0, "infill"), (3, "gloss"), (5, "gloss")], sets=2.0) == [3, 4]
    assert evenings([(0, "infill"), (3, "gloss"), (5, "gloss")], sets=1.9) == [0, 1, 2, 3, 4]
    wait = Wait("a", day(1), day(2), "owner")
    assert evenings([(0, "infill"), (3, "infill"), (5, "infill")], [wait]) == [3, 4]
    assert evenings([(0, "infill"), (1, "infill"), (2, "infill")], [wait]) == [0]
    assert evenings([(0, "infill"), (3, "infill")], [Wait("a", day(1), None, "owner")]) == [0, 1, 2]


def test_boards_were_on_the_go_at_once_where_they_were_on_ten_evenings():
    def of(*ranges):
        return _at_once([day(n) for n in range(first, last)] for first, last in ranges)

    assert (of((0, 9)), of((0, 10)), of()) == (0, 1, 0)
    assert (of((0, 20), (10, 20)), of((0, 20), (11, 20))) == (2, 1)


# ---- luck as the model says


def test_luck_is_that_of_a_board_as_it_turned_out_and_of_its_own_waits():
    """Found wet, judged dry: twenty days; a message takes seven; of a board that the fit does not know, no hours."""
    says = AsTheModelSays(made_fit(), hand_waits(), HANDS, 4)
    wet, dry = ({"assessed": {"wetness": 1.0 - n}, "found": {"wetness": float(n)}} for n in (1, 0))

    assert says.waited(Board("a", **wet), "drying") == pytest.approx([20.0] * 4)
    assert says.waited(Board("a", **dry), "drying") == pytest.approx([0.0] * 4)
    assert says.waited(Board("a", assessed={"wetness": 1.0}), "drying") == pytest.approx([20.0] * 4)
    assert says.waited(Board("a"), "owner") == pytest.approx([7.0] * 4)
    assert says.stood(Board("a"), "gloss") == pytest.approx([3.0] * 4)
    assert says.hours(Board("a")) == {}


def test_hours_redrawn_are_those_of_what_was_found():
    known = KnownBoard("a", state=FINISHED, assessed={"area": 1.0, "pieces": 1.0, "colours": 0.0, "masking": 0.0},
                       found={"area": 1.0, "pieces": 8.0, "brittle": 0.0, "stain": 0.0})  # fmt: skip
    says = AsTheModelSays(
        made_fit(boards=(known,), chances={"stain": (1.0, 9.0)}), hand_waits(), FITTED, 20_000
    )
    hours = says.hours(Board("a"))

    assert np.median(hours["infill"]) == pytest.approx(8 * 1.5, rel=0.03)
    assert np.median(hours["strip"]) == pytest.approx(4.0, rel=0.03)


def test_what_opens_a_board_up_again_later_is_no_opening():
    """A look comes before stripping; the second look, after the last stripping, opens nothing."""
    stages = {"look": Stage("look"), **SETTINGS.stages}
    stages["strip"] = Stage("strip", drivers=("once",), after=("look",))
    names = ("0 look", "1 strip", "2 infill", "3 strip", "4 look", "5 drying")
    job = SimpleNamespace(stages=names)

    settings = Settings(bench=SETTINGS.bench, drivers=SETTINGS.drivers, stages=stages)
    assert opening_of(job, settings).tolist() == [True, True, False, True, False, False]
    assert not opening_of(SimpleNamespace(stages=("0 look", "1 infill")), settings).any()


def test_the_most_hours_are_those_of_one_board_and_what_was_over_before_the_year_is_none_of_it():
    rows = (
        ("old", -320, "strip", 9.0),
        ("a", 0, "strip", 3.0),
        ("b", 0, "strip", 4.0),
        ("a", 1, "strip", 2.0),
    )
    boards = (finished("old", -330, -310), finished("a", 0, 30), finished("b", 0, 30))
    year = a_year(rows, boards=boards)

    assert [one.board for one in year.boards] == ["a", "b"]
    assert (year.most_on_one, year.worked.max()) == (4.0, 7.0)
