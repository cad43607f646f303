"""What only the restorer knows about somebody's sheet, as questions with answers to choose from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.words.json_form import JsonForm
from estimator.words.phrases import say_count
from estimator.words.problems import Place, Problem


@dataclass(frozen=True, slots=True)
class OfferedAnswer:
    """One answer: what it is called, and what it says."""

    answer: str
    says: str


KEEP, STRIKE = "keep", "strike"
UNCLEAR = {
    "rows": "it is not clear what each row of this sheet is",
    "column": "it is not clear which of our columns “{}” is",
    "blank": "it is not clear what a blank means in “{}”",
    "dates": "that can be two days",
    "decimals": "that can be two numbers",
    "feet": "that can be two lengths",
    "gone": "rows of the book are not in this file",
}
CURE = "Answer it on a terminal, once; or write it under [import.NAME] in workshop.toml."


@dataclass(frozen=True, slots=True)
class ImportQuestion(JsonForm):
    """One thing that only the restorer knows about a sheet.

    key: what an answer is kept under; about: rows, column, blank, dates, decimals, feet or gone
    choices: the answers that are offered; of a column any name of `others` may be one too
    likely: the answer that is offered first, empty where none is likelier; samples: cells that it is about
    header: the column that it is about
    needed: whether nothing is written without an answer; else it may stay open, and the likely one holds
    """

    key: str
    about: str
    place: Place
    asks: str
    choices: tuple[OfferedAnswer, ...]
    likely: str = ""
    samples: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    header: str = ""
    needed: bool = True

    @property
    def problem(self) -> Problem:
        """The question as a problem, for where nobody can be asked."""
        found = self.samples[0] if self.samples and self.about != "column" else ""
        return Problem(self.place, found, UNCLEAR[self.about].format(self.header), CURE)

    def takes(self, answer: str) -> bool:
        """Whether that is an answer to it."""
        return answer in self.others or any(choice.answer == answer for choice in self.choices)

    def _json(self) -> dict[str, object]:
        # by hand: the place is said as a message says it
        names = ("key", "about", "asks", "choices", "likely", "samples", "others", "header", "needed")
        return {"where": str(self.place), **{name: getattr(self, name) for name in names}}


def gone_question(sheet: str, number: int, files: Sequence[str]) -> ImportQuestion:
    """The question about rows of the book that were in a file of ours when it was written, and no longer are."""
    one = number == 1
    asks = (
        f"{say_count(number, 'row')} of {sheet} that the book has {'is' if one else 'are'} not in "
        f"{', '.join(files)} any more. Did you take {'it' if one else 'them'} out on purpose?"
    )
    choices = (
        OfferedAnswer(KEEP, f"no, {'it stays' if one else 'they stay'} in the book"),
        OfferedAnswer(STRIKE, f"yes, strike {'it' if one else 'them'} out in the book too"),
    )
    place = Place(files[0], sheet)
    return ImportQuestion(f"gone:{sheet}", "gone", place, asks, choices, likely=KEEP, needed=False)


@dataclass(frozen=True, slots=True)
class KnownColumn(JsonForm):
    """What a column is taken for; ours: a column, `hours STAGE`, or empty where it is kept by its own name."""

    column: str
    ours: str
    unit: str
    samples: tuple[str, ...]
