"""What an hour is worth: ordinary work lent 200 hours at what is wanted, and overheads over the hours of a year."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.decide.quarter.pay import Made
from estimator.decide.weigh.worth import Filling, filling_of, overhead_an_hour, usual_pay
from estimator.words.records import SHOP, Board, Entry, Log
from estimator.words.settings.schema import Away, Bench, Settings, Workshop

DAY = dt.date(2026, 9, 30)
SETTINGS = Settings(Workshop(overheads_a_month=500.0), Bench(hours_by_weekday=(6, 6, 6, 6, 5, 0, 0)))


def made(days_ago, hours=50.0, price=2700.0, materials=200.0, *, whole=True):
    return Made("b", "", "", DAY - dt.timedelta(days_ago), hours, whole, price, materials)


def test_ordinary_work_is_what_boards_brought_and_200_hours_at_what_is_wanted():
    said = usual_pay([made(10), made(700, hours=100.0)], 40.0, DAY)

    assert said.pay == (2500 + 2500 + 200 * 40) / (150 + 200)
    assert (said.boards, said.hours, said.without_money) == (2, 150.0, 0)


def test_without_a_board_it_is_what_is_wanted():
    assert usual_pay([], 42.0, DAY).pay == 42.0


def test_boards_of_before_and_after_do_not_count_and_those_without_money_are_counted_apart():
    others = [made(731), made(-1), made(3, materials=None), made(4, price=None), made(5, whole=False)]
    said = usual_pay([made(730), *others], 40.0, DAY)

    assert (said.boards, said.without_money) == (1, 3)


def log_of(days, hours=2.0, *, every=1, board="26-014"):
    return Log(
        boards=(Board("26-014"),),
        entries=tuple(Entry(board, DAY - dt.timedelta(n), "strip", hours) for n in range(0, days + 1, every)),
    )


def test_a_year_of_overheads_is_carried_by_a_year_of_hours():
    said = overhead_an_hour(log_of(800), SETTINGS, DAY)

    assert said.from_log
    assert said.hours == 730.0  # 2 on each of 365 days
    assert said.an_hour == pytest.approx(12 * 500 / 730)


def test_half_a_year_counts_for_a_year():
    assert overhead_an_hour(log_of(182), SETTINGS, DAY).hours == pytest.approx(2 * 183 * 365 / 182)


@pytest.mark.parametrize("log", [Log(), log_of(90), log_of(800, board=SHOP)])
def test_without_a_quarter_of_hours_on_boards_the_calendar_carries_them(log):
    said = overhead_an_hour(log, SETTINGS, DAY)

    assert not said.from_log
    assert said.hours == pytest.approx(29 * 365 / 7, abs=6)
    assert said.an_hour == pytest.approx(6000 / said.hours)


def test_days_away_carry_nothing():
    away = Away(DAY, DAY + dt.timedelta(27))
    bench = replace(SETTINGS.bench, away=(away,))
    full = overhead_an_hour(Log(), SETTINGS, DAY).hours

    assert overhead_an_hour(Log(), replace(SETTINGS, bench=bench), DAY).hours == full - 4 * 29


def test_totals_of_boards_count_where_they_have_no_rows():
    log = log_of(800)
    with_total = replace(log, boards=(*log.boards, Board("t", ready=DAY, total_hours=70.0)))

    assert overhead_an_hour(with_total, SETTINGS, DAY).hours == 800.0


def test_hours_of_a_total_that_stand_in_rows_too_count_once():
    """A board of 70 hours, 50 of them on rows: 730 of another board, those 50 and the 20 that no row has."""
    log = log_of(800)
    rows = tuple(Entry("t", DAY - dt.timedelta(n), "strip", 10.0) for n in range(5))
    split = replace(
        log, boards=(*log.boards, Board("t", ready=DAY, total_hours=70.0)), entries=(*log.entries, *rows)
    )

    assert overhead_an_hour(split, SETTINGS, DAY).hours == 800.0


def test_a_calendar_without_hours_carries_none():
    settings = replace(SETTINGS, bench=Bench(hours_by_weekday=(0,) * 7))

    assert overhead_an_hour(Log(), settings, DAY).an_hour == 0.0


def asked_for(n, guess, price, days_ago, **more):
    return Board(f"a{n}", asked=DAY - dt.timedelta(days_ago), guess_low=guess, guess_high=guess, price_quoted=price,
                 materials=0.0, **more)  # fmt: skip


def test_the_pay_that_fills_the_hours_by_enquiries_of_which_most_were_refused():
    """Twenty weeks of 29 hours, 580 in all: twenty at 50 an hour take 400, and of twenty at 30 nine more fill them."""
    good = [asked_for(n, 20.0, 1000.0, 139 - n) for n in range(20)]
    poor = [asked_for(20 + n, 20.0, 600.0, 119 - n, state="declined") for n in range(20)]

    assert filling_of(Log(boards=(*good, *poor)), SETTINGS, {}, DAY) == Filling(30.0, 40)
    assert filling_of(Log(boards=(*good, *poor, *good[:9])), SETTINGS, {}, DAY).pay == 50.0
    assert filling_of(Log(boards=tuple(good)), SETTINGS, {}, DAY) == Filling(0.0, 20)
    assert filling_of(Log(boards=tuple(good[:9])), SETTINGS, {}, DAY) is None
    assert filling_of(Log(boards=tuple(good)), SETTINGS, {}, DAY - dt.timedelta(135)) is None


def test_guesses_count_as_they_ran_and_enquiries_without_money_as_the_others():
    """Boards took twice what was guessed: twenty of 20 hours at 50 become 40 hours at 25, which fill 580 hours."""
    good = [asked_for(n, 20.0, 1000.0, 139 - n, state="finished" if n < 5 else "declined") for n in range(20)]
    ran = {f"a{n}": 40.0 for n in range(5)}
    bare = [Board(f"x{n}", asked=DAY - dt.timedelta(60 + n)) for n in range(20)]

    assert filling_of(Log(boards=tuple(good)), SETTINGS, ran, DAY) == Filling(25.0, 20)
    assert filling_of(Log(boards=(*good, *bare)), SETTINGS, {}, DAY).pay == 50.0
