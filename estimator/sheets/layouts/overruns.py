"""Where the pieces of a batten go that shows what made boards go over: laid end to end, then sawn to length."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from estimator.decide.overruns.parts import PARTS, part_words, parts_story, shown_over
from estimator.sheets.layouts.letters import width_px, wrapped
from estimator.sheets.layouts.tape import TAPE, FigureLayout
from estimator.words.phrases import say_middle, say_shown, shown_to_add_up

THICK = 26.0  # pixels: a batten lying flat
LEADER = 10.0  # pixels from a number to the batten
CLEAR = 6.0  # pixels between what stands one below the other, and between two numbers
SEEN = 0.75  # of the pieces' length: how much of what was said is seen before them


@dataclass(frozen=True, slots=True)
class Batten:
    """What was said and what it took, in hours, and the pieces between: hours by part, which sum to the difference."""

    said: float
    took: float
    hours: Mapping[str, float]
    boards: bool = False  # of several together

    @property
    def pieces(self) -> tuple[tuple[str, float, str], ...]:
        """Each piece's part, its hours and what it is; pieces too short to be shown are left out.

        >>> [words for *_, words in Batten(52, 71, {"guess": 9, "hidden": 12, "asked_later": 0, "pace": -2}).pieces]
        ['a low guess: 9', 'hidden work: 12', 'quicker going: 2 off']
        """
        over = shown_over(self.took, self.said)
        shown = shown_to_add_up([self.hours[part] for part in PARTS], over)
        return tuple(
            (
                part,
                self.hours[part],
                f"{part_words(part, at, boards=self.boards)}: {say_shown(at)}{' off' if at < 0 else ''}",
            )
            for part, at in zip(PARTS, shown, strict=True)
            if at
        )

    @property
    def sentence(self) -> str:
        """What there is to see."""
        over = shown_over(self.took, self.said)
        story = parts_story(self.hours, over, boards=self.boards)
        return f"You said {say_middle(self.said)} hours; it came to {say_middle(self.took)}. {story}"


@dataclass(frozen=True, slots=True)
class SawnPiece:
    """A piece of the batten: from where to where in hours, its number, what it is, and whether it is sawn off."""

    start: float
    end: float
    number: int
    words: str
    part: str
    off: bool

    @property
    def middle(self) -> float:
        """Where its middle is, in hours."""
        return (self.start + self.end) / 2


def laid(batten: Batten) -> tuple[SawnPiece, ...]:
    """The pieces: what comes on top is laid on end after end; from that end back is sawn off what was saved.

    >>> [(p.start, p.end) for p in laid(Batten(50, 54, {"guess": 9, "hidden": 0, "asked_later": 0, "pace": -5}))]
    [(50, 59), (54, 59)]
    """
    on = [(i, one) for i, one in enumerate(batten.pieces, start=1) if one[1] > 0]
    off = [(i, one) for i, one in enumerate(batten.pieces, start=1) if one[1] < 0]
    pieces, at = [], batten.said
    for number, (part, hours, words) in (*on, *off):
        start, end = sorted((at, at + hours))
        pieces.append(SawnPiece(start, end, number, words, part, hours < 0))
        at += hours
    return tuple(pieces)


class BattenLayout(FigureLayout):
    """The batten over its tape: pieces, where their numbers stand, and what they are, in lines below.

    over, under: numbers above the batten and below it, each with the pixels from the left at which it stands
    """

    def __init__(self, batten: Batten, wide_px: float) -> None:
        self.batten, self.pieces = batten, laid(batten)
        super().__init__(*_ends(batten, self.pieces, wide_px), wide_px)
        self.over = self._numbered(off=False)
        self.under = self._numbered(off=True)
        head = f"You said {say_middle(batten.said)}; it came to {say_middle(batten.took)}."
        self.head = wrapped(head, wide_px - 2, self.letters)
        self.indent = width_px("4", self.letters) + 2 * CLEAR
        by_number = sorted(self.pieces, key=lambda piece: piece.number)
        room = wide_px - self.indent - 2
        self.list = [(piece.number, wrapped(piece.words, room, self.letters)) for piece in by_number]
        row = self.line + LEADER + CLEAR
        self.foot = CLEAR + (row if self.under else 0.0)  # of the batten, above the tape
        self.above = self.foot + THICK + (row if self.over else 0.0) + CLEAR
        lines = len(self.head) + sum(len(lines) for _, lines in self.list)
        self.below = TAPE + self.line * (1 + lines) + 2 * CLEAR

    def _numbered(self, *, off: bool) -> list[tuple[SawnPiece, float]]:
        """Pieces with the pixels at which their numbers stand: at their middles, and never closer than can be read."""
        pieces = sorted((p for p in self.pieces if p.off == off), key=lambda piece: piece.middle)
        each = width_px("4", self.letters) + CLEAR
        at: list[float] = []
        for piece in pieces:
            at.append(max(self.px(piece.middle), at[-1] + each if at else each / 2))
        most = self.wide - each / 2
        for i in reversed(range(len(at))):
            at[i] = min(at[i], most)
            most = at[i] - each
        return list(zip(pieces, at, strict=True))


def _ends(batten: Batten, pieces: Sequence[SawnPiece], wide_px: float) -> tuple[float, float]:
    """The hours at the left and the right edge: the pieces, and as much of what was said as gives them a beginning."""
    places = [batten.said, batten.took, *(at for piece in pieces for at in (piece.start, piece.end))]
    length = max(max(places) - min(places), max(places) * 0.05)
    left, right = min(places) - SEEN * length, max(places) + 0.06 * length
    return (-right * 12 / wide_px, right) if left < 0.15 * right else (left, right)
