import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.mornings import MORNING, TODAY, board, dates

from estimator.bench.call_log import (
    NOTHING_SAID,
    became_later,
    looked_from_json,
    looked_to_json,
    rung_once,
    said_from_json,
    said_to_json,
)
from estimator.bench.promises import ANSWER_DUE, IN_DANGER, IS_READY, BenchDay, Dates, Ring
from estimator.words.dates import A_DAY
from estimator.words.records import Board, Entry

JUNE = dt.date(2026, 6, 1)


def day(n):
    return JUNE + dt.timedelta(days=n)


DANGER = Ring("a", "club board", IN_DANGER, tell=day(40), about=day(20))


def bench(n, *rings):
    return BenchDay(day(n), day(n - 1), (), rings, (), (), Dates(day(n), day(n), day(n)), day(n + 7))


def mornings(*asked):
    """Who is to be rung, and of whom it was said, on days asked one after another; each: number, rings."""
    said, answers = NOTHING_SAID, []
    for n, *rings in asked:
        told, said = rung_once(bench(n, *rings), said)
        answers.append(([ring.board for ring in told.ring], [ring.said for ring in told.rung_already]))
    return answers


def test_a_date_in_danger_is_rung_about_once():
    assert mornings((1, DANGER), (2, DANGER), (9, DANGER)) == [(["a"], []), ([], [day(1)]), ([], [day(1)])]


@pytest.mark.parametrize(
    "other",
    [
        replace(DANGER, about=day(45)),  # another date was told since
        replace(DANGER, why=ANSWER_DUE, about=day(0)),
        replace(DANGER, why=IS_READY, about=day(2)),
        replace(DANGER, board="b"),
    ],
)
def test_another_date_or_another_reason_is_another_matter(other):
    assert mornings((1, DANGER), (2, other)) == [(["a"], []), ([other.board], [])]


def test_the_new_day_to_tell_moves_every_morning_and_is_no_news():
    assert mornings((1, DANGER), (2, replace(DANGER, tell=day(44))))[1] == ([], [day(1)])


def test_a_date_out_of_danger_for_a_while_is_not_rung_about_again():
    assert mornings((1, DANGER), (2,), (3, DANGER))[2] == ([], [day(1)])


def test_a_day_asked_again_answers_the_same_whatever_was_asked_between():
    asked = mornings(
        (3, DANGER), (5, DANGER), (3, DANGER), (1, DANGER), (3, DANGER), (5, DANGER), (4, DANGER)
    )
    first, later = (["a"], []), ([], [day(3)])
    # day 1 is asked after day 3: nothing had been said by then; day 4 knows both
    assert asked == [first, later, first, first, first, ([], [day(1)]), ([], [day(1)])]


@given(st.lists(st.tuples(st.integers(0, 6), st.booleans()), max_size=12))
def test_each_board_is_in_one_list_and_who_was_told_to_ring_is_told_so_again_that_day(asked):
    said, ringing = NOTHING_SAID, {}
    for n, both in asked:
        rings = [DANGER, replace(DANGER, board="b")][: 1 + both]
        told, said = rung_once(bench(n, *rings), said)
        assert {r.board for r in rings} == {r.board for r in told.ring} | {r.board for r in told.rung_already}
        assert len(rings) == len(told.ring) + len(told.rung_already)
        assert all(ring.said < day(n) for ring in told.rung_already)
        now = {r.board for r in told.ring}
        assert ringing.get(n, set()) <= now | ({"b"} if not both else set())
        ringing[n] = ringing.get(n, set()) | now


def test_a_matter_without_a_day_is_one_too():
    stopped = Ring("a", "club board", ANSWER_DUE)
    assert mornings((1, stopped), (2, stopped))[1] == ([], [day(1)])


@given(st.frozensets(st.tuples(st.text(), st.text(), st.text(), st.dates().map(str))))
def test_what_is_kept_reads_back(said):
    assert said_from_json(said_to_json(said)) == said


@given(
    st.one_of(
        st.text(),
        st.sampled_from(["[]", "{}", "[1]", "null", '[["a"]]', '[[1,2,3,"2026-06-01"]]', '["2026"]']),
    )
)
def test_a_spoilt_text_says_that_nothing_was_said(text):
    assert said_from_json(text) == NOTHING_SAID


def test_json_keeps_those_to_ring_today_apart():
    told, said = rung_once(bench(1, DANGER), NOTHING_SAID)
    again, _ = rung_once(bench(2, DANGER, replace(DANGER, board="b")), said)
    kept = again.as_dict()
    assert [one["board"] for one in kept["ring_today"]] == ["b"]
    assert kept["rung_already"] == [
        {
            "board": "a",
            "why": IN_DANGER,
            "tell": day(40).isoformat(),
            "about": day(20).isoformat(),
            "said": day(1).isoformat(),
        }
    ]
    assert told.as_dict()["rung_already"] == []


def promised(number, ready):
    return board(f"26-{number:03}", f"board {number}", "bench", ready)


def test_a_board_that_became_a_week_later_since_the_last_day_is_said_with_what_was_found():
    first = replace(MORNING, promises=(promised(1, dates("06-12", "06-19", "06-26")),))
    row = Board("26-001")
    _, looked = became_later(first, [row], {})
    soaked = replace(row, found={"wetness": 3.0})
    then = replace(first, today=TODAY + A_DAY, promises=(promised(1, dates("07-12", "07-19", "07-31")),))
    kept = looked_from_json(looked_to_json(looked))
    (worse,) = became_later(then, [soaked], kept)[0].worse

    assert (worse.board, worse.days, dict(worse.found)) == ("26-001", 35, {"wetness": 3.0})
    assert (
        became_later(replace(then, today=TODAY), [soaked], kept)[0].worse == ()
    )  # the same day tells nothing
    six = replace(then, promises=(promised(1, dates("06-12", "06-19", "07-02")),))
    assert became_later(six, [soaked], kept)[0].worse == ()


def later_by(then, now, entries=(), before=(), after=()):
    """The one board that became later between two days, with the rows of the log on each."""
    first = replace(MORNING, promises=tuple(then))
    _, looked = became_later(first, list(before), {})
    second = replace(first, today=TODAY + A_DAY, promises=tuple(now))
    told, _ = became_later(second, list(after), looked_from_json(looked_to_json(looked)), entries)
    return next(one for one in told.worse if one.board == "26-001")


SOON, LATE = dates("06-12", "06-19", "06-26"), dates("07-12", "07-19", "07-31")


def test_what_its_owner_asked_for_since_is_a_cause():
    row = Board("26-001", later={"logos": 1.0})
    more = replace(row, later={"logos": 3.0, "infills": 2.0})
    worse = later_by([promised(1, SOON)], [promised(1, LATE)], before=[row], after=[more])
    assert (worse.later, worse.found) == ({"logos": 3.0, "infills": 2.0}, {})


def test_what_it_stands_for_now_is_a_cause_and_what_it_stood_for_is_none():
    waits = replace(promised(1, LATE), why="waiting for artwork")
    assert later_by([promised(1, SOON)], [waits]).why == "waiting for artwork"
    stood = replace(promised(1, SOON), why="waiting for artwork")
    assert not later_by([stood], [waits]).why


def test_boards_that_came_before_it_are_a_cause():
    new, passed, ahead = (promised(n, SOON) for n in (2, 3, 4))
    was = replace(passed, ready=dates("06-20", "06-28", "07-10"))
    worse = later_by([promised(1, SOON), was, replace(ahead, ready=dates("06-01", "06-02", "06-03"))],
                     [promised(1, LATE), new, passed, ahead])  # fmt: skip
    assert worse.before == ("board 2", "board 3")


def test_a_board_that_nobody_worked_on_is_idle():
    other = [Entry("26-002", TODAY, "strip", 4.0)]
    assert later_by([promised(1, SOON)], [promised(1, LATE)], other).idle
    own = [*other, Entry("26-001", TODAY, "strip", 1.0)]
    assert not later_by([promised(1, SOON)], [promised(1, LATE)], own).idle
    assert not later_by([promised(1, SOON)], [promised(1, LATE)]).idle  # no hours are written at all
    stood = replace(promised(1, SOON), why="the foam is drying")
    assert not later_by([stood], [promised(1, LATE)], other).idle


def test_what_was_looked_at_by_an_earlier_version_is_let_be():
    assert looked_from_json('{"2026-06-01": {"26-001": ["2026-06-26", {}]}}') == {}


def test_of_several_in_danger_three_are_rung_and_the_others_another_day():
    rings = tuple(Ring(f"{n}", f"board {n}", IN_DANGER, TODAY, TODAY) for n in range(5))
    today, said = rung_once(replace(MORNING, ring=rings), NOTHING_SAID)

    assert [one.board for one in today.ring] == ["0", "1", "2"]
    assert [one.board for one in today.ring_later] == ["3", "4"]
    tomorrow, _ = rung_once(replace(MORNING, ring=rings, today=TODAY + A_DAY), said)
    assert [one.board for one in tomorrow.ring] == ["3", "4"]
    assert len(tomorrow.rung_already) == 3
