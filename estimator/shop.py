"""One workshop: its settings, its log, what was learned, and the answers. Interfaces call this alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from estimator.log.cache import CACHE, keep, kept
from estimator.log.names import board_named
from estimator.words.errors import EstimatorError, SettingsError, UnreadableError, UsageError
from estimator.words.problems import Problem
from estimator.words.records import FINISHED, Board, Log, Told
from estimator.words.settings import Settings
from estimator.words.settings_file import read_settings

if TYPE_CHECKING:
    import pandas as pd

    from estimator.forecast.ranges import Range
    from estimator.forecast.stretched import Stretch
    from estimator.log.tellings import Kept
    from estimator.model.saved_fit import SavedFit
    from estimator.record.track_record import TrackRecord
    from estimator.record.verdicts import Verdicts
    from estimator.words.rules import Rule


class Shop:
    """A workshop folder: `workshop.toml` and the log beside it.

    today: the day on which one looks; None is the day after the log's last entry
    seed: makes the draws; the same log, day and seed give the same answers
    """

    def __init__(self, folder: Path, settings: Settings, *, today: dt.date | None, seed: int) -> None:
        self.folder, self.settings, self.seed = folder, settings, seed
        self._today = today

    @classmethod
    def open(cls, folder: Path | str, *, today: dt.date | None = None, seed: int = 0) -> Shop:
        """The workshop in a folder; its log is read when first needed.

        Raises UsageError where there is no workshop, SettingsError where workshop.toml has problems.
        """
        settings, problems = read_settings(Path(folder))
        if problems:
            raise SettingsError(problems)
        return cls(Path(folder), settings, today=today, seed=seed)

    @cached_property
    def _read(self) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
        """The log with its problems and notes."""
        from estimator.log.reading import read_log

        return read_log(self.folder, self.settings, today=self._today)

    @property
    def log(self) -> Log:
        """All good rows of the log."""
        return self._read[0]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What the log has wrong, in order of place."""
        return self._read[1]

    @property
    def notes(self) -> tuple[Problem, ...]:
        """What is merely missing or odd; never wrong."""
        return self._read[2]

    @property
    def today(self) -> dt.date | None:
        """The day on which one looks; None in a workshop without a log where no day was given."""
        if self._today is not None:
            return self._today
        last = self.log.last_entry
        return None if last is None else last + dt.timedelta(days=1)

    @cached_property
    def boards(self) -> pd.DataFrame:
        """One row a board, columns as in the boards sheet, quantities in the drivers' units; empty is not known."""
        import pandas as pd

        plain = [f.name for f in fields(Board)]
        columns = [f for f in plain if f not in {"assessed", "found", "later", "worked_out", "where"}]
        rows = [
            {
                **{column: getattr(board, column) for column in columns},
                **{f"assessed_{name}": value for name, value in board.assessed.items()},
                **{f"found_{name}": value for name, value in board.found.items()},
                **{f"later_{name}": value for name, value in board.later.items()},
            }
            for board in self.log.boards
        ]
        return pd.DataFrame(rows, columns=None if rows else pd.Index(columns))

    @cached_property
    def hours(self) -> pd.DataFrame:
        """One row an entry: board, date, until, stage, hours, done, note."""
        import pandas as pd

        columns = ["board", "date", "until", "stage", "hours", "done", "note"]
        return pd.DataFrame([[getattr(e, c) for c in columns] for e in self.log.entries], columns=columns)

    def fit(self) -> SavedFit:
        """What the log and the rules of thumb say; from the cache where neither has changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        return self._fit

    @cached_property
    def _fit(self) -> SavedFit:
        """The saved fit, read from the cache or made and kept there."""
        from estimator.log.sources import log_digest
        from estimator.model.saved_fit import MODEL_VERSION, fit_from_json

        day = self._earlier
        name = f"fit-{MODEL_VERSION}-{self.seed}-{day or 'all'}-{log_digest(self.folder)}.json"
        file = self.folder / CACHE / name
        try:
            return fit_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.model.fit import fit

        log, rules = self._known_by(day)
        problems = self.problems if day is None else self._whole[1]
        learned = fit(log, self.settings, as_of=day, seed=self.seed, rules=rules, problems=len(problems))
        text = learned.to_json()
        keep(file, text)
        return fit_from_json(text)

    @property
    def _whole(self) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
        """The log as it is read where no day is too late."""
        from estimator.log.reading import read_log

        return read_log(self.folder, self.settings, today=None)

    @cached_property
    def _earlier(self) -> dt.date | None:
        """Today, where the log holds later days: then one looks from before it was written to its end."""
        if self._today is None:
            return None
        from estimator.log.as_it_stood import last_day
        from estimator.log.sources import log_digest

        file = self.folder / CACHE / f"last-{log_digest(self.folder)}.json"
        last = kept(file)
        if not last:
            day = last_day(self._whole[0])
            last = "never" if day is None else day.isoformat()
            keep(file, last)
        return self._today if last != "never" and self._today.isoformat() < last else None

    def range(
        self,
        board: str | Mapping[str, object],
        *,
        odds: float = 0.8,
        view: str | None = None,
        over: float | Sequence[float] | None = None,
        change: Mapping[str, object] | None = None,
    ) -> Range:
        """Hours of a board in the log, or of one described by its quantities.

        board: id or short name, or a mapping of quantities, `kind`, `length`, `width`, `outline`, `guess` to values
        as they stand in a cell ("?" is not known)
        odds: chance that the range holds; view: before, opened or finished, or None for what the log knows
        over: hours whose chance of being passed is wanted; change: values set on a board of the log

        Raises UsageError for an unknown board, name or view; UnreadableError for a value that cannot be read;
        NoAnswerError where neither rules nor log can tell.
        """
        from estimator.forecast.answers import answer
        from estimator.forecast.described import described, taken_as_none
        from estimator.forecast.views import VIEWS

        if view is not None and view not in VIEWS:
            raise UsageError(f'"{view}" is no view.', f"Views are {', '.join(VIEWS)}.")
        fit = self.fit()
        none: tuple[str, ...] = ()
        if isinstance(board, str):
            wanted = board_named(board, fit.boards, "Describe one with -q, for instance -q kind=major.")
            if change:
                wanted = described(change, self.settings, wanted)
                view = view or ("before" if wanted.state == FINISHED else None)
        else:
            wanted = described(board, self.settings)
            view = view or "before"
            none = taken_as_none(board, wanted, self.settings)
        hours = [] if over is None else [over] if isinstance(over, int | float) else list(over)
        if any(not 0 <= h < 1e6 for h in hours):
            raise UnreadableError("Hours to pass must be a number of hours.", "Write for instance --over 40.")
        stretch = self._stretch()
        said = answer(
            fit, wanted, self.settings, odds=odds, view=view, over=hours, seed=self.seed, stretch=stretch
        )
        return replace(said, taken_as_none=none) if said.stages else said

    def rules(self) -> Verdicts:
        """What past boards say of each rule of thumb; from the cache where neither log nor settings changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.log.sources import log_digest
        from estimator.model.saved_fit import MODEL_VERSION
        from estimator.record.verdicts import VERDICTS_VERSION, verdicts_from_json

        fit, day = self.fit(), self._earlier
        name = f"rules-{MODEL_VERSION}.{VERDICTS_VERSION}-{self.seed}-{day or 'all'}-{log_digest(self.folder)}.json"
        file = self.folder / CACHE / name
        try:
            return verdicts_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.record.judging import judge

        judged = judge(self._known_by(day)[0], self.settings, fit, today=day, seed=self.seed)
        keep(file, judged.to_json())
        return judged

    def record(self, *, progress: Callable[[int, int], None] | None = None, jobs: int = -1) -> TrackRecord:
        """How past ranges went: every past board forecast anew from what was known before it was quoted.

        Each forecast is kept, so that a new board costs one; so is the stretch that it teaches, for `range`.
        progress: told how many boards of how many are done; jobs: processes, -1 for one a core

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.record.look_back import look_back

        return look_back(
            self.log,
            self.settings,
            self.fit(),
            self.folder / CACHE,
            today=self.today or dt.date.min,
            seed=self.seed,
            jobs=jobs,
            progress=progress,
        )

    def tell(self, said: Told, *, hours: bool = True) -> Kept:
        """What an owner was told, kept as one row more; hours that are left out are what `range` says that day.

        said: its board by id or short name; hours: False where hours were not spoken of

        Raises UsageError where it cannot be told or written, NoAnswerError where there is no range.
        """
        from estimator.log.reading import read_log
        from estimator.log.tellings import checked, keep_telling

        log, _, _ = read_log(
            self.folder, self.settings
        )  # whole: looked at from an earlier day, nothing comes first
        board = board_named(said.board, log.boards, "Write a row for it on the boards sheet first.")
        earlier = [telling for telling in log.told if telling.board == board.board]
        said = checked(said, board, earlier)
        if hours:
            said = replace(said, odds=said.odds or 0.8)
        if hours and said.hours_low is None:
            answer = self.range(board.board, odds=said.odds or 0.8)
            said = replace(said, hours_low=answer.low, hours_high=answer.high)
        written = keep_telling(self.folder, self.settings, said, board, earlier)
        for read in ("_read", "_fit", "boards", "hours"):
            self.__dict__.pop(read, None)
        return written

    def _known_by(self, day: dt.date | None) -> tuple[Log, tuple[Rule, ...]]:
        """The log and the rules of thumb as they stood at the end of a day; None is now."""
        if day is None:
            return self.log, self.settings.rules
        from estimator.log.as_it_stood import as_it_stood, said_by

        return as_it_stood(self.log, self.settings, day), said_by(self.settings.rules, day)

    def _stretch(self) -> Stretch:
        """What the newest record up to today taught."""
        from estimator.forecast.stretched import newest, stretch_file, stretches_from_json

        day = self._today or dt.date.max
        return newest(stretches_from_json(kept(stretch_file(self.folder / CACHE))), day.isoformat())
