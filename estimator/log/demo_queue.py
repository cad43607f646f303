"""The invented workshop day by day: three places, one pair of hands, and what stands meanwhile. [invented]

Worked in whole quarters of an hour, so that the hours booked on a job are exactly the hours it took.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from estimator.log.demo_calendar import ONE_DAY, all_days, monday_after
from estimator.log.demo_dice import Dice
from estimator.log.demo_recipe import LAST_DAY
from estimator.log.demo_waits import QUARTERS, Step, drying_days

PLACES = 3
SQUEEZED_IN = 1  # board more, where one comes back from the rack
OFF_THE_BENCH = 2  # days to stand from which a board gives up its place
JUMPS = 0.30  # of small repairs go to the head of the line
MOST_ON_ONE_BOARD = 18  # quarters of an hour a day
HOURS_A_WEEK = 30.0  # as the restorer promises by
TOLD_FIRST, TOLD_LAST = 0.8, 1.25  # of the time he thinks it takes
LEAST_LEFT = 6.0  # hours that he always sees before him


@dataclass(frozen=True, slots=True)
class Plan:
    """A job that was said yes to.

    guess: the restorer's hours
    drying, answer, artwork: days that it stands for these; drying in summer
    jumps: it goes to the head of the line
    dropped: the owner's answer is no
    """

    accepted: dt.date
    steps: tuple[Step, ...]
    guess: float
    drying: float = 0.0
    answer: float = 0.0
    artwork: float = 0.0
    jumps: bool = False
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """So many quarters of an hour on one stage on one day; `last`: the stage was finished with it."""

    day: dt.date
    stage: str
    quarters: int
    note: str = ""
    last: bool = False


@dataclass(frozen=True, slots=True)
class Stand:
    """Time a job stood; `until` None: still standing when the log ends."""

    cause: str
    first: dt.date
    until: dt.date | None


@dataclass(slots=True)
class Course:
    """How a job went. promises: when dates were told, and which."""

    plan: Plan
    pieces: list[Piece] = field(default_factory=list)
    stands: list[Stand] = field(default_factory=list)
    promises: list[tuple[dt.date, dt.date, dt.date]] = field(default_factory=list)
    ended: dt.date | None = None
    at: int = 0  # the step in hand
    done: int = 0  # quarters of it
    free: dt.date = dt.date.min  # the day on which it may begin
    checks: list[dt.date] = field(default_factory=list)  # on the rack: days to look at it, the last one dry
    over: dict[str, dt.date] = field(default_factory=dict)  # when a wait that was asked for ends

    @property
    def worked(self) -> float:
        """Hours so far."""
        return sum(piece.quarters for piece in self.pieces) / QUARTERS

    def worked_on(self, day: dt.date) -> int:
        """Quarters of an hour on one day."""
        return sum(piece.quarters for piece in self.pieces if piece.day == day)

    @property
    def left_as_guessed(self) -> float:
        """Hours that the restorer still sees before him."""
        return max(self.plan.guess - self.worked, LEAST_LEFT)

    @property
    def step(self) -> Step:
        """The step in hand."""
        return self.plan.steps[self.at]

    @property
    def workable(self) -> dt.date:
        """The day from which the step in hand can be worked; while foam dries, the last look at it."""
        waits = [self.over[cause] for cause in self.step.needs if cause in self.over]
        return max([self.free, *self.checks[-1:], *waits])

    def stands_off(self, day: dt.date) -> bool:
        """Whether it can be hung up for a while."""
        return bool(self.checks) or (self.workable - day).days >= OFF_THE_BENCH

    def next_step(self, day: dt.date) -> None:
        """Ends the step in hand on this day and starts what waits on it."""
        step = self.step
        if step.asks:
            days = self.plan.answer if step.asks == "owner" else self.plan.artwork
            self.over[step.asks] = until = day + max(1, round(days)) * ONE_DAY
            self.stands.append(Stand(step.asks, day, until if until <= LAST_DAY else None))
        self.at, self.done, self.free = self.at + 1, 0, day + step.days * ONE_DAY
        if self.at == len(self.plan.steps):
            self.ended = day
        elif self.step.stage == "drying":
            self._hang_up(day)

    def _hang_up(self, day: dt.date) -> None:
        """Puts the board on the rack where its foam is wet, with days to look at it."""
        days, looks = drying_days(self.plan.drying, day), self.step.quarters
        if days:
            self.checks = [day + math.ceil(days * (n + 1) / looks) * ONE_DAY for n in range(looks)]
            self.stands.append(Stand("drying", day, None))

    def look(self, day: dt.date) -> int:
        """Looks at a drying board where that is due; the quarters of an hour it took."""
        due = sum(check <= day for check in self.checks)
        if not due:
            return 0
        self.checks = self.checks[due:]
        dry = not self.checks
        self.pieces.append(Piece(day, "drying", due, "dry" if dry else "still wet", last=dry))
        if dry:
            self.stands = [
                replace(stand, until=day) if stand.cause == "drying" else stand for stand in self.stands
            ]
            self.next_step(day)
        return due

    def work(self, day: dt.date, most: int) -> int:
        """Works on the board for at most so many quarters of an hour; those worked."""
        left = most
        while left and not self.ended and not self.checks and self.workable <= day:
            step = self.step
            took = min(left, step.quarters - self.done)
            self.done += took
            left -= took
            finished = self.done == step.quarters
            following = self.plan.steps[self.at + 1].stage if self.at + 1 < len(self.plan.steps) else ""
            self.pieces.append(
                Piece(day, step.stage, took, step.note, last=finished and following != step.stage)
            )
            if finished:
                self.next_step(day)
        return most - left


@dataclass(slots=True)
class Shop:
    """Where the boards are: in line, on the bench, on the rack (to dry, or dry and without a place)."""

    line: list[Course] = field(default_factory=list)
    bench: list[Course] = field(default_factory=list)
    rack: list[Course] = field(default_factory=list)

    @property
    def here(self) -> list[Course]:
        """Every board in hand."""
        return [*self.bench, *self.rack, *self.line]

    def take_in(self, course: Course, day: dt.date) -> None:
        """A new job: its place in line, and the dates told."""
        self.line.insert(0 if course.plan.jumps else len(self.line), course)
        course.promises.append(promise(day, sum(other.left_as_guessed for other in self.here)))

    def tell_late(self, day: dt.date) -> None:
        """Tells the owner again, once, when the last date told has passed."""
        for course in self.here:
            if len(course.promises) == 1 and course.promises[0][2] < day:
                others = [other.left_as_guessed for other in self.bench if other is not course]
                course.promises.append(promise(day, course.left_as_guessed + sum(others)))

    def one_day(self, day: dt.date, quarters: int, dice: Dice) -> None:
        """One day's work: a look at the rack, then the boards on the bench as they come to hand."""
        self.tell_late(day)
        self._hand_back(day)
        left = quarters - sum(course.look(day) for course in self.rack)
        self._fill_places(day)
        for course in dice.shuffled(self.bench):
            left -= course.work(day, max(0, min(left, MOST_ON_ONE_BOARD - course.worked_on(day))))
        on_hand = [course for course in self.bench if not course.ended]
        self.rack += [course for course in on_hand if course.stands_off(day)]
        self.bench = [course for course in on_hand if not course.stands_off(day)]

    def _hand_back(self, day: dt.date) -> None:
        """Boards whose owner said no leave."""
        for course in self.here:
            if course.plan.dropped and course.over.get("owner", dt.date.max) <= day:
                course.ended = day
        self.bench = [course for course in self.bench if not course.ended]
        self.rack = [course for course in self.rack if not course.ended]

    def _fill_places(self, day: dt.date) -> None:
        """Boards that have stood come first, then the line."""
        back = [course for course in self.rack if not course.checks and course.workable <= day]
        for course in sorted(back, key=lambda c: c.plan.accepted)[: PLACES + SQUEEZED_IN - len(self.bench)]:
            self.rack.remove(course)
            self.bench.append(course)
        while self.line and len(self.bench) < PLACES:
            self.bench.append(self.line.pop(0))


def promise(day: dt.date, hours: float) -> tuple[dt.date, dt.date, dt.date]:
    """The day itself and the first and last date that are told for so many hours of work: Mondays."""
    days = 7 * hours / HOURS_A_WEEK
    first, last = (monday_after(day + round(share * days) * ONE_DAY) for share in (TOLD_FIRST, TOLD_LAST))
    return day, first, last


def run(plans: Sequence[Plan], quarters: Mapping[dt.date, int], dice: Dice) -> list[Course]:
    """How every job went, from the first day to the last, in the order of `plans`.

    quarters: what is worked on each day that is worked
    """
    courses = [Course(plan) for plan in plans]
    shop = Shop()
    for day in all_days():
        for course in courses:
            if course.plan.accepted == day:
                shop.take_in(course, day)
        if day in quarters:
            shop.one_day(day, quarters[day], dice)
    return courses
