"""Everything that `range` says of one board, and what it rests on: its hours, materials and price."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.draws import Drawn, Work, draw_hours, usual_hours
from estimator.forecast.ranges import Alike, Cost, LookNext, Outside, Price, Range, Reason, StageRange
from estimator.forecast.views import default_view, drawn_board
from estimator.model.materials import lent_per_hour
from estimator.model.saved_fit import Array, KnownBoard, Materials, SavedFit
from estimator.words.errors import UnreadableError
from estimator.words.odds import z_of
from estimator.words.phrases import say_value
from estimator.words.records import FINISHED
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


MOST_ALIKE = 3
SLACK = 1e-6  # relative; a value equal to the largest seen is not beyond it
APART = 1e-3  # of sd; by so much quantities that always went together may differ


def rests_on(fit: SavedFit, stages: Sequence[str]) -> tuple[int, int, int]:
    """How many past boards, how many rules, and how many lent ones among them, speak of the stages."""
    boards = sum(bool(set(board.taught) & set(stages)) for board in fit.boards)
    speaking = [lent for _, lent, stage in fit.rules if not stage or stage in stages]
    return boards, len(speaking), sum(speaking)


def alike(fit: SavedFit, board: KnownBoard, work: Work, settings: Settings) -> tuple[Alike, ...]:
    """The three past boards whose stages should have taken the most similar hours, and what differed.

    Alikeness is the sum over stages of the difference of usual hours, so that a driver counts by the hours that
    it makes.
    """
    values = {q: float(np.mean(v)) for q, v in work.values.items()}
    here = usual_hours(fit, values, settings)
    past = [
        (float(np.abs(usual_hours(fit, other.turned_out, settings) - here).sum()), i)
        for i, other in enumerate(fit.boards)
        if other.hours and other.board != board.board and other.taught
    ]
    return tuple(
        Alike(
            other.board,
            other.called,
            float(other.hours or 0.0),
            _differs(values, other.turned_out, fit, settings),
        )
        for other in (fit.boards[i] for _, i in sorted(past)[:MOST_ALIKE])
    )


def _differs(here: Mapping[str, float], there: Mapping[str, float], fit: SavedFit, settings: Settings) -> str:
    """The quantity that made the largest difference in hours, as that board had it; empty where none did."""
    whole = float(usual_hours(fit, here, settings).sum())
    best, words = 0.5, ""
    for name in (*settings.drivers, *settings.modifiers):
        if name not in there or abs(there[name] - here.get(name, 0.0)) < SLACK:
            continue
        changed = float(usual_hours(fit, {**here, name: there[name]}, settings).sum())
        if abs(changed - whole) > best:
            best = abs(changed - whole)
            if name in settings.modifiers:
                words = (
                    f"{settings.quantity_label(name)}: {_grade(there[name], settings.modifiers[name].grades)}"
                )
            else:
                words = (
                    f"{settings.quantity_label(name)}: {_amount(there[name], settings.drivers[name].unit)}"
                )
    return words


def _amount(value: float, unit: str) -> str:
    """A quantity in words; one with a unit to a tenth, and never to nothing."""
    return say_value(max(round(value, 1), 0.1) if unit and value else value, unit)


def _grade(value: float, grades: tuple[str, ...]) -> str:
    """A condition in words."""
    return say_value(round(value), "", grades or ("no", "yes"))


def outside(fit: SavedFit, board: KnownBoard, work: Work, settings: Settings) -> tuple[Outside, ...]:
    """Drivers of a board that past boards never had, or never had together.

    Beyond: more than the most, or less than the least above none, of any past board whose hours tell of the driver.
    Together: each is within, but the leverage x'(X'X)^-1 x is above that of every past board (hidden extrapolation).
    Empty with no past board, where the answer rests on rules and says so.

    Source: Montgomery, Peck & Vining (2012), Introduction to Linear Regression Analysis, section 3.8.
    """
    past = [other for other in fit.boards if other.taught and other.board != board.board]
    if not past:
        return ()
    used = [d for d in settings.drivers if any(d in stage.drivers for stage in settings.stages.values())]
    fixed = {d: work.values.get(d, 0.0) for d in used}
    judged = {d: board.assessed.get(d) if np.ndim(v) else float(v) for d, v in fixed.items()}
    here = {d: value for d, value in judged.items() if value is not None}
    known = list(here)
    found = []
    lengths = [other.length_m for other in past if other.length_m]
    if board.length_m and lengths and not min(lengths) - 1e-6 <= board.length_m <= max(lengths) + 1e-6:
        found.append(Outside("length", board.length_m, min(lengths), max(lengths), "beyond"))
    for driver in known:
        taught = {stage.name for stage in settings.stages.values() if driver in stage.drivers}
        seen = [
            had
            for other in past
            if (had := other.turned_out.get(driver, 0.0)) > 0 and taught & {*other.taught}
        ]
        low, high = min(seen, default=0.0), max(seen, default=0.0)
        if here[driver] > 0 and not low * (1 - SLACK) <= here[driver] <= high * (1 + SLACK):
            found.append(Outside(driver, here[driver], low, high, "beyond"))
    if not any(o.driver != "length" for o in found):
        found.extend(_together([other.turned_out for other in past], here, known))
    return tuple(found)


def _together(past: list[dict[str, float]], here: Mapping[str, float], drivers: list[str]) -> list[Outside]:
    """Drivers whose mix is unusual: without any one of them the rest would be within past experience."""
    whole = [v for v in past if all(d in v for d in drivers)]
    if not _hidden(whole, here, drivers):
        return []
    carrying = [d for d in drivers if not _hidden(whole, here, [o for o in drivers if o != d])]
    if not carrying:
        carrying = [d for d in drivers if here[d] > 0]
    columns = {d: [v[d] for v in whole] for d in carrying}
    return [Outside(d, here[d], min(columns[d]), max(columns[d]), "together") for d in carrying]


def _hidden(past: list[dict[str, float]], here: Mapping[str, float], drivers: list[str]) -> bool:
    """Whether the leverage of `here` is above the largest of the past; False where too few boards can tell.

    Quantities that always went together, and do not here, have a leverage without bounds.
    """
    if not past or not drivers:
        return False
    table = np.array([[v[d] for d in drivers] for v in past])
    centre, scale = table.mean(axis=0), table.std(axis=0)
    moving = scale > 1e-9 * np.maximum(np.abs(centre), 1.0)
    if len(past) <= moving.sum() + 2:
        return False
    design = (table[:, moving] - centre[moving]) / scale[moving]
    point = (np.array([here[d] for d in drivers])[moving] - centre[moving]) / scale[moving]
    left, size, axes = np.linalg.svd(design, full_matrices=False)
    kept = size > 1e-6 * max(size.max(initial=0.0), 1.0)
    apart = point - axes[kept].T @ (axes[kept] @ point)
    if (apart**2).sum() > APART**2 * max((point**2).sum(), 1.0):
        return True
    largest = float((left[:, kept] ** 2).sum(axis=1).max(initial=0.0))
    return bool(((axes[kept] @ point / size[kept]) ** 2).sum() > largest * (1 + 1e-9))


def leverage(past: Array, here: Array) -> tuple[float, float]:
    """The leverage of one point and the largest of the past, with an intercept; for checks against tables.

    past: (n, k) in any units; here: (k,)
    """
    centre, scale = past.mean(axis=0), past.std(axis=0)
    left, size, axes = np.linalg.svd((past - centre) / scale, full_matrices=False)
    point = axes @ ((here - centre) / scale) / size
    return float((point**2).sum() + 1 / len(past)), float((left**2).sum(axis=1).max() + 1 / len(past))


POINTS = tuple(p / 100 for p in range(5, 100, 5))
USUAL_MISS = math.log(1.5) / z_of(0.8)  # log-sd: actual over guess within ×/÷ 1.5, 8 times in 10
MISS_WEIGHT = 30  # boards that this counts for
GUESS_DRAWS = 20_000
WORTH_ASKING = 1.0  # hours; what narrows less is not asked
MOST_GRADES = 12  # of an answer that is a measure


def hours_to_pass(over: float | Sequence[float] | None) -> list[float]:
    """Hours whose chance of being passed is asked for, one by one. Raises UnreadableError for what are no hours."""
    hours = [] if over is None else [over] if isinstance(over, int | float) else list(over)
    if any(not 0 <= h < 1e6 for h in hours):
        raise UnreadableError(
            "Hours to pass must be a number of hours.", "Write for instance 40.", field="over"
        )
    return hours


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
        widened=_widened(fit, work, total, odds, seed, stretch) if work.beyond else 1.0,
        by_rules=tuple(s for s in drawn.stages if s in fit.by_rules and s not in drawn.done),
        settled=fit.settled,
        passed_by=work.passed_by,
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
        unused=sum(
            known.state == FINISHED and bool(known.hours or known.booked) and not known.taught
            for known in fit.boards
        ),
        look_next=look_next(total, {q: work.values[q] for q in unknown if _asked(q, unknown, settings)}),
    )


def _widened(fit: SavedFit, work: Work, total: Array, odds: float, seed: int, stretch: Stretch) -> float:
    """How many times as wide the range is as it would be if hours were sure to go on growing with the work."""
    sure = draw_hours(fit, replace(work, beyond={}), np.random.default_rng([seed, 3]), len(total))
    now, then = cut(total, odds), cut(sure.stretched(stretch).total, odds)
    return max((now[2] - now[0]) / (then[2] - then[0]), 1.0) if then[2] > then[0] else 1.0


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
