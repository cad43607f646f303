"""What another habit would have changed, counted by hand from days that are given: nothing is replayed here."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from bench.test_past_jobs import SETTINGS, day
from making.hands import job

from estimator.decide.otherwise import (
    Habit,
    UnderHabit,
    _Moved,
    _opened_first,
    _replayed,
    last_year_otherwise,
    otherwise,
    small_kind,
)
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Entry, Log, Told

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


@pytest.mark.parametrize(("later", "hurt"), [(7.0, 0), (8.0, 1)])
def test_a_board_more_than_a_week_later_is_hurt(replayed, later, hurt):
    before, after = np.full((N, DRAWS), 10.0), np.full((N, DRAWS), 10.0)
    after[2, 0] += later
    replayed[AS_IT_WAS], replayed[ONE_MORE] = before, after

    assert [one.board for one in otherwise(year(), SETTINGS, ONE_MORE).asked.hurt] == ["b2"][:hurt]


@pytest.mark.usefixtures("replayed")
def test_a_board_not_ready_within_the_year_is_neither_counted_nor_named_nor_paid():
    made = year()
    made.ready[1], made.told[2] = np.nan, np.nan
    said = otherwise(made, SETTINGS, ONE_MORE)

    assert (said.boards, said.near, said.at_once, said.places) == (7, 7, 2, 1)
    assert [one.board for one in said.asked.boards] == [f"b{n}" for n in range(N) if n != 1]
    assert (said.asked.of, said.asked.pay, said.asked.pay_before) == (6, 700.0, 700.0)
    assert [one.told for one in said.asked.boards][:2] == [day(12), None]


@pytest.mark.parametrize(("ends", "pay"), [(100.0, 800.0), (101.0, 700.0)])
def test_a_board_is_paid_for_where_it_is_ready_by_the_last_day(replayed, ends, pay):
    after = np.full((N, DRAWS), 10.0)
    after[3] = ends
    replayed[ONE_MORE] = after
    said = otherwise(year(), SETTINGS, ONE_MORE).asked

    assert (said.pay, said.pay_before) == (pay, 800.0)


@pytest.mark.parametrize(("off", "enough"), [(2, True), (3, False)])
def test_with_three_quarters_of_the_boards_near_another_habit_is_told_of(replayed, off, enough):
    days = replayed[AS_IT_WAS] = np.full((N, DRAWS), 10.0)
    days[:off, 0] = 30.0
    said = otherwise(year(), SETTINGS, ONE_MORE)

    assert (said.near, said.near_enough, said.asked is not None) == (N - off, enough, enough)


def test_a_habit_that_turns_all_round_is_held_to_be_off_by_one_board_in_ten(replayed):
    """Of eight boards told a day one: it has to keep two more to be surely better, and its range is one wider."""
    first = Habit(strip_first=True)
    before, after = np.full((N, DRAWS), 13.0), np.full((N, DRAWS), 13.0)
    before[:6], after[:7] = 12.0, 12.0
    replayed[AS_IT_WAS], replayed[ONE_MORE], replayed[first] = before, after, after
    plain, turned = (otherwise(year(), SETTINGS, habit).asked for habit in (ONE_MORE, first))

    assert (plain.kept, plain.more_low, plain.more_high, plain.sure) == (7, 1, 1, 1.0)
    assert (turned.kept, turned.more_low, turned.more_high, turned.sure) == (7, 0, 2, 0.0)
    after[:8] = 12.0
    assert otherwise(year(), SETTINGS, first).asked.sure == 1.0


@pytest.mark.usefixtures("replayed")
def test_of_habits_that_keep_as_many_the_surer_is_suggested_then_the_one_that_hurts_fewer(monkeypatch):
    def best(*told):
        of_habit = {
            habit: UnderHabit(habit, 8, 6, N, 0, 0, 0.0, 0.0, sure, 0.0, (), hurt)
            for habit, (sure, hurt) in zip((ONE_MORE, TWO_MORE), told, strict=True)
        }
        monkeypatch.setattr("estimator.decide.otherwise._outcome", lambda _y, _s, habit, _b: of_habit[habit])
        found = otherwise(year(), SETTINGS)
        assert found.tried == 2
        return None if found.suggested is None else found.suggested.habit

    assert best((0.9, ()), (0.95, ())) == TWO_MORE
    assert best((0.95, ()), (0.9, ())) == ONE_MORE
    assert best((0.95, ("x", "y")), (0.95, ("x",))) == TWO_MORE
    assert best((0.95, ("x",)), (0.95, ("x", "y"))) == ONE_MORE
    assert best((0.89, ()), (0.9, ())) == TWO_MORE
    assert best((0.89, ()), (0.89, ())) is None


def test_the_smallest_sort_of_job_is_that_of_the_hours_it_took_and_not_of_luck():
    """By the middle board: of minor ones 2, 3 and 90 hours, of major ones 5; luck's draws say otherwise."""
    took = [("minor", 2.0), ("minor", 3.0), ("minor", 90.0), ("major", 5.0), ("", 1.0)]
    made = SimpleNamespace(
        boards=[Board(f"b{n}", kind=kind) for n, (kind, _) in enumerate(took)],
        jobs=[
            SimpleNamespace(hours=np.array([[much / 2, 500.0 / much], [much / 2, 500.0 / much]]))
            for _, much in took
        ],
    )

    assert small_kind(made) == "minor"
    assert small_kind(SimpleNamespace(boards=made.boards[:3], jobs=made.jobs[:3])) == ""


def test_last_year_is_that_which_ends_with_the_log_at_the_prices_that_owners_agreed_to(monkeypatch):
    seen = []
    monkeypatch.setattr("estimator.decide.otherwise.Waits.fitted", lambda *_, **__: None)
    monkeypatch.setattr("estimator.decide.otherwise.PastYear.of", lambda *args: seen.append(args))
    monkeypatch.setattr("estimator.decide.otherwise.otherwise", lambda *args: args)
    board = Board("a", price_quoted=900.0)
    more = Told("a", day(3), price=990.0, because="asked later", paid_by="owner")
    log = Log((board,), (Entry("a", day(2), "strip", 1.0), Entry("a", day(9), "strip", 1.0)), told=(more,))

    assert last_year_otherwise(log, SETTINGS, None, ONE_MORE) == (None, SETTINGS, ONE_MORE)
    [(then, settings, last, luck, n)] = seen
    assert (then.boards[0].price_charged, settings, last, n, luck.n) == (990.0, SETTINGS, day(9), 100, 100)
    with pytest.raises(NoAnswerError, match="no hours are written down"):
        last_year_otherwise(Log((board,)), SETTINGS, None)


def test_hours_of_a_week_lie_on_other_days_those_of_the_year_s_first_week_too():
    """From a Wednesday on 1, 2, 3 ... hours; Mondays and Fridays alone: 15 hours of the first week, 63 of the next.

    Each has half of them. Of the first week the Monday is over.
    """

    def hours(first, n, draws):
        assert first >= 0
        return np.repeat(np.arange(first + 1.0, first + n + 1)[:, None], draws, axis=1)

    moved = _Moved(SimpleNamespace(first=dt.date(2026, 5, 6), hours=hours), (0, 4))
    played = moved.hours(0, 12, 3)

    assert played.shape == (12, 3)
    assert played[:, 2].tolist() == [0, 0, 7.5, 0, 0, 31.5, 0, 0, 0, 31.5, 0, 0]
    assert moved.hours(5, 1, 1).tolist() == [[31.5]]


def replayed_with(monkeypatch, habit, **bench):
    """What days are played with for a year from a Wednesday on: a major of nine hours, a small repair of two."""
    given = []
    monkeypatch.setattr(
        "estimator.decide.otherwise.simulate",
        lambda jobs, hours, **more: given.append(SimpleNamespace(jobs=jobs, hours=hours, **more)),
    )
    past = SimpleNamespace(
        first=dt.date(2026, 5, 6),
        boards=[Board("a", kind="major"), Board("b", kind="minor"), Board("c")],
        jobs=[job("a", strip=9.0), job("b", strip=2.0), job("c", strip=1.0)],
        most_on_one=7.0,
    )
    settings = replace(SETTINGS, bench=replace(SETTINGS.bench, **bench))
    _replayed(past, settings, habit)
    [played] = given
    return past, played


def test_a_year_is_replayed_with_the_places_and_the_days_of_the_week_that_it_had(monkeypatch):
    week = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0)
    bench = {"places": 2, "hours_by_weekday": week, "most_hours_a_day_on_one_board": 5.0}
    past, played = replayed_with(monkeypatch, Habit(), **bench)

    assert (played.places, played.most_on_one, played.hours is past) == (2, 7.0, True)
    assert played.usual.tolist() == [3.0, 4.0, 5.0, 6.0, 7.0, 1.0, 2.0]
    assert (played.order.tolist(), played.until.tolist()) == ([0, 1, 2], [True] * 3)
    assert played.jobs == past.jobs
    _, more = replayed_with(monkeypatch, Habit(places=3), **{**bench, "most_hours_a_day_on_one_board": 8.0})
    assert (more.places, more.most_on_one) == (3, 8.0)
    _, moved = replayed_with(monkeypatch, Habit(days=(1,)), **bench)
    assert (moved.hours.year.first, moved.hours.days) == (dt.date(2026, 5, 6), (1,))


def test_small_repairs_have_their_weekday_to_themselves_and_come_first_on_it(monkeypatch):
    """Of days counted from a Wednesday the third is a Friday."""
    _, played = replayed_with(monkeypatch, Habit(small_on=4))
    major, small, other = played.jobs

    assert played.order.tolist() == [1, 0, 2]
    assert small.closed.tolist() == [True, True, False, True, True, True, True]
    assert set(small.turns.tolist()) == {-1.0}
    assert major.closed is major.turns is other.closed is None


def test_what_is_not_taken_has_no_hours_and_no_waits(monkeypatch):
    _, played = replayed_with(monkeypatch, Habit(none="minor"))

    assert [one.hours.sum() > 0 for one in played.jobs] == [True, False, True]
    assert not played.jobs[1].waits.any()


def test_a_board_is_opened_in_its_turn_on_the_rack_and_all_else_moves_up_to_there():
    """Opened in turn 5; the rest was begun in turn 7, and what was not worked stays where it was."""
    hours = np.array([[3.0], [0.0], [2.0], [1.0]])
    turns, rack = np.array([5.0, 6.0, 7.0, 9.0]), np.array([False, True, False, False])
    made = replace(job(strip=1.0), hours=hours, turns=turns, rack=rack)
    opens = np.array([True, False, False, False])
    first = _opened_first(made, opens)

    assert first.turns.tolist() == [5.0, 6.0, 5.0, 7.0]
    assert (first.opens.tolist(), first.rack.tolist()) == (opens.tolist(), [True, True, False, False])
    alone = replace(made, hours=made.hours * opens[:, None])
    assert _opened_first(alone, opens).turns.tolist() == [5.0, 6.0, 7.0, 9.0]
    assert _opened_first(made, ~opens & opens).turns.tolist() == [5.0, 6.0, 7.0, 9.0]


def test_boards_are_earlier_by_the_middle_of_those_ready_within_the_year_and_each_is_ready_on_a_whole_day(
    replayed,
):
    """Four of the seven three days and a half earlier; the eighth, not ready by then, nine later. Luck's draws differ."""
    made, before, after = year(), np.full((N, DRAWS), 10.0), np.full((N, DRAWS), 10.0)
    made.ready[7] = np.nan
    before[:, 1:], after[:4], after[7] = 13.0, 6.5, 19.0
    replayed[AS_IT_WAS], replayed[ONE_MORE] = before, after
    said = otherwise(made, SETTINGS, ONE_MORE).asked

    assert said.earlier == 3.5
    assert [(one.replayed, one.otherwise) for one in said.boards] == [
        (day(10), day(7 if n < 4 else 10)) for n in range(7)
    ]  # fmt: skip
