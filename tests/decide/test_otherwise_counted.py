"""What another habit would have changed, counted by hand from days that are given: nothing is replayed here."""

from types import SimpleNamespace

import numpy as np
import pytest
from bench.test_past_jobs import SETTINGS, day

from estimator.decide.otherwise import Habit, UnderHabit, otherwise
from estimator.words.records import Board

N, DRAWS = 8, 21
MORE = [0] * 2 + [1] * 3 + [4] * 12 + [7] * 3  # days kept more, by luck's twenty draws
AS_IT_WAS, ONE_MORE, TWO_MORE = Habit(), Habit(places=3), Habit(places=4)


def year():
    return SimpleNamespace(
        first=day(0),
        last=day(100),
        boards=[Board(f"b{n}", price_charged=100.0) for n in range(N)],
        ready=np.full(N, 10.0),
        told=np.full(N, 12.0),
        at_once=2,
    )


@pytest.fixture
def replayed(monkeypatch):
    """By habit the days on which boards would have been ready, (boards, draws); left out: as it was."""
    days = {}
    monkeypatch.setattr(
        "estimator.decide.otherwise._replayed",
        lambda _year, _settings, habit: SimpleNamespace(ready=days.get(habit, np.full((N, DRAWS), 10.0))),
    )
    monkeypatch.setattr("estimator.decide.otherwise._refuse", lambda *_: None)
    monkeypatch.setattr("estimator.decide.otherwise.habits", lambda *_: (ONE_MORE, TWO_MORE))
    return days


def test_a_board_is_near_up_to_a_week_off_and_the_log_s_own_draw_alone_is_looked_at(replayed):
    days = replayed[AS_IT_WAS] = np.full((N, DRAWS), 10.0)
    days[:, 0] = [10, 17, 18, 3, 2, 10, 10, 10]

    assert otherwise(year(), SETTINGS).near == 6


def test_luck_is_that_of_the_other_draws_and_as_many_is_not_more(replayed):
    before, after = np.full((N, DRAWS), 13.0), np.full((N, DRAWS), 13.0)
    after[:, 0] = 9.0
    for draw, more in enumerate(MORE, 1):
        after[:more, draw] = 12.0
    replayed[AS_IT_WAS], replayed[ONE_MORE] = before, after
    said = otherwise(year(), SETTINGS, ONE_MORE).asked

    assert (said.kept, said.kept_before, said.of) == (8, 0, 8)
    assert (said.more_low, said.more_high) == (0, 7)
    assert said.sure == pytest.approx(0.9)
    assert said.earlier == 4.0


def suggested(monkeypatch, *, kept, of=N, before=6):
    """Which of two habits is suggested that keep so many days, as surely as can be."""
    of_habit = {
        habit: UnderHabit(habit, many, before, of, 0, 0, 0.0, 0.0, 1.0, 0.0, (), ())
        for habit, many in zip((ONE_MORE, TWO_MORE), kept, strict=True)
    }
    monkeypatch.setattr("estimator.decide.otherwise._outcome", lambda _y, _s, habit, _b: of_habit[habit])
    found = otherwise(year(), SETTINGS).suggested
    return None if found is None else found.habit


@pytest.mark.usefixtures("replayed")
def test_the_habit_that_keeps_most_is_suggested_and_none_that_keeps_as_many(monkeypatch):
    assert suggested(monkeypatch, kept=(7, 8)) == TWO_MORE
    assert suggested(monkeypatch, kept=(8, 7)) == ONE_MORE
    assert suggested(monkeypatch, kept=(6, 6)) is None
    assert suggested(monkeypatch, kept=(3, 4), of=5, before=2) == TWO_MORE
    assert suggested(monkeypatch, kept=(3, 4), of=4, before=2) is None
