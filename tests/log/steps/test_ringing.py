"""What came of ringing: written as a note, read from it, and which boards are to be done first by it."""

import datetime as dt

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.ringing import (
    FIRST,
    IN_TURN,
    LEFT_IT,
    RANG,
    AnsweredRing,
    RingAnswered,
    answered_rings,
    put_first,
)
from estimator.words.errors import UsageError
from estimator.words.records import Note


@pytest.fixture(scope="module")
def now():
    return written(boards="board,called\na,red\n")


@pytest.mark.parametrize(
    ("answer", "about", "note", "label"),
    [
        (RANG, "2026-05-20", "ring: in danger, 2026-05-20: told", "rang about red"),
        (LEFT_IT, "", "ring: in danger, no day: left it", "left red without ringing"),
        (FIRST, "2026-05-20", "ring: in danger, 2026-05-20: do that one first", "put red first"),
        (IN_TURN, "", "ring: in danger, no day: in its turn again", "red in its turn again"),
    ],
)
def test_an_answer_is_a_note_of_its_day_and_is_read_from_it_again(now, answer, about, note, label):
    plan = planned(RingAnswered("red", "in danger", answer, about), now)
    assert (plan.label, plan.board) == (label, "a")
    assert plan.rows == [("notes", {"board": "a", "date": "2026-05-04", "note": note})]
    day = dt.date.fromisoformat(about) if about else None
    assert answered_rings([Note("a", MAY, note)]) == (AnsweredRing("a", "in danger", day, answer, MAY),)


def test_any_other_note_is_no_answer(now):
    for text in ("ring her", "ring: ready, 2026-06-08: perhaps", "ring: ready, no day: told, I think"):
        assert answered_rings([Note("a", MAY, text)]) == ()
    for step, field in (
        (RingAnswered("a", "late", "shrugged"), "answer"),
        (RingAnswered("a", "a: b", RANG), "why"),
        (RingAnswered("a", "", RANG), "why"),
        (RingAnswered("a", "late", RANG, "soon"), "why"),
    ):
        with pytest.raises(UsageError) as caught:
            step.plan(now, MAY)
        assert caught.value.field == field


def said(*answers):
    return [AnsweredRing(board, "in danger", MAY, answer, MAY) for board, answer in answers]


@pytest.mark.parametrize(
    ("answers", "first"),
    [
        ([], []),
        ([("a", RANG), ("b", LEFT_IT)], []),
        ([("a", FIRST), ("b", FIRST)], ["b", "a"]),
        ([("a", FIRST), ("b", FIRST), ("a", FIRST)], ["a", "b"]),
        ([("a", FIRST), ("b", FIRST), ("b", IN_TURN)], ["a"]),
        ([("a", FIRST), ("a", RANG), ("a", LEFT_IT)], ["a"]),  # ringing takes it out of no line
        ([("a", FIRST), ("a", IN_TURN), ("a", FIRST)], ["a"]),
        ([("a", IN_TURN)], []),
    ],
)
def test_the_board_that_was_put_first_last_goes_first(answers, first):
    assert [one.board for one in put_first(said(*answers))] == first
