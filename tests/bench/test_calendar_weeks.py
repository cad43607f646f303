import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.bench.calendar import (
    ENOUGH,
    FARTHEST,
    WEEK,
    Calendar,
    Capacity,
    PastWeeks,
    capacity_of,
    past_weeks,
    settings_apart,
)
from estimator.demo.recipe import Dice
from estimator.demo.simulation import quarters_by_day
from estimator.demo.workshop import make_shop
from estimator.words.dates import A_DAY
from estimator.words.records import SHOP, WAITING, WITHDRAWN, Board, Entry, Log
from estimator.words.settings.schema import Away, Bench

MONDAY = dt.date(2024, 1, 1)
BENCH = Bench(hours_by_weekday=(6, 6, 6, 6, 5, 0, 0))
CALENDAR = Calendar.of(BENCH)
LATER = replace(BENCH, hours_from="log")
WRITTEN = replace(BENCH, hours_from="calendar")


def week(n, weekday=0):
    return MONDAY + n * WEEK + weekday * A_DAY


def worked(n, hours, *, board="on", weekday=0):
    return Entry(board, week(n, weekday), "sand", hours)


def log(entries, *boards):
    on = Board("on", accepted=week(-9), started=week(-8))
    return Log(boards=(on, *boards), entries=tuple(entries))


IN_LINE = Board("line", accepted=week(-2), state=WAITING)


# ---- which weeks tell


@pytest.mark.parametrize(
    ("accepted", "started", "told"),
    [
        (week(0), week(3), [0, 1, 2]),
        (week(0, 1), week(3), [1, 2]),  # from Tuesday on
        (week(0), week(2, 6), [0, 1]),  # its turn came on Sunday
        (week(-5), week(9), [0, 1, 2, 3]),
        (week(1), week(1, 4), []),
    ],
)
def test_weeks_count_in_which_a_board_stood_in_line_from_monday_to_sunday(accepted, started, told):
    board = Board("line", accepted=accepted, started=started)
    past = past_weeks(log([worked(n, 10 + n) for n in range(4)], board), CALENDAR, week(4))
    assert past.hours.sum(axis=1).tolist() == [10 + n for n in told]
    assert past.mondays.tolist() == [1 + 7 * n for n in told]


def test_a_board_is_in_line_until_its_first_hours_where_no_start_is_written():
    entries = [worked(n, 10) for n in range(4)]
    begun = Board("line", accepted=week(0), state="on bench")
    looked_over = [
        worked(-1, 1, board="line"),
        worked(1, 0, board="line"),
        worked(2, 3, board="line"),
        worked(3, 4, board="line"),
    ]  # before the owner's yes, too
    assert len(past_weeks(log(entries + looked_over, begun), CALENDAR, week(4)).hours) == 2
    assert len(past_weeks(log(entries, replace(IN_LINE, accepted=week(0))), CALENDAR, week(4)).hours) == 4
    went = replace(IN_LINE, state=WITHDRAWN)
    assert len(past_weeks(log(entries, went), CALENDAR, week(4)).hours) == 0


def test_hours_are_those_on_boards_day_by_day():
    entries = [
        worked(0, 4, weekday=0),
        worked(0, 2.5, weekday=5),
        Entry(SHOP, week(0, 1), "", 2),
        Entry("on", week(0, 6), "sand", 6, until=week(1, 1)),
    ]
    past = past_weeks(log(entries, IN_LINE), CALENDAR, week(2, 3))
    assert past.hours.tolist() == [[4, 0, 0, 0, 0, 2.5, 2], [2, 2, 0, 0, 0, 0, 0]]


def test_weeks_with_days_away_and_the_week_in_hand_do_not_count():
    away = replace(CALENDAR, away=(Away(week(1, 2), week(1, 2)),))
    past = past_weeks(log([worked(n, 10) for n in range(4)], IN_LINE), away, week(3, 5))
    assert past.mondays.tolist() == [1, 15]


def test_weeks_begin_with_the_first_full_one_in_which_boards_were_worked():
    shop = Entry(SHOP, week(-3), "", 0, note="away")
    entries = [shop, worked(-1, 8, weekday=3), worked(0, 10), worked(1, 12)]
    past = past_weeks(log(entries, replace(IN_LINE, accepted=week(-9))), CALENDAR, week(2))
    assert past.hours.sum(axis=1).tolist() == [10, 12]


def test_nothing_written_tells_nothing():
    past = past_weeks(Log(), CALENDAR, week(9))
    assert (past.mondays.shape, past.hours.shape, past.jumped.shape) == ((0,), (0, 7), (0, FARTHEST))


# ---- who goes before others


def test_hours_on_boards_taken_on_later_while_others_stand_in_line():
    boards = [
        Board("first", accepted=week(0), started=week(4)),
        Board("jumps", accepted=week(1, 2), started=week(2)),
    ]
    entries = [worked(n, 20) for n in range(6)] + [worked(n, 2.9, board="jumps") for n in (2, 3, 4)]
    past = past_weeks(log(entries, *boards), CALENDAR, week(6))
    nan = [float("nan")]
    assert past.jumped.shape == (4, FARTHEST)
    # the usual week has 29 hours; from week 2 on the one that jumps was known, and no longer comes later
    np.testing.assert_allclose(past.jumped[0, :5].tolist(), [0, 0, 0.1, 0.1, *nan])
    np.testing.assert_allclose(past.jumped[1, :4].tolist(), [0, 0.1, 0.1, *nan])
    np.testing.assert_allclose(past.jumped[2, :3].tolist(), [0, 0, *nan])
    np.testing.assert_allclose(past.jumped[3, :2].tolist(), [0, *nan])


# ---- the weeks to come


def a_past(*, hours=(6.0, 6.0, 6.0, 6.0, 5.0, 0.0, 0.0), weeks=52, jumped=0.0):
    """A past in which every week of the year came once, all alike unless hours are a function of the week."""
    rows = [hours(n) if callable(hours) else hours for n in range(weeks)]
    return PastWeeks(
        1 + 7 * np.arange(weeks) % 365, np.array(rows, dtype=float), np.full((weeks, FARTHEST), jumped)
    )


def test_without_a_past_the_calendar_stands():
    away = replace(CALENDAR, away=(Away(week(0, 3), week(1, 1)),))
    hours = Capacity(away, week(0, 2)).hours(0, 9, 3)
    assert hours.T.tolist() == [[6, 0, 0, 0, 0, 0, 0, 6, 6]] * 3
    assert Capacity(away, week(0, 2)).hours(5, 0, 3).shape == (0, 3)


def test_weeks_come_as_they_came_but_for_days_that_are_free():
    days = (3.0, 0.0, 9.0, 6.0, 5.0, 2.0, 0.0)
    free = replace(CALENDAR, away=(Away(week(9, 2), week(9, 2)),))
    hours = Capacity(free, week(9), a_past(hours=days), as_they_came=True).hours(0, 7, 2000)
    year = hours[0] / 3
    np.testing.assert_allclose(hours, np.outer([3, 0, 0, 6, 5, 2, 0], year))
    # a whole year's luck, of which 8 in 10 lie within a factor exp(.1 z)
    assert np.quantile(year, [0.1, 0.9]) == pytest.approx(np.exp([-0.128, 0.128]), rel=0.02)


def test_a_year_has_one_luck_and_the_next_another():
    hours = Capacity(CALENDAR, week(0), a_past(), as_they_came=True).hours(0, 7 * 60, 500)[::7] / 6
    assert (hours[:52] == hours[0]).all()
    assert (hours[52] != hours[51]).all()
    assert abs(np.corrcoef(hours[0], hours[55])[0, 1]) < 0.2


def test_weeks_are_those_of_the_same_season_some_that_followed_on_one_another():
    """Hours tell which week it was: as many as its number."""
    past = a_past(hours=lambda n: (float(n + 1), 0, 0, 0, 0, 0, 0))
    capacity = Capacity(CALENDAR, week(26), past, as_they_came=True)
    luck = capacity.hours(0, 7, 800).sum(axis=0)
    year = np.exp(0.1 * np.random.default_rng([0, 12, 0]).standard_normal(800))
    came = np.rint(capacity.hours(0, 7 * 6, 800)[::7] / year) - 1
    assert set(came[0]) == set(range(22, 31))  # 30 days and less from the first of July
    assert (np.diff(came[:3], axis=0) == 1).all()  # three that followed on one another
    assert (np.diff(came[3:], axis=0) == 1).all()
    assert (came[3] != came[2] + 1).any()
    assert luck.shape == (800,)


def test_at_the_turn_of_the_year_the_season_goes_on():
    past = a_past(hours=lambda n: (float(n + 1), 0, 0, 0, 0, 0, 0))
    hours = Capacity(CALENDAR, week(0), past, as_they_came=True).hours(0, 7, 800)[0]
    year = np.exp(0.1 * np.random.default_rng([0, 12, 0]).standard_normal(800))
    assert set(np.rint(hours / year) - 1) == {48, 49, 50, 51, 0, 1, 2, 3, 4}


def test_where_a_season_has_few_weeks_the_nearest_ones_stand_in():
    past = a_past(hours=lambda n: (float(n + 1), 0, 0, 0, 0, 0, 0), weeks=20)
    hours = Capacity(CALENDAR, week(30), past, as_they_came=True).hours(0, 7, 800)[0]
    year = np.exp(0.1 * np.random.default_rng([0, 12, 0]).standard_normal(800))
    assert set(np.rint(hours / year) - 1) == set(range(12, 20))


def test_what_goes_to_boards_out_of_turn_is_taken_off_as_it_was_so_many_weeks_on():
    past = a_past()
    past.jumped[:] = np.minimum(np.arange(FARTHEST) / 100, 0.5)
    past.jumped[30:, 9:] = np.nan  # few know of more than nine weeks
    hours = Capacity(CALENDAR, week(0), past).hours(0, 7 * 20, 40)[::7] / 6
    np.testing.assert_allclose(hours[:9, 0], 1 - np.arange(9) / 100)
    np.testing.assert_allclose(hours[9:, 0], 1 - np.minimum(np.arange(9, 20) / 100, 0.5))
    past.jumped[20:, 9:] = np.nan  # fewer than half a year of starts: it stays as it was
    hours = Capacity(CALENDAR, week(0), past).hours(0, 7 * 20, 40)[::7] / 6
    np.testing.assert_allclose(hours[9:, 0], 0.92)
    past.jumped[:] = np.nan
    assert (Capacity(CALENDAR, week(0), past).hours(0, 7, 40)[0] == 6).all()


@settings(max_examples=40)
@given(st.integers(0, 200), st.integers(1, 90), st.integers(0, 6), st.booleans())
def test_a_day_has_the_same_hours_however_it_is_asked_for(first, n, weekday, as_they_came):
    rng = np.random.default_rng(3)
    past = PastWeeks(1 + 7 * np.arange(52), rng.random((52, 7)), rng.random((52, FARTHEST)))
    capacity = Capacity(CALENDAR, week(0, weekday), past, as_they_came=as_they_came)
    np.testing.assert_array_equal(capacity.hours(first, n, 5), capacity.hours(0, first + n, 5)[first:])


# ---- in words


def a_log(weeks, line=IN_LINE):
    return log([worked(n, 5.0, weekday=d) for n in range(weeks) for d in range(5)], line)


def test_it_says_where_the_hours_come_from():
    plain, full = a_log(ENOUGH - 1), a_log(ENOUGH)
    assert capacity_of(plain, BENCH, week(ENOUGH - 1)).said == "the week in your settings"
    assert capacity_of(plain, LATER, week(ENOUGH - 1)).said == (
        "the week in your settings; a board stood in line all through only 25 weeks of the log, and it takes 26"
    )
    assert capacity_of(full, WRITTEN, week(ENOUGH)).said == "the week in your settings"
    assert capacity_of(full, LATER, week(ENOUGH)).said == "26 weeks as they came"
    assert capacity_of(full, LATER, week(ENOUGH)).hours(0, 5, 9).mean() == pytest.approx(5, rel=0.1)
    assert capacity_of(plain, LATER, week(ENOUGH - 1)).hours(0, 5, 9).mean() == pytest.approx(5.8)


def test_unless_told_otherwise_weeks_come_from_the_log_once_half_a_year_of_them_tells():
    assert Bench().hours_from == "auto"
    early, late = (capacity_of(a_log(n), BENCH, week(n)) for n in (ENOUGH - 1, ENOUGH))
    assert (early.said, late.said) == ("the week in your settings", "26 weeks as they came")
    assert (early.hours(0, 5, 9) == [[6], [6], [6], [6], [5]]).all()
    assert late.hours(0, 5, 9).mean() == pytest.approx(5, rel=0.1)


@pytest.mark.parametrize(("day", "differs"), [(5.2, True), (5.3, False), (6.4, False), (6.5, True)])
def test_it_says_where_the_week_in_the_settings_is_not_the_week_as_it_came(day, differs):
    """29 hours in the settings, against so many on each of five days: alike from .9 to 1.1 times."""
    came = log([worked(n, day, weekday=d) for n in range(30) for d in range(5)], IN_LINE)
    said = capacity_of(came, BENCH, week(30)).apart
    assert bool(said) is differs is bool(settings_apart(came, WRITTEN))
    if day == 5.2:
        assert said == (
            "the week in your settings has 29 hours, but you worked 26 a week on boards in the 30 weeks in which one "
            "stood in line; dates go by the log"
        )
        assert settings_apart(came, WRITTEN).endswith("dates go by the settings")
        assert settings_apart(a_log(ENOUGH - 1), BENCH) == settings_apart(Log(), BENCH) == ""


def test_it_says_what_goes_to_boards_out_of_turn():
    jumps = [Board(f"j{n}", accepted=week(n), started=week(n)) for n in range(30)]
    hours = [worked(n, 2.9, board=f"j{n}") for n in range(30)]
    jumped = replace(a_log(30), boards=(*a_log(30).boards, *jumps))
    jumped = replace(jumped, entries=(*jumped.entries, *hours))
    capacity = capacity_of(jumped, WRITTEN, week(30))
    assert (capacity.said, capacity.less) == (
        "the week in your settings",
        "less 10 in 100 hours for later boards that go before others",
    )
    np.testing.assert_allclose(capacity.hours(7, 7, 3).sum(axis=0), 29 * 0.9)


# ---- the invented workshop


def test_weeks_of_the_invented_workshop_have_the_hours_that_were_there_to_work():
    """What was there is drawn with a mean of 6 hours a day and not written down. Counting all weeks, or all in which
    anything was in hand, would say a tenth less: boards that cure leave hours unworked."""
    off = []
    for seed in (1, 2, 3, 4):
        shop = make_shop(seed, tidy=True)
        past = past_weeks(shop.log, Calendar.of(shop.settings.bench), shop.log.last_entry + A_DAY)
        there = [quarters / 4 for quarters in quarters_by_day(Dice(seed, "days")).values()]
        # four days a year are missed of some 240
        off.append(past.hours.sum(axis=1).mean() / (5 * np.mean(there) * 236 / 240))
        assert len(past.hours) > 60
    assert 0.95 < np.mean(off) < 1.01


def test_days_that_are_free_are_those_of_their_own_week():
    """Three weeks come together: the Wednesday away lies in the second of them."""
    free = replace(CALENDAR, away=(Away(week(10, 2), week(10, 2)),))
    hours = Capacity(free, week(9), a_past(hours=(1.0,) * 7), as_they_came=True).hours(0, 21, 9)

    assert (hours == 0).all(axis=1).tolist() == [n == 9 for n in range(21)]


def test_a_board_s_turn_came_with_hours_on_the_very_day_on_which_it_was_taken_on():
    entries = [worked(n, 10) for n in range(4)]
    at_once = Board("line", accepted=week(2), state="on bench")

    same = past_weeks(log([*entries, worked(2, 1, board="line")], at_once), CALENDAR, week(4))
    later = past_weeks(log([*entries, worked(3, 1, board="line")], at_once), CALENDAR, week(4))
    assert (len(same.hours), len(later.hours)) == (0, 1)


def test_no_more_than_all_hours_go_to_later_boards_and_weeks_away_say_nothing():
    """40 hours on the one that jumps, of 29 of a usual week; and hours on a board while away."""
    boards = [
        Board("first", accepted=week(0), started=week(4)),
        Board("jumps", accepted=week(1), started=week(1)),
    ]
    entries = [worked(n, 20) for n in range(4)] + [
        worked(2, 40.0, board="jumps"),
        worked(3, 9.0, board="jumps"),
    ]
    away = replace(CALENDAR, away=(Away(week(3), week(3, 6)),))
    past = past_weeks(log(entries, *boards), away, week(4))

    assert past.mondays.tolist() == [1, 8, 15]
    np.testing.assert_allclose(past.jumped[0, :4], [0, 0, 1, 0])


def test_hardly_anything_that_goes_to_later_boards_is_not_spoken_of():
    assert capacity_of(a_log(30), WRITTEN, week(30)).less == ""
    one = Board("late", accepted=week(1), started=week(1))
    little = replace(a_log(30), boards=(*a_log(30).boards, one))

    def less(hours):
        rows = (*little.entries, *(worked(n, hours, board="late") for n in range(1, 30)))
        return capacity_of(replace(little, entries=rows), WRITTEN, week(30)).less

    assert (bool(less(0.2)), bool(less(20.0))) == (False, True)


def test_the_week_that_ends_with_the_last_day_of_the_log_tells_too():
    """Half a year of weeks, worked on Sunday too: 35 hours against 29."""
    every_day = log([worked(n, 5.0, weekday=d) for n in range(ENOUGH) for d in range(7)], IN_LINE)

    assert "you worked 35 a week" in settings_apart(every_day, BENCH)


def test_hours_over_several_weeks_are_of_the_week_in_which_they_ended():
    """The one that jumps was worked from the Friday of the third week to the Tuesday of the fourth."""
    boards = [
        Board("first", accepted=week(0), started=week(4)),
        Board("jumps", accepted=week(1, 2), started=week(2)),
    ]
    over = Entry("jumps", week(2, 4), "sand", 2.9, until=week(3, 1))
    past = past_weeks(log([*[worked(n, 20) for n in range(6)], over], *boards), CALENDAR, week(6))

    assert past.jumped[0, :4].tolist() == pytest.approx([0, 0, 0, 0.1])
    assert past.jumped[1, :3].tolist() == pytest.approx([0, 0, 0.1])
