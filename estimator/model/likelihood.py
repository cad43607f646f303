"""The log density of the model's parameters given a log and rules of thumb, with its gradient.

A row of hours y of board j at time t (years, <= 0) has

    log y = log-median + drift t + loading u_j + noise,   u_j ~ N(0, 1),   noise ~ N(0, v + rounding)

with u_j, the board's pace, shared by all its rows and integrated out exactly. Parameters are standard normals
where they can be (no funnels): log rate = centre + lean + scale sd z where a restorer's own rule speaks; the
lean of all his rules is N(0, .2), the log of their scale N(log 1.5, .4). Lent rules lean another way of their own,
N(0, .25), for a shop may be quicker or slower at everything than shops in general. Every quarter has a level, partly
like the one before it, that adds to all hours by how far it lies off the last one's: rates are those of now.
Every array has one column for each draw.

Stages in hand say that each takes at least as long as it has so far. Given the board's finished stages its pace is
u ~ N(mu, V). A stage in hand with median m, drift g t, loading l and noise s that has had c hours so far contributes
the chance of outlasting them; several of one board share u:

    log E_u prod Phi((log m + g t + l u - log c) / s)

taken by 15-point Gauss-Hermite quadrature. Slow boards are the ones in hand, so leaving this out runs low.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from scipy.special import log_ndtr

from estimator.model.matrices import RowTable, StagesInHand
from estimator.model.priors import Terms
from estimator.model.saved_fit import Array
from estimator.model.stage_sums import Numbers, SumSlopes, slopes, sums, together

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
    middle = s.log_median + s.drift * hand.years[:, None] + hand.from_quarter @ n.level
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


LOADING, LOADING_SD, LOADING_BY_STAGE = math.log(0.17), 0.5, 0.4
NOISE, NOISE_SD, NOISE_BY_STAGE = math.log(0.28), 0.4, 0.4
DRIFT_SD, DRIFT_BY_STAGE = 0.15, 0.05
DRIFT_TOLD = 1.0  # years of log at which drift is believed by half: a short one tells a level, not a trend
LEAN_SD, LENT_LEAN_SD = 0.2, 0.25
SCALE, SCALE_SD = math.log(1.5), 0.4
MOVES, MOVES_SD = math.log(0.05), 0.8
LIKE_BEFORE = 0.8  # correlation of a quarter's level with the one before
LARGEST_EFFECT = 3.0  # log of the largest log factor that the search may try


class Density:
    """The log density of one workshop's parameters.

    The vector holds, in order: a standard normal per rate; per condition the log of its effect (standardised
    where no rule speaks); per stage loading, noise, drift; the shop's own of these, lean, scale, lean of lent rules,
    and by how much levels move; then a standard normal per quarter.
    """

    def __init__(self, table: RowTable, terms: Terms) -> None:
        self.table, self.terms = table, terms
        n_stages, n_quarters = len(table.layout.stages), table.to_quarter.shape[0]
        sizes = [
            len(table.layout.parts),
            len(table.layout.conditions),
            n_stages,
            n_stages,
            n_stages,
            7,
            n_quarters,
        ]
        ends = np.cumsum([0, *sizes]).tolist()
        self.rate, self.condition, self.loading, self.noise, self.drift, self.shared, self.quarter = (
            slice(a, b) for a, b in pairwise(ends)
        )
        self.size: int = ends[-1]
        self.moves: int = self.shared.stop - 1  # the place of how much levels move
        self.centre = np.nan_to_num(terms.rate_centre, nan=0.0)[:, None]
        self.rate_sd, self.rate_own = terms.rate_sd[:, None], terms.rate_own[:, None]
        self.rate_lent = terms.rate_lent[:, None]
        self.ruled = terms.condition_ruled[:, None] > 0
        self.effect_centre, self.effect_sd = terms.condition_centre[:, None], terms.condition_sd[:, None]
        self.effect_own, self.sign = terms.condition_own[:, None], terms.condition_sign[:, None]
        self.log_hours, self.rounding = table.log_hours[:, None], table.rounding[:, None]
        self.years = table.years[:, None]
        span = float(-table.years.min(initial=0.0))
        self.drift_sd = DRIFT_SD * span / (span + DRIFT_TOLD)
        root = _likeness(n_quarters)
        self.last = root[n_quarters - 1 :]  # nothing where there are no quarters
        self.likeness = root - self.last.sum(axis=0)
        effects = terms.others.of_effects
        self.hours_told = 1.0 - (np.diff(effects.indptr) > 0)[:, None]  # a factor does not lean with hours

    def start(self) -> Array:
        """Where the search begins, shape (size,): every rule right, every stage usual."""
        x = np.zeros(self.size)
        ruled = self.ruled[:, 0]
        x[self.condition][ruled] = np.log(np.maximum(self.effect_centre[ruled, 0], 0.05))
        return x

    def numbers(self, x: Array) -> Numbers:
        """The parameters in their own units; x: (size, n)."""
        loading, noise, drift, lean, scale, lent_lean, moves = x[self.shared]
        lean, scale = LEAN_SD * lean, np.exp(SCALE + SCALE_SD * scale)
        lent_lean, moves = LENT_LEAN_SD * lent_lean, np.exp(MOVES + MOVES_SD * moves)
        log_size = np.where(
            self.ruled, x[self.condition], self.effect_centre + self.effect_sd * x[self.condition]
        )
        return Numbers(
            log_rate=self.centre
            + self.rate_own * lean
            + self.rate_lent * lent_lean
            + self._times(self.rate_own, scale) * self.rate_sd * x[self.rate],
            effect=self.sign * np.exp(np.minimum(log_size, LARGEST_EFFECT)),
            loading=np.exp(LOADING + LOADING_SD * loading + LOADING_BY_STAGE * x[self.loading]),
            noise=np.exp(NOISE + NOISE_SD * noise + NOISE_BY_STAGE * x[self.noise]),
            drift=self.drift_sd * drift + DRIFT_BY_STAGE * x[self.drift],
            lean=lean,
            scale=scale,
            lent_lean=lent_lean,
            level=moves * (self.likeness @ x[self.quarter]),
            moves=moves,
        )

    def level_to_come(self, x: Array, rng: np.random.Generator) -> Array:
        """Draws of how far the weeks after the log lie off its last quarter, (n,); nothing where it has no days."""
        moves = self.numbers(x).moves
        if not len(self.last):
            return np.zeros_like(moves)
        fresh = math.sqrt(1 - LIKE_BEFORE**2) * rng.standard_normal(moves.shape)
        return np.asarray(moves * (fresh - (1 - LIKE_BEFORE) * (self.last @ x[self.quarter])[0]))

    def value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """The log density up to a constant, shape (n,), and its gradient, shape (size, n); x: (size, n).

        Where a draw has gone so far astray that the density cannot be computed, both are NaN.
        """
        with np.errstate(all="ignore"):
            return self._value_and_gradient(x)

    def _value_and_gradient(self, x: Array) -> tuple[Array, Array]:
        """The same, with NumPy's warnings as they are."""
        n = self.numbers(x)
        value, slope, by_level = self._rows(n)
        by_lean, by_log_scale, by_lent = np.zeros_like(n.lean), np.zeros_like(n.scale), np.zeros_like(n.lean)
        if len(self.terms.others.centre):
            more, slope, by_lean, by_log_scale, by_lent = self._others(n, slope)
            value = value + more
        # parameters are standard normals beforehand (METHODS M4, M5), so each pulls back by itself;
        # conditions on which a rule speaks have that rule as their prior instead, in _conditions
        gradient = -x
        value = (
            value
            - 0.5 * (x**2).sum(axis=0)
            + 0.5 * np.where(self.ruled, x[self.condition] ** 2, 0.0).sum(axis=0)
        )
        # log rate = centre + own (lean + scale sd z) + lent lean: the chain rule, for z here and for what is
        # shared below
        gradient[self.rate] += slope.log_rate * self._times(self.rate_own, n.scale) * self.rate_sd
        by_lean = by_lean + (slope.log_rate * self.rate_own).sum(axis=0)
        by_log_scale = by_log_scale + (
            slope.log_rate * self.rate_own * n.scale * self.rate_sd * x[self.rate]
        ).sum(axis=0)
        more, by_size, lean_too, scale_too = self._conditions(n)
        value = value + more
        # effects are sizes with a sign; their parameter is the log of the size, or a normal about a centre
        # without a rule
        by_log_size = (slope.effect * self.sign + by_size) * np.abs(n.effect)
        gradient[self.condition] = np.where(
            self.ruled, by_log_size + 1.0, gradient[self.condition] + self.effect_sd * by_log_size
        )
        # loadings, noise and drift: a mean that is shared, and a deviation of the stage
        gradient[self.loading] += LOADING_BY_STAGE * slope.log_loading
        gradient[self.noise] += NOISE_BY_STAGE * slope.log_noise
        gradient[self.drift] += DRIFT_BY_STAGE * slope.drift
        gradient[self.shared] += np.array(
            [
                LOADING_SD * slope.log_loading.sum(axis=0),
                NOISE_SD * slope.log_noise.sum(axis=0),
                self.drift_sd * slope.drift.sum(axis=0),
                LEAN_SD * (by_lean + lean_too),
                SCALE_SD * (by_log_scale + scale_too),
                LENT_LEAN_SD * (by_lent + (slope.log_rate * self.rate_lent).sum(axis=0)),
                MOVES_SD * (by_level * n.level).sum(axis=0),
            ]
        )
        gradient[self.quarter] += n.moves * (self.likeness.T @ by_level)
        return value, gradient

    @staticmethod
    def _times(own: Array, scale: Array) -> Array:
        """How many times wider a rule is than it says: the shared scale for own rules, 1 for others."""
        return np.where(own != 0, scale, 1.0)

    def _rows(self, n: Numbers) -> tuple[Array, SumSlopes, Array]:
        """The likelihood of all rows, each board's pace integrated out (Sherman-Morrison); gradients, and by level."""
        table = self.table
        s = sums(table.cells, n)
        # log hours of a row ~ N(log median + drift t + level of its quarter + loading u, variance), the
        # variance with that of the step in which hours are written (METHODS M5, M6)
        variance = s.variance + self.rounding
        residual = self.log_hours - s.log_median
        residual -= s.drift * self.years
        residual -= table.from_quarter @ n.level
        # u ~ N(0, 1) is integrated out board by board: its covariance is diagonal plus one outer product, so
        # by the Sherman-Morrison formula the precision of u is 1 + sum l^2/v, its mean sum l r/v over that,
        # and the density that of the residuals less l u, with log precision as determinant
        pull = s.loading / variance
        precision = 1 + table.to_board @ (s.loading * pull)
        pace = table.to_board @ (pull * residual) / precision
        row_pace = np.take(pace, table.board, axis=0)
        left = (residual - s.loading * row_pace) / variance
        value = -0.5 * (
            np.log(variance).sum(axis=0)
            + np.log(precision).sum(axis=0)
            + np.einsum("ij,ij->j", residual, left)
        )
        # derivatives of that density by each row's variance and loading, in terms of the same mean and
        # precision
        shared = pull / np.take(precision, table.board, axis=0)
        by_variance = 0.5 * (pull * shared + left**2 - 1 / variance)
        by_loading = left * row_pace - shared
        if table.in_hand is None:
            return value, slopes(
                table.cells, n, s,
                by_median=left, by_variance=by_variance, by_loading=by_loading, by_drift=left * self.years,
            ), table.to_quarter @ left  # fmt: skip
        # a stage in hand has outlasted its hours so far, given the pace that the board's finished stages
        # tell: its chance hangs on mean and variance of u, so on every row of the board; by_pace and
        # by_spread carry that back
        last = outlasting(table.in_hand, n, pace[table.in_hand.boards], 1 / precision[table.in_hand.boards])
        by_pace, by_spread = np.zeros_like(pace), np.zeros_like(pace)
        by_pace[table.in_hand.boards], by_spread[table.in_hand.boards] = last.by_pace, last.by_spread
        by_pace, by_spread = (by_pace / precision)[table.board], (by_spread / precision**2)[table.board]
        left = left - by_pace * pull
        by_variance += pull * (by_spread * pull - by_pace * (residual / variance - pull * row_pace))
        by_loading += by_pace * (residual / variance - 2 * pull * row_pace) - 2 * by_spread * pull
        finished = slopes(
            table.cells, n, s,
            by_median=left, by_variance=by_variance, by_loading=by_loading, by_drift=left * self.years,
        )  # fmt: skip
        return value + last.value, together(finished, last.slope), table.to_quarter @ left + last.by_level

    def _conditions(self, n: Numbers) -> tuple[Array, Array, Array, Array]:
        """Rules on factors, each a normal kept positive: value, gradient by size, by lean, by log scale.

        The log of the size is the parameter, hence its Jacobian in the value.
        """
        size = np.abs(n.effect)
        sd = self._times(self.effect_own, n.scale) * self.effect_sd
        centre = self.effect_centre + self.effect_own * n.lean
        # a normal kept positive: its density over the chance of being positive, whose derivative is the
        # hazard
        off, kept = (size - centre) / sd, centre / sd
        log_kept = log_ndtr(kept)
        hazard = np.exp(-0.5 * kept**2 - log_kept) / math.sqrt(2 * math.pi)
        value = np.where(self.ruled, np.log(size) - 0.5 * off**2 - np.log(sd) - log_kept, 0.0).sum(axis=0)
        by_centre = np.where(self.ruled, (off - hazard) / sd, 0.0)
        by_log_sd = np.where(self.ruled & (self.effect_own != 0), off**2 - 1 + hazard * kept, 0.0)
        return (
            value,
            np.where(self.ruled, -off / sd, 0.0),
            (by_centre * self.effect_own).sum(axis=0),
            by_log_sd.sum(axis=0),
        )

    def _others(self, n: Numbers, slope: SumSlopes) -> tuple[Array, SumSlopes, Array, Array, Array]:
        """Rules on stages and boards, and second rules: value, all gradients, by lean, by log scale, by lent lean."""
        o = self.terms.others
        s = sums(self.terms.typical, n)
        typical = o.of_rows @ s.log_median
        if o.of_rates.nnz or o.of_effects.nnz:
            typical += o.of_rates @ n.log_rate + o.of_effects @ n.effect
        own = o.own[:, None]
        sd = o.omega[:, None] * self._times(own, n.scale)
        lent = (1 - own) * self.hours_told
        off = (o.centre[:, None] + own * n.lean + lent * n.lent_lean - typical) / sd
        by_typical = off / sd
        to_rows, to_rates, to_effects = o.back
        more = slopes(self.terms.typical, n, s, by_median=to_rows @ by_typical)
        if to_rates.nnz or to_effects.nnz:
            rates, effects = to_rates @ by_typical, to_effects @ by_typical
            more = replace(more, log_rate=more.log_rate + rates, effect=more.effect + effects)
        value = -(0.5 * off**2 + np.log(sd)).sum(axis=0)
        return (
            value,
            together(slope, more),
            -(own * by_typical).sum(axis=0),
            (own * (off**2 - 1)).sum(axis=0),
            -(lent * by_typical).sum(axis=0),
        )


def _likeness(n_quarters: int) -> Array:
    """The root of the correlations of quarters, (n_quarters, n_quarters): each is partly like the one before.

    Times standard normals it gives z[0], r z[q-1] + sqrt(1 - r^2) e[q]: an autoregression of order one.
    """
    apart = np.arange(n_quarters)[:, None] - np.arange(n_quarters)
    fresh = np.where(np.arange(n_quarters) == 0, 1.0, math.sqrt(1 - LIKE_BEFORE**2))
    root: Array = np.where(apart >= 0, LIKE_BEFORE ** np.maximum(apart, 0), 0.0) * fresh
    return root
