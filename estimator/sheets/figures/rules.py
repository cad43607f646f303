"""Rules of thumb against the log: for each a tape with the restorer's bracket in pencil, the log's in ink."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from estimator.forecast.ranges import INK_FROM
from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.sheets.drawing.style import (
    BROKEN,
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    stacked,
    write,
)
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import letters_px, points, width_px, wrapped
from estimator.sheets.layouts.tape import BLANK, FIRM, TAPE, THIN
from estimator.words.labels import label

END = 5.0  # pixels: half the height of a bracket's ends
STROKE = 7.0  # pixels: a past case below the tape
APART = 18.0  # pixels between two rules


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule of thumb on its tape, in its own unit.

    words: the rule in the restorer's words, and the verdict; brackets: words, low, high, whether pencil
    cases: amounts of past cases
    """

    words: str
    brackets: tuple[tuple[str, float, float, bool], ...]
    cases: tuple[float, ...]
    unit: str


def rule_rows(verdicts: Verdicts) -> tuple[RuleRow, ...]:
    """The restorer's own rules that speak of a range, in the order of the settings."""
    return tuple(_row(v) for v in verdicts.rules if not v.lent and v.low is not None)


def _row(verdict: Verdict) -> RuleRow:
    """One rule, its own bracket above the log's."""
    assert verdict.low is not None
    assert verdict.high is not None
    says = f"you say {verdict.own_words}"
    brackets = [(says, verdict.low, verdict.high, True)]
    if verdict.log is not None:
        pencil = verdict.of < INK_FROM
        low, high = verdict.suggested or (verdict.log.low, verdict.log.high)
        words = f"your log {verdict.said(low, high)}" + (", guessed" if pencil else "")
        brackets.append((words, low, high, pencil))
    called = verdict.verdict if verdict.verdict == "not enough boards" else label(verdict.verdict)
    counted = f"{verdict.inside} of {verdict.of} within" if verdict.of else "no case yet"
    return RuleRow(
        f"“{verdict.text or verdict.name}”: {called}, {counted}",
        tuple(brackets),
        tuple(amount for _, amount in verdict.cases),
        verdict.unit,
    )


def _heights(row: RuleRow, wide_px: float) -> tuple[float, float]:
    """Pixels above the tape's upper edge, and below it."""
    letters = letters_px(wide_px)
    lines = len(wrapped(row.words, wide_px - 4, letters))
    above = 1.4 * letters * lines + 8 + len(row.brackets) * (1.4 * letters + 2 * END + 8)
    return above, TAPE + STROKE + 6 + 1.5 * letters


def draw_rule(axes: Axes, row: RuleRow, palette: Palette = ON_PAPER) -> None:
    """Draws one rule: its words, the brackets, a tape, and a stroke below it for each past case.

    Along the tape the axes count in the rule's unit, upwards in pixels from the tape's upper edge.
    """
    wide, _ = size_px(axes)
    letters = letters_px(wide)
    above, below = _heights(row, wide)
    right = 1.04 * max(*(high for _, _, high, _ in row.brackets), *row.cases, 1e-6)
    left = -right * (BLANK + 2) / (wide - BLANK - 2)
    axes.set_xlim(left, right)
    axes.set_ylim(-below, above)
    unit = {"times": "times as long", "hours": "hours"}.get(row.unit, row.unit)
    lay_tape(
        axes, f"{unit}; each stroke is a past board" if row.cases else unit, letters, palette, whole=True
    )
    axes.xaxis.set_label_coords(right, -below + 0.35 * letters, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    for n, line in enumerate(wrapped(row.words, wide - 4, letters), start=1):
        write(axes, (left, above - 1.4 * letters * n + 4), line, letters, colour=palette.ink, across="left")
    each = (right - left) / wide
    for n, (words, low, high, pencil) in enumerate(reversed(row.brackets)):
        level = END + 4 + n * (1.4 * letters + 2 * END + 8)
        colour, width = (palette.pencil, THIN) if pencil else (palette.ink, FIRM)
        ends = [low, low, high, high]
        (line2d,) = axes.plot(
            ends, [level - END, level, level, level - END], color=colour, linewidth=points(width)
        )
        if pencil:
            line2d.set_linestyle(BROKEN)
        at = max(min(low, right - (width_px(words, letters, slanted=pencil) + 2) * each), left)
        write(axes, (at, level + 5), words, letters, colour=palette.ink, slanted=pencil, across="left")
    for amount in row.cases:
        axes.plot(
            [amount] * 2,
            [-TAPE - 2, -TAPE - 2 - STROKE],
            color=palette.ink,
            linewidth=points(1.2),
            label="_case",
        )


def save_rules(
    path: Place, rows: Sequence[RuleRow], *, title: str, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the rules one below the other under a title, as .png or .svg, by the path's ending.

    Raises ValueError where there is no rule.
    """
    if not rows:
        raise ValueError("There is no rule of thumb to draw.")
    inner = wide_px - 2 * MARGIN
    heights = [sum(_heights(row, inner)) for row in rows]
    body = sum(heights) + APART * (len(rows) - 1)

    def draw(whole: Axes) -> None:
        for row, axes in zip(rows, stacked(whole, heights, APART), strict=True):
            draw_rule(axes, row, palette)

    save_titled(
        path,
        draw,
        title=title,
        says=" ".join(f"{row.words}; {'; '.join(words for words, *_ in row.brackets)}." for row in rows),
        wide_px=wide_px,
        body_px=body,
        palette=palette,
    )
