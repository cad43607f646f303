"""An enquiry at the invented workshop as its row among the boards: what he wrote down of it. [invented]"""

from __future__ import annotations

import datetime as dt
from typing import Any

from estimator.log.blanks import judged
from estimator.log.demo_dice import Dice
from estimator.log.demo_hours import SOMETIMES
from estimator.log.demo_names import FOUND_NOTES, I_SAID_NO, LAPSED, MAKERS, cost_time
from estimator.log.demo_recipe import LAST_DAY, Job
from estimator.log.demo_stories import NO, YES, Story
from estimator.words.records import (
    ASKED,
    DECLINED,
    FINISHED,
    ON_BENCH,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
)
from estimator.words.settings import Settings
from estimator.words.units import convert

AIMS = {"ride": 6, "show": 3, "sell": 1, "": 1}
WANTED, WANTED_DAYS = 0.12, (90, 240)  # of owners name a day, so long after asking
HELD_DAYS = 21  # that a place is held after a price was named
WEIGHED = 0.5  # of full restorations were thought over in writing
FOR_LOVE, LOVED = 0.1, "I want to see that one ridden again"  # of those
UNSEEN = 0.04  # of each of these is left open at the first look
MAY_BE_UNSEEN = ("infills", "brittle_glass", "wetness")
NOT_RECORDED = 0.15  # of finished boards that could do without a record of what turned out
NO_MATERIALS = 0.02  # of finished boards
SHOWN_BY_STRIP = ("infills", "stringers", "blocks", "brittle_glass", "wetness")
SHOWN_ON_SMALL = ("infills", "patches", "brittle_glass", "wetness")
FROM_OUTLINE = ("face_area", "glass_stripped", "coated_area", "gloss_area")


def board_of(dice: Dice, story: Story, settings: Settings) -> Board:
    """The row of one enquiry; areas that the outline tells are worked out as a reader of the row would."""
    job = story.job
    looked = {} if story.outcome == NO else _looked(dice, job)
    turned_out = _turned_out(dice, story, looked)
    length_m, width_m = convert(job.length_in, "in", "m"), convert(job.width_in, "in", "m")
    known = judged(
        looked,
        turned_out,
        settings,
        kind=job.kind,
        length_m=length_m,
        width_m=width_m,
        outline=job.outline,
    )
    state = _state(story)
    return Board(
        board=story.board,
        called=story.called,
        owner=story.owner,
        kind=job.kind,
        aim=dice.pick(AIMS),
        wanted_by=story.asked + _days(dice.uniform(*WANTED_DAYS)) if dice.happens(WANTED) else None,
        asked=story.asked,
        state=state,
        outline=job.outline,
        length_m=length_m,
        width_m=width_m,
        assessed=known.assessed,
        found=known.found,
        later={name: float(more) for name, more in job.later.items()} if turned_out else {},
        worked_out=known.worked_out,
        note=_note(dice, story, state, turned_out=bool(turned_out)),
        **_offer(story, state),
        **_decision(dice, story, state),
        **(_in_the_shop(dice, story, state) if story.accepted else {}),
    )


def as_he_says(hours: float) -> float:
    """His own guess: to the half under 10, to the whole under 40, then to the nearest 5.

    >>> as_he_says(7.3), as_he_says(23.6), as_he_says(71.0)
    (7.5, 24.0, 70.0)
    """
    step = 0.5 if hours < 10 else 1.0 if hours < 40 else 5.0
    return step * round(hours / step)


def _days(days: float) -> dt.timedelta:
    """Whole days."""
    return dt.timedelta(days=round(days))


def _looked(dice: Dice, job: Job) -> dict[str, float | None]:
    """What stands in the assessed columns: None is a question mark; an empty cell is left out."""
    written: dict[str, float | None] = {
        name: float(worth) for name, worth in job.assessed.items() if worth and name not in FROM_OUTLINE
    }
    written |= {name: float(job.assessed[name]) for name in MAY_BE_UNSEEN}
    if job.kind == "minor":
        patched_m2 = max(round(job.assessed["glass_stripped"], 2), 0.01)
        return {**written, "glass_stripped": patched_m2}
    return {**written, **dict.fromkeys(name for name in MAY_BE_UNSEEN if dice.happens(UNSEEN))}


def _turned_out(dice: Dice, story: Story, looked: dict[str, float | None]) -> dict[str, float | None]:
    """What stands in the found columns, nothing until the old glass is off."""
    job, course = story.job, story.course
    if course is None or not any(piece.stage == "strip" and piece.last for piece in course.pieces):
        return {}
    came_up = [name for name, worth in job.found.items() if worth and not job.assessed[name]]
    if course.ended and not came_up and None not in looked.values() and dice.happens(NOT_RECORDED):
        return {}
    names = [*(SHOWN_ON_SMALL if job.kind == "minor" else SHOWN_BY_STRIP), *job.later]
    worked = {piece.stage for piece in course.pieces}
    names += [stage for stage in SOMETIMES if course.ended or stage in worked]
    return {name: float(job.found[name]) for name in dict.fromkeys([*names, *came_up])}


def _state(story: Story) -> str:
    """Where the board stands on the last day."""
    course = story.course
    if story.outcome == NO:
        return DECLINED
    if course is None:
        return ASKED if story.outcome == YES or story.decided > LAST_DAY else WITHDRAWN
    if course.ended:
        return WITHDRAWN if story.dropped else FINISHED
    if any(stand.cause == "owner" and stand.until is None for stand in course.stands):
        return STOPPED
    return ON_BENCH if course.pieces else WAITING


def _offer(story: Story, state: str) -> dict[str, Any]:
    """Guess, price and how long it stands, where one was named."""
    if story.outcome == NO or story.quoted > LAST_DAY:
        return {}
    guess = as_he_says(story.money.guess)
    held = story.quoted + _days(HELD_DAYS) if state == ASKED else None
    return {
        "quoted": story.quoted,
        "guess_low": guess,
        "guess_high": guess,
        "price_quoted": story.money.price,
        "hold_until": held,
    }


def _decision(dice: Dice, story: Story, state: str) -> dict[str, Any]:
    """What was decided of a board that was thought over."""
    if state == DECLINED:
        return {"decided": "no", "decided_why": dice.shuffled(I_SAID_NO)[0]}
    if not story.accepted or story.job.kind != "major" or not dice.happens(WEIGHED):
        return {}
    loved = dice.happens(FOR_LOVE)
    return {"decided": "yes", "decided_why": LOVED if loved else "", "for_love": loved}


def _in_the_shop(dice: Dice, story: Story, state: str) -> dict[str, Any]:
    """Dates and money of a board that was said yes to."""
    course, money = story.course, story.money
    assert course is not None
    _, first, last = course.promises[0]
    row: dict[str, Any] = {
        "accepted": story.accepted,
        "started": course.pieces[0].day if course.pieces else None,
        "promised_first": first,
        "promised_last": last,
        "deposit": money.deposit,
        "paid": money.deposit,
    }
    if state != FINISHED or story.ready is None:
        return row
    collected = story.ready + _days(story.waits.collecting)
    paid_on = collected + _days(story.waits.paying)
    charged = money.price + money.extra
    return row | {
        "ready": story.ready,
        "collected": collected if collected <= LAST_DAY else None,
        "paid_on": paid_on if paid_on <= LAST_DAY else None,
        "price_charged": charged,
        "materials": None if dice.happens(NO_MATERIALS) else money.materials,
        "paid": charged if paid_on <= LAST_DAY else money.deposit,
        "cost_time": cost_time(dice, story.job),
    }


def _note(dice: Dice, story: Story, state: str, *, turned_out: bool) -> str:
    """Its maker, what was under the glass, why it came to nothing."""
    said = [dice.shuffled(MAKERS)[0]]
    if story.job.surprise and turned_out:
        said.append(FOUND_NOTES[story.job.surprise])
    if story.dropped and state == WITHDRAWN:
        said.append("owner gave it up when he heard")
    elif state == WITHDRAWN:
        said.append(dice.shuffled(LAPSED)[0])
    return "; ".join(said)
