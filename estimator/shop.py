"""One workshop: its settings, its log, what was learned, and the answers. Interfaces call this alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from functools import cached_property
from typing import TYPE_CHECKING

from estimator.log.cache import CACHE, keep, kept
from estimator.log.names import board_named
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
from estimator.words.records import FINISHED, Board, Told
from estimator.workbench import Workbench

if TYPE_CHECKING:
    import pandas as pd

    from estimator.forecast.ranges import Range
    from estimator.log.tellings import Kept
    from estimator.record.track_record import TrackRecord
    from estimator.record.verdicts import Verdicts


class Shop(Workbench):
    """A workshop folder and the answers that it gives; see Folder for `open`, its day and its seed."""

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

    def range(
        self,
        board: str | Mapping[str, object],
        *,
        odds: float = 0.8,
        view: str | None = None,
        over: float | Sequence[float] | None = None,
        change: Mapping[str, object] | None = None,
        dates: bool = False,
    ) -> Range:
        """Hours of a board in the log, or of one described by its quantities.

        board: id or short name, or a mapping of quantities, `kind`, `length`, `width`, `outline`, `guess` to values
        as they stand in a cell ("?" is not known)
        odds: chance that the range holds; view: before, opened or finished, or None for what the log knows
        over: hours whose chance of being passed is wanted; change: values set on a board of the log
        dates: say when the board will be ready too, behind all that is in hand; left out, dates of boards in hand are
            said where `bench` has worked them out for this log and day

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
        said = replace(said, taken_as_none=none) if said.stages else said
        if dates:
            plain = isinstance(board, str) and not change
            return replace(said, ready=self._ready(wanted.board if plain else wanted))
        from estimator.bench.promises import dates_from_json

        return replace(
            said, ready=None if change else dates_from_json(kept(self._kept_dates)).get(said.board)
        )

    def rules(self) -> Verdicts:
        """What past boards say of each rule of thumb; from the cache where neither log nor settings changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.model.saved_fit import MODEL_VERSION
        from estimator.record.verdicts import VERDICTS_VERSION, verdicts_from_json

        fit, day = self.fit(), self.earlier
        name = f"rules-{MODEL_VERSION}.{VERDICTS_VERSION}-{self.seed}-{day or 'all'}-{self.digest}.json"
        file = self.folder / CACHE / name
        try:
            return verdicts_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.record.judging import judge

        judged = judge(self.known[0], self.settings, fit, today=day, seed=self.seed)
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
        """What an owner was told, kept as one row more; what is left out is what `range` and `bench` say that day.

        said: its board by id or short name; hours: False where hours were not spoken of

        Raises UsageError where it cannot be told or written, NoAnswerError where there is no range.
        """
        from estimator.log.tellings import checked, keep_telling

        log = self._whole[0]  # of all days: nothing is put before what was told since
        board = board_named(said.board, log.boards, "Write a row for it on the boards sheet first.")
        earlier = [telling for telling in log.told if telling.board == board.board]
        said = checked(said, board, earlier)
        if hours:
            said = replace(said, odds=said.odds or 0.8)
        if hours and said.hours_low is None:
            answer = self.range(board.board, odds=said.odds or 0.8)
            said = replace(said, hours_low=answer.low, hours_high=answer.high)
        if said.last is None and (ready := self._ready(board.board)) is not None:
            said = replace(said, first=ready.low, last=ready.high)
        written = keep_telling(self.folder, self.settings, said, board, earlier)
        for name in list(vars(self)):  # what was read and worked out before
            if isinstance(getattr(type(self), name, None), cached_property):
                delattr(self, name)
        return written
