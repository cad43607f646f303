"""Every enquiry at the invented workshop, and how it went. [invented]"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass, replace

from estimator.log.demo_calendar import all_days, quarters_by_day
from estimator.log.demo_dice import Dice
from estimator.log.demo_money import Money, draw_money
from estimator.log.demo_names import call, owner
from estimator.log.demo_queue import JUMPS, Course, Plan, run
from estimator.log.demo_recipe import FIRST_DAY, JOBS_A_YEAR, LAST_DAY, MONTHS, Job, draw_job
from estimator.log.demo_waits import Waits, draw_waits, steps_of

DAYS_IN_A_YEAR = 365.25
NOT_TAKEN = (25, 35)  # enquiries that came to nothing, over all the years
I_SAID_NO = 0.4  # of them; the others lapsed
DROPPED_BETWEEN = (dt.date(2023, 10, 1), dt.date(2025, 12, 31))  # the one board that its owner gave up

YES, NO, LAPSED = "yes", "no", "lapsed"


@dataclass(frozen=True, slots=True)
class Story:
    """One enquiry. outcome: the owner said yes, the restorer said no, or the owner did not come back.

    decided: the day of that; course: how it went in the shop, where it got there
    """

    board: str
    called: str
    owner: str
    asked: dt.date
    outcome: str
    job: Job
    money: Money
    waits: Waits
    jumps: bool = False
    dropped: bool = False
    course: Course | None = None

    @property
    def decided(self) -> dt.date:
        """The day on which it was settled, even where that is still to come."""
        return self.asked + dt.timedelta(days=self.waits.accepting)

    @property
    def quoted(self) -> dt.date:
        """The day on which a price was named."""
        return self.asked + dt.timedelta(days=self.waits.quoting)

    @property
    def accepted(self) -> dt.date | None:
        """The day of the owner's yes, where the log has come so far."""
        return self.decided if self.outcome == YES and self.decided <= LAST_DAY else None

    @property
    def ready(self) -> dt.date | None:
        """The day on which it was ready."""
        return self.course.ended if self.course and not self.dropped else None

    @property
    def plan(self) -> Plan:
        """The job as the shop takes it in."""
        return Plan(
            accepted=self.decided,
            steps=steps_of(self.job, self.waits),
            guess=self.money.guess,
            drying=self.waits.drying,
            answer=self.waits.answer,
            artwork=self.waits.artwork,
            jumps=self.jumps,
            dropped=self.dropped,
        )


def draw_story(dice: Dice, asked: dt.date, outcome: str = YES) -> Story:
    """An enquiry by the recipe, without a name yet."""
    job = draw_job(dice, (asked - FIRST_DAY).days / DAYS_IN_A_YEAR)
    money = draw_money(dice, job)
    waits = draw_waits(dice, job, asked=money.asked)
    jumps = dice.happens(JUMPS) and job.kind == "minor"
    return Story("", "", "", asked, outcome, job, money, waits, jumps)


def stories(seed: int) -> list[Story]:
    """All enquiries of the years, in order, named, and run through the shop."""
    named = _named(Dice(seed, "names"), sorted(_enquiries(seed), key=lambda story: story.asked))
    named = _one_dropped(Dice(seed, "dropped"), named)
    taken = [story for story in named if story.accepted]
    courses = run(
        [story.plan for story in taken], quarters_by_day(Dice(seed, "days")), Dice(seed, "mornings")
    )
    went = {story.board: course for story, course in zip(taken, courses, strict=True)}
    return [replace(story, course=went.get(story.board)) for story in named]


def _enquiries(seed: int) -> list[Story]:
    """Enquiries that became jobs, so many a year, and the others."""
    dice = Dice(seed, "enquiries")
    weights = {day: MONTHS[day.month - 1] for day in all_days()}
    asked: list[tuple[dt.date, str]] = []
    for number, jobs in enumerate(JOBS_A_YEAR):
        first, end = (FIRST_DAY.replace(year=FIRST_DAY.year + number + more) for more in (0, 1))
        of_year = {day: weight for day, weight in weights.items() if first <= day < end}
        asked += [(dice.pick(of_year), YES) for _ in range(jobs)]
    for _ in range(int(dice.uniform(NOT_TAKEN[0], NOT_TAKEN[1] + 1))):
        asked.append((dice.pick(weights), NO if dice.happens(I_SAID_NO) else LAPSED))
    return [draw_story(Dice(seed, "job", number), *enquiry) for number, enquiry in enumerate(asked)]


def _named(dice: Dice, unnamed: list[Story]) -> list[Story]:
    """The same with ids that count within the year, owners, and short names of which no two are alike."""
    of_year: Counter[int] = Counter()
    taken: set[str] = set()
    named = []
    for number, story in enumerate(unnamed, start=1):
        year = story.asked.year % 100
        of_year[year] += 1
        taken.add(called := call(dice, story.job, taken))
        named.append(replace(story, board=f"{year}-{of_year[year]:03d}", called=called, owner=owner(number)))
    return named


def _one_dropped(dice: Dice, named: list[Story]) -> list[Story]:
    """The same, but one owner who is asked about what was found gives the board up."""
    first, last = DROPPED_BETWEEN
    may = [
        story
        for story in named
        if story.waits.answer and story.outcome == YES and first <= story.asked <= last
    ]
    board = dice.shuffled(may)[0].board if may else ""
    return [replace(story, dropped=True) if story.board == board else story for story in named]
