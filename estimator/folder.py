"""A workshop folder as of a day: its settings, its log, and what was learned from both, kept beside it."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Self

from estimator.log.cache import CACHE, keep, kept
from estimator.words.dates import A_DAY
from estimator.words.errors import EstimatorError, SettingsError
from estimator.words.problems import Problem
from estimator.words.records import Board, Log
from estimator.words.settings.reader import read_settings
from estimator.words.settings.schema import Settings

if TYPE_CHECKING:
    import pandas as pd

    from estimator.model.saved_fit import SavedFit
    from estimator.words.rules import Rule


class Folder:
    """A workshop folder: `workshop.toml` and the log beside it.

    today: the day on which one looks; None is the day after the log's last entry
    seed: makes the draws; the same log, day and seed give the same answers
    """

    def __init__(self, folder: Path, settings: Settings, *, today: dt.date | None, seed: int) -> None:
        self.folder, self._settings, self.seed = folder, settings, seed
        self._today = today

    @classmethod
    def open(cls, folder: Path | str, *, today: dt.date | None = None, seed: int = 0) -> Self:
        """The workshop in a folder; its log is read when first needed.

        Raises UsageError where there is no workshop, SettingsError where workshop.toml has problems.
        """
        settings, problems = read_settings(Path(folder))
        if problems:
            raise SettingsError(problems)
        return cls(Path(folder), settings, today=today, seed=seed)

    @cached_property
    def settings(self) -> Settings:
        """The settings, with a stage for what was done again where the log has such hours."""
        from estimator.log.store import with_redo

        return with_redo(self._settings, self.log)

    @cached_property
    def _read(self) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
        """The log with its problems and notes."""
        from estimator.log.store import read_log

        return read_log(self.folder, self._settings, today=self._today)

    @property
    def log(self) -> Log:
        """All good rows of the log."""
        return self._read[0]

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
        """One row an entry: board, date, until, stage, hours, done, note, again."""
        import pandas as pd

        columns = ["board", "date", "until", "stage", "hours", "done", "note", "again"]
        rows = [
            [getattr(e, c) for c in columns[:3]] + [e.of or e.stage, e.hours, e.done, e.note, e.again]
            for e in self.log.entries
        ]
        return pd.DataFrame(rows, columns=columns)

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
        return None if last is None else last + A_DAY

    def fit(self) -> SavedFit:
        """What the log and the rules of thumb say; from the cache where neither has changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        return self._fit

    @cached_property
    def _fit(self) -> SavedFit:
        """The saved fit, read from the cache or made and kept there."""
        from estimator.model.saved_fit import MODEL_VERSION, fit_from_json

        day = self.earlier
        name = f"fit-{MODEL_VERSION}-{self.seed}-{day or 'all'}-{self.digest}.json"
        file = self.folder / CACHE / name
        try:
            return fit_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.model.fit import fit

        log, rules = self.known
        problems = self.problems if day is None else self._whole[1]
        learned = fit(log, self.settings, as_of=day, seed=self.seed, rules=rules, problems=len(problems))
        text = learned.to_json()
        keep(file, text)
        return fit_from_json(text)

    @property
    def _whole(self) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
        """The log as it is read where no day is too late."""
        from estimator.log.store import read_log

        return read_log(self.folder, self._settings, today=None)

    def _forget(self) -> None:
        """Put aside what was read and worked out before a file was changed."""
        for name in list(vars(self)):
            if isinstance(getattr(type(self), name, None), cached_property):
                delattr(self, name)

    @cached_property
    def earlier(self) -> dt.date | None:
        """Today, where log or rules hold later days: then one looks from before they were written to their end."""
        if self._today is None:
            return None
        from estimator.log.history import last_day

        file = self.folder / CACHE / f"last-{self.digest}.json"
        last = kept(file)
        if not last:
            days = [last_day(self._whole[0]), *(rule.said for rule in self.settings.rules)]
            last = max((day.isoformat() for day in days if day is not None), default="never")
            keep(file, last)
        return self._today if last != "never" and self._today.isoformat() < last else None

    @cached_property
    def digest(self) -> str:
        """The digest of settings and log, by which what is kept is named."""
        from estimator.log.store import log_digest

        return log_digest(self.folder)

    @cached_property
    def known(self) -> tuple[Log, tuple[Rule, ...]]:
        """The log and the rules of thumb as they stand on the day from which one looks."""
        if self.earlier is None:
            return self.log, self.settings.rules
        from estimator.log.history import as_it_stood, said_by

        return as_it_stood(self.log, self.settings, self.earlier), said_by(self.settings.rules, self.earlier)
