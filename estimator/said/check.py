"""Every problem of settings and log, and how many lines of the log were used all the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from estimator.said.parts import Heading, Part
from estimator.words.phrases import say_count
from estimator.words.problems import Problem
from estimator.words.records import Log

SETTINGS_FIRST = "The log was not read: it needs the settings."


def check_parts(
    problems: Sequence[Problem],
    notes: Sequence[Problem],
    log: Log | None,
    untaught: Sequence[Problem] = (),
    unused: int = 0,
) -> list[Part]:
    """What teaches nothing yet, the problems, then the notes, each as one sentence and its cure, then the counts.

    log: None where it was not read; untaught: why finished boards teach nothing, unused: how many do not
    """
    counts = SETTINGS_FIRST if log is None else counted(log, problems, unused)
    return [
        *_listed("Boards that teach nothing yet", untaught),
        *_listed("Problems", problems),
        *_listed("Notes", notes),
        Heading(counts),
    ]


def _listed(name: str, problems: Sequence[Problem]) -> list[Part]:
    """The problems under their name."""
    return [Heading(name), *(problem.sentence() for problem in problems)] if problems else []


def counted(log: Log, problems: Sequence[Problem], unused: int = 0) -> str:
    """How many problems there are, and how many lines of the log were used all the same.

    unused: finished boards that teach nothing yet
    """
    used, written, all_told = lines_used(log, problems)
    of = say_count(written, "line") if all_told else f"at least {say_count(written, 'line')}"
    lines = f"{used:,} of {of} used" if written else "no lines yet" if all_told else "no lines used"
    held = f"{say_count(len(log.boards), 'board')}, {say_count(len(log.entries), 'row')} of hours"
    teach = (
        f"; {say_count(unused, 'board')} {'teaches' if unused == 1 else 'teach'} nothing yet"
        if unused
        else ""
    )
    return f"{say_count(len(problems), 'problem').capitalize()}; {lines} ({held}){teach}."


def lines_used(log: Log, problems: Iterable[Problem]) -> tuple[int, int, bool]:
    """How many lines the records came from; those and the lines left out; whether that is all of them.

    A line was left out when a problem stands on it and no record came from it. Where a whole file or sheet has
    a problem, or the first line, which names the columns, there may be more lines than these.

    >>> from estimator.words.problems import Place
    >>> from estimator.words.records import Board
    >>> two, three, four = (Place("boards.csv", row=row, column="board") for row in (2, 3, 4))
    >>> log = Log(boards=(Board("1", where=two.whole_row), Board("2", where=three.whole_row)))
    >>> lines_used(log, [Problem(place, "", "", "") for place in (three, four)])
    (2, 3, True)
    >>> lines_used(log, [Problem(Place("hours.csv", row=1), "", "there is no column “date”", "")])
    (2, 2, False)
    """
    sheets = (log.boards, log.entries, log.told, log.waits, log.weighings)
    used = {record.where for sheet in sheets for record in sheet if record.where.row}
    wrong = [problem.place.whole_row for problem in problems]
    rows = {place for place in wrong if place.row > 1}
    return len(used), len(used | rows), all(place in rows for place in wrong)
