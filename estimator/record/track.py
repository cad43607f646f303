"""The track record of a shop, from its past boards forecast anew."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.special import ndtri

from estimator.log.as_it_stood import History
from estimator.log.tellings import first_tellings
from estimator.model.saved_fit import Array
from estimator.record.against import SHOWN, interval_scores, rivals_of
from estimator.record.own_guesses import calibration_of
from estimator.record.replay import GRID, Forecast, eve
from estimator.record.scores import bias, crps_of_quantiles, pit
from estimator.record.stretch import stretched_points
from estimator.record.then import Then, count_of
from estimator.record.track_record import (
    ENOUGH,
    ODDS,
    Count,
    Judged,
    Scores,
    TrackRecord,
)
from estimator.regress.stretch import learn_stretch
from estimator.words.records import FINISHED, SHOP, TAKEN_ON, Board, Log
from estimator.words.settings import Settings

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


def _judged(then: Then) -> Judged:
    """One board as it is shown."""
    board = then.board
    low, high = then.range(SHOWN)
    looked = board.assessed.get(WETNESS)
    assert board.quoted is not None
    return Judged(
        board=board.board,
        called=board.called,
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
