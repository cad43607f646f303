"""The invented workshop day by day: its calendar, three places, one pair of hands, waits. [invented]"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from estimator.demo.recipe import FIRST_DAY, FURTHER, LAST_DAY, STAIN, WATER, Dice, InventedJob

QUARTERS = 4  # the notebook is kept in quarters of an hour

ACCEPTING = (9.0, 0.6)  # days from enquiry to yes: median and log-sd, as below
QUOTING_SHARE = (0.2, 0.6)  # of them gone when the price was named
DRYING = ((0.0, 0.0), (7.0, 0.35), (21.0, 0.40), (50.0, 0.45))  # by class of wetness
WATER_ADDS = (12.0, 0.30)
WINTER, WINTER_MONTHS = 1.35, (10, 11, 12, 1, 2, 3)
ARTWORK_SENT, ARTWORK = 0.5, (8.0, 0.6)
ANSWER = (9.0, 0.6)
HARDENING_AT_LEAST, HARDENING = 2.0, (6.0, 0.3)  # before a gloss coat is polished
COLLECTING = (3.0, 1.0)
PAYING = (2.0, 1.65)  # 5 in 100 later than 30 days
A_NIGHT_AFTER = ("infill", "stringer", "block", "stain", "spray", "fins", "pinlines")
TWO_NIGHTS = {
    "laminate": "sides_stripped",
    "filler": "sides_coated",
    "gloss": "gloss",
}  # a session for each side
WORK = (
    *(
        "assess",
        "clean",
        "strip",
        "drying",
        "infill",
        "stringer",
        "block",
        "reshape",
        "stain",
        "spray",
        "logos",
    ),
    *(
        "laminate",
        "fins",
        "filler",
        "sand",
        "redo",
        "owner_change",
        "pinlines",
        "gloss",
        "polish",
        "handover",
    ),
)
ORDINALS = ("first", "second", "third", "fourth")


@dataclass(frozen=True, slots=True)
class InventedWaits:
    """Days a job stands; 0 where the cause does not arise. drying: in summer."""

    accepting: float
    quoting: float
    drying: float
    artwork: float
    answer: float
    hardening: float
    collecting: float
    paying: float


@dataclass(frozen=True, slots=True)
class Step:
    """Work in one go: `quarters` of an hour on a stage, then so many days until the next.

    asks: the cause of a wait that begins when it is done; needs: causes that must be over before it
    """

    stage: str
    quarters: int
    days: int = 0
    asks: str = ""
    needs: tuple[str, ...] = ()
    note: str = ""


def draw_waits(dice: Dice, job: InventedJob, *, asked: bool) -> InventedWaits:
    """The waits of a job by the recipe; `asked`: the owner is asked about what was found."""
    accepting = max(1.0, round(_days(dice, ACCEPTING)))
    return InventedWaits(
        accepting=accepting,
        quoting=math.floor(accepting * dice.uniform(*QUOTING_SHARE)),
        drying=_days(dice, DRYING[job.wet]) + (_days(dice, WATER_ADDS) if job.surprise == WATER else 0.0),
        artwork=_days(dice, ARTWORK) if job.found["logos"] and dice.happens(ARTWORK_SENT) else 0.0,
        answer=_days(dice, ANSWER) if asked else 0.0,
        hardening=HARDENING_AT_LEAST + _days(dice, HARDENING),
        collecting=_days(dice, COLLECTING),
        paying=_days(dice, PAYING),
    )


def _days(dice: Dice, law: tuple[float, float]) -> float:
    """A lognormal number of days by median and log-sd."""
    median, log_sd = law
    return median * dice.times(log_sd)


def drying_days(summer_days: float, begun: dt.date) -> int:
    """Whole days that foam dries when it begins on this day.

    >>> drying_days(20, dt.date(2024, 1, 10)), drying_days(20, dt.date(2024, 7, 10))
    (27, 20)
    """
    return round(summer_days * (WINTER if begun.month in WINTER_MONTHS else 1.0))


def steps_of(job: InventedJob, waits: InventedWaits) -> tuple[Step, ...]:
    """The job's work in order, in quarters of an hour, with what stands between."""
    asks = {"clean": "artwork" if waits.artwork else "", shown_by(job): "owner" if waits.answer else ""}
    steps: list[Step] = []
    needs_answer = False
    for stage in (stage for stage in WORK if stage in job.hours):
        needs = ("artwork",) * (stage == "logos") + ("owner",) * (needs_answer and stage != "drying")
        sizes = _sessions(job, stage)
        for number, quarters in enumerate(sizes, start=1):
            left = len(sizes) - number
            hardens = stage == "gloss" and not left
            days = math.ceil(waits.hardening) if hardens else _nights(stage, number, left)
            asked = "" if left else asks.get(stage, "")
            steps.append(Step(stage, quarters, days, asked, needs, _note(stage, number, left)))
        needs_answer = needs_answer or stage == shown_by(job)
    return tuple(steps)


def shown_by(job: InventedJob) -> str:
    """The stage whose end shows what could not be seen before."""
    return "reshape" if job.surprise == STAIN else "strip"


def _nights(stage: str, number: int, left: int) -> int:
    """Nights to stand after a session: one, but two coats or laps make two in all."""
    if stage in TWO_NIGHTS:
        return 1 if left or number > 1 else 2
    return int(stage in A_NIGHT_AFTER)


def _sessions(job: InventedJob, stage: str) -> list[int]:
    """The stage's hours in quarters, one number for each time it is taken up."""
    total = max(1, round(QUARTERS * job.hours[stage]))
    if stage == "spray" and FURTHER in job.pieces:
        first = round(QUARTERS * job.pieces["spray"])
        return [first, *_even(total - first, int(job.found["spray_colours"]) - 1)]
    return _even(total, math.ceil(job.found[TWO_NIGHTS[stage]]) or 1 if stage in TWO_NIGHTS else 1)


def _even(total: int, parts: int) -> list[int]:
    """A whole number in nearly equal parts, the larger ones first.

    >>> _even(7, 2)
    [4, 3]
    """
    return [total // parts + (n < total % parts) for n in range(parts)]


def _note(stage: str, number: int, left: int) -> str:
    """Which colour or which side, where there are several."""
    if number == 1 and not left:
        return ""
    return f"{ORDINALS[number - 1]} {'colour' if stage == 'spray' else 'side'}"


HOURS_A_DAY, HOURS_SD = 6.0, 0.25  # sd as a share
OFF, DAYS_OFF = ((8, 5), (12, 24)), 14  # from the Monday on or before; the settings have the same days
SCATTERED, OPEN_DAYS_A_YEAR = 4, 240  # single days a year on which he did not work
ONE_DAY = dt.timedelta(days=1)


def all_days() -> Iterator[dt.date]:
    """Every day that the log covers."""
    day = FIRST_DAY
    while day <= LAST_DAY:
        yield day
        day += ONE_DAY


def monday_before(day: dt.date) -> dt.date:
    """That Monday, or the last one before.

    >>> monday_before(dt.date(2026, 8, 5))
    datetime.date(2026, 8, 3)
    """
    return day - day.weekday() * ONE_DAY


def monday_after(day: dt.date) -> dt.date:
    """That Monday, or the next one.

    >>> monday_after(dt.date(2026, 8, 5))
    datetime.date(2026, 8, 10)
    """
    return day + -day.weekday() % 7 * ONE_DAY


def times_away() -> list[tuple[dt.date, dt.date]]:
    """First and last day of the weeks away that begin while the log runs."""
    years = range(FIRST_DAY.year, LAST_DAY.year + 1)
    firsts = [monday_before(dt.date(year, *monthday)) for year in years for monthday in OFF]
    return [(first, first + (DAYS_OFF - 1) * ONE_DAY) for first in firsts if FIRST_DAY <= first <= LAST_DAY]


def open_days() -> list[dt.date]:
    """Mondays to Fridays without the weeks away."""
    away = times_away()
    return [
        day
        for day in all_days()
        if day.weekday() < 5 and not any(first <= day <= last for first, last in away)
    ]


def worked_days(dice: Dice) -> list[dt.date]:
    """The open days without the single ones on which he did not work."""
    days = open_days()
    missed: set[dt.date] = set()
    for year in sorted({day.year for day in days}):
        of_year = [day for day in days if day.year == year]
        missed |= set(dice.shuffled(of_year)[: round(SCATTERED * len(of_year) / OPEN_DAYS_A_YEAR)])
    return [day for day in days if day not in missed]


def quarters_by_day(dice: Dice) -> dict[dt.date, int]:
    """Quarters of an hour at the bench on every day that is worked."""
    return {
        day: max(0, round(QUARTERS * dice.normal(HOURS_A_DAY, HOURS_SD * HOURS_A_DAY)))
        for day in worked_days(dice)
    }


PLACES = 3
SQUEEZED_IN = 1  # board more, where one comes back from the rack
OFF_THE_BENCH = 2  # days to stand from which a board gives up its place
JUMPS = 0.30  # of small repairs go to the head of the line
MOST_ON_ONE_BOARD = 18  # quarters of an hour a day
HOURS_A_WEEK = 26.0  # as the restorer promises by; he works about 24
STANDING = 14.0  # days that he allows for resin and waits
TOLD_FIRST, TOLD_LAST = 0.8, 1.4  # of the time he thinks it takes: kept about three times in four
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
class InventedShop:
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
    days = STANDING + 7 * hours / HOURS_A_WEEK
    first, last = (monday_after(day + round(share * days) * ONE_DAY) for share in (TOLD_FIRST, TOLD_LAST))
    return day, first, last


def run(plans: Sequence[Plan], quarters: Mapping[dt.date, int], dice: Dice) -> list[Course]:
    """How every job went, from the first day to the last, in the order of `plans`.

    quarters: what is worked on each day that is worked
    """
    courses = [Course(plan) for plan in plans]
    shop = InventedShop()
    for day in all_days():
        for course in courses:
            if course.plan.accepted == day:
                shop.take_in(course, day)
        if day in quarters:
            shop.one_day(day, quarters[day], dice)
    return courses
