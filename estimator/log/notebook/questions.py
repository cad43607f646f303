"""What can be asked of an item, in words, and the answers to choose from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from estimator.log.notebook.atom import OF_STAGE, UNKNOWN, Atom, Glossary
from estimator.log.notebook.items import Item
from estimator.log.notebook.mentions import NEAR, WorkState
from estimator.log.notebook.page import KEEP, LEAVE, MORE, SAME, Choice, Doubt, HoursLine
from estimator.words.dates import say_day
from estimator.words.phrases import say_value
from estimator.words.records import SHOP, Entry
from estimator.words.settings.schema import REDO, Settings

MOST_CHOICES = 6  # boards that are offered
NO_BOARD_AT_ALL = Choice(SHOP, "no board: the shop")
MORE_OR_SAME = (Choice(SAME, "the same: leave it out"), Choice(MORE, "more: add it"))
OR_LEAVE = Choice(LEAVE, "leave it out")
AS_NOTE = Choice(KEEP, "no hours: keep it as a note")


@dataclass(frozen=True, slots=True)
class Questions:
    """What can be asked of an item, in words, with the likeliest answers first."""

    settings: Settings
    glossary: Glossary
    state: WorkState

    def name(self, board: str) -> str:
        """What a board is called."""
        row = self.glossary.names.boards.get(board)
        return row.name if row else "the shop"

    def subject(self, line: HoursLine) -> tuple[str, str]:
        """A line's board at the head of a sentence, and its stage behind the hours."""
        if line.board == SHOP:
            return "The shop", f" of “{line.stage}”" if line.stage else ""
        return self.name(line.board), f" of “{self.settings.label(line.stage)}”"

    def more_of(self, line: HoursLine, there: Sequence[Entry], typed: str) -> Doubt:
        """Whether a line is more than what the log has of it already, or the same."""
        name, of_stage = self.subject(line)
        has = f"{name} has {say_value(sum(entry.hours for entry in there))} h{of_stage} on {say_day(there[0].date)}"
        question = f"{has} already. Is this more, or the same?"
        return Doubt("more", line.span, typed, question, MORE_OR_SAME, known=self.known(line))

    def empty_day(self, atom: Atom, day: dt.date) -> Doubt:
        """Why nothing is written of a day that is named."""
        why = (
            Choice("away", "I was away"),
            Choice("did not work", "I didn't work"),
            Choice(LEAVE, "not written down"),
        )
        return Doubt("empty", atom.span, atom.text, f"Nothing is written for {say_day(day)}. Why?", why)

    def known(self, line: HoursLine) -> Mapping[str, str]:
        """What a line says, in words."""
        return {
            "day": say_day(line.date),
            "board": self.name(line.board),
            "stage": self.settings.label(line.stage) if line.board != SHOP and line.stage else line.stage,
            "hours": say_value(line.hours),
        }

    def boards(self, boards: Sequence[str]) -> tuple[Choice, ...]:
        """Boards to choose from; one that shares its name with another by its id too."""
        names = [self.name(board) for board in boards]
        return tuple(
            Choice(board, f"{name} ({board})" if names.count(name) > 1 else name)
            for board, name in zip(boards, names, strict=True)
        )

    def likely_boards(self, word: str, day: dt.date, *first: str) -> tuple[Choice, ...]:
        """The boards in hand to choose from, those first that are nearest to a word, else the last ones worked on."""
        known = [board for board in first if board in self.glossary.names.boards]
        hand = tuple(dict.fromkeys((*known, *self.in_hand(day))))
        named = (*self.glossary.names.near(word.casefold()), *hand) if word else hand
        ordered = self.glossary.names.nearest_first(word, dict.fromkeys(named)) if word else hand
        return self.boards(ordered[:MOST_CHOICES])

    def near_stages(self, item: Item) -> tuple[Choice, ...]:
        """Stages whose words are nearly one that nobody knows."""
        phrases = self.glossary.vocabulary.phrases
        single = {words[0]: m for words, m in phrases.items() if len(words) == 1 and m.of == OF_STAGE}
        found = []
        for atom in item.of(UNKNOWN):
            for word in get_close_matches(atom.text.casefold(), single, n=1, cutoff=NEAR):
                found += [Choice(s, self.settings.label(s)) for s in single[word].value]
        return tuple(found)

    def in_hand(self, day: dt.date) -> tuple[str, ...]:
        """The boards on the bench on a day, the latest worked on first."""
        there = [
            board
            for board in self.glossary.names.boards
            if self.state.there(board, day) and self.state.begun(board, day)
        ]
        return tuple(there[-9:][::-1])

    def stages(self, board: str, day: dt.date) -> tuple[Choice, ...]:
        """All stages to choose from, that in hand and the next first."""
        first = self.state.next_stages(board, day) if board in self.glossary.names.boards else ()
        return tuple(
            Choice(s, self.settings.label(s))
            for s in dict.fromkeys((*first, *self.settings.stages))
            if s != REDO
        )
