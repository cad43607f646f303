"""What is said while a workshop is set up: the first free start, and how near a job is told by a diary."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from estimator.bench.promises import BenchDay
from estimator.forecast.ranges import Range
from estimator.record.more_boards import FEWEST, HowNear
from estimator.said.bench import next_board
from estimator.said.parts import Heading, Part, Table
from estimator.said.range import rests_on
from estimator.words.odds import say_odds
from estimator.words.phrases import (
    capital,
    hours_in_figures,
    inside,
    range_in_figures,
    round_hours,
    say_count,
    say_hours,
)
from estimator.words.settings.schema import Settings

HARDLY = 0.95  # of what it is now; nearer to it, more boards are not worth the typing
ODDS = 0.8  # of what is said here


def first_start_parts(day: BenchDay, ranges: Mapping[str, Range], settings: Settings) -> Iterable[Part]:
    """When one more board could be begun, and what boards of each sort take.

    ranges: by sort, of boards of which nothing else is known
    """
    first, *rest = next_board(day)
    assert isinstance(first, Heading)
    yield Heading(first.text, level=1)
    yield from rest
    if ranges:
        yield rests_on(max(ranges.values(), key=lambda said: said.rules))
        yield Heading("What to tell the next who asks")
        rows = tuple(
            (settings.label(kind), range_in_figures(said.low, said.high)) for kind, said in ranges.items()
        )
        yield Table(("", "hours"), rows, guessed=True)
        yield f"That holds {say_odds(ODDS)}, when nothing else is known of the board yet."


def how_near_parts(near: HowNear, settings: Settings) -> Iterable[Part]:
    """How near a job is told by now, and what twenty boards more would bring."""
    boards = f"{capital(say_count(near.boards, 'board'))} in." if near.boards else ""
    if near.within is None or near.then is None:
        yield f"{boards} From {say_count(FEWEST, 'board')} on it says here how near a job is told.".strip()
    else:
        job = inside(settings.label(near.kind))
        yield (
            f"{boards} A {job} that you have looked at is now told to within {say_hours(near.within)} either way, "
            f"{say_odds(ODDS)}."
        )
        if near.then < HARDLY * near.within and round_hours(near.then) < round_hours(near.within):
            yield f"Twenty more would bring that to about {hours_in_figures(round_hours(near.then))}."
        else:
            yield "Twenty more would hardly bring that nearer: stop when you like."
    if near.untaught:
        are = "board" if near.untaught == 1 else "boards"
        yield f"Of {near.untaught} {are} more nothing is learned: the hours are missing, or what was done."
