"""What an hour is worth: ordinary work lent 200 hours at what is wanted, and overheads over the hours of a year."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.decide.quarter.pay import Made
from estimator.decide.weigh.worth import Filling, elsewhere, filling, filling_of, overhead_an_hour, usual_pay
from estimator.words.records import SHOP, Board, Entry, Log, MoneyLine
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
    assert filling_of(Log(boards=(*good, *bare)), SETTINGS, {}, DAY) == Filling(50.0, 20)


def ten(**more):
    """Ten enquiries of 20 hours at 1,000, the last of them on the day that is looked at."""
    return [asked_for(n, 20.0, 1000.0, 9 - n, **more) for n in range(10)]


def pays(boards, day=DAY, hours=None, settings=SETTINGS):
    found = filling_of(Log(boards=tuple(boards)), settings, hours or {}, day)
    return None if found is None else (found.pay, found.asks)


def test_enquiries_count_up_to_the_day_by_when_they_were_asked_and_those_quoted_alone_by_that():
    assert pays(ten()) == (50.0, 10)
    assert pays(ten(), day=DAY - dt.timedelta(1)) is None  # nine by then
    quoted = [replace(b, asked=None, quoted=b.asked) for b in ten()]
    later = [replace(b, quoted=DAY + dt.timedelta(3)) for b in ten()]
    assert pays(quoted) == pays(later) == (50.0, 10)
    assert pays([replace(b, asked=None) for b in ten()]) is None


def test_the_newest_sixty_tell_and_no_older_ones():
    """Sixty at 50 an hour, one a day: 60 days have far fewer hours than they ask for. The hundred before paid 80."""
    new = [asked_for(n, 20.0, 1000.0, 59 - n) for n in range(60)]
    old = [asked_for(100 + n, 20.0, 1600.0, 200 + n) for n in range(100)]

    assert pays([*old, *new]) == pays([*new, *old]) == (50.0, 60)


def test_what_is_not_written_of_an_enquiry():
    """Materials are the usual part of a price, hours those it took, the price that which was charged."""
    told = replace(ten()[0], board="m", price_charged=1000.0, materials=200.0)  # a fifth of the price
    without = [replace(b, materials=None) for b in ten()]
    assert pays([told, *without]) == (40.0, 11)
    free = replace(told, board="f", materials=0.0)  # that took none is part of what is usual: a tenth
    assert pays([told, free, *without]) == (45.0, 12)

    taken = [replace(b, guess_low=None, guess_high=None) for b in ten()]
    assert pays(taken) is None
    assert pays(taken, hours={b.board: 25.0 for b in taken}) == (40.0, 10)
    remembered = [replace(b, from_memory=True) for b in ten()]
    assert pays(remembered) is None
    assert pays(remembered, hours={b.board: 25.0 for b in remembered}) == (40.0, 10)

    charged = [replace(b, price_quoted=None, price_charged=600.0) for b in ten()]
    assert pays(charged) == (30.0, 10)
    assert pays([replace(b, price_charged=600.0) for b in ten()]) == (50.0, 10)  # as it was asked for


def test_what_would_fill_the_hours_is_never_less_than_nothing():
    dear = [replace(b, materials=1500.0) for b in ten()]

    assert pays(dear) == (0.0, 10)
    assert elsewhere(30.0, 40.0, 4.0).pay == 40.0  # an idle hour that is worth more stays so
    assert filling([(20.0, 30.0), (50.0, 30.0)], 30.0) == 50.0  # just filled


def test_as_many_hours_are_there_to_fill_as_days_from_the_first_enquiry_to_the_day():
    """Monday and Tuesday have twelve hours: one of the ten at 50 takes all, were the others not as large."""
    small = [replace(asked_for(n, 1.0, 50.0, 1), board=f"s{n}") for n in range(9)]
    monday = DAY - dt.timedelta(1)  # DAY is a Wednesday: it and the day before have twelve hours
    large = replace(asked_for(9, 3.0, 30.0, 1), board="l", asked=monday)

    assert (DAY.weekday(), pays([*small, large])) == (
        2,
        (10.0, 10),
    )  # nine hours at 50, and three at 10 fill the rest
    assert pays([*small, replace(large, guess_low=2.9, guess_high=2.9)])[0] == 0.0


def test_where_weeks_come_as_they_came_and_are_not_those_of_the_settings_their_hours_are_filled(monkeypatch):
    """14.5 hours a week were worked, half of the 29: half the enquiries fill them."""
    asks = [asked_for(n, 20.0, 1000.0 if n < 15 else 600.0, 139 - n) for n in range(40)]
    assert pays(asks) == (30.0, 40)
    worked = SimpleNamespace(hours=np.full((30, 7), 14.5 / 7))
    for as_they_came, apart, pay in ((True, "apart", 50.0), (False, "apart", 30.0), (True, "", 30.0)):
        came = SimpleNamespace(past=worked, as_they_came=as_they_came, apart=apart)
        seen = []
        monkeypatch.setattr(
            "estimator.decide.weigh.worth.capacity_of",
            lambda *of, came=came, seen=seen: seen.append(of[2]) or came,
        )
        assert pays(asks) == (pay, 40)
        assert seen == [DAY + dt.timedelta(1)]  # what was worked up to the day itself


def test_overheads_are_those_of_the_rows_of_money_where_three_months_of_them_tell():
    rent = tuple(MoneyLine(dt.date(2026, month, 1), 0.0, 300.0, "rent") for month in range(1, 10))
    log = replace(log_of(800), money=rent)

    assert overhead_an_hour(log, SETTINGS, DAY).an_hour == pytest.approx(12 * 300 / 730)
    few = replace(log, money=rent[-2:])
    assert overhead_an_hour(few, SETTINGS, DAY).an_hour == pytest.approx(12 * 500 / 730)


def test_a_year_of_hours_is_that_up_to_the_day():
    """Hours of tomorrow and of a year ago count no more, nor do totals of boards made ready then."""
    log = log_of(800)
    late = Entry("26-014", DAY + dt.timedelta(1), "strip", 50.0)
    boards = (
        *log.boards,
        Board("old", ready=DAY - dt.timedelta(365), total_hours=70.0),
        Board("late", ready=DAY + dt.timedelta(1), total_hours=70.0),
        Board("new", ready=DAY - dt.timedelta(364), total_hours=7.0),
        Board("open", total_hours=70.0),
    )
    said = overhead_an_hour(replace(log, boards=boards, entries=(*log.entries, late)), SETTINGS, DAY)

    assert said.hours == 737.0
    assert overhead_an_hour(log_of(91), SETTINGS, DAY).from_log
    assert not overhead_an_hour(log_of(90), SETTINGS, DAY).from_log


def test_a_guess_that_was_remembered_afterwards_does_not_tell_how_guesses_ran():
    """A board guessed at 10 afterwards took 100: ten enquiries of 20 hours stay 20 hours."""
    remembered = Board("r", guess_low=10.0, guess_high=10.0, from_memory=True)

    assert pays([*ten(), remembered], hours={"r": 100.0}) == (50.0, 10)
    assert pays([*ten(), replace(remembered, from_memory=False)], hours={"r": 100.0}) == (5.0, 10)
