"""What a look back leaves in its cache."""

import datetime as dt
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.forecast.calibration import Stretch, stretch_file, stretches_from_json
from estimator.log.cache import kept
from estimator.log.history import History
from estimator.record.backtest.replay import GRID, Forecast, board_then, forecasts_from_json
from estimator.record.backtest.run import (
    MOST_KEPT,
    DateRecord,
    DateReplay,
    _keep_stretches,
    look_back,
    newest_of_each,
)
from estimator.record.backtest.track import Then, rivals_of
from estimator.record.backtest.track_record import CORRECTED, MEDIAN, OWN_GUESS, TrackRecord
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


def test_where_nothing_can_be_learned_by_then_no_board_of_the_quarter_is_forecast_and_why_is_said(
    monkeypatch,
):
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


def test_where_own_guesses_are_no_guesses_nothing_made_from_them_is_a_rival():
    """Those are the guesses themselves, and the guesses times how guesses ran."""
    points = np.linspace(10.0, 30.0, len(GRID))
    thens = [
        Then(Board(name, guess_low=20.0, guess_high=20.0), points, points, 21.0, 21.0, None,
             {CORRECTED: points, MEDIAN: points})
        for name in "ab"
    ]  # fmt: skip

    assert {one.name for one in rivals_of(thens, guesses=True)} == {OWN_GUESS, CORRECTED, MEDIAN}
    assert {one.name for one in rivals_of(thens, guesses=False)} == {MEDIAN}
    assert rivals_of(thens[:1], guesses=True) == ()  # of one board nothing is told


@pytest.mark.parametrize(
    ("hours_from", "dates_from", "kept_of"),
    [(0, 0, []), (3, 0, ["hours"]), (0, 4, ["dates"]), (3, 4, ["dates", "hours"])],
)
def test_a_look_back_keeps_what_it_taught_of_hours_and_of_dates(
    tmp_path, monkeypatch, hours_from, dates_from, kept_of
):
    day = dt.date(2026, 4, 1)
    run = "estimator.record.backtest.run"
    dates = DateRecord(("shown",), ("raw",), (0.8, 1.4), dates_from, ("red",))
    plain = TrackRecord(
        as_of="2026-04-01", shown=None, raw=None, rivals=(), stretch=(0.9, 1.2), learned_from=hours_from, boards=(),
        calibration=None, groups=(), left_out={}, missing=0,
    )  # fmt: skip
    monkeypatch.setattr(f"{run}.replayed", lambda *_, **__: {})
    monkeypatch.setattr(f"{run}.track_record", lambda *_, **__: plain)
    monkeypatch.setattr(f"{run}.date_record", lambda *_: dates)
    monkeypatch.setattr(f"{run}.promises_kept", lambda *_: "promises")
    fit = SimpleNamespace(
        boards=(
            SimpleNamespace(board="a", hours=9.0, taught=("strip",)),
            SimpleNamespace(board="b", hours=None, taught=()),
        )
    )
    said = look_back(Log(), Settings(), fit, tmp_path, today=day)

    assert (said.dates, said.raw_dates, said.dates_asked_later) == (("shown",), ("raw",), ("red",))
    assert (said.stretch_of_dates, said.dates_from, said.promises, said.taught) == (
        (0.8, 1.4),
        dates_from,
        "promises",
        1,
    )
    taught = stretches_from_json(kept(stretch_file(tmp_path)))
    assert sorted(one.of for one in taught) == kept_of
    assert {one.of: (one.low, one.high, one.day) for one in taught}.items() <= {
        "hours": (0.9, 1.2, "2026-04-01"), "dates": (0.8, 1.4, "2026-04-01")
    }.items()  # fmt: skip


def test_what_other_days_taught_stays_and_the_same_day_s_is_taught_anew(tmp_path):
    first, again, later = (
        Stretch(0.9, 1.1, "2026-04-01"),
        Stretch(0.8, 1.3, "2026-04-01"),
        Stretch(1.0, 1.2, "2026-05-01"),
    )
    for one in (first, later, again):
        _keep_stretches(tmp_path, [one])

    assert sorted(stretches_from_json(kept(stretch_file(tmp_path))), key=lambda one: one.day) == [
        again,
        later,
    ]


def test_boards_in_hand_are_looked_back_on_and_those_turned_down_are_not():
    day = dt.date(2026, 4, 1)
    states = ("asked", "waiting", "on bench", "stopped", "finished", "declined")
    boards = (
        *(Board(state, state=state, accepted=day) for state in states),
        Board("no day", state="waiting"),
    )

    assert [one.board for one in DateReplay.of(History(Log(boards), Settings())).boards] == sorted(
        ("waiting", "on bench", "stopped", "finished")
    )
