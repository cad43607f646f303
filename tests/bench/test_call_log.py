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
    remembered,
    rung_once,
    said_from_json,
    said_to_json,
    unanswered,
)
from estimator.bench.promises import ANSWER_DUE, IN_DANGER, IS_READY, BenchDay, Dates, Ring
from estimator.log.steps.ringing import IN_TURN, AnsweredRing
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


def test_what_stands_ready_or_waits_is_rung_about_however_many_are_in_danger():
    danger = [Ring(f"{n}", f"board {n}", IN_DANGER, TODAY, TODAY) for n in range(4)]
    other = [Ring("r", "ready", IS_READY, about=TODAY), Ring("w", "waits", ANSWER_DUE)]

    for rings in ([*danger, *other], [*other, *danger]):
        today, _ = rung_once(replace(MORNING, ring=tuple(rings)), NOTHING_SAID)
        assert {one.board for one in today.ring} == {"0", "1", "2", "r", "w"}
        answered = unanswered(replace(MORNING, ring=tuple(rings)), [])
        assert (answered.ring, answered.ring_later) == (today.ring, today.ring_later)


def answer(ring, what="told", n=0):
    return AnsweredRing(ring.board, ring.why, ring.about, what, TODAY + dt.timedelta(n))


def test_until_they_are_answered_all_stay_to_be_rung_those_of_days_before_and_of_later_too():
    """Of five in danger, one rung before and one put off: the first is answered, so the next three are rung."""
    rings = [Ring(f"{n}", f"board {n}", IN_DANGER, TODAY, TODAY) for n in range(5)]
    before = replace(rings[4], said=TODAY - A_DAY)
    day = replace(MORNING, ring=tuple(rings[:3]), ring_later=(rings[3],), rung_already=(before,))

    open_ = unanswered(day, [])
    assert ([one.board for one in open_.ring], [one.board for one in open_.ring_later]) == (
        ["0", "1", "2"],
        ["3", "4"],
    )
    told = unanswered(day, [answer(rings[0], n=-2), answer(rings[1])])
    assert [(one.board, one.said) for one in told.rung_already] == [("0", TODAY - 2 * A_DAY), ("1", TODAY)]
    assert [(one.board, one.said) for one in told.ring] == [("2", None), ("3", None), ("4", None)]
    assert told.ring_later == ()


@pytest.mark.parametrize(
    "other", [{"board": "x"}, {"why": IS_READY}, {"about": TODAY - A_DAY}, {"about": None}]
)
def test_an_answer_about_another_matter_answers_nothing(other):
    ring = Ring("a", "board a", IN_DANGER, TODAY, TODAY)
    day = replace(MORNING, ring=(ring,))

    assert unanswered(day, [answer(replace(ring, **other))]).ring == (ring,)
    assert unanswered(day, [answer(ring)]).ring == ()


def test_a_matter_said_on_several_days_was_said_first_on_the_first():
    """Asked on day 5 it was said; looked at anew on day 3 it is said there too, for nothing had been said by then."""
    assert mornings((5, DANGER), (3, DANGER), (9, DANGER))[2] == ([], [day(3)])


def looked_on(n, *promises, rows=()):
    """The day so many days after the morning, with what was looked at on days before."""
    return replace(MORNING, today=TODAY + n * A_DAY, promises=tuple(promises)), list(rows)


def test_a_week_later_to_the_day_is_worth_a_word_and_the_worst_comes_first_with_the_day_to_tell():
    """From 26 June: the 3rd of July is a week, the 2nd is none; told is the day to tell, not the one that is sure."""
    then = [promised(n, dates("06-12", "06-19", "06-26")) for n in (1, 2, 3)]
    _, looked = became_later(replace(MORNING, promises=tuple(then)), [], {})
    ready = [dates("06-12", "06-19", end) for end in ("07-03", "07-02", "07-10")]
    ready[0] = replace(ready[0], tell=dt.date(2026, 7, 5))
    day_, _ = looked_on(1, *(promised(n, at) for n, at in zip((1, 2, 3), ready, strict=True)))
    worse = became_later(day_, [], looked)[0].worse

    assert [(one.board, one.days) for one in worse] == [("26-003", 14), ("26-001", 7)]
    assert worse[1].tell == dt.date(2026, 7, 5)
    assert (
        became_later(replace(day_, promises=(promised(9, ready[2]),)), [], looked)[0].worse == ()
    )  # a new board


def test_dates_are_held_against_the_last_day_looked_at_before_and_fourteen_are_kept():
    """On day 1 ready by 26 June, on day 20 by 10 July: on day 21 that is no news; day 3 is held against day 1."""
    early, late = promised(1, dates("06-12", "06-19", "06-26")), promised(1, dates("06-12", "06-19", "07-10"))
    looked = {}
    for n in range(1, 21):
        _, looked = became_later(looked_on(n, early if n < 20 else late)[0], [], looked)

    assert sorted(looked) == [(TODAY + n * A_DAY).isoformat() for n in range(6, 21)]
    assert became_later(looked_on(21, late)[0], [], looked)[0].worse == ()
    (worse,) = became_later(looked_on(10, late)[0], [], looked)[0].worse
    assert worse.days == 14
    assert became_later(looked_on(5, late)[0], [], looked)[0].worse == ()  # nothing is known of before


@pytest.mark.parametrize(
    ("first", "until", "idle"),
    [(0, None, False), (-1, None, True), (-3, 0, False), (-3, -1, True), (1, None, False)],
)
def test_hours_since_the_last_day_looked_at_are_work_on_it(first, until, idle):
    """Those of that very day are written in the evening."""
    end = None if until is None else TODAY + until * A_DAY
    rows = [Entry("26-001", TODAY + first * A_DAY, "strip", 1.0, until=end), Entry("x", TODAY, "strip", 1.0)]

    assert later_by([promised(1, SOON)], [promised(1, LATE)], rows).idle is idle


def test_a_board_ready_on_the_same_day_came_not_before_it():
    beside = promised(2, LATE)
    worse = later_by([promised(1, SOON), beside], [promised(1, LATE), beside])

    assert worse.before == ()


def test_what_is_said_is_remembered_but_for_one_who_looks_back(tmp_path):
    """On Tuesday the club board is rung about; asked on Wednesday it was said on Tuesday, and looking back leaves no trace."""
    cache = tmp_path / ".kept"
    tuesday = replace(MORNING, ring=(DANGER,), promises=(promised(1, SOON),))
    wednesday = replace(tuesday, today=TODAY + A_DAY, promises=(promised(1, LATE),))

    assert remembered(wednesday, [], [], cache, back=True).ring == (DANGER,)
    assert not cache.exists()
    assert remembered(tuesday, [], [], cache, back=False).ring == (DANGER,)
    kept = {path.name: path.read_text("utf-8") for path in cache.glob("*.json")}
    assert sorted(kept) == ["looked.json", "rung.json"]

    back = remembered(wednesday, [], [], cache, back=True)
    assert (back.ring, [one.said for one in back.rung_already]) == ((), [TODAY])
    assert [one.days for one in back.worse] == [35]
    assert {path.name: path.read_text("utf-8") for path in cache.glob("*.json")} == kept
    assert remembered(wednesday, [], [], cache, back=False) == back
    thursday = remembered(replace(wednesday, today=TODAY + 2 * A_DAY), [], [], cache, back=False)
    assert (thursday.ring, [one.said for one in thursday.rung_already], thursday.worse) == ((), [TODAY], ())


def test_an_answer_that_was_taken_back_is_none():
    ring = Ring("a", "board a", IN_DANGER, TODAY, TODAY)
    day_ = replace(MORNING, ring=(ring,))

    assert unanswered(day_, [answer(ring), answer(ring, IN_TURN)]).ring == (ring,)
    assert unanswered(day_, [answer(ring, IN_TURN), answer(ring)]).ring == ()


def test_a_board_that_was_ready_on_the_same_day_was_put_before_none():
    """It stayed where it was, and the other became later: no other work came before."""
    beside = promised(2, SOON)

    assert later_by([promised(1, SOON), beside], [promised(1, LATE), beside]).before == ()
