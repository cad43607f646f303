"""What one more board, or what an owner asked for since, does to dates, on the same draws with it and without."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from estimator.bench.jobs import Job, days_after, job_of, with_more_first
from estimator.bench.outlook import Outlook
from estimator.bench.promises import Dates
from estimator.forecast.answers import MONEY, cut, materials_of, price_for, quantiles_of
from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.ranges import Cost, Price, Spread
from estimator.forecast.scope_change import More, draw_more, with_redone
from estimator.log.edits import KeptMore
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.json_form import HIDDEN, JsonForm, named
from estimator.words.money import to_the_ten
from estimator.words.phrases import round_hours
from estimator.words.records import FOR_ASKED_LATER, PAID_BY, Board, Told, price_told
from estimator.words.settings.schema import Settings

_, OWNER_PAYS, _ = PAID_BY
WORTH_A_WORD = 3  # days by which a date moves from which it is spoken of
WORTH_A_CHANCE = 0.05  # chance of being in time, likewise


@dataclass(frozen=True, slots=True)
class Moved(JsonForm):
    """A board in hand without the board that is weighed, and with it.

    told: the last day that its owner goes by; kept_before, kept_after: the chance of that, None where none was told
    """

    board: str
    name: str = field(metadata=HIDDEN)
    before: Dates
    after: Dates
    told: dt.date | None = field(default=None, metadata=named("told_last"))
    kept_before: float | None = field(default=None, metadata=named("chance_kept_before"))
    kept_after: float | None = field(default=None, metadata=named("chance_kept_after"))

    @property
    def fell(self) -> float:
        """By how much the chance of the day told falls; less than 0 where it rises, 0 where none was told."""
        return (self.kept_before or 0.0) - (self.kept_after or 0.0)

    @property
    def later(self) -> int:
        """Days by which it is ready later, 9 times in 10; less than 0 where it comes sooner."""
        return (self.after.high - self.before.high).days

    @property
    def worth_a_word(self) -> bool:
        """Whether it moves by days, or its chance does."""
        return abs(self.later) >= WORTH_A_WORD or abs(self.fell) >= WORTH_A_CHANCE


@dataclass(frozen=True)
class AllMoved:
    """Every board in hand, before and after; and when the board that is weighed would be ready itself.

    say_yes_by: the day up to which that stands, None for one in hand
    left_out: names of boards in hand of which no date can be given
    """

    boards: tuple[Moved, ...]
    own: Dates
    say_yes_by: dt.date | None = None
    left_out: tuple[str, ...] = ()

    @property
    def newly(self) -> float:
        """How many more of the days told are missed, on average.

        Some draws keep a day that they missed before, for which board gets a free place is luck; they are taken off.
        """
        return max(math.fsum(one.fell for one in self.boards), 0.0)


def moved_by(outlook: Outlook, board: KnownBoard, today: dt.date) -> AllMoved:
    """Dates of the boards in hand before and after one more.

    board: one not taken on, who says yes within a week and waits behind all others; or one in hand, which is taken
    away for the dates before

    Raises NoAnswerError where no dates can be given.
    """
    at, yes = outlook.place_of(board.board), None
    if at is None:
        others, before = outlook, outlook.days.ready
        _, after, yes = outlook.days_of_one_more(board, today)
        own, rows = after[-1], list(range(len(outlook.jobs)))
    else:
        others = replace(
            outlook,
            boards=tuple(b for i, b in enumerate(outlook.boards) if i != at),
            jobs=tuple(job for i, job in enumerate(outlook.jobs) if i != at),
        )
        before, after = others.days.ready, outlook.days.ready
        own, rows = after[at], [i for i in range(len(outlook.jobs)) if i != at]
    moved = each_moved(others, before, after[rows], today)
    names: Mapping[str, str] = {b.board: b.name for b in outlook.hand.boards}
    left_out = tuple(names.get(one, one) for one in outlook.left_out)
    return AllMoved(moved, outlook.to_tell(board.board, own, today), yes, left_out)


@dataclass(frozen=True, slots=True)
class InHand:
    """What is in hand beside a board that is weighed, whatever its price.

    hours: still to work on other boards; moved: their dates without it and with it, None where none can be given
    no_dates: why not
    """

    hours: float
    moved: AllMoved | None
    no_dates: str = ""

    @classmethod
    def beside(cls, outlook: Outlook, board: KnownBoard, today: dt.date) -> InHand:
        """The boards of an outlook beside this one."""
        hours = hours_in_hand(outlook, board.board)
        try:
            return cls(hours, moved_by(outlook, board, today))
        except NoAnswerError as error:
            return cls(hours, None, str(error))


def hours_in_hand(outlook: Outlook, but: str) -> float:
    """Hours still to work on the boards in hand, on average; but: a board that does not count."""
    jobs = (job for job in outlook.jobs if job.board != but)
    return math.fsum(float(job.hours.sum(axis=0).mean()) for job in jobs)


def each_moved(others: Outlook, before: Array, after: Array, today: dt.date) -> tuple[Moved, ...]:
    """Each board in hand, from the days on which it is ready before and after, (n_boards, n_draws)."""
    moved = []
    for board, ready, then in zip(others.boards, before, after, strict=False):
        told = others.told.get(board.board)
        last = None if told is None else (told.last - others.hand.day).days
        moved.append(
            Moved(
                board=board.board,
                name=board.name,
                before=others.to_tell(board.board, ready, today),
                after=others.to_tell(board.board, then, today),
                told=None if told is None else told.last,
                kept_before=None if last is None else float(np.mean(ready <= last)),
                kept_after=None if last is None else float(np.mean(then <= last)),
            )
        )
    return tuple(moved)


A_DAY_AT_LEAST = 1  # days by which a date moves from which it is said


@dataclass(frozen=True, slots=True)
class ReadyThen(JsonForm):
    """When the board is ready without what was asked for and with it; `later` is days between the two, draw by draw.

    say_yes_by: the day up to which that stands, for a board that is not taken on
    """

    before: Dates
    after: Dates
    later: Spread = field(metadata=named("days_later"))
    say_yes_by: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Reopened(JsonForm):
    """A finished stage that what was asked for undoes: so large a share of it is done once more, in so many hours."""

    stage: str
    share: float
    hours: Spread


@dataclass(frozen=True, slots=True)
class Added(JsonForm):
    """What was asked for since, on top of all else.

    what: by name, so much more; hours, materials, price: what comes on top; in_all: hours of the whole board then
    ready: None where no dates can be given; promises: those in hand that move by a day or more
    finished: stages that the log takes for finished, with more to do on them now
    reopened: finished stages that it undoes, whose hours, materials and waits are in all of these
    by_rules: stages with hours on top of which the log tells hardly more than rules of thumb
    kept: where it was written down; quantiles: of the hours in all, "0.05" to "0.95"
    """

    what: Mapping[str, float]
    odds: float = field(metadata=HIDDEN)
    hours: Spread
    in_all: Spread = field(metadata=named("hours_in_all"))
    materials: Cost
    price: Price
    ready: ReadyThen | None = None
    promises: tuple[Moved, ...] = ()
    finished: tuple[str, ...] = field(default=(), metadata=named("finished_stages"))
    reopened: tuple[Reopened, ...] = ()
    by_rules: tuple[str, ...] = field(default=(), metadata=named("stages_by_rules"))
    kept: KeptMore | None = None
    quantiles: Mapping[str, float] = field(default_factory=dict, metadata=HIDDEN)


@dataclass(frozen=True, slots=True)
class Agreed:
    """What an owner asked for since and agreed to: what it is, with its areas, and what he is told of it."""

    said: Added
    grown: Mapping[str, float]
    telling: Told | None
    notes: tuple[str, ...] = ()

    @property
    def what(self) -> Mapping[str, float]:
        """By name, so much more."""
        return self.said.what


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
        quantiles=quantiles_of(then),
        materials=Cost(*cut(spent, odds), lent=fit.materials is None),
        price=Price(price_for(target, drawn.hours, spent, odds), odds, target),
        by_rules=tuple(stage for stage in fit.by_rules if drawn.on(stage).any()),
        finished=tuple(
            stage
            for stage in fit.stages
            if stage in drawn.after.done and stage not in drawn.after.redone and drawn.on(stage).any()
        ),
        reopened=tuple(
            Reopened(stage, share, Spread(*cut(drawn.on(stage), odds)))
            for stage, share in drawn.after.redone.items()
        ),
    )


def telling_of(said: Added, board: Board, day: dt.date, told: Iterable[Told], price: float | None) -> Told:
    """What an owner is told who agreed: the hours and days of the whole board then, and its price.

    told: all tellings before; price: what it adds, or takes off where less is asked for; None: what is answered, to
    the nearest ten. Where that or the price before is not known no price is told.
    """
    old = price_told(board, told)
    extra = to_the_ten(said.price.for_target) if price is None and said.price.target else price
    if price is not None and said.hours.high < 0:
        extra = -price
    ready = None if said.ready is None else said.ready.after
    return Told(
        board=board.board,
        date=day,
        hours_low=round_hours(said.in_all.low),
        hours_high=round_hours(said.in_all.high),
        price=None if old is None or extra is None else round(old + extra, 2),
        first=None if ready is None else ready.low,
        last=None if ready is None else ready.tell or ready.high,
        odds=said.odds,
        because=FOR_ASKED_LATER,
        paid_by=OWNER_PAYS,
    )


def materials_with(fit: SavedFit, board: KnownBoard, drawn: More, settings: Settings, seed: int) -> Array:
    """By draw what materials cost on top; what is written of them already is for what was to do before."""
    plain = replace(board, materials=None)
    before, after = (
        materials_of(fit, plain, work, hours.total, settings, np.random.default_rng([seed, MONEY]))
        for work, hours in (
            (drawn.before, drawn.drawn_before),
            (with_redone(drawn.after, drawn.before, settings), drawn.drawn_after),
        )
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
    was, then_ready = (outlook.to_tell(board.board, days[own], today) for days in (before, after))
    ready = ReadyThen(was, then_ready, Spread(*cut(later, 0.8)), by)
    moved = each_moved(outlook, before, after, today)
    return ready, tuple(one for i, one in enumerate(moved) if i != own and _moves(one))


def wishes_add(outlook: Outlook, board: KnownBoard, today: dt.date) -> tuple[float | None, float | None]:
    """The hours and days that all its owner has asked for since adds to a board, even chances on the same draws.

    board: as it stands, with what was asked for; what of that is done already adds no days any more

    None for both where nothing is written of what was asked for.

    Raises NoAnswerError where no dates can be given.
    """
    if not any(board.later.values()):
        return None, None
    hand, at = outlook.hand, outlook.place_of(board.board)
    plain = board.as_first_asked
    drawn = draw_more(hand.fit, plain, board, hand.settings, seed=hand.seed, n_draws=hand.n_draws)
    if at is not None:
        jobs, job = outlook.jobs, hand.job_judged(outlook.boards[at], plain)
        outlook = replace(outlook, jobs=(*jobs[:at], job, *jobs[at + 1 :]))
    ready, _ = dates_with(outlook, plain, board, today)
    hours = max(float(np.median(drawn.hours)), 0.0)
    return round(hours, 2), float(max(round(ready.later.likely), 0))


def _moves(one: Moved) -> bool:
    """Whether any of its dates moves by a day or more."""
    before, after = ((d.low, d.likely, d.high) for d in (one.before, one.after))
    return any(abs((then - now).days) >= A_DAY_AT_LEAST for now, then in zip(before, after, strict=True))


def _job_with(outlook: Outlook, row: Board, board: KnownBoard, more: KnownBoard, first: int) -> Job:
    """The job of a board with what was asked for since; what is done again comes first, and stands again."""
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
    for stage in reversed(drawn.drawn_after.stages):
        if stage in drawn.after.done or stage not in job.stages:
            hours = np.maximum(drawn.on(stage), 0.0)
            if hours.any():
                days = days_after(
                    stage,
                    board.board,
                    drawn.after,
                    drawn.drawn_after,
                    seen,
                    hand.waits,
                    hand.settings,
                    hand.seed,
                )
                job = with_more_first(job, stage, hours, days)
    return job
