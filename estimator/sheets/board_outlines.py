"""Small outlines of boards standing upright on a tape: their shape, their rows, their hatch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from estimator.sheets.style import BROKEN, FIRM, THIN, Palette, points

SLIM = 5.6  # a board is so many times as high as it is wide
TALLEST, GOOD, GAP = 140.0, 44.0, 4.0  # pixels: never higher; high enough to stay in fewer rows; between rows
SIDE_GAP = 1.5  # pixels between outlines that stand side by side
HATCH = 5.0  # pixels from one hatch line up to the next
SHAPE = np.array(  # right rail from foot to nose: cubic curves; width 1, height 1
    [(0.0, 0.0), (0.17, 0.0), (0.36, 0.1), (0.5, 0.27), (0.5, 0.5), (0.5, 0.74), (0.24, 1.0), (0.0, 1.0)]
)
CODES = (Path.MOVETO, Path.LINETO, *[Path.CURVE4] * 6)


@dataclass(frozen=True, slots=True)
class Standing:
    """How the outlines of one drawing stand: their size in pixels, and the row of each, 0 on the tape."""

    high: float
    wide: float
    rows: tuple[int, ...]

    @property
    def top(self) -> float:
        """How high above the tape the highest nose is, in pixels."""
        return max(self.rows) * (self.high + GAP) + self.high

    def foot(self, i: int) -> float:
        """How far above the tape the foot of board `i` is, in pixels."""
        return self.rows[i] * (self.high + GAP)


def stand(at_px: Sequence[float], zone_px: float) -> Standing:
    """The largest outlines that fit the height without one lying on another, in as few rows as look well.

    at_px: places along the tape, rising; zone_px: the height there is, > 0

    >>> stand([0, 40, 80], 100).rows, stand([0, 4, 80], 100).rows
    ((0, 0, 0), (0, 1, 0))
    """
    for count in range(1, len(at_px) + 1):
        most = min(TALLEST, (zone_px - (count - 1) * GAP) / count)
        least = min(GOOD, most) if count < len(at_px) else 0.0
        for high in np.arange(most, least - 1e-9, -2.0):
            rows = _rows(at_px, high / SLIM)
            if max(rows) < count:
                return Standing(float(high), float(high / SLIM), rows)
    high = max(zone_px / len(at_px) - GAP, 1.0)
    return Standing(high, high / SLIM, tuple(range(len(at_px))))


def _rows(at_px: Sequence[float], wide: float) -> tuple[int, ...]:
    """For each outline the lowest row in which it stands clear of those before it."""
    ends: list[float] = []  # the last place taken in each row
    rows = []
    for at in at_px:
        row = next((r for r, end in enumerate(ends) if at - end >= wide + SIDE_GAP), len(ends))
        ends[row : row + 1] = [at]
        rows.append(row)
    return tuple(rows)


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
    colour = palette.pencil if pencil else palette.ink
    line = points(THIN if pencil else FIRM)
    dashes = BROKEN if pencil else "solid"
    patch = PathPatch(
        outline(at, foot, wide, high),
        facecolor=palette.paper,
        edgecolor=colour,
        linewidth=line,
        linestyle=dashes,
        capstyle="butt",
        joinstyle="round",
        zorder=3,
    )
    axes.add_patch(patch)
    axes.plot([at, at], [foot, foot + high], color=colour, linewidth=points(0.6), zorder=3.1)
    if hatched:
        across = high / SLIM  # pixels: hatch lines slope at 45 degrees
        rises = np.arange(foot - across, foot + high, HATCH)
        lines = [((at - wide / 2, rise), (at + wide / 2, rise + across)) for rise in rises]
        hatch = LineCollection(lines, colors=colour, linewidths=points(0.9), zorder=3.05)
        axes.add_collection(hatch, autolim=False)
        hatch.set_clip_path(outline(at, foot, wide, high, hatched), axes.transData)
    return patch
