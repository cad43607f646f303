"""Last year under another habit: by hand, by shops that are played by plain rules, and by what must not change it."""

import datetime as dt
import random
from dataclasses import replace

import numpy as np
import pytest
from bench.test_past_jobs import SETTINGS, NoLuck, day, finished
from making.played_shop import DAYS, GuessedLuck, N, boards, hours_by_day, log_of, one_shop, play
from making.played_shop import SETTINGS as PLAYED

from estimator.bench.past_jobs import PastYear
from estimator.decide.otherwise import Habit, habit_of, habits, otherwise, small_kind
from estimator.words.dates import read_weekday, read_weekdays
from estimator.words.errors import UsageError
from estimator.words.records import Entry, Log, Told, Wait

# one place, six hours from Monday to Friday: a major of twelve hours, a small repair of six, a major of six that
# has to dry for ten days once it is stripped
LOG = Log(
    boards=(
        finished("a", 0, 1, kind="major", price_charged=500.0, materials=50.0),
        finished("b", 0, 2, kind="minor", price_charged=100.0),
        finished("c", 0, 14, kind="major", price_charged=300.0),
    ),
    entries=(
        Entry("a", day(0), "infill", 6.0),
        Entry("a", day(1), "infill", 6.0),
        Entry("b", day(2), "infill", 6.0),
        Entry("c", day(3), "strip", 3.0),
        Entry("c", day(14), "infill", 3.0),
    ),
    told=(
        Told("a", day(0), first=day(0), last=day(1)),
        Told("b", day(0), first=day(0), last=day(1)),
        Told("c", day(0), first=day(12), last=day(12)),
    ),
    waits=(Wait("c", day(3), day(13), "drying"),),
)


class AsItWent(NoLuck):
    """No luck at all."""

    def hours(self, _board):
        return {}

    def waited(self, _board, _cause):
        return np.full(self.n, 10.0)


def year_of(log=LOG, settings=SETTINGS, last=14):
    return PastYear.of(log, settings, day(last), AsItWent(), 2)


def asked(habit, log=LOG, settings=SETTINGS):
    return otherwise(year_of(log, settings), settings, habit).asked


def days_of(outcome):
    return [one.otherwise and (one.otherwise - day(0)).days for one in outcome.boards]


def test_worked_once_more_as_it_was_it_comes_out_as_it_was():
    said = otherwise(year_of(), SETTINGS, Habit(places=1))
    assert (said.boards, said.near) == (3, 3)
    assert [(one.was - day(0)).days for one in said.asked.boards] == [1, 2, 14]
    assert [(one.replayed - day(0)).days for one in said.asked.boards] == [1, 2, 14]
    assert days_of(said.asked) == [1, 2, 14]
    assert (said.asked.kept, said.asked.kept_before, said.asked.of) == (1, 1, 3)
    assert said.asked.pay == said.asked.pay_before == 850


def test_small_repairs_on_tuesdays_come_first_there_and_the_major_waits_a_day():
    room = replace(SETTINGS, bench=replace(SETTINGS.bench, places=3))
    said = asked(Habit(small_on=1), settings=room)
    assert days_of(said) == [2, 1, 14]
    assert (said.kept, said.kept_before) == (1, 1)  # the small one is kept, the major no more


def test_stripped_as_soon_as_it_comes_the_wet_one_dries_while_others_are_worked_on():
    said = asked(Habit(strip_first=True))
    # three hours of stripping on Monday put a off by as much, to Wednesday; b has the place from the next morning on, and
    # the three hours that Wednesday had left are made up for on Thursday, which had only three
    assert days_of(said) == [2, 3, 14]
    assert said.hurt == ()
    assert (said.more_low, said.more_high) == (-2, 0)  # one wider than -1 and -1


def test_a_sort_that_is_not_taken_is_in_neither_count():
    said = asked(Habit(none="major"))
    assert days_of(said) == [None, 0, None]
    assert (said.kept, said.kept_before, said.of) == (1, 0, 1)
    assert (said.pay, said.pay_before) == (100, 850)
    assert said.sure == 0  # more kept for less pay is no better


def test_other_days_have_the_hours_of_their_week():
    room = replace(SETTINGS, bench=replace(SETTINGS.bench, places=3, most_hours_a_day_on_one_board=12.0))
    assert days_of(asked(Habit(days=(2,)), settings=room)) == [2, 2, 16]  # 21 hours on that Wednesday


def test_whom_it_hurts_is_named():
    settings = replace(SETTINGS, bench=replace(SETTINGS.bench, most_hours_a_day_on_one_board=1.0))
    said = asked(Habit(days=(4,)), settings=settings)
    late = [one.board for one in said.boards if (one.otherwise - one.replayed).days > 7]
    assert [one.board for one in said.hurt] == late


def test_where_the_replay_is_not_near_nothing_else_is_said():
    boards = tuple(finished(name, 0, 40 + n) for n, name in enumerate("abcd"))
    rows = tuple(
        Entry(name, day(7 * week + n), ("strip", "infill")[week > 2], 6.0)
        for week in range(6)
        for n, name in enumerate("abcd")
    )
    # four boards side by side all the while, in a shop that says it has one place
    said = otherwise(year_of(Log(boards, rows), last=43), SETTINGS, Habit(places=2))
    assert said.near < 3
    assert not said.near_enough
    assert said.asked is None
    assert otherwise(year_of(Log(boards, rows), last=43), SETTINGS).tried == 0


@pytest.mark.parametrize("places", [2, 3, 4])
def test_boards_on_the_go_at_once_are_counted_from_the_log(places):
    """Shops that are played with so many places; a settings file says another number."""
    found = []
    for seed in range(7001, 7007):
        luck = random.Random(seed)
        log = log_of(play(boards(luck), hours_by_day(luck), Habit(places=places), -DAYS))
        year = PastYear.of(log, PLAYED, log.last_entry, GuessedLuck(log), N)
        found.append(otherwise(year, replace(PLAYED, bench=replace(PLAYED.bench, places=1))).at_once)
    assert max(found) <= places
    assert sum(one == min(places, 3) for one in found) >= 4  # few of these shops have work for four


def test_a_board_on_the_rack_setting_or_waiting_takes_no_place():
    on = [day(n) for n in range(12)]
    both = tuple(
        Entry(board, one, stage, 2.0)
        for one in (on[0], on[11])
        for board, stage in (("a", "infill"), ("b", "strip"))
    )
    log = replace(LOG, entries=both, waits=(), boards=(finished("a", 0, 11), finished("b", 0, 11)))
    assert year_of(log).at_once == 0  # nobody touched them for eleven days
    close = tuple(replace(one, date=day(n), until=None) for n in range(12) for one in both[:2])
    assert year_of(replace(log, entries=close)).at_once == 2
    waits = (Wait("b", day(0), day(11), "owner"),)
    assert year_of(replace(log, entries=close, waits=waits)).at_once == 1


def test_a_year_later_it_says_the_same():
    weeks = dt.timedelta(days=364)

    def later(one):
        moved = {
            name: getattr(one, name) + weeks
            for name in one.__slots__
            if isinstance(getattr(one, name), dt.date)
        }
        return replace(one, **moved)

    log = Log(*(tuple(map(later, rows)) for rows in (LOG.boards, LOG.entries, LOG.told, LOG.waits)))
    then = otherwise(year_of(log, last=14 + 364), SETTINGS, Habit(small_on=1)).asked
    now = asked(Habit(small_on=1))
    assert (then.kept, then.pay, then.sure) == (now.kept, now.pay, now.sure)
    assert [one.otherwise - weeks for one in then.boards] == [one.otherwise for one in now.boards]


def test_the_order_of_the_log_does_not_matter():
    turned = Log(LOG.boards[::-1], LOG.entries[::-1], LOG.told[::-1], LOG.waits)
    assert asked(Habit(small_on=1), turned) == asked(Habit(small_on=1))


@pytest.mark.parametrize(
    ("habit", "why"),
    [
        (Habit(places=0), "there has to be one at least"),
        (Habit(none="gun"), "There were: major, minor"),
    ],
)
def test_a_habit_that_cannot_be_is_refused(habit, why):
    with pytest.raises(UsageError, match=why):
        otherwise(year_of(), SETTINGS, habit)


def test_habits_that_are_tried_are_those_that_the_shop_could_have():
    year = year_of()
    assert small_kind(year) == "minor"
    assert list(habits(year, SETTINGS)) == [
        Habit(places=2), Habit(strip_first=True), *(Habit(small_on=n) for n in range(5))
    ]  # fmt: skip


def test_days_of_the_week_by_their_names():
    assert read_weekdays("Fri-Mon") == (0, 4, 5, 6)
    assert read_weekday("thursday") == 3
    for wrong in ("", " , ", "someday", "Mon-"):
        with pytest.raises(UsageError):
            read_weekdays(wrong)


def test_shops_played_by_plain_rules_under_both_habits_agree_in_sign():
    """The study has 200 shops; these are four of other seeds."""
    tried = (Habit(places=1), Habit(small_on=4))
    rows = [row for seed in range(11, 15) for row in one_shop(seed, tried)]
    speaks = [row for row in rows if "said" in row and (row["low"] > 0 or row["high"] < 0)]
    assert len(speaks) >= 3
    assert all(row["truth"] * (1 if row["low"] > 0 else -1) > 0 for row in speaks)


@pytest.mark.parametrize("last", [14, 15, 16, 18, 20])
def test_on_whatever_weekday_a_year_begins_the_same_boards_are_ready_on_the_same_days(last):
    """Days of the week, hours of a week and what a usual day makes up for are those of the calendar's own Monday."""

    def asked_then(habit, **bench):
        settings = replace(SETTINGS, bench=replace(SETTINGS.bench, **bench))
        return days_of(otherwise(year_of(LOG, settings, last), settings, habit).asked)

    assert year_of(last=last).first.weekday() == last % 7
    assert asked_then(Habit(small_on=1), places=3) == [2, 1, 14]
    assert asked_then(Habit(strip_first=True)) == [2, 3, 14]
    assert asked_then(Habit(days=(2,)), places=3, most_hours_a_day_on_one_board=12.0) == [2, 2, 16]


@pytest.mark.parametrize(
    ("habit", "why"),
    [
        (Habit(small_on=4), "there were no small repairs beside other work in that year"),
        (Habit(strip_first=True), "no board was opened up in that year, so none could be stripped first"),
    ],
)
def test_a_habit_about_boards_that_there_were_not_is_refused(habit, why):
    """Two boards of one sort, on which nothing but infilling was done."""
    log = Log(
        (finished("a", 0, 1, kind="major"), finished("b", 0, 2, kind="major")),
        (Entry("a", day(1), "infill", 6.0), Entry("b", day(2), "infill", 6.0)),
    )
    with pytest.raises(UsageError, match=why):
        otherwise(year_of(log), SETTINGS, habit)
    assert list(habits(year_of(log), SETTINGS)) == [Habit(places=2)]
    assert small_kind(year_of(log)) == ""


@pytest.mark.parametrize(
    ("spelt", "habit"),
    [
        ("", None),
        ("places-4", Habit(places=4)),
        ("places-0", Habit(places=0)),
        ("places-12", Habit(places=12)),
        ("strip", Habit(strip_first=True)),
        ("small-Mon", Habit(small_on=0)),
        ("small-Sun", Habit(small_on=6)),
        ("none-major", Habit(none="major")),
        ("none-a-b", Habit(none="a-b")),
    ],
)
def test_a_habit_is_read_as_it_is_spelt(spelt, habit):
    assert habit_of(spelt) == habit
    assert habit is None or habit.spelt == spelt


@pytest.mark.parametrize(
    "spelt", ["places-", "places-x", "places-100", "small-", "none-", "strip-1", "other"]
)
def test_what_is_spelt_otherwise_is_no_habit(spelt):
    with pytest.raises(UsageError):
        habit_of(spelt)
