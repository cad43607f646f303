"""Small outlines of boards standing on a tape, or fallen over: their shape, their rows, their hatch."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from estimator.sheets.drawing.style import BROKEN, Palette
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.standing import HATCH, RAIL_SHAPE, SLIM
from estimator.sheets.layouts.tape import FIRM, THIN

SHAPE = np.array(RAIL_SHAPE)
CODES = (Path.MOVETO, Path.LINETO, *[Path.CURVE4] * 6)


def outline(at: float, foot: float, wide: float, high: float, sides: tuple[int, ...] = (1, -1)) -> Path:
    """The closed outline of a board standing at a place; `sides` (1,) or (-1,): only its right or left half.

    >>> outline(50.0, 0.0, 2.0, 60.0).get_extents().get_points().tolist()
    [[49.0, 0.0], [51.0, 60.0]]
    """
    rail = SHAPE if 1 in sides else SHAPE * (-1, 1)
    corners, codes = rail, list(CODES)
    if len(sides) > 1:
        corners = np.vstack([rail, rail[-2::-1] * (-1, 1)])
        codes += [*[Path.CURVE4] * 6, Path.LINETO]
    closed = np.vstack([corners, corners[:1]]) * (wide, high) + (at, foot)
    return Path(closed, [*codes, Path.CLOSEPOLY])


def draw_board(
    axes: Axes,
    at: float,
    foot: float,
    size: tuple[float, float],
    *,
    pencil: bool,
    palette: Palette,
    hatched: tuple[int, ...] = (),
) -> PathPatch:
    """Draws one board with its stringer; `hatched`: which of its sides, 1 right and -1 left, are hatched.

    at, size[0]: in the tape's units; foot, size[1]: in pixels
    """
    wide, high = size
    patch = _inked(axes, outline(at, foot, wide, high), [(at, foot), (at, foot + high)], pencil, palette)
    if hatched:
        across = high / SLIM  # pixels: hatch lines slope at 45 degrees
        rises = np.arange(foot - across, foot + high, HATCH)
        lines = [((at - wide / 2, rise), (at + wide / 2, rise + across)) for rise in rises]
        hatch(axes, lines, outline(at, foot, wide, high, hatched), palette.pencil if pencil else palette.ink)
    return patch


def draw_lying(
    axes: Axes, at: float, floor: float, high: float, way: int, *, palette: Palette, each: float = 1.0
) -> PathPatch:
    """Draws a board in ink that fell over from where it stood; upwards the axes count in pixels.

    One that fell to the right is hatched, so that the two sides are told apart at a glance.

    at: where its foot is; floor: what it lies on; high: its length in pixels; way: 1 it lies to the right, -1 to the
    left; each: what the axes count across for one pixel
    """
    wide = high / SLIM
    standing = outline(0.0, 0.0, wide, high)
    across, up = np.asarray(standing.vertices, dtype=float).T
    fallen = Path(np.column_stack([at + way * up * each, floor + wide / 2 + across]), standing.codes)
    stringer = [(at, floor + wide / 2), (at + way * high * each, floor + wide / 2)]
    patch = _inked(axes, fallen, stringer, False, palette)
    if way == 1:
        starts = at + np.arange(-wide, high, HATCH) * each
        lines = [((x, floor), (x + wide * each, floor + wide)) for x in starts]
        hatch(axes, lines, fallen, palette.ink)
    return patch


def _inked(
    axes: Axes, closed: Path, stringer: Sequence[tuple[float, float]], pencil: bool, palette: Palette
) -> PathPatch:
    """An outline and the line down its middle, in ink or pencil."""
    colour = palette.pencil if pencil else palette.ink
    patch = PathPatch(
        closed,
        facecolor=palette.paper,
        edgecolor=colour,
        linewidth=points(THIN if pencil else FIRM),
        linestyle=BROKEN if pencil else "solid",
        capstyle="butt",
        joinstyle="round",
        zorder=3,
    )
    axes.add_patch(patch)
    across, up = zip(*stringer, strict=True)
    axes.plot(across, up, color=colour, linewidth=points(0.6), zorder=3.1)
    return patch


def hatch(
    axes: Axes, lines: Sequence[tuple[tuple[float, float], tuple[float, float]]], within: Path, colour: str
) -> None:
    """Lines, where they lie within an outline."""
    hatch = LineCollection(list(lines), colors=colour, linewidths=points(0.9), zorder=3.05)
    axes.add_collection(hatch, autolim=False)
    hatch.set_clip_path(within, axes.transData)
