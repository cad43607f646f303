"""A problem is a value in four parts: where it is, what was found, what is wrong with it, what to do."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from estimator.words.json_form import JsonForm

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True)
class Problem(JsonForm):
    """One thing that the restorer should know or mend.

    where: file, sheet, cell or line, in that order, as "hours.csv, line 12, hours"
    found: what stands there, as written
    wrong: what is wrong with it, in the restorer's words, a clause without a full stop
    cure: what to do, one sentence
    """

    where: str
    found: str
    wrong: str
    cure: str

    def said(self) -> str:
        """Where, found and wrong as one sentence, without the cure.

        >>> Problem("hours.csv, line 12, hours", "2,5O", "that is not a time", "Write 2.5 or 2:30.").said()
        'hours.csv, line 12, hours: "2,5O": that is not a time.'
        """
        found = f' "{self.found}":' if self.found else ""
        return f"{self.where}:{found} {self.wrong}."

    def sentence(self) -> str:
        """The whole problem as one sentence and its cure.

        >>> Problem("boards.csv, line 3", "", "the board has no id", "Give it one.").sentence()
        'boards.csv, line 3: the board has no id. Give it one.'
        """
        return f"{self.said()} {self.cure}".strip()


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The same problems, each once, sorted by place; line 9 stands before line 10.

    >>> [p.where for p in in_order([Problem("a, line 10", "", "", ""), Problem("a, line 9", "", "", "")])]
    ['a, line 9', 'a, line 10']
    """
    return tuple(sorted(dict.fromkeys(problems), key=_place))


def _place(problem: Problem) -> tuple[list[tuple[int, int, str]], str]:
    """The place with its numbers as numbers, then the rest as written."""
    pieces = re.split(r"(\d+)", problem.where)
    numbered = [(1, int(p), "") if p.isdecimal() else (0, 0, p) for p in pieces]
    return numbered, f"{problem.wrong}{problem.found}"
