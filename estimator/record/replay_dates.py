"""Ready dates forecast anew: each board on the day it was taken on, behind who was on the bench and in line then."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from estimator.bench.hand import Hand
from estimator.bench.outlook import Outlook
from estimator.bench.waits import Waits
from estimator.bench.weeks import capacity_of
from estimator.log.as_it_stood import History, said_by
from estimator.model.fit import fit_quickly, known_board
from estimator.model.saved_fit import SavedFit
from estimator.record.replay import REPLAY_VERSION, Forecast, Group, Replay, by_quarter
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.records import TAKEN_ON, Board

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
        stood = self.history.on(day)
        try:
            fit = fit_quickly(
                stood,
                settings,
                as_of=day,
                seed=self.seed,
                rules=said_by(settings.rules, day),
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
