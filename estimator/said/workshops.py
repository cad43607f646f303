"""A workshop that was just written, the invented one or an empty one, and what to try first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from estimator.forecast.ranges import Range
from estimator.said.parts import Action, Heading, Part
from estimator.said.range import headline, range_parts, rests_on
from estimator.words.labels import label
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Settings

FIRST_BOARD = {"kind": "major", "length": "9-6"}  # what an empty workshop is asked about


def demo_parts(
    answer: Range, settings: Settings, log: Log, board: Board, reports: Path, today: dt.date | None
) -> Iterator[Part]:
    """The invented workshop, what it says of one board, and what to try next; reports: where its pictures are."""
    yield (
        f"An invented workshop, {settings.workshop.name}, is in {reports.parent}. It has {len(log.boards)} boards. "
        f"This one is {label(f'state {board.state}')}:"
    )
    yield from range_parts(answer, settings, board.name, today)
    yield Heading("What to try next")
    yield Action("range", fields={"known": {**FIRST_BOARD, "spray_colours": "3"}})
    yield f"Or look at the pictures and sheets in {reports}, and print the others too:"
    yield Action("sheet", board.board, {"kind": "weigh"})


def new_parts(answer: Range, asked: Mapping[str, str], files: Sequence[Path]) -> Iterator[Part]:
    """The empty workshop, what it says of a first board, and what to do next; files: what was written."""
    yield f"An empty workshop is in {files[0].parent}: {', '.join(path.name for path in files)}."
    yield Heading("A full restoration of 9'6\", before you've written anything down")
    yield headline(answer)
    yield rests_on(answer)
    yield Heading("What to do next")
    yield "Say more of a board:"
    yield Action("range", fields={"known": {**asked, "spray_colours": "2", "infills": "?"}})
    yield "Write your boards, finished ones too, in boards.csv, and your hours in hours.csv."
    yield "Put your own rules of thumb over the lent ones in workshop.toml."
    yield "See whether all of it can be read:"
    yield Action("check")
