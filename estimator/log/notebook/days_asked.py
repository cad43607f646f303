"""The days of a text, asked where it is not sure which they are, or why nothing is written of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.log.notebook.atom import Atom
from estimator.log.notebook.days_meant import MeantDays, NamedDays, day_of
from estimator.log.notebook.found import FoundInText
from estimator.log.notebook.items import Item
from estimator.log.notebook.page import A_DATE, LEAVE, Choice, Doubt, HoursLine, Span, TextPiece
from estimator.log.notebook.questions import Questions
from estimator.words.dates import say_day
from estimator.words.records import SHOP


@dataclass(slots=True)
class DaysAsked:
    """Days as a text names them. found: takes the questions, and what their answers say"""

    text: str
    meant: MeantDays
    answers: Mapping[str, str]
    questions: Questions
    found: FoundInText

    def empty(self, atom: Atom, named: NamedDays) -> None:
        """A day of which nothing was said is asked about, unless the log has hours of it already."""
        day = named.first
        if named.until is not None or self.questions.state.entries_on(day):
            return
        doubt = self.questions.empty_day(atom, day)
        answer = self.answers.get(doubt.key)
        if answer in {"away", "did not work"}:
            self.found.lines.append(
                HoursLine(
                    SHOP, day, "", 0.0, note=answer, span=atom.span, pieces=(TextPiece(atom.span, "day"),)
                )
            )
        elif answer == LEAVE:
            self.found.left_out.append(atom.span)
        else:
            self.found.doubts.append(doubt)

    def named(self, atom: Atom, *, headed: bool) -> NamedDays | None:
        """The days that an atom names; None where they are asked, or left out."""
        found = self.meant.of(atom, headed=headed)
        if isinstance(found, NamedDays):
            return found
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in found.days)
        doubt = Doubt("day", atom.span, atom.text, found.question, choices, A_DATE)
        day = self._told(doubt, atom.span)
        if day and found.goes_on:
            self.meant.goes_on(day.first)
        return day

    def _told(self, doubt: Doubt, span: Span) -> NamedDays | None:
        """The day that was answered; None with the doubt, or where it was left out."""
        answer = self.answers.get(doubt.key)
        if (day := day_of(answer)) is not None:
            return NamedDays(day, None, (day,))
        if answer == LEAVE:
            self.found.left_out.append(span)
        else:
            self.found.doubts.append(doubt)
        return None

    def needed(self, item: Item) -> NamedDays | None:
        """The day of an item that has none, asked once for all such items of a text."""
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in self.meant.likely())
        typed = self.text[slice(*item.span)]
        doubt = Doubt("day", item.span, typed, f"Which day was “{typed}”?", choices, A_DATE)
        return self._told(doubt, item.span)
