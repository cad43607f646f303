"""What an owner has asked for since: hours, materials and price of it, and whose dates move, on the same draws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from estimator.bench.jobs import Job, with_more_first
from estimator.bench.outlook import Outlook
from estimator.bench.plans import job_of
from estimator.bench.promises import Dates
from estimator.decide.moved import Moved, each_moved
from estimator.forecast.added import More, draw_more
from estimator.forecast.answers import cut
from estimator.forecast.prices import MONEY, materials_of, price_for
from estimator.forecast.ranges import Cost, Price, Spread
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.log.later_cells import KeptMore
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board
from estimator.words.settings import Settings

A_DAY_AT_LEAST = 1  # days by which a date moves from which it is said


@dataclass(frozen=True, slots=True)
class ReadyThen:
    """When the board is ready without what was asked for and with it; `later` is days between the two, draw by draw.

    say_yes_by: the day up to which that stands, for a board that is not taken on
    """

    before: Dates
    after: Dates
    later: Spread
    say_yes_by: dt.date | None = None

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "before": self.before.as_dict(),
            "after": self.after.as_dict(),
            "days_later": self.later.as_dict(),
            "say_yes_by": self.say_yes_by,
        }


@dataclass(frozen=True, slots=True)
class Added:
    """What was asked for since, on top of all else.

    what: by name, so much more; hours, materials, price: what comes on top; in_all: hours of the whole board then
    ready: None where no dates can be given; promises: those in hand that move by a day or more
    finished: stages that the log takes for finished, with more to do on them now
    kept: where it was written down
    """

    what: Mapping[str, float]
    odds: float
    hours: Spread
    in_all: Spread
    materials: Cost
    price: Price
    ready: ReadyThen | None = None
    promises: tuple[Moved, ...] = ()
    finished: tuple[str, ...] = ()
    kept: KeptMore | None = None

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "what": dict(self.what),
            "hours": self.hours.as_dict(),
            "hours_in_all": self.in_all.as_dict(),
            "materials": self.materials.as_dict(),
            "price": self.price.as_dict(),
            "ready": None if self.ready is None else self.ready.as_dict(),
            "promises": [promise.as_dict() for promise in self.promises],
            "finished_stages": list(self.finished),
            "kept": None if self.kept is None else self.kept.as_dict(),
        }


def added(
    fit: SavedFit,
    board: KnownBoard,
    more: KnownBoard,
    what: Mapping[str, float],
    settings: Settings,
    *,
    odds: float = 0.8,
    seed: int = 0,
    stretch: Stretch = UNSTRETCHED,
) -> Added:
    """Hours, materials and price of what was asked for since: differences of the same draws, with it and without.

    board: as it stands; more: the same with what was asked for; what: that, by name
    stretch: of a board that is not begun

    Raises NoAnswerError as a range does.
    """
    drawn = draw_more(fit, board, more, settings, seed=seed, stretch=stretch)
    then = drawn.drawn_after.total
    spent = materials_with(fit, more, drawn, settings, seed)
    target = settings.workshop.target_pay
    return Added(
        what=what,
        odds=odds,
        hours=Spread(*cut(drawn.hours, odds)),
        in_all=Spread(*cut(then, odds)),
        materials=Cost(*cut(spent, odds), lent=fit.materials is None),
        price=Price(price_for(target, drawn.hours, spent, odds), odds, target),
        finished=tuple(stage for stage in fit.stages if stage in drawn.after.done and drawn.on(stage).any()),
    )


def materials_with(fit: SavedFit, board: KnownBoard, drawn: More, settings: Settings, seed: int) -> Array:
    """By draw what materials cost on top; what is written of them already is for what was to do before."""
    plain = replace(board, materials=None)
    before, after = (
        materials_of(fit, plain, work, hours.total, settings, np.random.default_rng([seed, MONEY]))
        for work, hours in ((drawn.before, drawn.drawn_before), (drawn.after, drawn.drawn_after))
    )
    return np.asarray(after - before)


def dates_with(
    outlook: Outlook, board: KnownBoard, more: KnownBoard, today: dt.date
) -> tuple[ReadyThen, tuple[Moved, ...]]:
    """When a board is ready without what was asked for and with it, and promises in hand that move by a day or more.

    A board that is not taken on says yes within a week, and waits behind all others.

    Raises NoAnswerError where no dates can be given.
    """
    jobs = outlook.jobs
    at = outlook.place_of(board.board)
    if at is None and board.board in outlook.left_out:
        raise NoAnswerError(outlook.left_out[board.board])
    by, first = outlook.if_yes(today) if at is None else (None, 0)
    row = Board(board.board) if at is None else outlook.boards[at]
    job = _job_with(outlook, row, board, more, first)
    if at is None:
        _, before, _ = outlook.days_of_one_more(board, today)
        after = outlook.finished([job]).ready
    else:
        then = replace(outlook, jobs=(*jobs[:at], job, *jobs[at + 1 :]))
        before, after = outlook.days.ready, then.finished().ready
    own = len(jobs) if at is None else at
    later = after[own] - before[own]
    ready = ReadyThen(outlook.dates(before[own]), outlook.dates(after[own]), Spread(*cut(later, 0.8)), by)
    moved = each_moved(outlook, before, after)
    return ready, tuple(one for i, one in enumerate(moved) if i != own and _moves(one))


def _moves(one: Moved) -> bool:
    """Whether any of its dates moves by a day or more."""
    dates = zip(one.before.as_dict().values(), one.after.as_dict().values(), strict=True)
    return any(abs((then - now).days) >= A_DAY_AT_LEAST for now, then in dates)


def _job_with(outlook: Outlook, row: Board, board: KnownBoard, more: KnownBoard, first: int) -> Job:
    """The job of a board with what was asked for since; work on stages that are over comes before all that is not."""
    hand = outlook.hand
    drawn = draw_more(hand.fit, board, more, hand.settings, seed=hand.seed, n_draws=hand.n_draws)
    seen = replace(hand.seen(row), judged=more.wanted)
    job = job_of(
        board.board,
        drawn.after,
        drawn.drawn_after,
        seen,
        hand.waits,
        hand.settings,
        seed=hand.seed,
        first=first,
    )
    over = [s for s in drawn.drawn_after.stages if s not in job.stages]
    extra = sum((drawn.on(stage) for stage in over), np.zeros(hand.n_draws))
    worked = [stage for stage in over if drawn.on(stage).any()]
    return with_more_first(job, worked[0], extra) if worked else job
