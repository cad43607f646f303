"""What made boards go over the restorer's own quoted hours, exactly: parts that add up, board by board.

On the log scale, with G the hours guessed, Y the hours that it took, and M the hours that the log says are usual
for a board's quantities,

    log(Y/G) = log(M looked / G)              the guess
             + log(M before / M looked)       hidden work: more than could be seen
             + log(M in all / M before)       asked for since, by the owner
             + log(Y / M in all)              this board's own going

Logarithmic means L(a, b) = (a - b) / log(a / b) turn parts into hours, log(a/b) L(G, Y), and differences of stages
into parts, (a_s - b_s) / L(a, b); both add up exactly, and a stage of no hours does no harm.

Source: B. W. Ang (2004), Energy Policy 32:1131-1139, for splits by logarithmic means.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from estimator.decide.overruns.expected_by_scope import ExpectedHours, usual_then
from estimator.log.stage_hours import stage_hours
from estimator.model.fit import whole_hours
from estimator.model.saved_fit import Array
from estimator.words.json_form import JsonForm
from estimator.words.records import Board, Log
from estimator.words.rules import Rule
from estimator.words.settings.schema import Settings

PARTS = ("guess", "hidden", "asked_later", "pace")
THREE = ("guess", "surprise", "pace")  # with hidden work and what was asked for since as one
NO_GUESS, FROM_MEMORY, NO_HOURS, NOT_KNOWN = (
    "no guess of your own is written",
    "the guess is from memory",
    "hours are missing",
    "what there was to do is not known",
)


@dataclass(frozen=True, slots=True)
class StageOverrun:
    """One stage's share of three of a board's parts, on the log scale; over all stages they sum to the parts.

    usual, took: hours that such a board's stage usually takes, and that it took
    """

    stage: str
    usual: float
    took: float
    hidden: float
    asked_later: float
    pace: float


@dataclass(frozen=True, slots=True)
class BoardOverrun(JsonForm):
    """One finished board with a guess; parts are logs of ratios, hours are hours.

    guessed, took: hours quoted to oneself, and all that it took
    looked, before, in_all: usual hours of what was judged, of what turned out but for what was asked for since, of all
    ready: ISO date, empty where none is written
    stages: in order of work; empty where hours are not booked to stages
    """

    board: str
    called: str
    kind: str
    ready: str
    guessed: float
    took: float
    looked: float
    before: float
    in_all: float
    stages: tuple[StageOverrun, ...] = ()

    @property
    def name(self) -> str:
        """What the restorer calls it."""
        return self.called or self.board

    @property
    def overrun(self) -> float:
        """Log of the hours taken over the hours guessed; above 0 it went over."""
        return math.log(self.took / self.guessed)

    @property
    def guess(self) -> float:
        """What the log says of the same quantities, over the guess."""
        return math.log(self.looked / self.guessed)

    @property
    def hidden(self) -> float:
        """Work that could not be seen."""
        return math.log(self.before / self.looked)

    @property
    def asked_later(self) -> float:
        """Work that the owner asked for since."""
        return math.log(self.in_all / self.before)

    @property
    def surprise(self) -> float:
        """Hidden work and what was asked for since."""
        return math.log(self.in_all / self.looked)

    @property
    def pace(self) -> float:
        """What is the board's own going, against what its quantities usually take."""
        return math.log(self.took / self.in_all)

    @property
    def hours(self) -> dict[str, float]:
        """The parts in hours, by name; they sum to the hours that it went over."""
        weight = logarithmic_mean(self.took, self.guessed)
        return {part: getattr(self, part) * weight for part in PARTS}

    @property
    def stage_hours(self) -> dict[str, dict[str, float]]:
        """By stage its hidden work, what was asked for since and its going, in hours."""
        weight = logarithmic_mean(self.took, self.guessed)
        return {s.stage: {part: getattr(s, part) * weight for part in PARTS[1:]} for s in self.stages}

    def _json(self) -> dict[str, Any]:
        """The JSON of one board, numbers unrounded."""
        # by hand: its parts follow from the hours
        return {
            "board": self.board,
            "called": self.called,
            "kind": self.kind,
            "ready": self.ready,
            "guessed": self.guessed,
            "took": self.took,
            "overrun": self.overrun,
            **{part: getattr(self, part) for part in (*THREE, "hidden", "asked_later")},
            "hours": self.hours,
            "stages": self.stages,
        }


@dataclass(frozen=True)
class BoardOverruns:
    """The boards that could be judged, in order of the log, and by reason the names of those that could not.

    not_recorded: names of boards judged on which nothing was written of how they turned out
    doubt: (n_draws, n_boards, 3), how far guess, surprise and pace may lie from what is said, for usual hours are
        only known so far; 0 in all for each board
    """

    boards: tuple[BoardOverrun, ...]
    left_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    not_recorded: tuple[str, ...] = ()
    doubt: Array = field(default_factory=lambda: np.zeros((1, 0, len(THREE))), compare=False, repr=False)


def board_overruns(
    log: Log,
    settings: Settings,
    *,
    as_of: dt.date | None = None,
    rules: Sequence[Rule] | None = None,
    seed: int = 0,
) -> BoardOverruns:
    """What made each finished board go over its guess, for boards with a guess made before and all their hours.

    as_of, rules: as for a fit; rates are as of the last entry or `as_of`, the earlier, and each board is judged at
    its own date

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    not_done = {(e.board, e.stage) for e in log.entries if e.hours == 0}
    lost = {board for board, _ in log.partial}
    out: dict[str, list[str]] = {}
    judged: list[tuple[Board, float, float]] = []
    for board in log.boards:
        if not board.finished:
            continue
        hours = whole_hours(board, worked.get(board.board, ()), settings, not_done)
        if board.board in lost and not board.total_hours:
            hours = None
        guess = board.guess
        if not guess:
            out.setdefault(NO_GUESS, []).append(board.name)
        elif board.from_memory:
            out.setdefault(FROM_MEMORY, []).append(board.name)
        elif not hours:
            out.setdefault(NO_HOURS, []).append(board.name)
        else:
            judged.append((board, guess, hours))
    usual = usual_then(log, settings, [board for board, _, _ in judged], as_of=as_of, rules=rules, seed=seed)
    found = []
    doubts = []
    for board, guess, hours in judged:
        has = usual[board.board]
        if has is None:
            out.setdefault(NOT_KNOWN, []).append(board.name)
        else:
            booked = {one.stage: one.hours for one in worked.get(board.board, ())}
            found.append(_overrun(board, guess, hours, booked, has, settings))
            looked, _, in_all = has.doubt
            doubts.append(np.column_stack([looked, in_all - looked, -in_all]))
    unseen = tuple(board.name for board, _, _ in judged if usual[board.board] and not board.found)
    left_out = {reason: tuple(names) for reason, names in out.items()}
    if not found:
        return BoardOverruns((), left_out, unseen)
    return BoardOverruns(tuple(found), left_out, unseen, np.stack(doubts, axis=1))


def _overrun(
    board: Board,
    guess: float,
    hours: float,
    booked: Mapping[str, float],
    usual: ExpectedHours,
    settings: Settings,
) -> BoardOverrun:
    """One board's parts, and by stage where all its hours are booked to stages."""
    looked, before, in_all = (math.fsum(of.values()) for of in (usual.looked, usual.before, usual.in_all))
    by_stage = bool(booked) and math.isclose(math.fsum(booked.values()), hours)
    return BoardOverrun(
        board=board.board,
        called=board.called,
        kind=board.kind,
        ready="" if board.ready is None else board.ready.isoformat(),
        guessed=guess,
        took=hours,
        looked=looked,
        before=before,
        in_all=in_all,
        stages=_stages(booked, usual, settings) if by_stage else (),
    )


def _stages(
    booked: Mapping[str, float], usual: ExpectedHours, settings: Settings
) -> tuple[StageOverrun, ...]:
    """Each stage's share of the parts, in order of work."""
    hidden = split(usual.before, usual.looked)
    later = split(usual.in_all, usual.before)
    pace = split(booked, usual.in_all)
    return tuple(
        StageOverrun(
            stage,
            usual=usual.in_all.get(stage, 0.0),
            took=booked.get(stage, 0.0),
            hidden=hidden.get(stage, 0.0),
            asked_later=later.get(stage, 0.0),
            pace=pace.get(stage, 0.0),
        )
        for stage in settings.stages
        if stage in pace or stage in hidden or stage in later
    )


def split(after: Mapping[str, float], before: Mapping[str, float]) -> dict[str, float]:
    """By name the parts of log(sum of after / sum of before); they sum to it exactly.

    after, before: hours by name, of which some may be none; both sums are above nought

    >>> parts = split({"strip": 6.0, "spray": 18.0}, {"strip": 8.0, "sand": 4.0})
    >>> round(sum(parts.values()), 12) == round(math.log(24 / 12), 12), parts["strip"] < 0 < parts["spray"]
    (True, True)
    """
    weight = logarithmic_mean(math.fsum(after.values()), math.fsum(before.values()))
    names = dict.fromkeys((*before, *after))
    return {name: (after.get(name, 0.0) - before.get(name, 0.0)) / weight for name in names}


def logarithmic_mean(a: float, b: float) -> float:
    """The logarithmic mean of two amounts above nought: (a - b) / log(a / b), and a where they are equal.

    >>> round(logarithmic_mean(math.e, 1.0), 12), logarithmic_mean(3.0, 3.0)
    (1.718281828459, 3.0)
    """
    ratio = (a - b) / b
    return a if abs(ratio) < 1e-12 else (a - b) / math.log1p(ratio)
