"""Where the density of the parameters is highest, how it curves there, and draws from that normal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from estimator.model.likelihood import Density
from estimator.model.matrices import Array
from estimator.words.errors import NoAnswerError

STEP = 1e-4  # of a standard normal parameter, for differences of the gradient
FLATTEST = 0.05  # least curvature kept; a prior alone gives 1
CLOSE = 1e-6  # a Newton step below this changes nothing that is shown


@dataclass(frozen=True)
class Posterior:
    """A normal approximation of what is known of the parameters.

    mode: shape (size,); root: shape (size, size), its square is the covariance
    """

    mode: Array
    root: Array
    value: float

    def draws(self, n: int, rng: np.random.Generator) -> Array:
        """n draws of the parameters in antithetic pairs, shape (n, size)."""
        half = rng.standard_normal(((n + 1) // 2, len(self.mode)))
        both = np.concatenate([half, -half])[:n]
        return np.asarray(self.mode + both @ self.root.T)


def normal_posterior(density: Density) -> Posterior:
    """The mode and the curvature there.

    Raises NoAnswerError where no highest point is found; the message says how far the search came.
    """

    def down(x: Array) -> tuple[float, Array]:
        value, gradient = density.value_and_gradient(x)
        return -value, -gradient

    found = minimize(
        down, density.start(), jac=True, method="L-BFGS-B", options={"maxiter": 2000, "maxcor": 20}
    )
    mode = np.asarray(found.x)
    for _ in range(3):
        value, gradient = density.value_and_gradient(mode)
        curvature = _curvature(density, mode)
        lowered, axes = np.linalg.eigh(curvature)
        lowered = np.maximum(lowered, FLATTEST)
        step = axes @ ((axes.T @ gradient) / lowered)
        better = mode + step
        moved = density.value_and_gradient(better)[0]
        if moved > value:
            mode, value = better, moved
        if np.abs(step).max() < CLOSE or moved <= value + 1e-9:
            break
    if not np.isfinite(value):
        raise NoAnswerError(
            f"no fit: the search for the likeliest rates ended after {found.nit} steps without a finite answer.",
            "Run `estimator check` and mend what it lists; then look for hours far out of line.",
        )
    return Posterior(mode, axes / np.sqrt(lowered), float(value))


def _curvature(density: Density, x: Array) -> Array:
    """Minus the second derivatives, by central differences of the gradient; shape (size, size)."""
    rows = np.empty((len(x), len(x)))
    for i in range(len(x)):
        forward, back = x.copy(), x.copy()
        forward[i] += STEP
        back[i] -= STEP
        rows[i] = (density.value_and_gradient(back)[1] - density.value_and_gradient(forward)[1]) / (2 * STEP)
    return np.asarray((rows + rows.T) / 2)
