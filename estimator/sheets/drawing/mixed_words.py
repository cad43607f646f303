"""Draws words in more than one hand on a line."""

from __future__ import annotations

from matplotlib.axes import Axes

from estimator.sheets.drawing.style import Palette, write
from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.mixed_words import SPACE, Line


def write_line(
    axes: Axes, at: tuple[float, float], line: Line, size_px: float, unit_px: float, palette: Palette
) -> None:
    """Writes a line from a place on; unit_px: how many pixels the axes' unit across has."""
    x, y = at
    for run in line:
        colour = palette.oxide if run.accent else palette.ink
        write(
            axes, (x, y), run.words, size_px, colour=colour, slanted=run.slanted, bold=run.bold, across="left"
        )
        x += (width_px(run.words, size_px, slanted=run.slanted, bold=run.bold) + SPACE * size_px) / unit_px
