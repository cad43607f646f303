"""A shop's track record, with what was worked out before read from its cache."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from estimator.forecast.calibration import (
    DATES,
    Stretch,
    stretch_file,
    stretches_from_json,
    stretches_to_json,
)
from estimator.log.cache import change, kept
from estimator.log.history import as_it_stood
from estimator.model.saved_fit import SavedFit
from estimator.record.backtest.replay import (
    REPLAY_VERSION,
    Forecast,
    Replay,
    forecasts_from_json,
    forecasts_to_json,
    replayed,
)
from estimator.record.backtest.replay_dates import DateReplay, date_record, promises_kept
from estimator.record.backtest.track import to_forecast, track_record
from estimator.record.backtest.track_record import TrackRecord
from estimator.words.records import Log
from estimator.words.settings.schema import Settings

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
