"""A past year as jobs: hours, waits and days at work as the log has them, by hand."""

import datetime as dt

import numpy as np
import pytest

from estimator.bench.past_jobs import PastYear, opening_of
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
