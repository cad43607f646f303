"""What opening a board up first is worth: what it shows, and being free to ask anew or to hand it back.

What is looked at is a mean over all that stays unknown: for what has been found, hours and materials are what they
come to on average over rates, pace and luck. A choice that may look at single draws would know the future.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from estimator.model.saved_fit import Array, Ints

MOST_FINDS = (
    400  # different finds that are told apart; where there are more, those alike in cost count as one
)
BATCHES = 10
HAND_BACK = 0.0  # "times the price" of a find after which the board goes back


@dataclass(frozen=True)
class Finds:
    """What may be found, each with what it comes to on average.

    of: (n_draws,), which find a draw is
    share: (n_finds,), how often each comes, 1 in all
    rest, materials: (n_finds,), hours still to work once it is open, and materials
    opening: hours of opening up, on average
    """

    of: Ints
    share: Array
    rest: Array
    materials: Array
    opening: float


@dataclass(frozen=True, slots=True)
class Offer:
    """What is asked, and what an hour is worth.

    price: as it stands before opening; fee: for opening up; credited: whether the fee counts towards the price
    worth: what an hour is worth elsewhere; target: pay at which more work is charged
    requote: pairs of times the old price and the chance that the owner takes it
    """

    price: float
    fee: float
    credited: bool
    worth: float
    target: float
    requote: tuple[tuple[float, float], ...]

    def shifted(self, by: float) -> Offer:
        """The same with other chances: an owner who takes any price oftener, or less often."""
        moved = tuple((times, min(max(chance + by, 0.0), 1.0)) for times, chance in self.requote)
        return Offer(self.price, self.fee, self.credited, self.worth, self.target, moved)


@dataclass(frozen=True)
class Opening:
    """What opening up first comes to.

    now: worth of saying yes today, or no where that is worth more; first: of opening up first; both over other work
    blind: of opening up first with eyes shut: the fee and the risk that the owner goes, and nothing learned
    times, chance: (n_finds,), what is asked then, in times the price, 0 where the board is handed back; and how often
        the owner takes it
    error: of first - now, from drawing
    """

    now: float
    first: float
    blind: float
    times: Array
    chance: Array
    share: Array
    error: float = 0.0

    @property
    def value(self) -> float:
        """What opening up first is worth over deciding today."""
        return self.first - self.now

    @property
    def seeing(self) -> float:
        """What is shown is worth so much of it; never less than nothing."""
        return self.first - self.blind

    def becomes(self) -> tuple[float, float, float]:
        """How often the work goes on at the price named, how often at a higher one, and how often it ends there."""
        going = self.share * self.chance
        same, more = (self.times > HAND_BACK) & (self.times <= 1), self.times > 1
        on, asked = float(going[same].sum()), float(going[more].sum())
        return on, asked, 1.0 - on - asked


def finds_of(shown: Array, rest: Array, materials: Array, opening: Array) -> Finds:
    """Draws that show the same are one find; of very many different ones, those alike in cost.

    shown: (n_draws, n_quantities), what opening shows; none where it shows nothing
    rest, opening: hours by draw; materials by draw: anything whose mean over the draws of a find is the true one
    """
    _, of = np.unique(shown, axis=0, return_inverse=True)
    of = np.asarray(of).reshape(-1)
    if of.max(initial=0) >= MOST_FINDS:
        by_cost = np.argsort(np.argsort(_smooth(shown, rest), kind="stable"), kind="stable")
        of = by_cost * MOST_FINDS // len(of)
    count = np.bincount(of)
    return Finds(
        of=of.astype(np.int64),
        share=count / len(of),
        rest=np.bincount(of, rest) / count,
        materials=np.bincount(of, materials) / count,
        opening=float(opening.mean()),
    )


def _smooth(shown: Array, rest: Array) -> Array:
    """Hours as a straight line in what is shown, so that finds are put together by that alone."""
    columns = np.column_stack([np.ones(len(rest)), shown])
    return np.asarray(columns @ np.linalg.lstsq(columns, rest, rcond=None)[0])


def opening_first(finds: Finds, offer: Offer) -> Opening:
    """What opening up first comes to, the best being done after each find.

    After a find the price may be asked that was named, or a higher one, yet no higher than what was found adds to
    the work, at the pay that is wanted, and to materials; or the board is handed back.

    Source: value of information as in H. Raiffa & R. Schlaifer (1961), Applied Statistical Decision Theory, ch. 4.
    """
    cost = finds.materials + offer.worth * finds.rest
    sunk = offer.fee - offer.worth * finds.opening
    mean = float(finds.share @ cost)
    now = max(0.0, offer.price - mean - offer.worth * finds.opening)
    paid = offer.fee if offer.credited else 0.0
    asked = offer.target * finds.rest + finds.materials
    added = np.maximum(asked - float(finds.share @ asked), 0.0)
    times, chance, worth = _best(cost, added, paid, offer)
    _, _, [blind] = _best(np.array([mean]), np.zeros(1), paid, offer)
    first = sunk + float(finds.share @ worth)
    return Opening(now, first, sunk + float(blind), times, chance, finds.share)


def _best(cost: Array, added: Array, paid: float, offer: Offer) -> tuple[Array, Array, Array]:
    """After each find what is asked, how often it is taken, and what that is worth; 0 and 0 to hand it back."""
    known = np.array(sorted(offer.requote))
    limit = np.ones(len(cost)) if offer.price <= 0 else 1 + added / offer.price
    tried = [np.full(len(cost), t) for t in known[:, 0]] + [np.minimum(limit, known[-1, 0])]
    times, chance, worth = np.zeros((3, len(cost)))
    for t in tried:
        taken = np.interp(t, known[:, 0], known[:, 1])
        gain = np.where(t <= limit + 1e-12, taken * (t * offer.price - paid - cost), -np.inf)
        better = gain > worth
        times, chance, worth = (
            np.where(better, new, old)
            for new, old in zip((t, taken, gain), (times, chance, worth), strict=True)
        )
    return times, chance, worth


def error_of(values: Sequence[float]) -> float:
    """The error of a mean of batches that were drawn apart.

    >>> error_of([1.0, 3.0])
    1.0
    """
    return float(np.std(values, ddof=1) / np.sqrt(len(values)))
