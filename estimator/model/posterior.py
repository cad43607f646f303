"""Where the density of the parameters is highest, how it curves there, and draws from that normal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.optimize import minimize

from estimator.model.matrices import RowTable
from estimator.model.saved_fit import Array
from estimator.words.actions import Action
from estimator.words.errors import NoAnswerError

MOST_AT_ONCE = 200_000  # rows times draws evaluated together; keeps memory in bounds
STEP = 1e-4  # of a standard normal parameter, for differences of the gradient
FLATTEST = 0.05  # least curvature kept; a prior alone gives 1
NEWTON_STEPS = 8  # at most, after the search
CLOSE = 1e-6  # of the log density; a gain below this changes nothing that is shown


class Searchable(Protocol):
    """A log density with its gradient, where to begin, and the rows it is of."""

    table: RowTable

    def start(self) -> Array:
        """Where the search begins, (size,)."""

    def value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """Values (n,) and gradients (size, n) at x (size, n)."""


@dataclass(frozen=True)
class Posterior:
    """A normal approximation of what is known of the parameters.

    mode: shape (size,); root: shape (size, size), its square is the covariance
    """

    mode: Array
    root: Array
    value: float

    def draws(self, n: int, rng: np.random.Generator) -> Array:
        """Draws of the parameters in antithetic pairs, shape (size, n)."""
        half = rng.standard_normal(((n + 1) // 2, len(self.mode)))
        both = np.concatenate([half, -half])[:n]
        return np.asarray((self.mode + both @ self.root.T).T)


class Rounded:
    """A density in coordinates in which it is nearly round: those of a normal approximation that lies near.

    A search there ends after few steps.
    """

    def __init__(self, density: Searchable, centre: Array, root: Array) -> None:
        self.density, self.centre, self.root, self.table = density, centre[:, None], root, density.table

    def start(self) -> Array:
        """Where the search begins: the centre."""
        return np.zeros(len(self.centre))

    def value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """The log density and its gradient at x, (size, n)."""
        value, gradient = self.density.value_and_gradient(self.centre + self.root @ x)
        return value, self.root.T @ gradient


def posterior_near(density: Searchable, centre: Array, root: Array, close: float = CLOSE) -> Posterior:
    """The normal approximation of a density, begun from one of a density much like it.

    centre: (size,); root: (size, size), in the density's own coordinates; close: gain of log density that is let go

    Raises NoAnswerError as `normal_posterior`.
    """
    found = normal_posterior(Rounded(density, centre, root), close)
    return replace(found, mode=centre + root @ found.mode, root=root @ found.root)


def normal_posterior(density: Searchable, close: float = CLOSE) -> Posterior:
    """The mode and the curvature there; close: a gain of log density that is not worth another step.

    Raises NoAnswerError where no highest point is found; the message says how far the search came.
    """

    def down(x: Array) -> tuple[float, Array]:
        value, gradient = density.value_and_gradient(x[:, None])
        return -float(value[0]), -gradient[:, 0]

    found = minimize(
        down, density.start(), jac=True, method="L-BFGS-B", options={"maxiter": 2000, "maxcor": 20}
    )
    mode = np.asarray(found.x)
    for _ in range(NEWTON_STEPS):
        up, slope = density.value_and_gradient(mode[:, None])
        value, gradient, curvature = float(up[0]), slope[:, 0], _curvature(density, mode)
        if not (np.isfinite(value) and np.isfinite(curvature).all()):
            raise NoAnswerError(
                f"no fit: the search for the likeliest rates ended after {found.nit} steps without a finite answer.",
                "Mend all problems of the log; then look for hours far out of line.",
                action=Action("check"),
            )
        lowered, axes = np.linalg.eigh(curvature)
        lowered = np.maximum(lowered, FLATTEST)
        better = mode + axes @ ((axes.T @ gradient) / lowered)
        moved = float(density.value_and_gradient(better[:, None])[0][0])
        if not moved > value + close:
            break
        mode, value = better, moved
    return Posterior(mode, axes / np.sqrt(lowered), value)


def _curvature(density: Searchable, x: Array) -> Array:
    """Minus the second derivatives, by central differences of the gradient; shape (size, size)."""
    size, width = len(x), max(1, MOST_AT_ONCE // max(density.table.n_rows, 1))
    rows = np.empty((size, size))
    for first in range(0, size, width):
        moved = np.eye(size)[:, first : first + width] * STEP
        forward = density.value_and_gradient(x[:, None] + moved)[1]
        back = density.value_and_gradient(x[:, None] - moved)[1]
        rows[first : first + width] = ((back - forward) / (2 * STEP)).T
    return np.asarray((rows + rows.T) / 2)
