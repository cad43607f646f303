"""What was forecast anew must not know the rules of thumb that were said later: neither those of hours nor of days."""

import datetime as dt
from dataclasses import replace

import pytest
from studies.shops import simulate

from estimator.log.history import History
from estimator.record.backtest.replay import Replay, eve
from estimator.record.backtest.run import STEPS, DateReplay
from estimator.words.records import FINISHED, WAITING, Board, Log, Rule
from estimator.words.settings.schema import Bench, Driver, Settings, Stage

A_DAY = dt.timedelta(days=1)


def shop_of(n):
    shop = simulate(2, n, 0, years=n / 30, most_boards=n)
    boards = tuple(
        replace(
            b,
            quoted=b.started - 9 * A_DAY,
            accepted=b.started - 7 * A_DAY,
            ready=max(e.last for e in shop.log.entries if e.board == b.board),
            state=FINISHED,
        )
        for b in shop.log.boards
    )
    stages = {**shop.settings.stages, "spray": replace(shop.settings.stages["spray"], wait_days=(2.0, 6.0))}
    return replace(shop.log, boards=boards), replace(shop.settings, stages=stages)


LOG, SETTINGS = shop_of(10)
BOARD = LOG.boards[6]
OF_HOURS = Rule("slow", stage="strip", per="area", low=30.0, high=40.0, odds=0.9)
OF_DAYS = Rule("slow to cure", about="days", wait="spray", low=60.0, high=80.0, odds=0.9)


def hours(*more):
    settings = replace(SETTINGS, rules=(*SETTINGS.rules, *more))
    return Replay.of(LOG, settings, LOG.boards, 0).forecast(BOARD).hours


def dates(*more):
    replay = DateReplay.of(History(LOG, replace(SETTINGS, rules=(*SETTINGS.rules, *more))))
    ((day, boards),) = replay.groups([BOARD])
    return replay.forecasts(day, boards)[0].hours


@pytest.fixture(scope="module")
def plain():
    return hours(), dates()


def quarter_began():
    ((day, _),) = DateReplay.of(History(LOG, SETTINGS)).groups([BOARD])
    return day


def test_hours_forecast_anew_do_not_know_a_rule_said_on_the_day_of_the_quote(plain):
    assert hours(replace(OF_HOURS, said=BOARD.quoted)) == plain[0]
    assert hours(replace(OF_HOURS, said=eve(BOARD))) != plain[0]


@pytest.mark.parametrize("rule", [OF_HOURS, OF_DAYS], ids=["of hours", "of days"])
def test_dates_forecast_anew_do_not_know_a_rule_said_since(plain, rule):
    assert dates(replace(rule, said=quarter_began() + A_DAY)) == plain[1]
    assert dates(replace(rule, said=quarter_began())) != plain[1]


def test_days_are_counted_from_the_one_on_which_a_board_was_taken_on():
    """An hour's work on a board taken on on a Friday, whose hours are spent: it is ready on Monday, three days on."""
    friday = dt.date(2026, 5, 8)
    settings = Settings(
        bench=Bench(hours_by_weekday=(6.0, 6.0, 6.0, 6.0, 6.0, 0.0, 0.0), places=1),
        drivers={"area": Driver("area")},
        stages={"strip": Stage("strip", drivers=("area",))},
        rules=(Rule("metre", stage="strip", per="area", low=0.9, high=1.1, odds=0.9),),
    )
    log = Log((Board("a", quoted=friday, accepted=friday, state=WAITING, assessed={"area": 0.5}),))
    replay = DateReplay.of(History(log, settings))
    ((day, boards),) = replay.groups(log.boards)
    (said,) = replay.forecasts(day, boards)
    assert said.hours[STEPS.index(0.5)] == 3
