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

The same of one board, or of all of them, is told in a sentence or two.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from estimator.log.stage_hours import stage_hours
from estimator.model.quantities import whole_hours
from estimator.model.saved_fit import Array
from estimator.words.json_form import HIDDEN, JsonForm
from estimator.words.labels import label
from estimator.words.phrases import inside, round_middle, say_middle, say_shown, shown_to_add_up
from estimator.words.records import Board, Log, Rule, WithName
from estimator.words.settings.schema import Settings

if TYPE_CHECKING:
    from estimator.decide.overruns.expected_by_scope import ExpectedHours

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
class BoardOverrun(WithName, JsonForm):
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
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name

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
    from estimator.decide.overruns.expected_by_scope import (
        usual_then,  # learns, and need not where all is kept
    )

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
        known=board.known,
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


NAMED = 3  # stages named of a part, at most
WORTH_NAMING = 0.2  # of a part's hours
AN_HOUR = 1.0  # of a part, below which no stage is named

NO_STAGES: Mapping[str, Sequence[str]] = {}


def board_story(board: BoardOverrun, settings: Settings) -> str:
    r"""How one board went against its guess, never whose fault it was; the figures add up as they are shown.

    >>> went = BoardOverrun("26-014", "red nine-four", "major", "", 52.0, 71.0, 60.5, 66.0, 66.0)
    >>> print(board_story(went, Settings()).replace(". ", ".\n"))
    The red nine-four took 71 hours; you said 52.
    19 hours over: a low guess added 9, hidden work 5½, slower going 4½.
    """
    name = f"The {board.called}" if board.called else f"Board {board.name}"
    unit = "hour" if round_middle(board.took) <= 1 else "hours"
    stages = {part: named_stages(board, part, settings) for part in PARTS[1:]}
    head = f"{name} took {say_middle(board.took)} {unit}; you said {say_middle(board.guessed)}."
    return f"{head} {parts_story(board.hours, shown_over(board.took, board.guessed), stages)}"


def shown_over(took: float, guessed: float) -> float:
    """The hours more or less than guessed, as they are shown: from those two as they are shown.

    >>> shown_over(70.6, 52.4), shown_over(0.5, 71.0)
    (19.0, -71.0)
    """
    over = round_middle(took) - round_middle(guessed)
    return math.copysign(round_middle(abs(over)), over) + 0.0


def say_over(took: float, guessed: float) -> str:
    """Hours more or less than was said, in words.

    >>> say_over(71, 52), say_over(48.3, 49), say_over(20, 20)
    ('19 hours more than you said', '1 hour less than you said', 'just as you said')
    """
    over = shown_over(took, guessed)
    unit = "hour" if abs(over) <= 1 else "hours"
    side = "more" if over > 0 else "less"
    return f"{say_middle(abs(over))} {unit} {side} than you said" if over else "just as you said"


def parts_story(
    hours: Mapping[str, float],
    over: float,
    stages: Mapping[str, Sequence[str]] = NO_STAGES,
    *,
    boards: bool = False,
) -> str:
    """Hours over or under, and what saved and what added to them: the way that won is said first.

    hours: by part; over: their sum as it is shown; stages: by part what to name of it; boards: of several together

    >>> parts_story({"guess": -4.9, "hidden": 1.6, "asked_later": 0.0, "pace": 1.7}, -2.0)
    '2 hours under: a high guess saved 5; hidden work added 1½, slower going 1½.'
    >>> parts_story({"guess": 11.0, "hidden": 0.0, "asked_later": 0.0, "pace": -12.0}, -1.0, boards=True)
    '1 hour under: quicker boards saved 12; guesses too low added 11.'
    """
    shown = dict(zip(PARTS, shown_to_add_up([hours[part] for part in PARTS], over), strict=True))
    named = {part: (f" ({', '.join(stages[part])})" if stages.get(part) else "") for part in PARTS}
    ways = []
    for verb, way in (("added", 1), ("saved", -1)):
        did = [
            (f"{part_words(part, at, boards=boards)}{named[part]}", say_shown(at))
            for part, at in shown.items()
            if at * way > 0
        ]
        ways.append(
            ", ".join(f"{what} {f'{verb} ' if not n else ''}{much}" for n, (what, much) in enumerate(did))
        )
    made_of = "; ".join(way for way in (ways if over >= 0 else reversed(ways)) if way)
    if over == 0:
        return f"As you said, all in all: {made_of}." if made_of else "Just as you said."
    unit = "hour" if abs(over) <= 1 else "hours"
    head = f"{say_middle(abs(over))} {unit} {'over' if over > 0 else 'under'}"
    return f"{head}: {made_of}." if made_of else f"{head}."


PART_WORDS = {  # what adds hours, and what saves them; of one board, and of several
    "guess": (("a low guess", "guesses too low"), ("a high guess", "guesses too high")),
    "hidden": ((label("hidden"),), ("less to do than it looked",)),
    "asked_later": (("what was asked for since",), ("what was no longer wanted",)),
    "pace": (("slower going", "slower boards"), ("quicker going", "quicker boards")),
}


def part_words(part: str, hours: float, *, boards: bool = False) -> str:
    """What added hours, or saved them where they are less than none.

    >>> part_words("hidden", 6), part_words("pace", -1), part_words("pace", -1, boards=True)
    ('hidden work', 'quicker going', 'quicker boards')
    """
    words = PART_WORDS[part][0 if hours > 0 else 1]
    return words[-1] if boards else words[0]


def named_stages(board: BoardOverrun, part: str, settings: Settings) -> list[str]:
    """The stages on which most of a part's hours lay, by what the restorer calls them, largest first."""
    whole = board.hours[part]
    if abs(whole) < AN_HOUR:
        return []
    by_stage = {stage: parts[part] for stage, parts in board.stage_hours.items()}
    large = [
        stage for stage, hours in by_stage.items() if hours * whole > 0 and hours / whole >= WORTH_NAMING
    ]
    return [inside(settings.label(stage)) for stage in sorted(large, key=lambda s: -abs(by_stage[s]))[:NAMED]]


@dataclass(frozen=True)
class InAll(JsonForm):
    """What lies between the hours guessed and those taken, over some boards."""

    boards: tuple[BoardOverrun, ...]

    @property
    def guessed(self) -> float:
        """Hours guessed, over all boards."""
        return math.fsum(board.guessed for board in self.boards)

    @property
    def took(self) -> float:
        """Hours taken, over all boards."""
        return math.fsum(board.took for board in self.boards)

    @cached_property
    def hours(self) -> dict[str, float]:
        """The parts in hours over all boards; they sum to the hours taken less those guessed."""
        by_board = [board.hours for board in self.boards]
        return {part: math.fsum(hours[part] for hours in by_board) for part in PARTS}
