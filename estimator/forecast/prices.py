"""Materials of a board by draw, and the price that pays what one wants."""

from __future__ import annotations

import numpy as np

from estimator.forecast.draws import Work
from estimator.model.materials import lent_per_hour
from estimator.model.saved_fit import Array, KnownBoard, Materials, SavedFit
from estimator.words.settings.schema import ONCE, Settings

COSTS = 1024  # draws of what a unit costs
MONEY = 21  # the stream of draws of a board's materials, beside the seed


def materials_of(
    fit: SavedFit, board: KnownBoard, work: Work, total: Array, settings: Settings, rng: np.random.Generator
) -> Array:
    """What materials of a board cost, one amount for each draw of its hours `total`, money >= 0.

    Where they are written on the board they are that. Else they go by its quantities, in each draw by those of the
    draw; where no past board tells of materials, or not all quantities are known, by the hours of the draw. The luck of
    a draw is the same whatever the board has, so that two boards drawn from the same `rng` differ by their work alone.
    """
    if board.materials is not None:
        return np.full(len(total), float(board.materials))
    learned = fit.materials
    luck, some = rng.standard_normal(len(total)), rng.random(len(total))
    if learned is None or any(d not in work.values for d in learned.drivers if d != ONCE):
        spent = per_hour(learned, total, settings, luck)
        return spent if learned is None else np.where(some < learned.free, 0.0, spent)
    costs = _costs(learned, rng)
    at = np.arange(len(total)) % COSTS
    plain = np.zeros(len(total))
    for cost, driver in zip(costs, learned.drivers, strict=True):
        amount = 1.0 if driver == ONCE else work.values[driver]
        if np.any(amount):
            plain += cost[at] * amount
    return np.where(some < learned.free, 0.0, plain * np.exp(learned.luck * luck))


def _costs(learned: Materials, rng: np.random.Generator) -> Array:
    """Draws of what a unit of each driver costs, (n_drivers, COSTS), their means the likeliest costs."""
    off = learned.root @ rng.standard_normal((len(learned.drivers), COSTS))
    half = (learned.root**2).sum(axis=1) / 2
    return np.asarray(np.exp((learned.log_cost - half)[:, None] + off))


def per_hour(learned: Materials | None, total: Array, settings: Settings, luck: Array) -> Array:
    """Materials as so much an hour of work: as past boards have it, else by the lent share of a price.

    luck: standard normal, one for each draw of the hours `total`
    Where neither a past board tells nor any pay is wanted there is nothing to go by, and they are 0.
    """
    target = settings.workshop.target_pay
    if learned is None and not target:
        return np.zeros(len(total))
    mean, sd = lent_per_hour(target) if learned is None else learned.per_hour
    return np.asarray(total * np.exp(mean + sd * luck))


def price_for(target: float, hours: Array, materials: Array, odds: float) -> float:
    """The price that pays `target` an hour, after materials, with these odds: that quantile of what a board needs.

    hours, materials: by draw, the same board in each

    Source: for normal needs it is the order of the newsvendor, S. Nahmias, Production and Operations Analysis.

    >>> price_for(40.0, np.array([10.0, 20.0, 30.0]), np.array([100.0, 100.0, 200.0]), 0.5)
    900.0
    """
    return float(np.quantile(target * hours + materials, odds))
