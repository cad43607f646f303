"""Ready dates forecast anew: from what was known on the day a board was taken on, and from nothing else."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.fits import made_fit
from making.processes import said_by_others
from studies.shops import simulate

from estimator.log.history import History
from estimator.record.backtest.replay import Forecast, replayed
from estimator.record.backtest.run import MOST, STEPS, DateReplay
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, Board, Log, Rule, Told, Wait, WeightReading

A_DAY = dt.timedelta(days=1)
N = 8


def shop_of(n, seed=2):
    shop = simulate(seed, n, 0, years=n / 30, most_boards=n)
    entries = shop.log.entries
    boards = tuple(
        replace(
            b,
            accepted=b.started - 7 * A_DAY,
            quoted=b.started - 9 * A_DAY,
            ready=max(e.last for e in entries if e.board == b.board),
            state=FINISHED,
        )
        for b in shop.log.boards
    )
    return replace(shop.log, boards=tuple(sorted(boards, key=lambda b: b.accepted))), shop.settings


LOG, SETTINGS = shop_of(N)
BOARD = LOG.boards[5]
DAY = BOARD.accepted


def replay_of(log=LOG, settings=SETTINGS):
    return DateReplay.of(History(log, settings))


def said(log):
    replay = replay_of(log)
    ((day, boards),) = replay.groups([BOARD])
    return replay.forecasts(day, boards)[0]


def key(log):
    return replay_of(log).keys[BOARD.board]


@pytest.fixture(scope="module")
def forecasts():
    return replayed(replay_of(), {}, jobs=1)


def changed_after(log):
    """Everything written after the day told otherwise."""
    after = DAY + A_DAY
    entries = tuple(replace(e, hours=3 * e.hours) if e.last > DAY else e for e in log.entries)
    boards = tuple(
        replace(b, ready=b.ready + 30 * A_DAY) if b.ready and b.ready > DAY else b for b in log.boards
    )
    return replace(
        log,
        entries=entries,
        boards=boards,
        told=(Told(BOARD.board, after, first=after, last=after + A_DAY),),
        waits=(Wait(BOARD.board, after, None, "owner"),),
        weighings=(WeightReading(BOARD.board, after, 4.0),),
    )


def test_every_board_is_forecast_and_days_rise(forecasts):
    assert {f.board for f in forecasts.values()} == {b.board for b in LOG.boards}
    for forecast in forecasts.values():
        assert len(forecast.hours) == len(STEPS)
        assert list(forecast.hours) == sorted(forecast.hours)
        assert forecast.hours[0] >= 1


def test_what_comes_after_the_day_changes_neither_forecast_nor_key():
    other = changed_after(LOG)
    assert key(other) == key(LOG)
    assert said(other) == said(LOG)


def test_what_the_owner_asks_for_later_does_not_change_the_key():
    boards = tuple(replace(b, later={"logos": 2.0}) if b.board == BOARD.board else b for b in LOG.boards)
    asked = (Told(BOARD.board, DAY + A_DAY, because="asked later"),)
    assert key(replace(LOG, boards=boards, told=asked)) == key(replace(LOG, told=asked))


@pytest.mark.parametrize(
    "more",
    [
        {"told": (Told(LOG.boards[4].board, DAY, last=DAY + 9 * A_DAY),)},
        {"waits": (Wait(LOG.boards[4].board, DAY, None, "owner"),)},
        {"weighings": (WeightReading(LOG.boards[4].board, DAY, 4.0),)},
        {"entries": (replace(LOG.entries[0], hours=3 * LOG.entries[0].hours), *LOG.entries[1:])},
    ],
)
def test_what_came_before_does_change_it(more):
    assert key(replace(LOG, **more)) != key(LOG)


def test_a_new_board_costs_one_forecast(forecasts, monkeypatch):
    made, true = [], DateReplay.forecast

    def counting(self, board, fit, waits):
        made.append(board.board)
        return true(self, board, fit, waits)

    monkeypatch.setattr(DateReplay, "forecast", counting)
    day = LOG.last_entry + 7 * A_DAY
    new = Board("new", accepted=day, state="waiting", assessed=LOG.boards[0].assessed)
    done = replayed(replay_of(replace(LOG, boards=(*LOG.boards, new))), forecasts, jobs=1)
    assert made == ["new"]
    assert forecasts.items() <= done.items()


KEYS = """
from estimator.log.history import History
from estimator.demo.workshop import make_shop
from estimator.record.backtest.run import DateReplay
shop = make_shop(1)
print(sorted(DateReplay.of(History(shop.log, shop.settings)).keys.values()))
"""


def test_another_process_finds_what_this_one_kept():
    told = said_by_others(KEYS)
    assert len(told) == 1
    assert len(told.pop()) > 40 * 64


def test_the_newest_sixty_boards_and_no_more():
    boards = tuple(Board(f"b{i}", accepted=DAY + i * A_DAY, state=FINISHED) for i in range(MOST + 5))
    assert MOST == 60
    assert DateReplay.of(History(Log(boards), SETTINGS)).boards == boards[5:]


def test_a_board_of_which_nothing_can_be_told_says_why():
    first = LOG.boards[0]
    replay = replay_of(settings=replace(SETTINGS, rules=()))
    ((day, boards),) = replay.groups([first])
    (forecast,) = replay.forecasts(day, boards)
    assert forecast.hours == ()
    assert forecast.why


def test_a_board_is_forecast_from_the_morning_after_it_was_taken_on_in_days_since(monkeypatch):
    """Ready on the first of the days to come is one day after it was taken on; every draw is on days 0, 1, 2 and 3."""
    asked = []

    def of(hand, _capacity):
        asked.append(hand.day)
        ready = np.arange(4.0)[None, :]
        return SimpleNamespace(
            place_of=lambda _: 0, finished=lambda alone: SimpleNamespace(ready=ready + alone)
        )

    monkeypatch.setattr("estimator.record.backtest.run.Outlook", SimpleNamespace(of=of))
    said_ = replay_of().forecast(BOARD, made_fit(), None)

    assert asked == [DAY + A_DAY]
    assert (min(said_.hours), said_.hours[STEPS.index(0.5)], max(said_.hours)) == (1.0, 2.0, 4.0)


def test_a_board_of_which_no_date_can_be_given_says_why_and_one_not_in_hand_says_so(monkeypatch):
    left = {BOARD.board: "it waits for itself"}
    for said_of, why in ((left, "it waits for itself"), ({}, "it was not in hand that day")):
        made = SimpleNamespace(place_of=lambda _: None, left_out=said_of)
        of = SimpleNamespace(of=lambda *_, made=made: made)
        monkeypatch.setattr("estimator.record.backtest.run.Outlook", of)
        assert replay_of().forecast(BOARD, made_fit(), None) == Forecast(BOARD.board, (), why=why)


def test_dates_are_forecast_by_rules_that_were_said_by_then(monkeypatch):
    """One said on the day before the quarter, one on its first day."""
    asked = []

    def fit_quickly(_log, settings, **_):
        asked.append([rule.name for rule in settings.rules])
        raise NoAnswerError("nothing tells", "")

    monkeypatch.setattr("estimator.record.backtest.run.fit_quickly", fit_quickly)
    rules = tuple(
        Rule(n, stage="strip", low=1.0, high=2.0, odds=0.8, said=day)
        for n, day in (("by", DAY), ("since", DAY + A_DAY))
    )
    (forecast,) = replay_of(settings=replace(SETTINGS, rules=rules)).forecasts(DAY, [BOARD])

    assert asked == [["by"]]
    assert (forecast.board, forecast.hours, forecast.why) == (BOARD.board, (), "nothing tells")
