"""What opening a board up first is worth: by draw, what it shows, and being free to ask anew or to hand it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from estimator.forecast.answers import MONEY, answer, materials_of
from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.draws import N_DRAWS, Work
from estimator.forecast.ranges import Range
from estimator.forecast.surprises import known_from
from estimator.forecast.views import default_view, drawn_board, revealing_stage
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import UNPLANNED, Array, Ints, KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.settings.schema import ONCE, Settings

Values = Mapping[str, float | Array]


def mean_hours(
    fit: SavedFit,
    values: Values,
    chances: Mapping[str, float],
    settings: Settings,
    n: int,
    rows: slice = slice(None),
) -> dict[str, Array]:
    """For each stage of a board not begun its mean hours by what there is to do, (n,) each.

    values: quantities, each a number or (n,); chances: what `chances_of` makes of the board's work
    rows: of the fit's draws, those that are averaged over

    The mean of exp(median + loading u + noise e) over u, e ~ N(0, 1) is exp(median + (loading² + noise²) / 2).
    """
    spread = np.exp((fit.loading[rows] ** 2 + fit.noise[rows] ** 2) / 2)
    found = {}
    for i, stage in enumerate(fit.stages):
        if stage not in chances:
            continue
        parts = [(k, driver) for k, (s, driver) in enumerate(fit.parts) if s == stage]
        slowed = [(k, name) for k, (s, name) in enumerate(fit.conditions) if s == stage]
        amounts = np.array([_amount(values, stage, driver, n) for _, driver in parts])
        rates = np.exp(fit.log_rate[rows][:, [k for k, _ in parts]]) * spread[:, [i]]
        grades = [np.broadcast_to(np.asarray(values.get(name, 0.0), float), n) for _, name in slowed]
        known, of = np.unique(np.array(grades).reshape(len(slowed), n), axis=1, return_inverse=True)
        times = np.exp(fit.effect[rows][:, [k for k, _ in slowed]] @ known)  # (n_rows, n_grades)
        usual = rates.T @ times / len(times)  # (n_parts, n_grades)
        hours = (usual[:, np.asarray(of).reshape(-1)] * amounts).sum(axis=0)
        planned = _planned(values, settings.stages[stage].work)
        found[stage] = hours * np.where(planned, 1.0, chances[stage])
    return found


def chances_of(fit: SavedFit, work: Work, settings: Settings) -> dict[str, float]:
    """For each stage of a board's work how often it happens where no driver of its own makes it happen."""
    found = {}
    for stage, happens in work.happening.items():
        drivers = settings.stages[stage].work
        if stage not in fit.chances or stage in work.values:
            found[stage] = 0.0 if drivers else float(np.mean(happens))
        elif drivers and (happens == _planned(work.values, drivers)).all():
            found[stage] = 0.0
        else:
            yes, no = fit.chances[stage]
            found[stage] = yes / (yes + no)
    return found


def _planned(values: Values, drivers: Sequence[str]) -> Array | bool:
    """Whether a stage's own drivers make it happen, by what there is to do."""
    there: Array | bool = np.any(np.broadcast_arrays(0.0, *(values.get(d, 0.0) for d in drivers)), axis=0)
    return there


def _amount(values: Values, stage: str, driver: str, n: int) -> Array:
    """How much of a driver there is."""
    name = f"{stage} {UNPLANNED}" if driver == UNPLANNED else driver
    amount: float | Array = 1.0 if driver == ONCE else values.get(name, 0.0)
    return np.broadcast_to(np.asarray(amount, dtype=float), n)


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
