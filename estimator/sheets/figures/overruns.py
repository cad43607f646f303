"""What made boards go over: one batten laid end to end and sawn, true to length over a tape."""

from __future__ import annotations

from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from estimator.sheets.drawing.style import MARGIN, ON_PAPER, Palette, save_titled, size_px, write
from estimator.sheets.drawing.tape import lay_tape
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.overruns import CLEAR, LEADER, THICK, Batten, BattenLayout, SawnPiece
from estimator.sheets.layouts.tape import FIRM, TAPE, THIN

SLANT = 3.0  # pixels by which a saw cut leans
TEETH = (0.0, 4.0, -2.0, 3.0, -3.0, 1.0)  # pixels: where a batten is broken off, because it goes on


def draw_overrun(axes: Axes, batten: Batten, palette: Palette = ON_PAPER) -> None:
    """Draws what was said with all that came on top laid on its end, and what was saved sawn off again.

    Along the tape the axes count in hours, upwards in pixels from the tape's upper edge. Where one piece ends the next
    begins, at a saw cut; what is sawn off is hatched, and its outline is pencil; what was asked for since has scribed
    lines.

    Raises ValueError where the axes are too low.
    """
    wide, high = size_px(axes)
    layout = BattenLayout(batten, wide)
    if high < layout.above + layout.below - 1e-6:
        raise ValueError("The figure is too low for its pieces: make it higher.")
    axes.set_xlim(layout.left, layout.right)
    axes.set_ylim(-layout.below, high - layout.below)
    lay_tape(axes, "hours", layout.letters, palette, whole=layout.left < 0)
    axes.xaxis.set_label_coords(layout.right, -TAPE - 1.3 * layout.letters, transform=axes.transData)
    axes.xaxis.label.set(ha="right", va="baseline")
    _whole(axes, layout, palette)
    for piece in layout.pieces:
        (_sawn if piece.off else _laid_on)(axes, layout, piece, palette)
    for piece, at in (*layout.over, *layout.under):
        _number(axes, layout, piece, at, palette)
    _listed(axes, layout, palette)


def _whole(axes: Axes, layout: BattenLayout, palette: Palette) -> None:
    """The batten that is left: from nought, or broken off at the left edge, to what it came to."""
    upper, lower, left = layout.foot + THICK, layout.foot, axes.get_xlim()[0]
    edge = [(0.0, upper), (0.0, lower)]
    if left > 0:
        step = THICK / (len(TEETH) - 1)
        edge = [(layout.amount(4 + tooth), upper - n * step) for n, tooth in enumerate(TEETH)]
    took = layout.batten.took
    axes.add_patch(
        Polygon(
            [*edge, (took, lower), (took, upper)],
            facecolor="none",
            edgecolor=palette.ink,
            linewidth=points(FIRM),
            label="_whole",
        )
    )


def _laid_on(axes: Axes, layout: BattenLayout, piece: SawnPiece, palette: Palette) -> None:
    """The saw cut at which a piece begins, beyond the batten's edges so that it is seen; its lines where it has any."""
    lean = layout.amount(SLANT) - layout.left
    cut = [layout.foot - CLEAR / 2, layout.foot + THICK + CLEAR / 2]
    ends = [piece.start - lean, piece.start + lean]
    axes.plot(ends, cut, color=palette.ink, linewidth=points(FIRM), label="_cut")
    if piece.part == "asked_later":
        for part in (0.32, 0.68):
            level = layout.foot + part * THICK
            axes.plot([piece.start, piece.end], [level] * 2, color=palette.ink, linewidth=points(THIN))


def _sawn(axes: Axes, layout: BattenLayout, piece: SawnPiece, palette: Palette) -> None:
    """What is sawn off, in pencil and hatched."""
    upper, lower = layout.foot + THICK, layout.foot
    axes.add_patch(
        Polygon(
            [(piece.start, upper), (piece.start, lower), (piece.end, lower), (piece.end, upper)],
            facecolor="none",
            edgecolor=palette.pencil,
            linewidth=points(THIN),
            linestyle=(0, (4, 3)),
            hatch="////",
            label="_sawn",
        )
    )


def _number(axes: Axes, layout: BattenLayout, piece: SawnPiece, at: float, palette: Palette) -> None:
    """A piece's number above the batten, or below it where it is sawn off, with a leader to its middle."""
    edge, way = (layout.foot, -1) if piece.off else (layout.foot + THICK, 1)
    ends = [piece.middle, layout.amount(at)]
    leader = [edge + way * CLEAR / 2, edge + way * LEADER]
    axes.plot(ends, leader, color=palette.pencil, linewidth=points(THIN))
    foot = edge + LEADER + CLEAR if way > 0 else edge - LEADER - layout.letters
    write(axes, (layout.amount(at), foot), str(piece.number), layout.letters, colour=palette.ink)


def _listed(axes: Axes, layout: BattenLayout, palette: Palette) -> None:
    """What was said and what it came to, then each piece by its number."""
    foot = -TAPE - layout.line - CLEAR - layout.letters
    for words in layout.head:
        write(axes, (layout.left, foot), words, layout.letters, colour=palette.ink, across="left")
        foot -= layout.line
    for number, lines in layout.list:
        place = (layout.amount(layout.indent - CLEAR), foot)
        write(axes, place, str(number), layout.letters, colour=palette.ink, across="right")
        for words in lines:
            at = layout.amount(layout.indent)
            write(axes, (at, foot), words, layout.letters, colour=palette.ink, across="left")
            foot -= layout.line


def save_overrun(
    path: Path, batten: Batten, *, title: str, wide_px: float = 640, palette: Palette = ON_PAPER
) -> None:
    """Writes the batten under a title as .png or .svg, by the path's ending."""
    layout = BattenLayout(batten, wide_px - 2 * MARGIN)
    save_titled(
        path,
        lambda axes: draw_overrun(axes, batten, palette),
        title=title,
        says=batten.sentence,
        wide_px=wide_px,
        body_px=layout.above + layout.below,
        palette=palette,
    )
