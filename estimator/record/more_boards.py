"""How near a usual job is told by now, and how near with twenty boards more: whether typing on still pays."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from estimator.forecast.answers import answer
from estimator.forecast.described import described
from estimator.forecast.views import drawn_board
from estimator.model.fit import fit, known_board
from estimator.model.quantities import why_untaught
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Log, Rule
from estimator.words.settings.schema import Settings

ODDS = 0.8
FEWEST = 5  # boards before which it is not said
LIKELY = 3  # boards of a sort from which on it is the one that is spoken of
MORE = 20  # boards more that are imagined
TIMES = 6  # that they are imagined
DRAWS = 512  # of each fit
Breathe = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class HowNear:
    """How near a usual job of a sort is told.

    boards: finished ones that teach; untaught: finished ones of which nothing is learned
    kind: the sort; within: half the width of its range, in hours, once it was looked at; None: too few boards
    more: so many boards more, then: half the width with them, on average over what they may well turn out
    """

    boards: int
    untaught: int
    kind: str = ""
    within: float | None = None
    more: int = MORE
    then: float | None = None


def how_near(
    log: Log,
    settings: Settings,
    rules: Sequence[Rule],
    *,
    seed: int = 0,
    breathe: Breathe = lambda *_: None,
) -> HowNear:
    """How near a usual job is told, by now and with twenty boards more like those that are written.

    The twenty are drawn from the boards of the log, and their hours from what is known now, each time from one of the
    rates that may be the true ones; then all is learned anew, as a range on the page learns it: the quick way of
    looking back makes ranges wider from 250 rows on. rules: of thumb, as known

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    taught, untaught = _taught(log, settings)
    if len(taught) < FEWEST:
        return HowNear(len(taught), untaught)
    now = fit(log, settings, seed=seed, rules=rules, n_draws=DRAWS)
    usual = usual_job(now, taught, settings, seed)
    if usual is None:
        return HowNear(len(taught), untaught)
    kind, job = usual
    within, then = half_width(now, job, settings, seed), []
    rng = np.random.default_rng([seed, 5])
    for time in range(TIMES):
        breathe(time, TIMES)
        more = replace(log, boards=(*log.boards, *_imagined(now, taught, settings, rng)))
        learned = fit(more, settings, seed=seed, rules=rules, n_draws=DRAWS)
        then.append(half_width(learned, job, settings, seed))
    return HowNear(len(taught), untaught, kind, within, MORE, float(np.mean(then)))


def _taught(log: Log, settings: Settings) -> tuple[list[Board], int]:
    """The finished boards that teach hours as they were written in all, and how many others are finished."""
    booked: dict[str, set[str]] = {}
    for entry in log.entries:
        if entry.hours:
            booked.setdefault(entry.board, set()).add(entry.stage)
    finished = [board for board in log.boards if board.finished]
    good = [board for board in finished if why_untaught(board, booked.get(board.board, ()), settings) is None]
    return good, len(finished) - len(good)


def usual_job(
    known: SavedFit, taught: Sequence[Board], settings: Settings, seed: int
) -> tuple[str, KnownBoard] | None:
    """The largest sort of job of which there are some boards, and a usual one of it; None where nothing tells."""
    kinds = [board.kind for board in taught]
    often = [kind for kind in settings.kinds if kinds.count(kind) >= LIKELY]
    most = max(settings.kinds, key=kinds.count, default="")
    found = []
    for kind in often or ([most] if most else []):
        job = described({"kind": kind, **_middle(kind, settings)}, settings)
        try:
            said = answer(known, job, settings, odds=ODDS, view="before", over=[], seed=seed)
        except NoAnswerError:
            continue
        found.append((said.likely, kind, job))
    return max(found, key=lambda one: one[0])[1:] if found else None


def _middle(kind: str, settings: Settings) -> Mapping[str, object]:
    """What a usual board of a sort has, in the middle of what such boards usually have."""
    values: dict[str, object] = {}
    for name, (low, high) in settings.kinds[kind].usual.items():
        middle = (low + high) / 2
        if name in settings.modifiers:
            grades = settings.modifiers[name].grades or ("no", "yes")
            values[name] = grades[int(middle)]
        elif settings.drivers[name].unit:
            values[name] = f"{middle:g} {settings.drivers[name].unit}"
        else:
            values[name] = f"{int(middle + 0.5) if middle >= 1 else middle:g}"
    return values


def half_width(known: SavedFit, job: KnownBoard, settings: Settings, seed: int) -> float:
    """Half the width of a job's range, in hours."""
    said = answer(known, job, settings, odds=ODDS, view="before", over=[], seed=seed)
    return (said.high - said.low) / 2


def _imagined(
    known: SavedFit, taught: Sequence[Board], settings: Settings, rng: np.random.Generator
) -> list[Board]:
    """Boards more like those that are written, with hours as they would be if one draw of the rates were the truth."""
    truth = int(rng.integers(known.n_draws))
    boards = []
    for n in range(MORE):
        like = taught[int(rng.integers(len(taught)))]
        seen = replace(known_board(like), booked=())
        _, drawn, _ = drawn_board(known, seen, "finished", settings, seed=int(rng.integers(2**31)))
        hours = float(drawn.total[truth])
        boards.append(
            replace(like, board=f"{like.board} more {n}", total_hours=max(round(hours, 2), 0.25), called="")
        )
    return boards
