"""How many lines of a log were used, of how many that hold anything."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.words.problems import Problem
from estimator.words.records import Log


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
