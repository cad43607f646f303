"""Past boards forecast anew, each from what was known the day before it was quoted."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np

from estimator.forecast.views import drawn_board
from estimator.log.history import History, said_by
from estimator.model.fit import QUICK_ROWS, Learned, fit_quickly, known_board
from estimator.model.saved_fit import MODEL_VERSION, Array, KnownBoard, SavedFit
from estimator.record.backtest.rivals import rivals_then
from estimator.record.workers import each
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Settings

REPLAY_VERSION = 6
GRID = tuple(p / 200 for p in range(1, 200))  # chances at which the hours of a forecast are kept
DRAWS = 8000  # of a board's hours
DIGITS = 6
PLACES = frozenset({"where", "accepted"})  # fields that say where or how a thing is written, not what it says
Points = tuple[float, ...]
Group = tuple[dt.date, tuple[Board, ...]]  # boards of one quarter, and the day before its first


@dataclass(frozen=True, slots=True)
class Forecast:
    """What would have been said of a board on its quote date.

    hours: at the chances of GRID, before any stretch; empty where no range could be given, and `why` says why
    rivals: by name the same of other ways of saying it, as far as they had enough to go by
    """

    board: str
    hours: Points
    rivals: Mapping[str, Points] = field(default_factory=dict)
    why: str = ""


class Replays(Protocol):
    """Boards of the past that can be forecast anew, quarter by quarter."""

    @property
    def boards(self) -> tuple[Board, ...]:
        """All of them."""

    @property
    def keys(self) -> Mapping[str, str]:
        """By board a digest of all that its forecast hangs on."""

    def groups(self, wanted: Iterable[Board]) -> list[Group]:
        """Some of the boards by quarter."""

    def forecasts(self, day: dt.date, boards: Sequence[Board]) -> list[Forecast]:
        """The forecasts of one group."""


@dataclass(frozen=True)
class Replay:
    """A log to look back on, and the boards to forecast anew, in order of quote date."""

    history: History
    boards: tuple[Board, ...]
    seed: int = 0

    @classmethod
    def of(cls, log: Log, settings: Settings, boards: Iterable[Board], seed: int = 0) -> Replay:
        """Boards without a quote date are left out."""
        quoted = sorted(
            (b for b in boards if b.quoted is not None), key=lambda b: (b.quoted or dt.date.min, b.board)
        )
        return cls(History(log, settings), tuple(quoted), seed)

    @cached_property
    def keys(self) -> Mapping[str, str]:
        """By board a digest of all that its forecast hangs on; what came later does not change it."""
        # rows of hours are digested once, running, in the order in which they were written: each board's
        # digest is a copy as of the evening before its quote. So a new row leaves the keys of earlier boards
        # as they are
        entries = sorted(self.history.log.entries, key=lambda e: (e.last, e.date, e.board))
        lines = [(e.last, _said(e)) for e in entries]
        settings = self.history.settings
        named = (settings.stages, settings.drivers, settings.modifiers, settings.kinds)
        shop = repr([*map(dict, named), self.seed, MODEL_VERSION, REPLAY_VERSION, GRID, DRAWS])
        rules = [(rule, _said(rule)) for rule in settings.rules]
        texts: dict[tuple[str, int], str] = {}  # of boards, by how often something of them had been written
        running, at, keys = hashlib.sha256(shop.encode()), 0, {}
        for board in self.boards:
            day = eve(board)
            while at < len(lines) and lines[at][0] <= day:
                running.update(lines[at][1].encode())
                at += 1
            known = running.copy()
            # how every board stood that evening, by what was known of it then (METHODS M1), and the rules
            # said by then
            for stood in self.history.boards_on(day):
                which = (stood.board.board, stood.written)
                text = texts.get(which) or texts.setdefault(which, _said(stood.board))
                known.update(text.encode())
            known.update("".join(text for rule, text in rules if said_by((rule,), day)).encode())
            known.update(_said(board_then(board)).encode())
            keys[board.board] = known.hexdigest()
        return keys

    def groups(self, wanted: Iterable[Board]) -> list[Group]:
        """The boards by the quarter in which they were quoted, each with the day before its first."""
        return by_quarter(wanted, eve)

    def forecasts(self, day: dt.date, boards: Sequence[Board]) -> list[Forecast]:
        """Boards of one quarter forecast anew; the fit before its first day is where each search begins."""
        # with many rows the fit of the quarter's first day is where each board's search for the mode begins
        # (decision 20)
        many = len(self.history.on(day).entries) > QUICK_ROWS
        near = self._learned(day) if many else None
        return [self.forecast(board, near) for board in boards]

    def forecast(self, board: Board, near: Learned | None = None) -> Forecast:
        """One board forecast anew."""
        day = eve(board)
        try:
            learned = self._learned(day, near)
            known = known_board(board_then(board))
            hours = _drawn(learned.fit, known, self.history.settings, self.seed)
        except NoAnswerError as error:
            return Forecast(board.board, (), why=error.wrong)
        # rivals get what they would have had that day, and no more
        rivals = rivals_then(learned.fit.boards, known, self.history.settings, GRID)
        return Forecast(board.board, _points(hours), {name: _short(q) for name, q in rivals.items()})

    def _learned(self, day: dt.date, near: Learned | None = None) -> Learned:
        """What the log, as it stood at the end of a day, and the rules of thumb said."""
        settings = self.history.settings
        return fit_quickly(
            self.history.on(day),
            settings,
            as_of=day,
            seed=self.seed,
            rules=said_by(settings.rules, day),
            near=near,
            worked=self.history.worked_on(day),
        )


def eve(board: Board) -> dt.date:
    """The day before a board was quoted."""
    assert board.quoted is not None
    return board.quoted - A_DAY


def board_then(board: Board) -> Board:
    """A board as it was judged when quoted, with what its owner has asked for since added to it."""
    assessed = dict(board.assessed)
    for name, more in board.later.items():
        assessed[name] = assessed.get(name, 0.0) + more
    return replace(
        Board(board.board, kind=board.kind, outline=board.outline),
        length_m=board.length_m,
        width_m=board.width_m,
        assessed=assessed,
        worked_out=board.worked_out,
        guess_low=board.guess_low,
        guess_high=board.guess_high,
        from_memory=board.from_memory,
    )


def by_quarter(boards: Iterable[Board], day_of: Callable[[Board], dt.date]) -> list[Group]:
    """The boards by the quarter that a day of each lies in, each quarter with the day before its first."""
    quarters = defaultdict(list)
    for board in boards:
        day = day_of(board)
        quarters[dt.date(day.year, 3 * ((day.month - 1) // 3) + 1, 1) - A_DAY].append(board)
    return [(first, tuple(some)) for first, some in sorted(quarters.items())]


def replayed(
    replay: Replays,
    kept: Mapping[str, Forecast],
    *,
    jobs: int = -1,
    progress: Callable[[int, int], None] | None = None,
) -> dict[str, Forecast]:
    """Every board's forecast by its key: those that are kept as they are, the others made anew.

    kept: forecasts by key; jobs: processes, -1 for one a core; progress: told how many boards of how many are done
    """
    keys = replay.keys
    done = {key: kept[key] for key in keys.values() if key in kept}
    groups = replay.groups(board for board in replay.boards if keys[board.board] not in done)
    for made in _each(replay, groups, jobs):
        done.update({keys[forecast.board]: forecast for forecast in made})
        if progress is not None:
            progress(len(done), len(replay.boards))
    return done


def _each(replay: Replays, groups: Sequence[Group], jobs: int) -> Iterator[list[Forecast]]:
    """The forecasts of each group, in any order; in one process where there is one group at most."""
    if len(groups) < 2:
        yield from (replay.forecasts(*group) for group in groups)
        return
    longest_first: list[Group] = sorted(groups, key=lambda group: -len(group[1]))
    yield from each(replay.forecasts, longest_first, jobs=jobs)


def forecasts_to_json(forecasts: Mapping[str, Forecast]) -> str:
    """Forecasts by key as JSON text."""
    return json.dumps({key: asdict(forecast) for key, forecast in forecasts.items()}, separators=(",", ":"))


def forecasts_from_json(text: str) -> dict[str, Forecast]:
    """Forecasts by key; raises ValueError, KeyError or TypeError for any other text."""
    raw: dict[str, dict[str, Any]] = json.loads(text)
    if not all(math.isfinite(point) for one in raw.values() for point in one["hours"]):
        raise ValueError("hours that are no numbers")
    return {
        key: Forecast(
            board=str(one["board"]),
            hours=tuple(one["hours"]),
            rivals={name: tuple(points) for name, points in one["rivals"].items()},
            why=str(one["why"]),
        )
        for key, one in raw.items()
    }


def _drawn(fit: SavedFit, board: KnownBoard, settings: Settings, seed: int) -> Array:
    """Draws of a board's hours, before opening."""
    _, drawn, _ = drawn_board(fit, board, "before", settings, seed=seed, n_draws=DRAWS)
    return drawn.total


def _points(hours: Array) -> Points:
    """The hours at the chances of the grid."""
    return _short(np.quantile(hours, GRID))


def _short(hours: Iterable[float]) -> Points:
    """Hours to six digits, so that what is kept reads back the same."""
    return tuple(float(f"{h:.{DIGITS}g}") for h in hours)


def _said(record: object) -> str:
    """A record's fields but for its place in the file; the same text in every process."""
    named = [f.name for f in fields(record) if f.name not in PLACES]  # type: ignore[arg-type]  # a dataclass
    return repr([_in_order(getattr(record, name)) for name in named])


def _in_order(value: object) -> object:
    """A value whose text does not hang on how a set is kept."""
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return [(name, _in_order(one)) for name, one in value.items()]
    return value
