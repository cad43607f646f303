"""A board that is thought over, by draw: its hours, its materials, and what opening it up would show."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from estimator.decide.mean_hours import mean_hours
from estimator.decide.openings import BATCHES, Finds, Offer, error_of, finds_of, opening_first
from estimator.forecast.answers import answer
from estimator.forecast.draws import N_DRAWS, Work, draw_hours
from estimator.forecast.prices import materials_of, per_hour
from estimator.forecast.ranges import Range
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.forecast.surprises import known_from
from estimator.forecast.views import default_view, revealing_stage, work_of_board
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.settings import Settings


@dataclass(frozen=True)
class BoardDraws:
    """The same draws for all that is asked of a board.

    said: its range of hours; hours, materials: (n_draws,); opening: hours of opening up, (n_draws,), or None where
    the board is open already, or has nothing to open
    shows: quantities that opening shows and nobody knows yet
    materials_lent: whether materials rest on what is lent alone
    """

    said: Range
    hours: Array
    materials: Array
    opening: Array | None = None
    shows: tuple[str, ...] = ()
    made: _Made | None = None
    materials_lent: bool = False

    @property
    def finds(self) -> Finds | None:
        """What may be found, over all draws."""
        return None if self.made is None else self.made.finds(slice(None), slice(None))

    def error(self, offer: Offer) -> float:
        """The error of what opening first is worth, from batches of draws of board and rates alike."""
        if self.made is None:
            return 0.0
        sizes = len(self.hours) // BATCHES, max(self.made.fit.n_draws // BATCHES, 1)
        finds = [
            self.made.finds(*(slice(k * size, (k + 1) * size) for size in sizes)) for k in range(BATCHES)
        ]
        return error_of([opening_first(one, offer).value for one in finds])


@dataclass(frozen=True)
class _Made:
    """What finds are made from."""

    fit: SavedFit
    work: Work
    settings: Settings
    materials: Array
    shows: tuple[str, ...]
    before: frozenset[str]
    scale: float = 1.0

    def finds(self, draws: slice, rates: slice) -> Finds:
        """The finds of some of the board's draws, at some of the fit's; hours times the scale, for a stretch."""
        n = len(self.materials)
        means = mean_hours(self.fit, self.work, self.settings, n, rates)
        whole = self.scale * np.sum(list(means.values()), axis=0)
        opening = self.scale * np.sum([np.zeros(n), *(means[s] for s in self.before)], axis=0)
        shown = [np.zeros(n), *(np.broadcast_to(self.work.values[q], n) for q in self.shows)]
        return finds_of(
            np.column_stack(shown)[draws],
            (whole - opening)[draws],
            self.materials[draws],
            opening[draws],
        )


def draws_of(
    fit: SavedFit,
    board: KnownBoard,
    settings: Settings,
    *,
    odds: float = 0.8,
    seed: int = 0,
    stretch: Stretch = UNSTRETCHED,
) -> BoardDraws:
    """Draws of a board as it is known today: the very draws that its range is made from.

    Raises NoAnswerError where neither rules nor log can tell.
    """
    said = answer(fit, board, settings, odds=odds, seed=seed, stretch=stretch)
    rng = np.random.default_rng([seed, 5])
    lent = fit.materials is None and board.materials is None
    if not said.stages:
        hours = _from_range(said)
        luck = rng.standard_normal(len(hours))
        return BoardDraws(said, hours, per_hour(fit.materials, hours, settings, luck), materials_lent=lent)
    view = default_view(board)
    work, _ = work_of_board(fit, board, view, settings, np.random.default_rng([seed, 2]))
    drawn = draw_hours(fit, work, np.random.default_rng([seed, 3]))
    drawn = drawn.stretched(stretch) if view == "before" else drawn
    materials = materials_of(fit, board, work, drawn.total, settings, rng)
    revealing = revealing_stage(settings)
    if view != "before" or revealing not in drawn.stages:
        return BoardDraws(said, drawn.total, materials, materials_lent=lent)
    after = followers(settings.stages)
    before = frozenset(s for s in drawn.stages if s == revealing or revealing in after[s])
    opening = np.sum([h for s, h in zip(drawn.stages, drawn.hours, strict=True) if s in before], axis=0)
    shows = tuple(
        q
        for q in (*settings.drivers, *settings.modifiers)
        if known_from(q, settings) == revealing and np.ptp(work.values.get(q, 0.0)) > 0
    )
    means = mean_hours(fit, work, settings, len(materials))
    scale = float(drawn.total.mean() / np.sum(list(means.values()), axis=0).mean())
    made = _Made(fit, work, settings, materials, shows, before, scale)
    return BoardDraws(said, drawn.total, materials, opening, shows, made, lent)


def _from_range(said: Range) -> Array:
    """Hours by draw from the points of a range that has no stages, straight on normal paper between and beyond them."""
    normal = NormalDist()
    points = {float(p): hours for p, hours in said.quantiles.items()}
    z = np.array([normal.inv_cdf(p) for p in points])
    logs = np.log(np.array(list(points.values())))
    wanted = np.array([normal.inv_cdf((i + 0.5) / N_DRAWS) for i in range(N_DRAWS)])
    inner = np.interp(wanted, z, logs)
    for end, near, beyond in ((0, 1, wanted < z[0]), (-1, -2, wanted > z[-1])):
        slope = (logs[end] - logs[near]) / (z[end] - z[near])
        inner[beyond] = logs[end] + slope * (wanted[beyond] - z[end])
    return np.asarray(np.exp(inner))
