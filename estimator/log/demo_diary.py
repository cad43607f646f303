"""How the boards went through the invented workshop, as its notebook has it: hours, waits, weights, tellings.

The notebook as it would be without a mistake; `demo_mess` adds what a real one has. [invented]
"""

from __future__ import annotations

import math
from dataclasses import replace

from estimator.log.demo_calendar import ONE_DAY, monday_after, open_days, times_away, worked_days
from estimator.log.demo_dice import Dice
from estimator.log.demo_queue import HOURS_A_WEEK, Course, Stand
from estimator.log.demo_recipe import CHANGE, LAST_DAY
from estimator.log.demo_stories import Story
from estimator.log.demo_waits import QUARTERS, drying_days, shown_by
from estimator.words.records import SHOP, Entry, Told, Wait, Weighing

MARKED_DONE = 0.35  # of stages have their end marked
WEIGHED = 0.65  # of drying boards hang on the scales
DRY_KG_M2 = 4.4  # a stripped board, by its face
WATER_KG, WATER_LOG_SD = (0.4, 0.6, 1.8, 4.5), 0.25  # by class of wetness
SCALES_SD_KG = 0.1
DRYING_POWER, TIMES_OVER = 0.8, 3.6  # of the days on the rack; time constants until it counts as dry
TERMS = "fixed"


def entries_of(dice: Dice, story: Story) -> list[Entry]:
    """The hours of one board, day by day."""
    pieces = story.course.pieces if story.course else []
    return [
        Entry(
            story.board,
            piece.day,
            piece.stage,
            piece.quarters / QUARTERS,
            done=True if piece.last and dice.happens(MARKED_DONE) else None,
            note=piece.note,
        )
        for piece in pieces
    ]


def shop_entries(dice: Dice) -> list[Entry]:
    """Weeks away and single days without work, so that no empty day is left to explain."""
    away = [Entry(SHOP, first, "", 0.0, until=last, note="away") for first, last in times_away()]
    missed = sorted(set(open_days()) - set(worked_days(dice)))
    return [*away, *(Entry(SHOP, day, "", 0.0, note="did not work") for day in missed)]


def waits_of(story: Story) -> list[Wait]:
    """The times that one board stood for a cause worth writing down."""
    return [Wait(story.board, stand.first, stand.until, stand.cause) for stand in _stands(story)]


def _stands(story: Story) -> list[Stand]:
    """What the board stood for; a board that left does not wait on."""
    course = story.course
    if not course:
        return []
    return [replace(stand, until=stand.until or course.ended) for stand in course.stands]


def weighings_of(dice: Dice, story: Story) -> list[Weighing]:
    """A drying board on the scales, on the day it was hung up and whenever it was looked at."""
    drying = [stand for stand in _stands(story) if stand.cause == "drying"]
    if not drying or not dice.happens(WEIGHED):
        return []
    assert story.course is not None
    hung_up, found = drying[0].first, story.job.found
    looks = {piece.day for piece in story.course.pieces if piece.stage == "drying"}
    dry_kg = DRY_KG_M2 * found["face_area"]
    water_kg = WATER_KG[int(found["wetness"])] * dice.times(WATER_LOG_SD)
    constant = drying_days(story.waits.drying, hung_up) / TIMES_OVER
    weighings = []
    for day in sorted({hung_up, *looks}):
        water_left = math.exp(-(((day - hung_up).days / constant) ** DRYING_POWER))
        weight_kg = dry_kg + water_kg * water_left + dice.normal(0, SCALES_SD_KG)
        weighings.append(Weighing(story.board, day, round(weight_kg, 1)))
    return weighings


def told_of(story: Story) -> list[Told]:
    """All that the owner of one board was told, in order."""
    course = story.course
    if not course:
        return []
    (day, first, last), *again = course.promises
    said = [Told(story.board, day, None, None, story.money.price, TERMS, first, last, because="quote")]
    more = _about_more_work(story, course)
    late = [Told(story.board, day, first=first, last=last, because="late") for day, first, last in again]
    if more and more.last:  # dates told anew count from then on
        late = [telling for telling in late if not more.date <= telling.date <= more.last]
    return sorted([*said, *([more] if more else []), *late], key=lambda telling: telling.date)


def _about_more_work(story: Story, course: Course) -> Told | None:
    """What was said of work that came up, on the day of the answer, or when it showed."""
    job, money = story.job, story.money
    shown = [piece.day for piece in course.pieces if piece.stage == shown_by(job) and piece.last]
    answered = [stand.until or LAST_DAY + ONE_DAY for stand in course.stands if stand.cause == "owner"]
    day = max([*shown, *answered], default=None)
    if day is None or day > LAST_DAY or story.dropped:
        return None
    price = money.price + money.extra if money.extra else None
    if job.structural:
        paid_by = "half" if money.extra else "me"
        return Told(story.board, day, None, None, price, TERMS, because="hidden work", paid_by=paid_by)
    if job.surprise != CHANGE:
        return None
    days = 7 * (sum(job.usual.values()) - sum(job.usual_seen.values())) / HOURS_A_WEEK
    first, last = (monday_after(told + round(days) * ONE_DAY) for told in course.promises[0][1:])
    return Told(
        story.board, day, None, None, price, TERMS, first, last, because="asked later", paid_by="owner"
    )
