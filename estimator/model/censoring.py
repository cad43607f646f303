"""What stages in hand say: each takes at least as long as it has so far.

Given the board's finished stages its pace is u ~ N(mu, V). A stage in hand with median m, drift g t, loading l and
noise s that has had c hours so far contributes the chance of outlasting them; several of one board share u:

    log E_u prod Phi((log m + g t + l u - log c) / s)

taken by 15-point Gauss-Hermite quadrature. Slow boards are the ones in hand, so leaving this out runs low.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from estimator.model.matrices import StagesInHand
from estimator.model.saved_fit import Array
from estimator.model.stage_sums import Numbers, SumSlopes, slopes, sums

NODES, WEIGHTS = np.polynomial.hermite.hermgauss(15)
LOG_WEIGHTS = np.log(WEIGHTS / np.sqrt(np.pi))


@dataclass(frozen=True)
class Outlasting:
    """The log chance that all stages in hand outlast their hours so far, and its gradients.

    value: (n,); slope: by the model's numbers through the stages in hand
    by_pace, by_spread: (n_boards_in_hand, n), by the mean and the variance of each board's pace
    by_level: (n_quarters, n), by what each quarter adds
    """

    value: Array
    slope: SumSlopes
    by_pace: Array
    by_spread: Array
    by_level: Array


def outlasting(hand: StagesInHand, n: Numbers, pace: Array, spread: Array) -> Outlasting:
    """Of stages in hand, given the mean and variance of their boards' paces, shape (n_boards_in_hand, n) each."""
    s = sums(hand.cells, n)
    root = np.sqrt(2 * spread)
    nodes = NODES[:, None, None]
    u = (pace + nodes * root)[:, hand.board]  # (15, n_open, n)
    sd = np.sqrt(s.variance)
    middle = s.log_median + s.drift * hand.years[:, None] + hand.to_quarter.T @ n.level
    z = (middle + s.loading * u - hand.log_hours[:, None]) / sd
    log_chance = log_ndtr(z)
    together = _by_board(hand, log_chance) + LOG_WEIGHTS[:, None, None]
    top = together.max(axis=0)
    share = np.exp(together - top)
    whole = share.sum(axis=0)
    share /= whole  # posterior weight of each node, (15, n_boards_in_hand, n)
    by_z = share[:, hand.board] * np.exp(-0.5 * z**2 - log_chance) / np.sqrt(2 * np.pi)
    by_middle = by_z / sd
    by_median = by_middle.sum(axis=0)
    by_u = _by_board(hand, by_middle * s.loading)
    return Outlasting(
        value=(top + np.log(whole)).sum(axis=0),
        slope=slopes(
            hand.cells,
            n,
            s,
            by_median=by_median,
            by_variance=-(by_z * z).sum(axis=0) / (2 * s.variance),
            by_loading=(by_middle * u).sum(axis=0),
            by_drift=by_median * hand.years[:, None],
        ),
        by_pace=by_u.sum(axis=0),
        by_spread=(by_u * nodes).sum(axis=0) / root,
        by_level=hand.to_quarter @ by_median,
    )


def _by_board(hand: StagesInHand, of_stages: Array) -> Array:
    """Sums over the stages of each board, at every node: (15, n_open, n) to (15, n_boards_in_hand, n)."""
    nodes, n_open, n = of_stages.shape
    side_by_side = of_stages.transpose(1, 0, 2).reshape(n_open, nodes * n)
    summed = (hand.to_board @ side_by_side).reshape(-1, nodes, n)
    return np.ascontiguousarray(summed.transpose(1, 0, 2))
