"""Where the density of the parameters is highest, how it curves there, and draws: from that normal, or by chains.

The chains are for where the normal approximation is not right: many short Hamiltonian ones side by side, begun from it.
Source: Neal (2011), Handbook of Markov Chain Monte Carlo, chapter 5.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.optimize import minimize

from estimator.model.matrices import RowTable
from estimator.model.saved_fit import SETTLED, Array
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


CHAINS = 32  # half as many cost nearly as much: arrays are wider, and calls as many
START = 0.3  # of a standard normal: near the mode, where no chain is lost
WARM_UP = 20  # moves before the coordinates are made round anew, and again after
MORE = 4  # warm-ups at most, while the chains have not met
MET = 1.07  # median R-hat below which they have
ACCEPTED = 0.8
FIRST_STEP = 0.25
KEPT_BYTES = 28_000_000  # a little below the largest block that C libraries keep (32 MiB)
LONGEST = 7  # leapfrog steps at most, while warming up
REACH = 3.0  # of a kept move, at most, in round coordinates; half a turn is 3.1
MOST_STEPS = 20  # of one kept move, however short a step has become


class HasDensity(Protocol):
    """Anything with a log density and gradient by columns."""

    def value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """Values (n,) and gradients (size, n) at x (size, n)."""


@dataclass(frozen=True)
class Corrected:
    """Draws of the parameters, (size, n), and the largest R-hat of those judged: spread over all to within chains."""

    draws: Array
    spread: float


def chains(
    density: HasDensity,
    posterior: Posterior,
    n: int,
    rng: np.random.Generator,
    *,
    patience: int = 0,
    judged: slice = slice(None),
) -> Corrected:
    """Draws of the parameters, n of them, from many short Hamiltonian chains, begun from the normal approximation.

    Halfway through their warm-up the coordinates are made round anew from where the chains have gone.

    patience: how often, where they have not met, they go on for twice as long, what they did before being forgotten
    judged: the parameters by which they have met: those that forecasts are made of, where it is known which
    """
    _keep_memory()
    size = len(posterior.mode)
    centre, root = posterior.mode[:, None], posterior.root
    z = START * rng.standard_normal((size, CHAINS))
    step, rounds, gone = FIRST_STEP, -(-n // CHAINS), [np.empty((size, 0))]
    with np.errstate(invalid="ignore", over="ignore"):  # a move gone astray is not accepted
        # warm-up: moves with a step that adapts to its acceptance, then the coordinates made round from where
        # the chains have gone, the first half of that forgotten; until chains have met, at most so often
        for warming in range(MORE):
            z, step, seen = _moves(density, centre, root, z, step, WARM_UP, rng, adapt=True)
            x = centre + root @ z
            gone = [*gone[warming // 2 :], *(centre + root @ past for past in seen[WARM_UP // 3 :])]
            met = np.median(_between(np.array(seen))) < MET
            centre, root = _rounded(posterior, np.concatenate(gone, axis=1))
            z = np.linalg.solve(root, x - centre).astype(np.float64)
            if warming and met:
                break
        # kept moves: in fixed coordinates and with a fixed step; where the chains have not met, twice as long
        # again, what was kept before being forgotten
        for more in range(patience + 1):
            z, _, seen = _moves(density, centre, root, z, step, rounds << more, rng, adapt=False)
            been = np.array([centre + root @ past for past in seen])
            spread = float(_between(been[:, judged]).max()) if len(seen) > 1 else np.nan
            if not spread > SETTLED:
                break
    draws = np.concatenate(list(been[:: len(seen) // rounds]), axis=1)
    return Corrected(draws[:, :n], spread)


def _rounded(posterior: Posterior, gone: Array) -> tuple[Array, Array]:
    """A centre and a root in whose coordinates the places where chains have gone are round.

    Their spread is drawn towards that of the normal approximation, more so the fewer places there are.
    """
    size, n = gone.shape
    z = np.linalg.solve(posterior.root, gone - posterior.mode[:, None])
    middle = z.mean(axis=1, keepdims=True)
    # a covariance of so many numbers from n places in a few chains is poor: shrunk towards the identity, in
    # whose coordinates the normal approximation is round
    few = size / (size + n / 4)
    spread = few * np.eye(size) + (1 - few) * np.cov(z)
    root: Array = posterior.root @ np.linalg.cholesky(spread).astype(np.float64)
    return posterior.mode[:, None] + posterior.root @ middle, root


def _keep_memory() -> None:
    """Has the C library keep freed memory for the next array: without it a move takes twice as long."""
    np.empty(KEPT_BYTES // 8)[:] = 0.0


def _moves(
    density: HasDensity,
    centre: Array,
    root: Array,
    z: Array,
    step: float,
    moves: int,
    rng: np.random.Generator,
    *,
    adapt: bool,
) -> tuple[Array, float, list[Array]]:
    """Where the chains stand after so many moves, the step's length, and where they have been."""
    state = (z, *_round(density, centre, root, z))
    seen = []
    for _ in range(moves):
        if adapt:
            steps = int(rng.integers(LONGEST // 2, LONGEST + 1))
        else:
            steps = min(max(round(REACH * rng.uniform(0.5, 1.0) / step), 1), MOST_STEPS)
        state, rate = _leap(density, centre, root, state, step, steps, rng)
        if adapt:
            step *= float(np.exp(0.5 * (rate - ACCEPTED)))
        seen.append(state[0])
    return state[0], step, seen


State = tuple[Array, Array, Array]


def _round(density: HasDensity, centre: Array, root: Array, z: Array) -> tuple[Array, Array]:
    """Value and gradient in round coordinates."""
    value, gradient = density.value_and_gradient(centre + root @ z)
    return value, root.T @ gradient


def _leap(
    density: HasDensity,
    centre: Array,
    root: Array,
    state: State,
    step: float,
    steps: int,
    rng: np.random.Generator,
) -> tuple[State, float]:
    """One Hamiltonian move of all chains, and the share accepted."""
    z, value, gradient = state
    speed = rng.standard_normal(z.shape)
    length = step * rng.uniform(0.8, 1.2)
    at, push, moving = z, gradient, speed
    # leapfrog (Neal 2011, section 5.2.3): half a push, a whole step, half a push
    for _ in range(steps):
        moving = moving + 0.5 * length * push
        at = at + length * moving
        up, push = _round(density, centre, root, at)
        moving = moving + 0.5 * length * push
    # accepted by the gain in density less the gain in energy of motion (Metropolis)
    gain = up - value - 0.5 * ((moving**2).sum(axis=0) - (speed**2).sum(axis=0))
    chance = np.exp(np.minimum(np.nan_to_num(gain, nan=-np.inf), 0.0))
    yes = rng.random(len(chance)) < chance
    moved = (np.where(yes, at, z), np.where(yes, up, value), np.where(yes, push, gradient))
    return moved, float(chance.mean())


def _between(kept: Array) -> Array:
    """R-hat of each parameter, (size,); kept: (rounds, size, chains)."""
    # Gelman & Rubin (1992): spread over all chains to spread within them
    rounds = len(kept)
    means, variances = kept.mean(axis=0), kept.var(axis=0, ddof=1)
    within = variances.mean(axis=1)
    whole = within * (rounds - 1) / rounds + means.var(axis=1, ddof=1)
    return np.asarray(np.sqrt(whole / within))
