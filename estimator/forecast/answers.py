"""Everything that `range` says of one board."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from estimator.forecast.draws import Drawn, Work
from estimator.forecast.prices import MONEY, materials_of, price_for
from estimator.forecast.ranges import Cost, LookNext, Price, Range, Reason, StageRange
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.forecast.support import alike, outside, rests_on
from estimator.forecast.views import default_view, drawn_board
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.errors import UnreadableError
from estimator.words.odds import z_of
from estimator.words.records import FINISHED
from estimator.words.settings import Settings

POINTS = tuple(p / 100 for p in range(5, 100, 5))
USUAL_MISS = math.log(1.5) / z_of(0.8)  # log-sd: actual over guess within ×/÷ 1.5, 8 times in 10
MISS_WEIGHT = 30  # boards that this counts for
GUESS_DRAWS = 20_000
WORTH_ASKING = 1.0  # hours; what narrows less is not asked
MOST_GRADES = 12  # of an answer that is a measure


def answer(
    fit: SavedFit,
    board: KnownBoard,
    settings: Settings,
    *,
    odds: float = 0.8,
    view: str | None = None,
    over: Sequence[float] = (),
    seed: int = 0,
    stretch: Stretch = UNSTRETCHED,
) -> Range:
    """Hours of one board as a range, with its stages, its reasons and what it rests on.

    odds: chance that the range holds, 0 < odds < 1; over: hours whose chance of being passed is wanted
    view: before, opened, finished, or None for what the log knows today
    stretch: as the record of ranges before opening taught it; used where one looks from there

    Raises NoAnswerError where neither rules nor log can tell.
    """
    if not 0 < odds < 1:
        raise UnreadableError(f"Odds of {odds} are no odds.", "Give a chance between 0 and 1, or 8/10.")
    if _guess_alone(board, settings):
        return _guessed(fit, board, settings, odds, over, seed)
    at = view or default_view(board)
    stretch = stretch if at == "before" else UNSTRETCHED
    work, drawn, unknown = drawn_board(fit, board, at, settings, seed=seed, stretch=stretch)
    unsplit = _unsplit(board, work) if at == "now" else 0.0
    total = drawn.total + unsplit
    low, likely, high = cut(total, odds)
    boards, rules, lent = rests_on(fit, drawn.stages)
    as_it_stands = board if at == default_view(board) else replace(board, materials=None)
    materials, price = _money(fit, as_it_stands, work, total, settings, odds, seed)
    return Range(
        board=board.board,
        odds=odds,
        view=at,
        low=low,
        likely=likely,
        high=high,
        quantiles=quantiles_of(total),
        stages=_stages(drawn, odds, work.booked),
        reasons=_reasons(drawn, likely, unsplit),
        boards=boards,
        rules=rules,
        lent=lent,
        outside=outside(fit, board, work, settings),
        alike=alike(fit, board, work, settings),
        over=_over(total, over),
        guess=board.guess,
        chance_beyond_guess=None if board.guess is None else float(np.mean(total > board.guess)),
        unknown=unknown,
        worked_out=board.worked_out,
        materials=materials,
        price=price,
        stretch=(stretch.low, stretch.high),
        stretch_day=stretch.day,
        look_next=look_next(total, {q: work.values[q] for q in unknown if _asked(q, unknown, settings)}),
    )


def _asked(name: str, unknown: tuple[str, ...], settings: Settings) -> bool:
    """Whether a quantity is looked at itself, and does not follow from another that is."""
    return name not in settings.drivers or settings.drivers[name].times not in unknown


def look_next(total: Array, answers: Mapping[str, float | Array]) -> tuple[LookNext, ...]:
    """What to look at next: how much narrower the range at 8 in 10 would be, on average, with each answer known.

    total: hours by draw; answers: by quantity its value in the same draws
    The width given an answer is that of the draws with the same answer, or one near it.

    >>> rng = np.random.default_rng(1)
    >>> pieces = rng.integers(0, 6, 20_000).astype(float)
    >>> [n.driver for n in look_next(20 + 3 * pieces + rng.standard_normal(20_000), {"pieces": pieces})]
    ['pieces']
    """
    width = float(np.subtract(*np.quantile(total, [0.9, 0.1])))
    found = []
    for name, value in answers.items():
        left = 0.0
        groups = np.unique(np.round(np.asarray(value, dtype=float), 1), return_inverse=True)[1]
        cut = np.unique(np.quantile(groups, np.linspace(0, 1, MOST_GRADES + 1)).astype(int))
        of = np.searchsorted(cut, groups, side="right")
        for grade in np.unique(of):
            some = total[of == grade]
            left += len(some) / len(total) * float(np.subtract(*np.quantile(some, [0.9, 0.1])))
        if width - left >= WORTH_ASKING:
            found.append(LookNext(name, width - left))
    return tuple(sorted(found, key=lambda n: -n.narrows_hours))


def _stages(drawn: Drawn, odds: float, booked: Mapping[str, float]) -> tuple[StageRange, ...]:
    """Each stage's own range, in order of work."""
    return tuple(
        StageRange(stage, *cut(hours, odds), booked.get(stage, 0.0), stage in drawn.done)
        for stage, hours in zip(drawn.stages, drawn.hours, strict=True)
    )


def _unsplit(board: KnownBoard, work: Work) -> float:
    """Hours of a finished board that its total holds and no stage does."""
    if board.state != FINISHED or board.hours is None:
        return 0.0
    return max(board.hours - math.fsum(work.booked.values()), 0.0)


def _reasons(drawn: Drawn, likely: float, unsplit: float) -> tuple[Reason, ...]:
    """Mean hours of each part, scaled so that they sum to the likely hours exactly."""
    parts = [*drawn.reasons, *([("", "booked", unsplit)] if unsplit else [])]
    whole = math.fsum(hours for *_, hours in parts)
    if not whole:
        return ()
    scaled = [hours * likely / whole for *_, hours in parts]
    largest = max(range(len(scaled)), key=lambda i: scaled[i])
    scaled[largest] += likely - math.fsum(scaled)
    return tuple(Reason(s, d, h) for (s, d, _), h in zip(parts, scaled, strict=True))


def _guess_alone(board: KnownBoard, settings: Settings) -> bool:
    """Whether nothing but the restorer's own guess is known of a board."""
    if board.guess is None or board.kind or board.length_m or board.booked:
        return False
    return not board.turned_out.keys() & {*settings.drivers, *settings.modifiers}


def _guessed(
    fit: SavedFit, board: KnownBoard, settings: Settings, odds: float, over: Sequence[float], seed: int
) -> Range:
    """A range from the guess alone: times how past boards turned out against theirs.

    Thirty boards' worth of the usual miss, times or over 1.5 at 8 in 10, stand in until past guesses tell.
    """
    assert board.guess is not None
    rng = np.random.default_rng([seed, 4])
    past = np.array([math.log(b.hours / b.guess) for b in fit.boards if b.hours and b.guess])
    miss = USUAL_MISS * rng.standard_normal(GUESS_DRAWS)
    if len(past):
        own = past[rng.integers(0, len(past), GUESS_DRAWS)]
        miss = np.where(rng.random(GUESS_DRAWS) < len(past) / (len(past) + MISS_WEIGHT), own, miss)
    total = board.guess * np.exp(miss)
    low, likely, high = cut(total, odds)
    nothing_known = Work({}, {}, {}, frozenset())
    materials, price = _money(fit, board, nothing_known, total, settings, odds, seed)
    return Range(
        board=board.board,
        odds=odds,
        view="before",
        low=low,
        likely=likely,
        high=high,
        quantiles=quantiles_of(total),
        stages=(),
        reasons=(Reason("", "guess", likely),),
        boards=len(past),
        rules=0,
        over=_over(total, over),
        guess=board.guess,
        chance_beyond_guess=float(np.mean(total > board.guess)),
        unknown=(),
        materials=materials,
        price=price,
    )


def _money(
    fit: SavedFit,
    board: KnownBoard,
    work: Work,
    total: Array,
    settings: Settings,
    odds: float,
    seed: int,
) -> tuple[Cost | None, Price | None]:
    """What materials cost, and the price that pays what is wanted; None where nothing tells of either."""
    target, lent = settings.workshop.target_pay, board.materials is None and fit.materials is None
    if lent and not target:
        return None, None
    spent = materials_of(fit, board, work, total, settings, np.random.default_rng([seed, MONEY]))
    price = Price(price_for(target, total, spent, odds), odds, target)
    return Cost(*cut(spent, odds), lent=lent), price


def cut(hours: Array, odds: float) -> tuple[float, float, float]:
    """Low, middle and high of draws, so that the chance of lying between is `odds`."""
    side = round((1 - odds) / 2, 12)  # that 8 in 10 be cut at .1, not a hair below
    low, middle, high = np.quantile(hours, [side, 0.5, 1 - side])
    return float(low), float(middle), float(high)


def quantiles_of(draws: Array) -> dict[str, float]:
    """The 5, 10 ... 95 % points of draws, by chance."""
    return {f"{p:.2f}": float(q) for p, q in zip(POINTS, np.quantile(draws, POINTS), strict=True)}


def _over(total: Array, over: Sequence[float]) -> dict[str, float]:
    """The chance of passing each number of hours."""
    return {f"{hours:g}": float(np.mean(total > hours)) for hours in over}
