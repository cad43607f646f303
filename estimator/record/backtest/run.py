"""A shop's track record: hours and ready dates forecast anew, with what was worked out before read from its cache.

Ready dates are forecast on the day each board was taken on, and held against those that it kept and was told.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from scipy.special import ndtri

from estimator.bench.calendar import capacity_of
from estimator.bench.outlook import Hand, Outlook, told_dates
from estimator.bench.promises import SURE
from estimator.bench.waits import Waits
from estimator.forecast.calibration import (
    DATES,
    NOON,
    Stretch,
    stretch_file,
    stretched_days,
    stretches_from_json,
    stretches_to_json,
)
from estimator.log.cache import change, kept
from estimator.log.history import History, as_it_stood, said_by
from estimator.log.tellings import days_asked_for
from estimator.model.fit import fit_quickly, known_board
from estimator.model.saved_fit import Array, SavedFit
from estimator.record.backtest.replay import (
    REPLAY_VERSION,
    Forecast,
    Group,
    Replay,
    by_quarter,
    forecasts_from_json,
    forecasts_to_json,
    replayed,
)
from estimator.record.backtest.scores import pit
from estimator.record.backtest.track import NINE_TENTHS, count_of, to_forecast, track_record
from estimator.record.backtest.track_record import ODDS, Count, TrackRecord
from estimator.regress.stretch import learn_stretch
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.records import FOR_ASKED_LATER, TAKEN_ON, Board, Log
from estimator.words.settings.schema import Settings

MOST = 60  # boards, the newest: a bench full of boards is run through for each
DRAWS = 300
STEPS = tuple(p / 40 for p in range(1, 40))  # chances at which the days of a forecast are kept


@dataclass(frozen=True)
class DateReplay:
    """A log to look back on, and the boards whose ready dates are forecast anew, in order of the day taken on."""

    history: History
    boards: tuple[Board, ...]
    seed: int = 0

    @classmethod
    def of(cls, history: History, seed: int = 0) -> DateReplay:
        """The newest sixty boards of a log that were taken on, on a written day."""
        taken = [b for b in history.log.boards if b.accepted is not None and b.state in TAKEN_ON]
        taken.sort(key=lambda b: (b.accepted or dt.date.min, b.board))
        return cls(history, tuple(taken[-MOST:]), seed)

    @cached_property
    def keys(self) -> Mapping[str, str]:
        """By board a digest of all that its forecast hangs on."""
        moved = [replace(b, quoted=(b.accepted or dt.date.min) + A_DAY, later={}) for b in self.boards]
        hours = Replay(self.history, tuple(moved), self.seed).keys
        log, settings = self.history.log, self.history.settings
        keys = {}
        for board in self.boards:
            day = board.accepted or dt.date.min
            told = [(t.board, t.date, t.last) for t in log.told if t.date <= day]
            waits = [(w.board, w.first, w.cause, w.until if w.until and w.until <= day else None)
                     for w in log.waits if w.first <= day]  # fmt: skip
            weighed = [(w.board, w.date, w.weight_kg) for w in log.weighings if w.date <= day]
            said = repr([hours[board.board], settings.bench, told, waits, weighed, REPLAY_VERSION, DRAWS])
            keys[board.board] = hashlib.sha256(said.encode()).hexdigest()
        return keys

    def groups(self, wanted: Iterable[Board]) -> list[Group]:
        """The boards by the quarter in which they were taken on, each with the day before its first."""
        return by_quarter(wanted, lambda board: board.accepted or dt.date.min)

    def forecasts(self, day: dt.date, boards: Sequence[Board]) -> list[Forecast]:
        """Boards of one quarter; rates and waits are those known on the day before its first."""
        settings = self.history.settings
        settings = replace(settings, rules=said_by(settings.rules, day))  # of hours and of days alike
        stood = self.history.on(day)
        try:
            fit = fit_quickly(
                stood,
                settings,
                as_of=day,
                seed=self.seed,
                worked=self.history.worked_on(day),
            ).fit
        except NoAnswerError as error:
            return [Forecast(board.board, (), why=error.wrong) for board in boards]
        waits = Waits.fitted(stood, settings, fit, seed=self.seed)
        return [self.forecast(board, fit, waits) for board in boards]

    def forecast(self, board: Board, fit: SavedFit, waits: Waits) -> Forecast:
        """One board: days from the day it was taken on until it is ready, at the chances of STEPS."""
        settings, day = self.history.settings, board.accepted
        assert day is not None
        stood = self.history.on(day)
        boards = tuple(known_board(one.board, one.worked) for one in self.history.boards_on(day))
        now = replace(fit, boards=boards)
        first = day + A_DAY
        hand = Hand(stood, settings, now, waits, first, self.seed, DRAWS)
        outlook = Outlook.of(hand, capacity_of(stood, settings.bench, first, seed=self.seed))
        at = outlook.place_of(board.board)
        if at is None:
            return Forecast(
                board.board, (), why=outlook.left_out.get(board.board, "it was not in hand that day")
            )
        try:
            ready = outlook.finished(alone=at).ready[at] + 1
        except NoAnswerError as error:
            return Forecast(board.board, (), why=error.wrong)
        return Forecast(board.board, tuple(np.quantile(ready, STEPS, method="inverted_cdf").tolist()))


WEIGHT = 60.0  # boards that "no stretch" counts for
Landed = tuple[
    dt.date, float
]  # the day from which it is known, and where a board landed, as a standard normal point


@dataclass(frozen=True, slots=True)
class DateRecord:
    """How ranges of dates went.

    shown: of ranges as they would have been shown, stretched as of then; raw: before the stretch; empty where no board
        counts
    stretch: (low, high), of ranges said from now on; learned_from: from how many boards
    asked_later: boards that do not count, as their owners asked for more once they were taken on
    """

    shown: tuple[Count, ...] = ()
    raw: tuple[Count, ...] = ()
    stretch: tuple[float, float] = (1.0, 1.0)
    learned_from: int = 0
    asked_later: tuple[str, ...] = ()


def date_record(log: Log, forecasts: Mapping[str, Forecast], today: dt.date, seed: int = 0) -> DateRecord:
    """How ranges of dates went that would have been said on the day each board was taken on.

    forecasts: by board; seed: breaks ties where many draws of a forecast are the same

    Boards count as in the record of hours: of quarters of which nine tenths are ready, and those that are late already.
    Of one whose owner asked for more later the days that this added are taken off; where they were not worked out it
    does not count. A board teaches the stretch once
    the last of its forecast days is over, ready or not: of boards taken on lately only the quick ones are ready.
    """
    thens = dates_then(log, forecasts, seed)
    landed = landed_of(thens)
    quarters = defaultdict(list)
    for then in thens:
        quarters[then.accepted.year, (then.accepted.month - 1) // 3].append(then)
    sides: dict[tuple[bool, float], list[int | None]] = {(s, o): [] for s in (True, False) for o in ODDS}
    for some in quarters.values():
        whole = sum(then.days is not None for then in some) >= NINE_TENTHS * len(some)
        for then in some:
            factors = then.factors(landed)
            for (stretched, odds), seen in sides.items():
                side = then.side(odds, today, factors if stretched else (1.0, 1.0))
                if whole or (side == 1 and then.days is None):
                    seen.append(side)
    shown, raw = (
        tuple(count_of(seen, odds) for (stretched, odds), seen in sides.items() if stretched is which)
        for which in (True, False)
    )
    return DateRecord(
        shown=shown if any(sides.values()) else (),
        raw=raw if any(sides.values()) else (),
        stretch=learned(landed, today),
        learned_from=sum(day <= today for day, _ in landed),
        asked_later=tuple(log.by_id[name].name for name in _asked_later(log) if name in forecasts),
    )


@dataclass(frozen=True, slots=True)
class DatesThen:
    """When a board would have been said to be ready, in days since it was taken on, and what came.

    points: whole days at the chances of STEPS; days: until it was ready, None where it is not; begun: on the day it was
    taken on; z: where it landed, as a standard normal point; over: the day on which the last of its points is over
    wished: days that its owner's wishes added since, taken off the days that it took
    """

    board: Board
    accepted: dt.date
    points: Array
    days: int | None
    begun: bool
    z: float
    wished: int = 0

    @property
    def over(self) -> dt.date:
        """The day from which it teaches."""
        return self.accepted + (int(self.points[-1]) + self.wished) * A_DAY

    def factors(self, landed: Sequence[Landed], weight: float = WEIGHT) -> tuple[float, float]:
        """The stretch that was known when it was taken on; of boards that are begun dates are not moved."""
        return (1.0, 1.0) if self.begun else learned(landed, self.accepted, weight)

    def range(self, odds: float, factors: tuple[float, float]) -> tuple[int, int]:
        """The range in days after the stretch, both ends included."""
        points = stretched_days(self.points, self.points[STEPS.index(0.5)], *factors)
        low, high = np.ceil(np.interp([(1 - odds) / 2, (1 + odds) / 2], STEPS, points) - 1e-9)
        return int(low), int(high)

    def side(self, odds: float, today: dt.date, factors: tuple[float, float]) -> int | None:
        """-1 sooner than the range, 0 in it, 1 later, None where it may still be either."""
        low, high = self.range(odds, factors)
        if self.days is None:
            return 1 if (today - self.accepted).days - self.wished > high else None
        return -1 if self.days < low else int(self.days > high)


def dates_then(log: Log, forecasts: Mapping[str, Forecast], seed: int = 0) -> list[DatesThen]:
    """The boards with a forecast, but for those that were owed a date later by nobody knows how much."""
    late = _asked_later(log)
    return [
        _then(b, forecasts[b.board], log, seed)
        for b in log.boards
        if b.accepted is not None
        and b.board in forecasts
        and forecasts[b.board].hours
        and b.board not in late
    ]


def landed_of(thens: Iterable[DatesThen]) -> list[Landed]:
    """Where boards landed that were in line when they were taken on, each with the day from which that is known."""
    return [(then.over, then.z) for then in thens if not then.begun]


def learned(landed: Iterable[Landed], day: dt.date, weight: float = WEIGHT) -> tuple[float, float]:
    """The stretch that was known at the end of a day; weight: boards that "no stretch" counts for."""
    return learn_stretch([z for over, z in landed if over <= day], weight)


def _then(board: Board, forecast: Forecast, log: Log, seed: int) -> DatesThen:
    """A board with its forecast; one that is not ready by the last of its points landed beyond them."""
    assert board.accepted is not None
    points, ready = np.ceil(np.array(forecast.hours) - 1e-9), _ready(board)
    wished = days_asked_for(log.told).get(board.board, 0)
    days = None if ready is None else (ready - board.accepted).days - wished
    landed = points[-1] + 1 if days is None else max(min(days, points[-1] + 1), 1)
    rng = np.random.default_rng([seed, 7, zlib.crc32(board.board.encode())])
    chance = pit((points - NOON)[None], np.array(STEPS), np.array([landed - NOON]), rng)[0]
    begun = any(e.board == board.board and e.hours > 0 and e.date <= board.accepted for e in log.entries)
    return DatesThen(board, board.accepted, points, days, begun, float(ndtri(chance)), wished)


def _asked_later(log: Log) -> list[str]:
    """Boards of which the owner asked for more once they were taken on, and nobody worked out by how many days.

    By their row, or by what was told then.
    """
    known = days_asked_for(log.told)
    on: dict[str, dt.date] = {}
    for told in log.told:
        if told.because == FOR_ASKED_LATER:
            on[told.board] = max(told.date, on.get(told.board, told.date))
    return [
        board.board
        for board in log.boards
        if board.accepted is not None
        and board.board not in known
        and (any(board.later.values()) or board.board in on)
        and on.get(board.board, dt.date.max) > board.accepted
    ]


def _ready(board: Board) -> dt.date | None:
    """The day on which a board was ready."""
    return board.ready or board.collected


def promises_kept(log: Log, today: dt.date) -> Count | None:
    """How many boards were ready by the last date of the first telling, which is to hold 9 times in 10.

    None where no date was told. A board not ready whose date has passed is late already.
    """
    told = told_dates(log.told, [b for b in log.boards if b.state in TAKEN_ON])
    sides: list[int | None] = []
    for name, dates in told.items():
        ready = _ready(log.by_id[name])
        if ready is None:
            sides.append(1 if today > dates.first_last else None)
        else:
            sides.append(int(ready > dates.first_last))
    return count_of(sides, SURE) if sides else None


MOST_KEPT = 4  # forecasts of one board, the newest: of other days, or of a log that was mended since


def look_back(
    log: Log,
    settings: Settings,
    fit: SavedFit,
    cache: Path,
    *,
    today: dt.date,
    seed: int = 0,
    jobs: int = -1,
    progress: Callable[[int, int], None] | None = None,
) -> TrackRecord:
    """How past ranges went by the end of a day; forecasts and the stretches are kept in the cache.

    fit: of the same log as of the same day; jobs: processes, -1 for one a core
    progress: told how many boards of how many are done, where any must be forecast anew
    """
    stood = as_it_stood(log, settings, today)
    replay = Replay.of(stood, settings, to_forecast(stood), seed)
    by_date = DateReplay.of(replay.history, seed)
    all_of_them = len(replay.boards) + len(by_date.boards)

    def told(before: int) -> Callable[[int, int], None] | None:
        return None if progress is None else lambda done, _: progress(before + done, all_of_them)

    made = _kept_or_made(
        cache / f"record-{REPLAY_VERSION}.json",
        lambda known: replayed(replay, known, jobs=jobs, progress=told(0)),
    )
    dates = _kept_or_made(
        cache / f"dates-{REPLAY_VERSION}.json",
        lambda known: replayed(by_date, known, jobs=jobs, progress=told(len(replay.boards))),
    )
    hours = {board.board: board.hours for board in fit.boards if board.hours}
    said = track_record(stood, settings, {f.board: f for f in made.values()}, hours, today=today, seed=seed)
    days = date_record(stood, {f.board: f for f in dates.values()}, today, seed)
    said = replace(
        said,
        dates=days.shown,
        raw_dates=days.raw,
        stretch_of_dates=days.stretch,
        dates_from=days.learned_from,
        dates_asked_later=days.asked_later,
        promises=promises_kept(stood, today),
        taught=sum(bool(board.taught) for board in fit.boards),
    )
    _keep_stretches(
        cache,
        [
            *([Stretch(*said.stretch, said.as_of)] if said.learned_from else []),
            *([Stretch(*said.stretch_of_dates, said.as_of, DATES)] if said.dates_from else []),
        ],
    )
    return said


def _kept_or_made(
    file: Path, make: Callable[[Mapping[str, Forecast]], dict[str, Forecast]]
) -> dict[str, Forecast]:
    """The forecasts, those of the file as they are; what is made anew is kept there too."""
    known = _known(kept(file))
    made = make(known)
    if not made.keys() <= known.keys():
        # another process may have kept others meanwhile: they stay
        change(file, lambda text: forecasts_to_json(newest_of_each({**_known(text), **made})))
    return made


def newest_of_each(forecasts: Mapping[str, Forecast]) -> dict[str, Forecast]:
    """The last few forecasts of each board, in the order in which they stand.

    >>> made = {str(n): Forecast("26-014", (float(n),)) for n in range(6)} | {"x": Forecast("26-015", (1.0,))}
    >>> list(newest_of_each(made))
    ['2', '3', '4', '5', 'x']
    """
    of: dict[str, list[str]] = defaultdict(list)
    for key, forecast in forecasts.items():
        of[forecast.board].append(key)
    stay = {key for keys in of.values() for key in keys[-MOST_KEPT:]}
    return {key: forecast for key, forecast in forecasts.items() if key in stay}


def _known(text: str) -> dict[str, Forecast]:
    """The forecasts of a text, by key; of any other text none."""
    try:
        return forecasts_from_json(text)
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}


def _keep_stretches(cache: Path, taught: Iterable[Stretch]) -> None:
    """Keeps what one day's record taught beside that of other days."""
    new = {(one.day, one.of): one for one in taught}

    def with_new(text: str) -> str:
        known = {(one.day, one.of): one for one in stretches_from_json(text)}
        return text if known == known | new else stretches_to_json((known | new).values())

    change(stretch_file(cache), with_new)
