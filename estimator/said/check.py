"""Every problem of settings and log, and how many lines of the log were used all the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from estimator.said.parts import Heading, Part
from estimator.words.phrases import say_count
from estimator.words.problems import Problem
from estimator.words.records import Log

SETTINGS_FIRST = "The log was not read: it needs the settings."

_ROW = re.compile(r"(?P<file>.+), (?:(?:line|row) (?P<row>\d+)|cell [A-Z]+(?P<cell>\d+))(?:,.*)?")


def check_parts(problems: Sequence[Problem], notes: Sequence[Problem], log: Log | None) -> list[Part]:
    """The problems, then the notes, each as one sentence and its cure, then the counts.

    log: None where it was not read
    """
    counts = SETTINGS_FIRST if log is None else counted(log, problems)
    return [*_listed("Problems", problems), *_listed("Notes", notes), Heading(counts)]


def _listed(name: str, problems: Sequence[Problem]) -> list[Part]:
    """The problems under their name."""
    return [Heading(name), *(problem.sentence() for problem in problems)] if problems else []


def counted(log: Log, problems: Sequence[Problem]) -> str:
    """How many problems there are, how many lines of the log were used all the same."""
    used, written, all_told = lines_used(log, problems)
    of = say_count(written, "line") if all_told else f"at least {say_count(written, 'line')}"
    lines = f"{used:,} of {of} used" if written else "no lines yet" if all_told else "no lines used"
    held = f"{say_count(len(log.boards), 'board')}, {say_count(len(log.entries), 'row')} of hours"
    return f"{say_count(len(problems), 'problem').capitalize()}; {lines} ({held})."


def lines_used(log: Log, problems: Iterable[Problem]) -> tuple[int, int, bool]:
    """How many lines the records came from; those and the lines left out; whether that is all of them.

    A line was left out when a problem stands on it and no record came from it. Where a whole file or sheet has
    a problem, or the first line, which names the columns, there may be more lines than these.

    >>> from estimator.words.records import Board
    >>> log = Log(boards=(Board("1", where="boards.csv, line 2"), Board("2", where="boards.csv, line 3")))
    >>> lines_used(log, [Problem(f"boards.csv, line {n}, board", "", "", "") for n in (3, 4)])
    (2, 3, True)
    >>> lines_used(log, [Problem("hours.csv, line 1", "", "there is no column “date”", "")])
    (2, 2, False)
    """
    sheets = (log.boards, log.entries, log.told, log.waits, log.weighings)
    used = {row for sheet in sheets for record in sheet if (row := row_of(record.where))}
    wrong = [row_of(problem.where) for problem in problems]
    rows = {row for row in wrong if row and row[1] > 1}
    return len(used), len(used | rows), all(row in rows for row in wrong)


def row_of(where: str) -> tuple[str, int] | None:
    """The file or sheet and the number of the row of a place, or None for a place that is no row.

    >>> row_of("hours.csv, line 12, hours"), row_of("log.xlsx, sheet hours, cell D41"), row_of("hours.csv")
    (('hours.csv', 12), ('log.xlsx, sheet hours', 41), None)
    """
    place = _ROW.fullmatch(where)
    return (place["file"], int(place["row"] or place["cell"])) if place else None
