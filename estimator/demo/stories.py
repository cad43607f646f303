"""Every enquiry at the invented workshop, how it went, what it was called, and what it brought. [invented]"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from estimator.demo.recipe import (
    CHANGE,
    CRUSHED_FOAM,
    FIRST_DAY,
    JOBS_A_YEAR,
    LAST_DAY,
    MONTHS,
    OLD_REPAIR,
    REDO,
    ROTTEN_STRINGER,
    STAIN,
    WATER,
    Dice,
    InventedJob,
    Values,
    draw_job,
)
from estimator.demo.simulation import (
    JUMPS,
    Course,
    InventedWaits,
    Plan,
    all_days,
    draw_waits,
    quarters_by_day,
    run,
    steps_of,
)

PRICE_PER_HOUR, MARK_UP = 48.0, 1.15  # mk, and times the materials
GUESS = (-0.02, 0.10)  # log mean and log-sd against the hours as he reckons them
MATERIALS_TIMES, MATERIALS_NOISE = 1.25, 0.15
BASE = 30.0
EACH = {"infills": 12.0, "spray_colours": 42.0, "logos": 22.0}
EACH_FIN = {"fins_mended": 6.0, "fin_boxes": 18.0, "fins_made": 30.0}
GLASS_M2, COAT_M2, GLOSSED = 52.0, 24.0, 1.6
CHARGED, CHARGED_SHARE = 0.45, 0.60  # of structural surprises, and of what they cost
OWNER_ASKED = 0.60  # of those charged
DEPOSIT = 1 / 3


@dataclass(frozen=True, slots=True)
class Money:
    """What a job costs and brings.

    guess: the restorer's hours, not rounded
    price, extra: mk, as quoted, and what the owner pays for more work
    asked: whether the owner was asked before that work
    materials, deposit: mk
    """

    guess: float
    price: float
    extra: float
    asked: bool
    materials: float
    deposit: float


def usual_materials(x: Values) -> float:
    """What the work on these amounts takes in materials, before chance."""
    coats = COAT_M2 * (GLOSSED * x["gloss_area"] if x["gloss"] else x["coated_area"])
    fins = sum(worth * x[job] for job, worth in EACH_FIN.items())
    each = sum(worth * x[name] for name, worth in EACH.items())
    return MATERIALS_TIMES * (BASE + GLASS_M2 * x["glass_stripped"] + each + fins + coats)


def round_ten(money: float) -> float:
    """To the nearest ten."""
    return 10.0 * round(money / 10)


def draw_money(dice: Dice, job: InventedJob) -> Money:
    """Guess, price and materials of a job by the recipe."""
    guess = job.fair * dice.times(GUESS[1], GUESS[0])
    planned, needed = usual_materials(job.assessed), usual_materials(job.found)
    price = round_ten(guess * PRICE_PER_HOUR + MARK_UP * planned)
    more = (sum(job.usual.values()) - sum(job.usual_seen.values())) * PRICE_PER_HOUR + MARK_UP * (
        needed - planned
    )
    charged = job.structural and dice.happens(CHARGED)
    share = CHARGED_SHARE if charged else float(job.surprise == CHANGE)
    return Money(
        guess=guess,
        price=price,
        extra=round_ten(share * more),
        asked=charged and dice.happens(OWNER_ASKED),
        materials=round(needed * dice.times(MATERIALS_NOISE)),
        deposit=round_ten(DEPOSIT * price),
    )


COLOURS = (
    *("red", "cream", "sky", "olive", "mustard", "rust", "navy", "lime", "coral", "plum", "sand", "slate"),
    *("teal", "amber", "mint", "rose", "brick", "ivory", "violet", "straw", "ochre", "lemon", "copper"),
    *("white", "black", "green", "blue", "orange", "brown", "grey"),
)
SHAPES = {
    "short": ("stub", "swallow", "diamond"),
    "fish": ("fish", "egg", "hull"),
    "long": ("log", "gun", "plank"),
}
BY_SHAPE = 0.25  # the others go by their length
FEET = ("", "", "", "", "", "five", "six", "seven", "eight", "nine", "ten")
INCHES = ("oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven")
MAKERS = tuple(f"unknown maker {letter}" for letter in "ABCDEF")
FOUND_NOTES = {
    WATER: "water had run along the stringer",
    OLD_REPAIR: "old repair under the glass, all out",
    STAIN: "brown stain would not sand out",
    ROTTEN_STRINGER: "stringer rotten for a hand's breadth",
    CRUSHED_FOAM: "foam crushed under the front foot",
    CHANGE: "owner changed his mind",
    REDO: "sanded through, done again",
}
COST_TIME = {
    WATER: "wet",
    OLD_REPAIR: "glass",
    STAIN: "paint",
    ROTTEN_STRINGER: "foam",
    CRUSHED_FOAM: "foam",
    CHANGE: "owner",
    REDO: "me",
}
SLOW = 1.15  # a difficulty from which a board without a surprise still cost time
WHY_I_SAID_NO = (
    "too far gone",
    "wants two-pack paint",
    "wants it in three weeks",
    "worth more left as it is",
)
WHY_LAPSED = ("did not come back", "found it too dear", "sold the board as it was")


def owner(number: int) -> str:
    """An owner's name in the invented place.

    >>> owner(7)
    'Owner 007'
    """
    return f"Owner {number:03d}"


def length_name(length_in: float) -> str:
    """A length as it is said in the shop, its half inches left out.

    >>> length_name(112.5), length_name(120.0)
    ('nine-four', 'ten-oh')
    """
    feet, inches = divmod(int(length_in), 12)
    return f"{FEET[feet]}-{INCHES[inches]}"


def call(dice: Dice, job: InventedJob, taken: Iterable[str]) -> str:
    """A short name, a colour and a shape or length, that is not taken."""
    by_shape = dice.happens(BY_SHAPE)
    thing = dice.shuffled(SHAPES[job.outline])[0] if by_shape else length_name(job.length_in)
    free = [name for colour in dice.shuffled(COLOURS) if (name := f"{colour} {thing}") not in set(taken)]
    return free[0]


def cost_time(dice: Dice, job: InventedJob) -> str:
    """What cost the time, as he answers at hand-over."""
    if job.surprise:
        return COST_TIME[job.surprise]
    if job.difficulty < SLOW:
        return "nothing"
    return dice.pick({"glass": 2, "foam": 1, "paint": 1 if job.found["spray_colours"] else 0})


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
    job: InventedJob
    money: Money
    waits: InventedWaits
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
