"""What the steps of a working day need of the answers: what an owner is told, and what his later wishes come to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

from estimator.log.names import board_named
from estimator.log.steps.next_steps import NextSteps, next_steps
from estimator.log.steps.read_back import AsWritten
from estimator.log.steps.telling import ODDS
from estimator.snapshot import Snapshot
from estimator.words.phrases import round_hours
from estimator.words.records import FOR_ASKED_LATER, Told

if TYPE_CHECKING:
    from estimator.decide.weigh.promise_impact import Agreed, Moved
    from estimator.forecast.ranges import Range
    from estimator.words.settings.schema import Away


def as_written(now: Snapshot) -> AsWritten:
    """The log of all days with its raw sheets, for a step of the day from which the snapshot looks."""
    return AsWritten(now.whole_log, now.settings, *now.raw, now.digest, DayAnswers(now))


def next_steps_of(now: Snapshot, board: str) -> NextSteps:
    """The likely two next steps of a board, by its id or short name, and all the others.

    Raises UsageError where there is no such board.
    """
    written = as_written(now)
    return next_steps(written, written.board(board))


def range_at_once(now: Snapshot, values: Mapping[str, object]) -> Range | None:
    """Hours of a board described by its quantities, by what was learned last; None where nothing is kept of that.

    values: as `Snapshot.range` has them. Nothing is learned for it, so that it is there in no time: what was written
    since is not in it yet.

    Raises as `Snapshot.range` does.
    """
    from estimator.forecast.answers import answer
    from estimator.forecast.described import described, taken_as_none

    fit = now.as_of.fit_at_hand()
    if fit is None:
        return None
    wanted, stretch = described(values, now.settings), now.workbench.stretch()
    said = answer(fit, wanted, now.settings, view="before", seed=now.seed, stretch=stretch)
    return replace(said, taken_as_none=taken_as_none(values, wanted, now.settings))


def moved_by_absence(now: Snapshot) -> tuple[Away, tuple[Moved, ...]] | None:
    """The days away that today lies in, and whose dates they move; None where it lies in none.

    Raises NoAnswerError where no dates can be given.
    """
    from estimator.decide import day_moves

    return day_moves.moved_by_absence(now.workbench.outlook, now.looking_from())


def moved_by_firsts(now: Snapshot) -> tuple[tuple[str, ...], tuple[Moved, ...]]:
    """The boards that are put before all others, by their ids, and every board without that and with it.

    Raises NoAnswerError where no dates can be given.
    """
    from estimator.decide import day_moves

    outlook = now.workbench.outlook
    return outlook.put_first, day_moves.moved_by_firsts(outlook, now.looking_from())


class TellingAnswers(Protocol):
    """What is asked of a board, by its id, where a telling leaves it out; see DayAnswers."""

    def hours_of(self, board: str, odds: float) -> tuple[float, float]: ...
    def wishes_of(self, board: str) -> tuple[float | None, float | None]: ...
    def days_of(self, board: str) -> tuple[dt.date, dt.date] | None: ...


def filled_in(
    said: Told, answers: TellingAnswers, *, hours: bool, first: bool, last: bool, earlier: bool
) -> Told:
    """A telling with what is answered where it leaves something out, and with what wishes add; see DayAnswers."""
    if hours:
        said = replace(said, odds=said.odds or ODDS)
    if hours and said.hours_low is None:
        low, high = answers.hours_of(said.board, said.odds or ODDS)
        said = replace(said, hours_low=low, hours_high=high)
    if earlier and said.because == FOR_ASKED_LATER:
        more, later = answers.wishes_of(said.board)
        said = replace(said, adds_hours=more, adds_days=later)
    if last and said.last is None and (days := answers.days_of(said.board)) is not None:
        said = replace(said, first=days[0] if first and said.first is None else said.first, last=days[1])
    return said


@dataclass(frozen=True, slots=True)
class DayAnswers:
    """The answers of a snapshot, as steps ask for them."""

    now: Snapshot

    def filled_in(
        self, said: Told, *, hours: bool = True, first: bool = True, last: bool = True, earlier: bool = False
    ) -> Told:
        """A telling with hours and days, where it has none, as they are answered; and with what wishes add.

        said: by the board's id; hours, first, last: False where they were not spoken of; earlier: he was told before

        Raises NoAnswerError where there is no range.
        """
        return filled_in(said, self, hours=hours, first=first, last=last, earlier=earlier)

    def hours_of(self, board: str, odds: float) -> tuple[float, float]:
        """The ends of a board's range, as they are said; raises NoAnswerError where there is none."""
        answer = self.now.range(board, odds=odds)
        # an answer at full precision stays where forecasts are kept
        return round_hours(answer.low), round_hours(answer.high)

    def wishes_of(self, board: str) -> tuple[float | None, float | None]:
        """The hours and days that all its owner has asked for since adds."""
        return self.now.wishes(board)

    def days_of(self, board: str) -> tuple[dt.date, dt.date] | None:
        """Before which day a board is not ready, and the day to tell; None where nothing tells."""
        ready = self.now.ready(board)
        return None if ready is None else (ready.low, ready.tell)

    def agreement(
        self,
        board: str,
        more: Mapping[str, object],
        *,
        price: float | None = None,
        on: dt.date | None = None,
        odds: float = 0.8,
    ) -> Agreed:
        """What an owner asks for since and agrees to, worked out: what he is told of the whole board then.

        price: what it adds, or takes off where less is asked for; left out, what `asked_since` says, to the nearest ten

        Raises as `asked_since` does.
        """
        from estimator.decide.weigh.promise_impact import Agreed, telling_of

        said = self.now.asked_since(board, more, odds=odds)
        _, then, grown = self.now.grown(board, more)
        row = board_named(board, self.now.whole_log.boards)
        told = telling_of(said, row, on or self.now.looking_from(), self.now.whole_log.told, price)
        hours, days = self.now.wishes(then)
        notes = () if told.price is not None else ("No price was told: none is written for the board.",)
        return Agreed(said, grown, replace(told, adds_hours=hours, adds_days=days), notes)
