"""A rule of thumb on its tape: past boards standing where they fell within it, lying to the side that they missed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from estimator.forecast.ranges import INK_FROM
from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.sheets.layouts.letters import width_px, wrapped
from estimator.sheets.layouts.standing import SLIM
from estimator.sheets.layouts.tape import BLANK, CLEAR, TAPE, FigureLayout
from estimator.words.labels import label

BRACKET = 13.0  # pixels of height that a bracket takes
BOARD = 15.0  # pixels: a board's length
BETWEEN = 1.5  # pixels between boards, side by side and one above the other
MOST = 20  # past boards that are drawn, the latest
TWO_COLUMNS = 560.0  # pixels of width from which rules stand in two columns
APART, BESIDE = 12.0, 26.0  # pixels between rules one below the other, and side by side


@dataclass(frozen=True, slots=True)
class RuleBracket:
    """A range: its words, ends, and whether it is guessed."""

    words: str
    low: float
    high: float
    pencil: bool


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule of thumb on its tape, in its own unit.

    words: the rule in the restorer's words, and the verdict; brackets: his own, then the log's where it has one
    cases: amounts of past cases, the latest last; of one that counts as within, where it does
    """

    words: str
    brackets: tuple[RuleBracket, ...]
    cases: tuple[float, ...]
    unit: str

    def side(self, amount: float) -> int:
        """0 for a case within what the restorer says, 1 for one above it, -1 for one below."""
        own = self.brackets[0]
        return (amount > own.high) - (amount < own.low)


def rule_rows(verdicts: Verdicts) -> tuple[RuleRow, ...]:
    """The restorer's own rules that speak of a range, in the order of the settings."""
    return tuple(_row(v) for v in verdicts.rules if not v.lent and v.low is not None)


def _row(verdict: Verdict) -> RuleRow:
    """One rule, its own bracket before the log's."""
    assert verdict.low is not None
    assert verdict.high is not None
    brackets = [RuleBracket(f"you say {verdict.own_words}", verdict.low, verdict.high, True)]
    if verdict.log is not None:
        pencil = verdict.of < INK_FROM
        low, high = verdict.suggested or (verdict.log.low, verdict.log.high)
        words = f"your log {verdict.said(low, high)}" + (", guessed" if pencil else "")
        brackets.append(RuleBracket(words, low, high, pencil))
    called = verdict.verdict if verdict.verdict == "not enough boards" else label(verdict.verdict)
    counted = f"{verdict.inside} of {verdict.of} within" if verdict.of else "no case yet"
    return RuleRow(
        f"“{verdict.text or verdict.name}”: {called}, {counted}",
        tuple(brackets),
        tuple(_where_counted(verdict)),
        verdict.unit,
    )


def _where_counted(verdict: Verdict) -> Iterator[float]:
    """Amounts of past cases; those that count as within on another reading stand at the end that they come to."""
    assert verdict.low is not None
    assert verdict.high is not None
    sides = verdict.sides or (1,) * len(verdict.cases)
    for (_, amount), side in zip(verdict.cases, sides, strict=True):
        yield amount if side else min(max(amount, verdict.low), verdict.high)


def legend(rows: Sequence[RuleRow]) -> str:
    """What a board on the tape is; empty where none is drawn."""
    most = max((len(row.cases) for row in rows), default=0)
    if not most:
        return ""
    latest = f" Of more than {MOST} the latest are drawn." if most > MOST else ""
    return (
        f"A past board stands where it fell within what you say, and lies to the side that it missed.{latest}"
    )


class RuleLayout(FigureLayout):
    """One rule from the top down: words, what both say, brackets, boards, tape.

    boards: of each board drawn its side, the pixels from the left of its place, and those from the tape to its foot
    """

    def __init__(self, row: RuleRow, wide_px: float) -> None:
        self.row, shown = row, row.cases[-MOST:]
        right = 1.04 * max(*(one.high for one in row.brackets), *shown, 1e-6)
        super().__init__(-right * (BLANK + 2) / (wide_px - BLANK - 2), right, wide_px)
        self.words = wrapped(row.words, wide_px - 4, self.letters) if row.words else ()
        self.say = self._said()
        self.unit = {"times": "times as long", "hours": "hours"}.get(row.unit, row.unit)
        self.boards = self._placed(sorted(shown))
        self.zone = max((foot + _high(side) for side, _, foot in self.boards), default=0.0) + BETWEEN
        self.brackets_at = self.zone + CLEAR / 2
        lines = len(self.words) + len(self.say)
        self.above = self.line * lines + CLEAR + BRACKET * len(row.brackets) + self.brackets_at
        self.below = TAPE + 1.5 * self.letters

    def _said(self) -> list[list[RuleBracket]]:
        """What the brackets say, side by side where there is room."""
        wide = sum(width_px(one.words, self.letters, slanted=one.pencil) for one in self.row.brackets)
        if wide + 2 * CLEAR <= self.wide:
            return [list(self.row.brackets)]
        return [[one] for one in self.row.brackets]

    def _placed(self, amounts: Sequence[float]) -> list[tuple[int, float, float]]:
        """Boards as low as they go, each clear of the others."""
        taken: list[tuple[float, float, float, float]] = []  # from left to right, and from foot to top
        placed = []
        for amount in amounts:
            side, at, half = self.row.side(amount), self.px(amount), BOARD / SLIM / 2
            if side:  # it lies on the tape
                at = max(at, BOARD + 1) if side < 0 else min(at, self.wide - BOARD - 1)
            left, right = {0: (at - half, at + half), 1: (at, at + BOARD), -1: (at - BOARD, at)}[side]
            beside = [box for box in taken if box[0] < right + BETWEEN and left < box[1] + BETWEEN]
            high = _high(side)
            foot = min(
                up
                for up in (BETWEEN, *(top + BETWEEN for *_, top in beside))
                if all(up + high + BETWEEN <= low or top + BETWEEN <= up for *_, low, top in beside)
            )
            taken.append((left, right, foot, foot + high))
            placed.append((side, at, foot))
        return placed


def _high(side: int) -> float:
    """How high a board is, standing or lying."""
    return BOARD / SLIM if side else BOARD


class RulesLayout:
    """All rules, in one column or two, the next where the column is shorter.

    places: of each rule its layout, the pixels from the left, and from the top
    """

    def __init__(self, rows: Sequence[RuleRow], wide_px: float) -> None:
        columns = 2 if wide_px >= TWO_COLUMNS and len(rows) > 1 else 1
        each = (wide_px - (columns - 1) * BESIDE) / columns
        deep = [0.0] * columns
        self.places: list[tuple[RuleLayout, float, float]] = []
        for row in rows:
            layout = RuleLayout(row, each)
            column = min(range(columns), key=lambda n: deep[n])
            self.places.append((layout, column * (each + BESIDE), deep[column]))
            deep[column] += layout.above + layout.below + APART
        self.wide = each
        letters, line = self.places[0][0].letters, self.places[0][0].line
        self.legend = wrapped(legend(rows), wide_px - 2, letters) if legend(rows) else ()
        self.line, self.letters = line, letters
        self.high = max(deep) - APART + (CLEAR + line * len(self.legend) if self.legend else 0.0)
