"""How boards turned out that looked so: standing where they were as they looked, lying to the side of more or less."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.decide.looks import Look, Looks
from estimator.said.looks import looked_words
from estimator.sheets.layouts.letters import width_px, wrapped
from estimator.sheets.layouts.standing import SLIM
from estimator.sheets.layouts.tape import FIRM, FigureLayout
from estimator.words.phrases import capital
from estimator.words.settings.schema import Settings

MOST_LOOKS, MOST_BOARDS = 6, 20  # looks that are drawn; boards of each
TALL, GAP = 24.0, 5.0  # pixels: a board's length; between two, and between rows and words
SIDES = ("lying left: less than it looked", "lying right, hatched: more")
SHORT_SIDES = ("left: less", "right, hatched: more")


@dataclass(frozen=True, slots=True)
class LookRow:
    """Boards that looked so: the sentence, how many, and of those drawn the side to which each lies; 0: it stands."""

    words: str
    boards: int
    sides: tuple[int, ...]


def look_rows(found: Looks, settings: Settings) -> tuple[LookRow, ...]:
    """The looks to mend first, then those of which most boards turned out otherwise; only those with boards enough."""
    judged = [look for look in found.looks if look.ways and look.so.more + look.so.less]
    judged.sort(key=lambda look: look.so.as_looked - look.so.boards)
    shown = dict.fromkeys((*found.differently, *judged))
    return tuple(_row(look, settings) for look in list(shown)[:MOST_LOOKS])


def _row(look: Look, settings: Settings) -> LookRow:
    """One look; of many boards so many of each side as their share is."""
    so = look.so
    less, more = so.less, so.more
    whole = so.boards
    if whole > MOST_BOARDS:
        less, more = (_share(part, whole) for part in (less, more))
        whole = MOST_BOARDS
    sides = (-1,) * less + (0,) * (whole - less - more) + (1,) * more
    return LookRow(looked_words(so, settings), so.boards, sides)


def _share(part: int, whole: int) -> int:
    """A part of the boards that are drawn: never none of some.

    >>> _share(1, 90), _share(30, 60), _share(0, 60)
    (1, 10, 0)
    """
    return max(round(part * MOST_BOARDS / whole), 1) if part else 0


def looks_legend(rows: Sequence[LookRow]) -> str:
    """What a board is; of how many where not all are drawn."""
    many = any(row.boards > MOST_BOARDS for row in rows)
    said = "A board stands where it turned out as it looked, and lies where it did not."
    return said + (
        f" Of more than {MOST_BOARDS} boards {MOST_BOARDS} are drawn, in their shares." if many else ""
    )


class LooksLayout(FigureLayout):
    """All looks from the top down: a sentence, then its boards in rows.

    rows: of each look its lines of words and its boards in rows; high: of it all, in pixels
    """

    def __init__(self, rows: Sequence[LookRow], legend: str, wide_px: float) -> None:
        super().__init__(0.0, wide_px, wide_px)
        self.rows = [(self._lines(row.words), self._in_rows(row.sides)) for row in rows]
        self.legend = self._lines(legend)
        long = sum(width_px(words, self.letters) for words in SIDES) + 2 * GAP
        self.sides = SIDES if long <= wide_px else SHORT_SIDES
        boards = sum(len(of) for _, of in self.rows)
        lines = sum(len(lines) for lines, _ in self.rows) + len(self.legend) + 1
        self.high = self.line * lines + boards * (TALL + 2 * GAP) + GAP * len(self.rows)

    def _lines(self, words: str) -> tuple[str, ...]:
        return wrapped(capital(words), self.wide - 2, self.letters)

    def _in_rows(self, sides: Sequence[int]) -> list[list[tuple[int, float]]]:
        """Boards in rows: of each its side, and the pixels from the left of its foot."""
        rows: list[list[tuple[int, float]]] = [[]]
        at = FIRM
        for side in sides:
            room = TALL if side else TALL / SLIM
            if at + room > self.wide - FIRM:
                rows.append([])
                at = FIRM
            rows[-1].append((side, {0: at + room / 2, 1: at, -1: at + room}[side]))
            at += room + GAP
        return rows


def looks_caption(rows: Sequence[LookRow]) -> str:
    """The drawing in words."""
    return " ".join(row.words for row in rows)
