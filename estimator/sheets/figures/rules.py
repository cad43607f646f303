"""Rules of thumb against the log: for each a tape, both ranges over it, and past boards standing or lying on it."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

from estimator.sheets.drawing.outlines import draw_board, draw_lying
from estimator.sheets.drawing.style import (
    BROKEN,
    MARGIN,
    ON_PAPER,
    Palette,
    Place,
    save_titled,
    size_px,
    write,
)
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.rules import BOARD, BRACKET, RuleBracket, RuleLayout, RuleRow, RulesLayout
from estimator.sheets.layouts.standing import SLIM
from estimator.sheets.layouts.tape import CLEAR, FIRM, THIN

END = 5.0  # pixels: how far a bracket's ends turn down


def draw_rule(axes: Axes, layout: RuleLayout, palette: Palette = ON_PAPER) -> None:
    """Draws one rule: its words, what it says and what the log says, both as brackets, past boards, and a tape.

    Along the tape the axes count in the rule's unit, upwards in pixels from the tape's upper edge.
    """
    axes.set_xlim(layout.left, layout.right)
    axes.set_ylim(-layout.below, layout.above)
    lay_tape(axes, layout.unit, layout.letters, palette, whole=True)
    axes.xaxis.set_label_coords(layout.right, -layout.below + 0.35 * layout.letters, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    foot = layout.above - layout.line + 4
    for words in layout.words:
        write(axes, (layout.left, foot), words, layout.letters, colour=palette.ink, across="left")
        foot -= layout.line
    for line in layout.say:
        for one, at, across in zip(line, (layout.left, layout.right), ("left", "right"), strict=False):
            write(
                axes,
                (at, foot),
                one.words,
                layout.letters,
                colour=palette.ink,
                slanted=one.pencil,
                across=across,
            )
        foot -= layout.line
    for n, one in enumerate(reversed(layout.row.brackets)):
        _bracket(axes, one, layout.brackets_at + n * BRACKET + END, palette)
    each = (layout.right - layout.left) / layout.wide
    for side, px, floor in layout.boards:
        at = layout.amount(px)
        if side:
            draw_lying(axes, at, floor, BOARD, side, palette=palette, each=each)
        else:
            draw_board(axes, at, floor, (BOARD / SLIM * each, BOARD), pencil=False, palette=palette)


def _bracket(axes: Axes, one: RuleBracket, level: float, palette: Palette) -> None:
    """A range with its ends turned down; guessed in pencil, else in ink."""
    colour, width = (palette.pencil, THIN) if one.pencil else (palette.ink, FIRM)
    (line,) = axes.plot(
        [one.low, one.low, one.high, one.high],
        [level - END, level, level, level - END],
        color=colour,
        linewidth=points(width),
    )
    if one.pencil:
        line.set_linestyle(BROKEN)


def save_rules(
    path: Place, rows: Sequence[RuleRow], *, title: str, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the rules under a title, in two columns where they fit, as .png or .svg, by the path's ending.

    Raises ValueError where there is no rule.
    """
    if not rows:
        raise ValueError("There is no rule of thumb to draw.")
    layout = RulesLayout(rows, wide_px - 2 * MARGIN)

    def draw(whole: Axes) -> None:
        wide, high = size_px(whole)
        sheet, box = whole.get_figure(root=True), whole.get_position()
        assert sheet is not None
        whole.set_xlim(0, wide)
        whole.set_ylim(0, high)
        whole.set_axis_off()
        for one, left, top in layout.places:
            tall = one.above + one.below
            part = (
                box.x0 + left / wide * box.width,
                box.y1 - (top + tall) / high * box.height,
                one.wide / wide * box.width,
                tall / high * box.height,
            )
            draw_rule(sheet.add_axes(part), one, palette)
        foot = layout.line * len(layout.legend) - layout.letters - CLEAR / 2
        for words in layout.legend:
            write(whole, (0.0, foot), words, layout.letters, colour=palette.ink, across="left")
            foot -= layout.line

    save_titled(
        path,
        draw,
        title=title,
        says=" ".join(f"{row.words}; {'; '.join(one.words for one in row.brackets)}." for row in rows),
        wide_px=wide_px,
        body_px=layout.high,
        palette=palette,
    )
