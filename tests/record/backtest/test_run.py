"""What a look back leaves in its cache."""

import datetime as dt

import pytest

from estimator.log.history import History
from estimator.record.backtest.replay import Forecast, board_then, forecasts_from_json
from estimator.record.backtest.run import MOST_KEPT, DateReplay, newest_of_each
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, Board, Log
from estimator.words.settings.schema import Settings


def test_looking_back_from_an_earlier_day_leaves_the_forecasts_of_later_boards():
    late = {f"late {n}": Forecast(f"26-{n:03d}", (float(n),)) for n in range(40)}
    early = {f"early {n}": Forecast(f"26-{n:03d}", (float(n),)) for n in range(3)}
    assert newest_of_each({**late, **early}) == {**late, **early}


def test_of_one_board_the_newest_stay():
    days = {f"day {n}": Forecast("26-001", (float(n),)) for n in range(10)}
    other = {"other": Forecast("26-002", (1.0,))}
    kept = newest_of_each({**days, **other})
    assert list(kept) == [*list(days)[-MOST_KEPT:], "other"]


@pytest.mark.parametrize("hours", ["NaN", "Infinity", "-Infinity"])
def test_kept_hours_that_are_no_numbers_are_not_read(hours):
    text = '{"k": {"board": "a", "hours": [1.0, %s], "rivals": {}, "why": ""}}'
    assert forecasts_from_json(text % "2.0")["k"].hours == (1.0, 2.0)
    with pytest.raises(ValueError, match="no numbers"):
        forecasts_from_json(text % hours)


def test_where_nothing_can_be_learned_by_then_no_board_of_the_quarter_is_forecast_and_why_is_said(monkeypatch):
    def no_fit(*_, **__):
        raise NoAnswerError("the likeliest rates cannot be found.", "Look at the hours.")

    monkeypatch.setattr("estimator.record.backtest.run.fit_quickly", no_fit)
    day = dt.date(2026, 4, 1)
    boards = tuple(Board(name, state=FINISHED, accepted=day) for name in "ab")
    replay = DateReplay.of(History(Log(boards), Settings()))

    assert replay.forecasts(day, boards) == [
        Forecast(name, (), why="the likeliest rates cannot be found.") for name in "ab"
    ]


def test_a_board_looked_back_on_is_as_it_was_judged_with_what_its_owner_asked_for_since():
    whole = Board(
        "a",
        called="red",
        kind="major",
        outline="fish",
        length_m=2.0,
        width_m=0.5,
        assessed={"area": 1.5, "pieces": 2.0},
        found={"pieces": 6.0},
        later={"pieces": 1.0, "colours": 2.0},
        worked_out=frozenset({"area"}),
        guess_low=20.0,
        guess_high=30.0,
        from_memory=True,
        price_quoted=900.0,
    )

    assert board_then(whole) == Board(
        "a",
        kind="major",
        outline="fish",
        length_m=2.0,
        width_m=0.5,
        assessed={"area": 1.5, "pieces": 3.0, "colours": 2.0},
        worked_out=frozenset({"area"}),
        guess_low=20.0,
        guess_high=30.0,
        from_memory=True,
    )
