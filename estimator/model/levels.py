"""The levels of quarters, and by how much they move: laid out anew where searching or drawing needs it.

By how much levels move is one number over many, and a point at which all are likeliest together says little of it:
a large one is had for nothing where the levels' own normals are small. Two cures, each for its own use.

Sources: D. J. C. MacKay (1999), Neural Computation 11:1035-1068, for the determinant that a search needs;
O. Papaspiliopoulos, G. Roberts & M. Skoeld (2007), Statistical Science 22:59-73, for coordinates between the two usual
ones.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np

from estimator.model.likelihood import MOVES, MOVES_SD, Density
from estimator.model.posterior import CLOSE, Corrected, Posterior, chains, normal_posterior, posterior_near
from estimator.model.saved_fit import Array
from estimator.model.stage_sums import sums

HALF = 0.5  # between normals of their own (0) and levels in hours (1)


class LevelsOut:
    """A density for the search, in which how much levels move is as likely as with the levels integrated out.

    Given all else the levels are nearly normal, so integrating them out divides by the root of the determinant of
    what is known of them, 1 + moves² what the log tells; that is taken off here. What the log tells is worked out once,
    where the search begins.
    """

    def __init__(self, density: Density) -> None:
        self.density, self.table = density, density.table

    @cached_property
    def told(self) -> Array:
        """What the log tells of the levels along their own axes, each for moves of 1, (n_quarters, 1), none below 0."""
        density, table = self.density, self.table
        numbers = density.numbers(density.start()[:, None])
        rows = sums(table.cells, numbers)
        precision = 1 / (rows.variance[:, 0] + table.rounding)
        of_quarter = table.to_quarter.toarray().T
        loaded = precision * rows.loading[:, 0]
        # rows of a board share its pace (Sherman-Morrison, as in the likelihood), and all rows their rates: what
        # quarters have in common is told of those
        by_board = table.to_board @ (loaded[:, None] * of_quarter)
        pace = 1 + table.to_board @ (loaded * rows.loading[:, 0])
        told = of_quarter.T @ (precision[:, None] * of_quarter) - by_board.T @ (by_board / pace[:, None])
        common = told.sum(axis=0)
        told -= np.outer(common, common) / max(common.sum(), 1e-300)
        likeness = density.likeness
        return np.maximum(np.linalg.eigvalsh(likeness.T @ told @ likeness), 0.0)[:, None]

    def start(self) -> Array:
        """Where the search begins, (size,)."""
        return self.density.start()

    def value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """Values (n,) and gradients (size, n) at x (size, n)."""
        value, gradient = self.density.value_and_gradient(x)
        moves = self.density.moves
        with np.errstate(over="ignore", invalid="ignore"):
            told = np.exp(2 * (MOVES + MOVES_SD * x[moves])) * self.told
            gradient[moves] -= MOVES_SD * (told / (1 + told)).sum(axis=0)
        return value - 0.5 * np.log1p(told).sum(axis=0), gradient


class HalfCentred:
    """A density for chains, with levels laid out halfway between normals of their own and levels in hours.

    The normals of the quarters are z = y exp(-HALF MOVES_SD m), with m the normal of how much levels move. Chains that
    move y need not shrink every level while m grows, nor m while levels shrink.
    """

    def __init__(self, density: Density) -> None:
        self.density = density

    def there(self, x: Array) -> Array:
        """Parameters (size, n) in these coordinates."""
        y = x.copy()
        y[self.density.quarter] *= np.exp(HALF * MOVES_SD * x[self.density.moves])
        return y

    def back(self, y: Array) -> Array:
        """The same in the density's own."""
        x = y.copy()
        x[self.density.quarter] *= np.exp(-HALF * MOVES_SD * y[self.density.moves])
        return x

    def near(self, posterior: Posterior) -> Posterior:
        """A normal approximation, as it lies in these coordinates about its mode."""
        quarter, moves = self.density.quarter, self.density.moves
        mode = self.there(posterior.mode[:, None])[:, 0]
        turned = posterior.root.copy()
        turned[quarter] *= np.exp(HALF * MOVES_SD * posterior.mode[moves])
        turned[quarter] += HALF * MOVES_SD * mode[quarter][:, None] * posterior.root[moves]
        return replace(posterior, mode=mode, root=turned)

    def value_and_gradient(self, y: Array) -> tuple[Array, Array]:
        """Values (n,) and gradients (size, n) at y (size, n)."""
        quarter, moves = self.density.quarter, self.density.moves
        by = HALF * MOVES_SD
        with np.errstate(over="ignore", invalid="ignore"):
            x = self.back(y)
            value, gradient = self.density.value_and_gradient(x)
            n = quarter.stop - quarter.start
            gradient[moves] -= by * ((gradient[quarter] * x[quarter]).sum(axis=0) + n)
            gradient[quarter] *= np.exp(-by * y[moves])
        return value - n * by * y[moves], gradient


def likeliest(density: Density, close: float = CLOSE) -> Posterior:
    """The normal approximation of a density, with levels moving as much as is likeliest once they are integrated out.

    close: a gain of log density that is not worth another step

    Raises NoAnswerError where no highest point is found.
    """
    return normal_posterior(LevelsOut(density), close)


def likeliest_near(density: Density, centre: Array, root: Array, close: float = CLOSE) -> Posterior:
    """The same, begun from that of a density much like it: its mode (size,), and a root (size, size)."""
    return posterior_near(LevelsOut(density), centre, root, close)


def drawn(
    density: Density,
    posterior: Posterior,
    n: int,
    rng: np.random.Generator,
    *,
    patience: int = 0,
    judged: slice = slice(None),
) -> Corrected:
    """Draws of a density's parameters by chains, begun from its normal approximation; see `chains`."""
    half = HalfCentred(density)
    made = chains(half, half.near(posterior), n, rng, patience=patience, judged=judged)
    return replace(made, draws=half.back(made.draws))
