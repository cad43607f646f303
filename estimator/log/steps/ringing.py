"""What came of ringing an owner: the answer is an act, a note of its day and matter, and only it ends the matter."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from estimator.log.steps.read_back import ActPlan, AsWritten
from estimator.words.errors import UsageError
from estimator.words.records import Note
from estimator.words.settings.values import nearest

RANG, LEFT_IT, FIRST, IN_TURN = RING_ANSWERS = ("told", "left it", "do that one first", "in its turn again")
ANSWERED = {
    RANG: "rang about {}",
    LEFT_IT: "left {} without ringing",
    FIRST: "put {} first",
    IN_TURN: "{} in its turn again",
}
NO_DAY = "no day"
TEXT = re.compile(
    rf"ring: (?P<why>[^:]+), (?P<about>[0-9-]{{10}}|{NO_DAY}): (?P<answer>{'|'.join(RING_ANSWERS)})"
)


@dataclass(frozen=True, slots=True)
class RingAnswered:
    """What came of a board that stood under whom to ring.

    why, about: the reason and the day that it is about, empty where there is none; answer: one of RING_ANSWERS
    """

    verb: ClassVar[str] = "rung"
    board: str
    why: str
    answer: str
    about: str = ""

    def plan(self, now: AsWritten, day: dt.date) -> ActPlan:
        """A note, by which it is known that the matter was answered."""
        board = now.board(self.board)
        if self.answer not in RING_ANSWERS:
            raise UsageError(
                f'"{self.answer}" is no answer here.', nearest(self.answer, RING_ANSWERS), field="answer"
            )
        text = f"ring: {self.why}, {self.about or NO_DAY}: {self.answer}"
        if not TEXT.fullmatch(text):
            raise UsageError(
                f'"{self.why}" is no reason to ring.', "Answer it from the page of the day.", field="why"
            )
        row = {"board": board.board, "date": day.isoformat(), "note": text}
        return ActPlan(ANSWERED[self.answer].format(board.name), board.board, (("notes", row),))


@dataclass(frozen=True, slots=True)
class AnsweredRing:
    """An answer as it is written: of which board, why and about which day it was to be rung, and when."""

    board: str
    why: str
    about: dt.date | None
    answer: str
    on: dt.date


def answered_rings(notes: Iterable[Note]) -> tuple[AnsweredRing, ...]:
    """The answers among the notes of a log, in its order.

    >>> day = dt.date(2026, 6, 9)
    >>> answered_rings([Note("a", day, "ring: ready, 2026-06-08: told"), Note("a", day, "ring her")])[0].about
    datetime.date(2026, 6, 8)
    """
    found = []
    for note in notes:
        if said := TEXT.fullmatch(note.text):
            about = None if said["about"] == NO_DAY else dt.date.fromisoformat(said["about"])
            found.append(AnsweredRing(note.board, said["why"], about, said["answer"], note.date))
    return tuple(found)


def put_first(answers: Iterable[AnsweredRing]) -> tuple[AnsweredRing, ...]:
    """The boards that are to be done before all others, by what was said last of each; the one said last goes first.

    >>> day = dt.date(2026, 6, 9)
    >>> said = [AnsweredRing("a", "in danger", day, FIRST, day), AnsweredRing("b", "in danger", day, FIRST, day)]
    >>> [one.board for one in put_first(said)]
    ['b', 'a']
    >>> put_first([*said, AnsweredRing("b", "in danger", day, IN_TURN, day)])[0].board
    'a'
    """
    first: dict[str, AnsweredRing] = {}
    for answer in answers:
        if answer.answer in {FIRST, IN_TURN}:
            first.pop(answer.board, None)
        if answer.answer == FIRST:
            first[answer.board] = answer
    return tuple(reversed(first.values()))
