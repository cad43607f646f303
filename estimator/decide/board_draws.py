"""A board that is thought over, by draw: its hours, its materials, and what opening it up would show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from estimator.decide.mean_hours import chances_of, mean_hours
from estimator.decide.openings import BATCHES, Finds, Offer, error_of, finds_of, opening_first
from estimator.forecast.answers import answer
from estimator.forecast.draws import N_DRAWS, Work
from estimator.forecast.prices import MONEY, materials_of
from estimator.forecast.ranges import Range
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.forecast.surprises import known_from
from estimator.forecast.views import default_view, drawn_board, revealing_stage
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import Array, Ints, KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.settings import Settings

LEAST_HOURS = 0.05  # of a board, or of opening it, where a draw has none: money an hour needs some


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
    """What finds are made from.

    values: quantities, each a number or one for every different lot of them; of: (n_draws,), which lot a draw has
    """

    fit: SavedFit
    settings: Settings
    values: Mapping[str, float | Array]
    of: Ints
    chances: Mapping[str, float]
    materials: Array
    shows: tuple[str, ...]
    before: tuple[str, ...]
    scale: float = 1.0

    def means(self, rates: slice = slice(None)) -> tuple[Array, Array]:
        """Mean hours of the whole board and of opening it up, by lot, over some of the fit's draws."""
        n = int(self.of.max()) + 1
        means = mean_hours(self.fit, self.values, self.chances, self.settings, n, rates)
        opening = np.sum([np.zeros(n), *(means[s] for s in self.before)], axis=0)
        return self.scale * np.sum(list(means.values()), axis=0), self.scale * opening

    def finds(self, draws: slice, rates: slice) -> Finds:
        """The finds of some of the board's draws, at some of the fit's."""
        of = self.of[draws]
        whole, opening = self.means(rates)
        n = len(whole)
        shown = [np.zeros(n), *(np.broadcast_to(self.values[q], n) for q in self.shows)]
        return finds_of(np.column_stack(shown)[of], (whole - opening)[of], self.materials[draws], opening[of])


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
    if said.likely <= 0:
        raise NoAnswerError(
            f"There is nothing to do on {board.name}, as far as it is written down.",
            "Write what there is to do on its row of the boards sheet.",
        )
    rng = np.random.default_rng([seed, MONEY])
    lent = fit.materials is None and board.materials is None
    if not said.stages:
        hours = _from_range(said)
        nothing_known = Work({}, {}, {}, frozenset())
        materials = materials_of(fit, board, nothing_known, hours, settings, rng)
        return BoardDraws(said, hours, materials, materials_lent=lent)
    view = default_view(board)
    work, drawn, _ = drawn_board(fit, board, view, settings, seed=seed, stretch=stretch)
    total = np.maximum(drawn.total, LEAST_HOURS)
    materials = materials_of(fit, board, work, total, settings, rng)
    revealing = revealing_stage(settings)
    if view != "before" or revealing not in drawn.stages:
        return BoardDraws(said, total, materials, materials_lent=lent)
    after = followers(settings.stages)
    before = tuple(s for s in drawn.stages if s == revealing or revealing in after[s])
    opening = np.sum([h for s, h in zip(drawn.stages, drawn.hours, strict=True) if s in before], axis=0)
    shows = tuple(
        q
        for q in (*settings.drivers, *settings.modifiers)
        if known_from(q, settings) == revealing and np.ptp(work.values.get(q, 0.0)) > 0
    )
    values, of = _lots(work.values, len(materials))
    made = _Made(fit, settings, values, of, chances_of(fit, work, settings), materials, shows, before)
    made = replace(made, scale=float(total.mean() / made.means()[0][of].mean()))  # for a stretched range
    return BoardDraws(said, total, materials, np.maximum(opening, LEAST_HOURS), shows, made, lent)


def _lots(values: Mapping[str, float | Array], n: int) -> tuple[dict[str, float | Array], Ints]:
    """Quantities by draw as the different lots of them, and which lot each draw has."""
    drawn = [name for name, value in values.items() if np.ndim(value)]
    rows = np.column_stack([np.zeros(n), *(np.asarray(values[name], dtype=float) for name in drawn)])
    lots, of = np.unique(rows, axis=0, return_inverse=True)
    return {**values, **dict(zip(drawn, lots.T[1:], strict=True))}, np.asarray(of).reshape(-1)


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
