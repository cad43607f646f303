"""Past boards forecast anew: from what was known then, and from nothing else."""

import datetime as dt
from contextlib import ExitStack
from dataclasses import replace

import numpy as np
import pytest
from distributed import Client, LocalCluster
from joblib import parallel_config
from making.processes import said_by_others
from studies.shops import simulate

from estimator.forecast.answers import answer
from estimator.log.history import as_it_stood
from estimator.model.fit import fit, fit_quickly, known_board
from estimator.record.backtest.replay import (
    GRID,
    Forecast,
    Replay,
    board_then,
    eve,
    forecasts_from_json,
    forecasts_to_json,
    replayed,
)
from estimator.record.backtest.track_record import MEDIAN
from estimator.words.problems import Place
from estimator.words.records import FINISHED, Board, Rule

WEEK = dt.timedelta(days=7)


def shop_of(n, seed=2):
    shop = simulate(seed, n, 0, years=n / 30, most_boards=n)
    boards = tuple(replace(b, quoted=b.started - WEEK) for b in shop.log.boards)
    return replace(shop.log, boards=boards), shop.settings


LOG, SETTINGS = shop_of(18)


def replay_of(log=LOG, settings=SETTINGS, seed=0):
    return Replay.of(log, settings, log.boards, seed)


@pytest.fixture(scope="module")
def forecasts():
    return replayed(replay_of(), {}, jobs=1)


def test_every_board_is_forecast_and_points_rise(forecasts):
    assert {f.board for f in forecasts.values()} == {b.board for b in LOG.boards}
    for forecast in forecasts.values():
        assert len(forecast.hours) == len(GRID)
        assert (np.diff(forecast.hours) >= 0).all()
        assert forecast.hours[0] > 0


def test_it_says_what_the_whole_program_would_have_said_on_that_day(forecasts):
    board = LOG.boards[14]
    then = as_it_stood(LOG, SETTINGS, eve(board))
    slow = fit(then, SETTINGS, as_of=eve(board), n_draws=4096)
    told = answer(slow, known_board(board_then(board)), SETTINGS, view="before")
    mine = forecasts[replay_of().keys[board.board]].hours
    for p, hours in told.quantiles.items():
        assert mine[GRID.index(float(p))] == pytest.approx(hours, rel=0.06)
    assert mine[GRID.index(0.5)] == pytest.approx(told.likely, rel=0.03)


def test_the_quick_search_ends_where_the_whole_one_does():
    log, settings = shop_of(60)
    day = log.boards[50].started
    near = fit_quickly(as_it_stood(log, settings, day - 60 * WEEK / 7), settings)
    then = as_it_stood(log, settings, day)
    begun_near, begun_anew = fit_quickly(then, settings, near=near), fit_quickly(then, settings)
    assert begun_near.fit.drawn_by == begun_anew.fit.drawn_by == "normal"
    spread = begun_anew.fit.log_rate.std(axis=0)
    apart = np.abs(begun_near.posterior.mode - begun_anew.posterior.mode).max()
    assert apart < 0.1  # of a standard normal parameter
    means = begun_near.fit.log_rate.mean(axis=0) - begun_anew.fit.log_rate.mean(axis=0)
    assert (np.abs(means) < 0.25 * spread).all()


def test_what_comes_after_the_quote_changes_neither_forecast_nor_key(forecasts):
    board = LOG.boards[12]
    entries = tuple(replace(e, hours=3 * e.hours) if e.last > eve(board) else e for e in LOG.entries)
    other = replay_of(replace(LOG, entries=entries))
    assert other.keys[board.board] == replay_of().keys[board.board]
    again = other.forecast(board)
    assert again.hours == replay_of().forecast(board).hours
    later = LOG.boards[16]
    assert other.keys[later.board] != replay_of().keys[later.board]


def test_hours_of_an_earlier_board_do_change_it():
    board, first = LOG.boards[12], LOG.entries[0]
    other = replay_of(replace(LOG, entries=(replace(first, hours=3 * first.hours), *LOG.entries[1:])))
    assert other.keys[board.board] != replay_of().keys[board.board]


def test_where_a_row_stands_in_the_file_does_not_matter():
    moved = tuple(replace(e, where=Place("hours.csv", row=i + 2)) for i, e in enumerate(LOG.entries))
    assert replay_of(replace(LOG, entries=moved)).keys == replay_of().keys


KEYS = """
from estimator.demo.workshop import make_shop
from estimator.record.backtest.replay import Replay
from estimator.record.backtest.track import to_forecast
shop = make_shop(1)
print(sorted(Replay.of(shop.log, shop.settings, to_forecast(shop.log)[:40], 0).keys.values()))
"""


def test_another_process_finds_what_this_one_kept():
    said = said_by_others(KEYS)
    assert len(said) == 1
    assert len(said.pop()) > 40 * 64


def test_a_rule_said_since_is_not_used():
    new = Rule(
        "new", stage="strip", per="area", low=30.0, high=40.0, odds=0.9, said=eve(LOG.boards[10]) + WEEK / 7
    )
    other = replay_of(settings=replace(SETTINGS, rules=(*SETTINGS.rules, new)))
    assert other.keys[LOG.boards[10].board] == replay_of().keys[LOG.boards[10].board]
    assert other.keys[LOG.boards[11].board] != replay_of().keys[LOG.boards[11].board]


def test_a_new_board_costs_one_forecast(forecasts, monkeypatch):
    made = []
    true = Replay.forecast

    def counting(self, board, near=None):
        made.append(board.board)
        return true(self, board, near)

    monkeypatch.setattr(Replay, "forecast", counting)
    last = LOG.last_entry
    new = Board(
        "new", quoted=last + WEEK, assessed={"area": 2.0, "pieces": 1.0, "colours": 1.0, "logos": 0.0}
    )
    log = replace(LOG, boards=(*LOG.boards, new))
    seen = []
    all_of_them = replayed(
        replay_of(log), forecasts, jobs=1, progress=lambda done, of: seen.append((done, of))
    )
    assert made == ["new"]
    assert seen == [(19, 19)]
    assert forecasts.items() <= all_of_them.items()


def test_what_is_kept_reads_back_the_same(forecasts):
    assert forecasts_from_json(forecasts_to_json(forecasts)) == forecasts


def test_two_processes_say_what_one_does(forecasts):
    few = Replay.of(LOG, SETTINGS, (LOG.boards[0], LOG.boards[6]), 0)
    assert len(few.groups(few.boards)) == 2
    assert replayed(few, {}, jobs=2).items() <= forecasts.items()


@pytest.mark.parametrize("backend", ["multiprocessing", "threading", "dask"])
def test_any_backend_of_joblib_says_what_one_process_does(forecasts, backend):
    few = Replay.of(LOG, SETTINGS, (LOG.boards[0], LOG.boards[6]), 0)
    with ExitStack() as open_:
        if backend == "dask":  # a co-operative's machines, here two processes of this one
            cluster = LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
            open_.enter_context(Client(open_.enter_context(cluster)))
        open_.enter_context(parallel_config(backend=backend))
        assert replayed(few, {}, jobs=2).items() <= forecasts.items()


def test_rivals_wait_until_they_have_something_to_go_by(forecasts):
    by_board = {f.board: f for f in forecasts.values()}
    assert by_board[LOG.boards[0].board].rivals == {}
    assert MEDIAN in by_board[LOG.boards[10].board].rivals


def test_a_board_of_which_nothing_can_be_said_says_why():
    bare = replace(SETTINGS, rules=())
    forecast = replay_of(settings=bare).forecast(LOG.boards[0])
    assert forecast.hours == ()
    assert forecast.why


def test_what_the_owner_asked_for_since_is_counted_as_work():
    board = Board(
        "a", assessed={"colours": 1.0}, later={"colours": 2.0, "logos": 1.0}, found={"colours": 5.0}
    )
    assert board_then(board).assessed == {"colours": 3.0, "logos": 1.0}
    assert board_then(board).found == {}


def test_a_board_without_a_quote_date_is_left_out():
    assert Replay.of(LOG, SETTINGS, [Board("a")], 0).boards == ()


def test_forecasts_read_back_plainly():
    one = {"k": Forecast("a", (1.0, 2.5), {"own guess": (1.0,)}, "so")}
    assert forecasts_from_json(forecasts_to_json(one)) == one
    with pytest.raises((ValueError, KeyError, TypeError, AttributeError)):
        forecasts_from_json('{"k": {}}')


def test_a_board_is_taken_as_it_was_judged_with_what_was_asked_for_since_on_the_evening_before_its_quote():
    day = dt.date(2026, 3, 2)
    row = Board(
        "a", "red fish", kind="major", outline="long", quoted=day, state=FINISHED, length_m=2.8, width_m=0.55,
        assessed={"area": 2.0, "logos": 1.0}, found={"area": 3.0}, later={"logos": 2.0, "pieces": 1.0},
        worked_out=("area",), guess_low=20.0, guess_high=30.0, from_memory=True, total_hours=44.0,
    )  # fmt: skip

    assert eve(row) == dt.date(2026, 3, 1)
    assert board_then(row) == Board(
        "a", kind="major", outline="long", length_m=2.8, width_m=0.55, worked_out=("area",), guess_low=20.0,
        assessed={"area": 2.0, "logos": 3.0, "pieces": 1.0}, guess_high=30.0, from_memory=True,
    )  # fmt: skip


@pytest.mark.parametrize("hours", ["[1.0, Infinity]", "[NaN]"])
def test_hours_that_are_no_numbers_are_not_read_back(hours):
    with pytest.raises(ValueError, match="no numbers"):
        forecasts_from_json(f'{{"k": {{"board": "a", "hours": {hours}, "rivals": {{}}, "why": ""}}}}')
