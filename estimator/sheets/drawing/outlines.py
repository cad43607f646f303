"""Small outlines of boards standing on a tape, or fallen over: their shape, their rows, their hatch."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray

from estimator.sheets.drawing.style import BROKEN, Palette
from estimator.sheets.layouts.letters import points
from estimator.sheets.layouts.standing import HATCH, RAIL_SHAPE, SLIM
from estimator.sheets.layouts.tape import FIRM, THIN

SEEN_BROKEN = 20.0  # pixels: an outline that is lower shows no broken line
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
    broken = pencil and high >= SEEN_BROKEN
    line = [(at, foot), (at, foot + high)]
    patch = _inked(axes, outline(at, foot, wide, high), line, pencil, palette, broken=broken)
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
    return draw_leaning(
        axes, at, floor, high, 90.0 * way, hatched=way == 1, pencil=False, palette=palette, each=each
    )


def draw_leaning(
    axes: Axes,
    at: float,
    floor: float,
    high: float,
    turn: float,
    *,
    hatched: bool,
    pencil: bool,
    palette: Palette,
    each: float = 1.0,
) -> PathPatch:
    """Draws a board that leans from upright to one side, and touches the floor; upwards the axes count in pixels.

    turn: degrees from upright, above 0 to the right, from -90 to 90; at, floor, high, each: as for one that lies
    """
    wide, angle = high / SLIM, np.radians(turn)
    turned = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    standing = outline(0.0, 0.0, wide, high)
    lowest = (np.asarray(standing.vertices) @ turned)[:, 1].min()

    def placed(spots: Sequence[tuple[float, float]] | NDArray[np.float64]) -> NDArray[np.float64]:
        across, up = (np.asarray(spots, dtype=float) @ turned).T
        return np.column_stack([at + across * each, floor + up - lowest])

    leaning = Path(placed(np.asarray(standing.vertices, dtype=float)), standing.codes)
    stringer = [(float(x), float(y)) for x, y in placed([(0.0, 0.0), (0.0, high)])]
    patch = _inked(axes, leaning, stringer, pencil, palette)
    if hatched:
        ends = [placed([(-wide / 2, r), (wide / 2, r + wide)]) for r in np.arange(-wide, high, HATCH)]
        lines = [((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))) for a, b in ends]
        hatch(axes, lines, leaning, palette.ink)
    return patch


def _inked(
    axes: Axes,
    closed: Path,
    stringer: Sequence[tuple[float, float]],
    pencil: bool,
    palette: Palette,
    *,
    broken: bool = False,
) -> PathPatch:
    """An outline and the line down its middle, in ink or pencil."""
    colour = palette.pencil if pencil else palette.ink
    patch = PathPatch(
        closed,
        facecolor=palette.paper,
        edgecolor=colour,
        linewidth=points(THIN if pencil else FIRM),
        linestyle=BROKEN if broken else "solid",
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
