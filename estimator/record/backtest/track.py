"""The track record of a shop, from its past boards forecast anew: counts, scores, who was nearer, own guesses."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, stdtr, stdtrit

from estimator.forecast.calibration import stretched
from estimator.log.history import History
from estimator.log.tellings import first_tellings
from estimator.model.saved_fit import Array
from estimator.record.backtest.replay import GRID, Forecast, eve
from estimator.record.backtest.scores import (
    bias,
    clopper_pearson,
    crps_of_quantiles,
    interval_score,
    luck_band,
    pit,
)
from estimator.record.backtest.track_record import (
    CORRECTED,
    ENOUGH,
    ODDS,
    OWN_GUESS,
    RIVALS,
    Calibration,
    Count,
    JudgedBoard,
    Rival,
    Scores,
    TrackRecord,
)
from estimator.regress.stretch import learn_stretch
from estimator.words.records import FINISHED, SHOP, TAKEN_ON, Board, Log
from estimator.words.settings.schema import Settings

GUESS_ODDS = 0.8  # what a guessed low and high are taken to promise
QUARTER = 0.25  # of the guess: a board within it came out about as guessed
FEWEST = 5  # guesses below which nothing is usual, and equal ones may be chance
HALF_HOUR = 0.5  # hours in the step to which a copied guess equals the board's
HAIR = 1e-9  # hours, for sums of thirds of an hour

COMMON_FINDING = (0.9, 0.6, 0.7)
"""Experts' ranges that are to hold the first share of times hold from the second to the third, in software work.

Source: M. Jørgensen, K. H. Teigen & K. Moløkken (2004), Better sure than safe? Over-confidence in judgement based
software development effort prediction intervals, J. Systems & Software 70:79-93. That such ranges are much too
narrow stands in its abstract; the two shares are from memory.
"""


def calibration_of(boards: Sequence[Board], hours: Mapping[str, float | None]) -> Calibration:
    """How the restorer's own guesses went, on the boards of which all hours are known.

    boards: of the log; hours: by board all that it took, of finished boards of which none are missing

    A guess that was remembered afterwards, or that has no quote date, is left out and counted. The usual ratio and
    its 10 and 90 % need five guesses, `too_narrow` eight ranges; both are quantiles that the next board stays under
    as often as they say (k-th of n: k/(n + 1)), as far as so few can tell.

    Source: ours; for quantiles, Weibull's positions: Hyndman & Fan (1996), Am. Stat. 50:361-365, type 6.

    >>> import datetime as dt
    >>> day = dt.date(2026, 3, 2)
    >>> boards = [Board(str(n), quoted=day, guess_low=20, guess_high=20, state="finished") for n in range(5)]
    >>> found = calibration_of(boards, {"0": 18, "1": 22, "2": 24, "3": 26, "4": 30})
    >>> found.of, round(found.usual, 9), found.within
    (5, 1.2, 3)
    """
    over = [b for b in boards if b.finished and b.guess and hours.get(b.board)]
    before = [b for b in over if not b.from_memory]
    judged = [b for b in before if b.quoted is not None]
    rows = [(b.guess, b.guess_low, b.guess_high, hours[b.board], b.total_grain or 0) for b in judged]
    guess, low, high, took, grain = np.array(rows, dtype=float).reshape(-1, 5).T
    ratio = np.log(took / guess)
    usual: list[float | None] = [None, None, None]
    if len(judged) >= FEWEST:
        usual = np.exp(np.quantile(ratio, [0.1, 0.5, 0.9], method="weibull")).tolist()

    ranged = high > low
    n = int(ranged.sum())
    held = int((ranged & (low - HAIR <= took) & (took <= high + HAIR)).sum())
    off = np.abs(ratio[ranged]) / np.log(high[ranged] / guess[ranged])  # in half widths, on the log scale

    # a guess of 3 days may well equal 3 days
    equal = ~ranged & (np.abs(took - guess) <= HALF_HOUR / 2 + HAIR) & (grain <= HALF_HOUR)
    copied = int(equal.sum())
    return Calibration(
        of=len(judged),
        usual=usual[1],
        low=usual[0],
        high=usual[2],
        within=int((np.abs(took - guess) <= QUARTER * guess + HAIR).sum()),
        ranges=n,
        held=held,
        band=luck_band(n, GUESS_ODDS) if n else None,
        truly=clopper_pearson(held, n) if n else None,
        too_narrow=float(np.quantile(off, GUESS_ODDS, method="weibull")) if n >= ENOUGH else None,
        copied=copied,
        suspicious=copied >= FEWEST and 2 * copied > len(judged),
        from_memory=len(over) - len(before),
        undated=len(before) - len(judged),
    )


def stretched_points(points: ArrayLike, probs: Sequence[float], factors: tuple[float, float]) -> Array:
    """The points of a forecast after the stretch; points: hours at the chances `probs`, (..., k)."""
    hours = np.asarray(points, dtype=float)
    middle = hours[..., [probs.index(0.5)]]
    return stretched(hours, middle, *factors)


@dataclass(frozen=True)
class Then:
    """A board, what would have been said of it, what it took and by when.

    raw, shown: hours at the chances of GRID, before and after the stretch that was known on its quote date
    hours: all its hours; None where it is in hand or hours are missing; so_far: booked by today
    """

    board: Board
    raw: Array
    shown: Array
    hours: float | None
    so_far: float
    ended: dt.date | None
    rivals: Mapping[str, Array]

    def range(self, odds: float, points: Array | None = None) -> tuple[float, float]:
        """Low and high as they would have been shown; of other points where these are given."""
        side = (1 - odds) / 2
        low, high = np.interp([side, 1 - side], GRID, self.shown if points is None else points)
        return float(low), float(high)

    def side(self, odds: float, points: Array | None = None) -> int | None:
        """-1 quicker than the range, 0 inside, 1 slower, None where it may still be either."""
        low, high = self.range(odds, points)
        if self.hours is None:
            return 1 if self.so_far > high else None
        return -1 if self.hours < low else int(self.hours > high)


def count_of(sides: Iterable[int | None], odds: float) -> Count:
    """How many boards landed where."""
    seen = list(sides)
    known = [side for side in seen if side is not None]
    return Count(
        odds=odds,
        held=known.count(0),
        below=known.count(-1),
        above=known.count(1),
        of=len(known),
        band=luck_band(len(known), odds),
        pending=len(seen) - len(known),
    )


CLOSER = 1e-9  # hours by which one is closer: less is from adding up
SHOWN = 0.8  # odds of the range that is scored


def rivals_of(over: Sequence[Then], *, guesses: bool) -> tuple[Rival, ...]:
    """Every rival that had enough to go by on two boards or more; guesses: whether those are the restorer's own."""
    found = []
    for name in RIVALS:
        if name in {OWN_GUESS, CORRECTED} and not guesses:
            continue
        if name == OWN_GUESS:
            some = [t for t in over if t.board.guess is not None and not t.board.from_memory]
            theirs = np.array([np.full(len(GRID), t.board.guess) for t in some])
        else:
            some = [t for t in over if name in t.rivals]
            theirs = np.array([t.rivals[name] for t in some])
        if len(some) > 1:
            found.append(_rival(name, some, theirs))
    return tuple(found)


def _rival(name: str, some: Sequence[Then], theirs: Array) -> Rival:
    """One rival against what would have been shown, on the boards that both can be judged on."""
    took, shown = np.array([t.hours for t in some], dtype=float), np.array([t.shown for t in some])
    crps, ours = crps_of_quantiles(theirs, GRID, took), crps_of_quantiles(shown, GRID, took)
    gain = crps - ours
    n, mean = len(some), float(gain.mean())
    room = float(gain.std(ddof=1)) / np.sqrt(n) * float(stdtrit(n - 1, 0.9))
    off, our_off = (np.abs(took - middles(points)) for points in (theirs, shown))
    ranged = name != OWN_GUESS
    return Rival(
        name=name,
        of=n,
        nearer=int((gain > 0).sum()),
        crps=float(crps.mean()),
        ours=float(ours.mean()),
        gain=mean,
        gain_low=mean - room,
        gain_high=mean + room,
        chance=truly_above(gain),
        off=float(off.mean()),
        our_off=float(our_off.mean()),
        closer=int((off - our_off > CLOSER).sum()),
        off_chance=truly_above(off - our_off),
        interval_score=float(interval_scores(theirs, took).mean()) if ranged else None,
        our_interval_score=float(interval_scores(shown, took).mean()),
        held=tuple(
            count_of((t.side(odds, q) for t, q in zip(some, theirs, strict=True)), odds) for odds in ODDS
        )
        if ranged
        else (),
    )


def middles(points: Array) -> Array:
    """The middle of each forecast, (n,): as likely passed as not."""
    return np.array([np.interp(0.5, GRID, one) for one in points])


def truly_above(gain: Array) -> float:
    """How surely a gain is above nought, by luck of which boards came in: by Student's law; 1 or 0 where all are alike.

    >>> truly_above(np.array([1.0, 1.0])), truly_above(np.array([-1.0, 1.0]))
    (1.0, 0.5)
    """
    n, mean = len(gain), float(gain.mean())
    error = float(gain.std(ddof=1)) / np.sqrt(n)
    return float(stdtr(n - 1, mean / error)) if error > 0 else float(mean > 0)


def interval_scores(points: Array, took: Array) -> Array:
    """Interval scores of the ranges at 8 in 10, (n,)."""
    return interval_score(points[:, GRID.index(0.1)], points[:, GRID.index(0.9)], took, SHOWN)


NINE_TENTHS = 0.9  # of a quarter's boards, which must be finished before the quarter counts
WETNESS, WET = "wetness", 2.0  # the condition, and the grade from which a board looked wet


def to_forecast(log: Log) -> tuple[Board, ...]:
    """The boards whose hours can be held against a forecast: taken on, and with a day on which they were quoted."""
    return tuple(b for b in log.boards if b.state in TAKEN_ON and b.quoted is not None)


def track_record(
    log: Log,
    settings: Settings,
    forecasts: Mapping[str, Forecast],
    hours: Mapping[str, float],
    *,
    today: dt.date,
    seed: int = 0,
) -> TrackRecord:
    """How ranges would have gone, had this model been asked on each quote date.

    forecasts: by board; hours: all hours of each board that is finished and of which none are missing
    seed: breaks ties where many draws of a forecast are the same
    """
    history = History(log, settings)
    rng = np.random.default_rng([seed, 5])
    left_out: dict[str, list[str]] = defaultdict(list)
    boards = _usable(log, forecasts, hours, left_out)
    landed = [
        (day, float(ndtri(_pit(forecasts[b.board].hours, hours[b.board], rng))))
        for b in boards
        if b.board in hours and (day := history.ended(b)) is not None
    ]
    thens = [
        _then(b, forecasts[b.board], hours.get(b.board), landed, history, today) for b in boards if b.quoted
    ]
    counted = _counted(thens, left_out)
    over = [then for then in counted if then.hours is not None]
    calibration = calibration_of(log.boards, hours)
    stretch = learn_stretch([z for day, z in landed if day <= today])
    return TrackRecord(
        as_of=today.isoformat(),
        shown=_scores(counted, [then.shown for then in counted]),
        raw=_scores(counted, [then.raw for then in counted]),
        rivals=rivals_of(over, guesses=not calibration.suspicious),
        stretch=stretch,
        learned_from=len(landed),
        boards=tuple(_judged(then) for then in counted),
        calibration=calibration,
        groups=_groups(counted),
        told=_told(log, hours),
        told_struck_out=len(log.struck),
        left_out={reason: tuple(names) for reason, names in left_out.items()},
        missing=max(ENOUGH - len(over), 0),
        landed=_in_order(thens, rng),
    )


def _in_order(thens: Sequence[Then], rng: np.random.Generator) -> tuple[tuple[str, str, float], ...]:
    """The finished boards as they were finished, with the normal score of each in what would have been shown."""
    found = [
        (then.board.board, then.ended.isoformat(), float(ndtri(_pit(then.shown.tolist(), then.hours, rng))))
        for then in thens
        if then.hours is not None and then.ended is not None
    ]
    return tuple(sorted(found, key=lambda one: (one[1], one[0])))


def _usable(
    log: Log,
    forecasts: Mapping[str, Forecast],
    hours: Mapping[str, float],
    left_out: dict[str, list[str]],
) -> list[Board]:
    """The boards with a forecast, in order of quote date; the others are counted and named."""
    boards = []
    for board in log.boards:
        if board.state not in TAKEN_ON:
            continue
        if board.quoted is None:
            left_out["no quote date"].append(board.name)
        elif not forecasts[board.board].hours:
            left_out["nothing told of it yet on its quote date"].append(board.name)
        elif board.state == FINISHED and board.board not in hours:
            left_out["hours are missing"].append(board.name)
        else:
            boards.append(board)
    return sorted(boards, key=lambda b: (b.quoted or dt.date.min, b.board))


def _pit(points: Sequence[float], hours: float, rng: np.random.Generator) -> float:
    """The chance that the forecast gave to so many hours or fewer."""
    return float(pit(np.array([points]), np.array(GRID), np.array([hours]), rng)[0])


def _then(
    board: Board,
    forecast: Forecast,
    hours: float | None,
    landed: Sequence[tuple[dt.date, float]],
    history: History,
    today: dt.date,
) -> Then:
    """A board with what would have been shown of it."""
    day = eve(board)
    factors = learn_stretch([z for ended, z in landed if ended <= day])
    raw = np.array(forecast.hours)
    return Then(
        board=board,
        raw=raw,
        shown=stretched_points(raw, GRID, factors),
        hours=hours,
        so_far=sum(e.hours for e in history.rows.get(board.board, ()) if e.last <= today),
        ended=history.ended(board),
        rivals={name: np.array(points) for name, points in forecast.rivals.items()},
    )


def _counted(thens: Sequence[Then], left_out: dict[str, list[str]]) -> list[Then]:
    """The boards that count: of the quarters of which nine tenths are finished, and what is past its range already.

    Of younger quarters the quick boards are finished and the slow ones are not, so that they would flatter.
    """
    quarters = defaultdict(list)
    for then in thens:
        assert then.board.quoted is not None
        quarters[then.board.quoted.year, (then.board.quoted.month - 1) // 3].append(then)
    counted = []
    for _, some in sorted(quarters.items()):
        whole = sum(then.hours is not None for then in some) >= NINE_TENTHS * len(some)
        for then in some:
            if whole or (then.hours is None and then.side(SHOWN) == 1):
                counted.append(then)
            elif then.hours is not None:
                left_out["quoted in a quarter with boards still in hand"].append(then.board.name)
            else:
                left_out["still in hand"].append(then.board.name)
    return counted


def _scores(counted: Sequence[Then], points: Sequence[Array]) -> Scores:
    """Counts and scores of the boards by the points given for each."""
    held = tuple(
        count_of((t.side(odds, p) for t, p in zip(counted, points, strict=True)), odds) for odds in ODDS
    )
    both = [(t.hours, p) for t, p in zip(counted, points, strict=True) if t.hours is not None]
    if not both:
        return Scores(held, None, None, None)
    took, q = np.array([hours for hours, _ in both]), np.array([p for _, p in both])
    return Scores(
        held=held,
        interval_score=float(interval_scores(q, took).mean()),
        crps=float(crps_of_quantiles(q, GRID, took).mean()),
        bias=float(bias(took, q[:, GRID.index(0.5)])),
    )


def _judged(then: Then) -> JudgedBoard:
    """One board as it is shown."""
    board = then.board
    low, high = then.range(SHOWN)
    looked = board.assessed.get(WETNESS)
    assert board.quoted is not None
    return JudgedBoard(
        board=board.board,
        called=board.called,
        known=board.known,
        kind=board.kind,
        quoted=board.quoted.isoformat(),
        low=low,
        likely=float(then.shown[GRID.index(0.5)]),
        high=high,
        hours=then.hours,
        side=then.side(SHOWN),
        so_far=then.so_far,
        finished="" if then.hours is None or then.ended is None else then.ended.isoformat(),
        cost_time=board.cost_time,
        guess=None if board.from_memory else board.guess,
        wet=None if looked is None else looked >= WET,
    )


def _groups(counted: Sequence[Then]) -> dict[str, Count]:
    """Counts at 8 in 10 by sort of job, and by whether boards looked wet, in that order."""
    some: dict[str, list[int | None]] = defaultdict(list)
    for then in sorted(counted, key=lambda t: t.board.kind):
        if then.board.kind:
            some[f"kind {then.board.kind}"].append(then.side(SHOWN))
    for then in counted:
        looked = then.board.assessed.get(WETNESS)
        if looked is not None:
            some["wet" if looked >= WET else "dry"].append(then.side(SHOWN))
    return {name: count_of(sides, SHOWN) for name, sides in some.items()}


def _told(log: Log, hours: Mapping[str, float]) -> tuple[Count, ...]:
    """How many of the hours that owners were first told came true, by the odds they were told with."""
    sides: dict[float, list[int | None]] = defaultdict(list)
    booked: dict[str, float] = defaultdict(float)
    for entry in log.entries:
        booked[entry.board] += entry.hours
    for name, told in first_tellings(log.told).items():
        if name == SHOP or told.hours_low is None or told.hours_high is None or name not in log.by_id:
            continue
        took = hours.get(name)
        if took is None:
            side = 1 if booked[name] > told.hours_high else None
        else:
            side = -1 if took < told.hours_low else int(took > told.hours_high)
        sides[told.odds or SHOWN].append(side)
    return tuple(count_of(some, odds) for odds, some in sorted(sides.items()))
