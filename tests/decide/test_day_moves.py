"""Whose dates move when nobody is in, and when one board goes before all others: days worked out by hand."""

import datetime as dt
from dataclasses import replace

from making.hands import MONDAY, SETTINGS, day, job, outlook, with_bench

from estimator.bench.call_log import unanswered
from estimator.bench.jobs import BENCH
from estimator.bench.morning import bench_day
from estimator.bench.promises import IN_DANGER, BenchDay, Ring
from estimator.decide.day_moves import moved_by_absence, moved_by_firsts
from estimator.log.steps.ringing import FIRST, IN_TURN, answered_rings
from estimator.said.day_moves import absence_words, first_words
from estimator.words.records import ON_BENCH, Board, Log, Note
from estimator.words.settings.schema import Away

A = Board("a", "red", state=ON_BENCH, accepted=day(-30), started=day(-5), promised_last=day(3))
B = Board("b", "blue", state=ON_BENCH, accepted=day(-20), started=day(-5), promised_last=day(20))


def two(notes=(), settings=SETTINGS):
    """Twelve hours on red, two days of six; behind it six on blue, one day."""
    jobs = [
        replace(job(name, strip=hours, settings=settings), place=BENCH)
        for name, hours in (("a", 12.0), ("b", 6.0))
    ]
    settings = replace(settings, bench=replace(settings.bench, most_hours_a_day_on_one_board=6.0))
    return outlook(jobs, log=Log(boards=(A, B), notes=tuple(notes)), settings=settings)


def note(board, answer, on=MONDAY):
    return Note(board, on, f"ring: {IN_DANGER}, 2026-06-20: {answer}")


def test_a_board_that_is_put_first_goes_before_all_others_until_it_is_taken_back():
    assert two().order.tolist() == [0, 1]
    assert two([note("b", FIRST)]).order.tolist() == [1, 0]
    assert two([note("b", FIRST), note("b", IN_TURN)]).order.tolist() == [0, 1]
    assert two([note("b", FIRST), note("a", FIRST)]).order.tolist() == [0, 1]
    assert two([note("gone", FIRST)]).order.tolist() == [0, 1]


def test_what_it_gains_and_what_it_costs_is_said():
    """Eighteen hours are three days: whoever comes last is ready on Wednesday; with blue first, blue on Monday."""
    moved = {one.board: one for one in moved_by_firsts(two([note("b", FIRST)]), MONDAY)}

    assert moved_by_firsts(two(), MONDAY) == ()
    assert (moved["a"].before.low, moved["a"].before.high) == (day(1), day(2))
    assert (moved["a"].after.low, moved["a"].after.high) == (day(2), day(2))
    assert (moved["b"].before.low, moved["b"].before.high) == (day(0), day(2))
    assert (moved["b"].after.low, moved["b"].after.high) == (day(0), day(0))
    said = list(first_words(["blue"], moved.values(), MONDAY))
    assert said[0].startswith("Blue goes first: ready by ")
    assert said[1:] == ["It costs the others no day."]
    later = replace(moved["a"], after=replace(moved["a"].after, high=day(4)))
    assert list(first_words(["blue"], [later], MONDAY)) == [
        "Red is two days later; its date is still good, 19 in 20."
    ]


def test_days_away_move_every_board_that_is_worked_on():
    away = with_bench(away=(Away(MONDAY, MONDAY),))
    absence, moved = moved_by_absence(two(settings=away), MONDAY)

    assert moved_by_absence(two(), MONDAY) is None
    assert absence == Away(MONDAY, MONDAY)
    assert [(one.before.high, one.after.high) for one in moved] == [(day(2), day(3))] * 2
    said = list(absence_words(absence, moved, MONDAY))
    assert said[0] == "Not in today."
    assert [one.partition(";")[0] for one in said[1:]] == ["Red is one day later", "Blue is one day later"]


def test_what_is_over_of_days_away_stays_so():
    absence, moved = moved_by_absence(two(settings=with_bench(away=(Away(day(-3), day(1)),))), MONDAY)

    assert absence.first == day(-3)
    assert [one.later for one in moved] == [2, 2]
    assert next(iter(absence_words(absence, moved, MONDAY))) == "Not in till Tue 2 June 2026."


def test_what_is_put_first_is_touched_first_and_says_so():
    usual, first = (
        bench_day(two(notes), MONDAY, MONDAY - dt.timedelta(days=1)) for notes in ((), [note("b", FIRST)])
    )

    assert usual.touch[0].board == "a"
    assert (first.touch[0].board, first.touch[0].why) == ("b", "you put it first")


def test_what_is_taken_back_is_to_be_rung_again():
    ring = Ring("b", "blue", IN_DANGER, about=dt.date(2026, 6, 20))
    morning = BenchDay(MONDAY, MONDAY, (), (ring,), (), (), None, MONDAY)

    assert unanswered(morning, answered_rings([note("b", FIRST)])).ring == ()
    assert unanswered(morning, answered_rings([note("b", FIRST), note("b", IN_TURN)])).ring == (ring,)
    assert replace(ring, said=None) == ring


def test_other_days_away_are_kept_where_one_asks_what_these_move():
    """Away today and on Wednesday, three days of work: Mon, Tue, Thu without today; Tue, Thu, Fri with it."""
    away = with_bench(away=(Away(MONDAY, MONDAY), Away(day(2), day(2))))
    absence, moved = moved_by_absence(two(settings=away), MONDAY)

    assert absence == Away(MONDAY, MONDAY)
    assert [(one.before.high, one.after.high) for one in moved] == [(day(3), day(4))] * 2
