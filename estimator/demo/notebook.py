"""The invented workshop's notebook: what was written of each board and day, and what gets lost. [invented]"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from estimator.demo.recipe import CHANGE, LAST_DAY, SOMETIMES, Dice, InventedJob
from estimator.demo.simulation import (
    HOURS_A_WEEK,
    ONE_DAY,
    QUARTERS,
    Course,
    Stand,
    drying_days,
    monday_after,
    open_days,
    shown_by,
    times_away,
    worked_days,
)
from estimator.demo.stories import FOUND_NOTES, MAKERS, NO, WHY_I_SAID_NO, WHY_LAPSED, YES, Story, cost_time
from estimator.log.parse.cells import judged
from estimator.words.measures import convert
from estimator.words.records import (
    ASKED,
    DECLINED,
    FINISHED,
    ON_BENCH,
    SHOP,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Entry,
    Log,
    Told,
    Wait,
    WeightReading,
)
from estimator.words.settings.schema import REDO, Settings

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
SANDED, AGAIN = "sand", "sand-through"  # what is done again, and why
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


def _looked(dice: Dice, job: InventedJob) -> dict[str, float | None]:
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
    written = dict.fromkeys(name for name in (*names, *came_up) if name != REDO)  # that stands with the hours
    return {name: float(job.found[name]) for name in written}


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
        return {"decided": "no", "decided_why": dice.shuffled(WHY_I_SAID_NO)[0]}
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
        said.append(dice.shuffled(WHY_LAPSED)[0])
    return "; ".join(said)


MARKED_DONE = 0.35  # of stages have their end marked
ON_SCALES = 0.65  # of drying boards hang on the scales
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
            again=AGAIN if piece.stage == REDO else "",
            of=SANDED if piece.stage == REDO else "",
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


def weighings_of(dice: Dice, story: Story) -> list[WeightReading]:
    """A drying board on the scales, on the day it was hung up and whenever it was looked at."""
    drying = [stand for stand in _stands(story) if stand.cause == "drying"]
    if not drying or not dice.happens(ON_SCALES):
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
        weighings.append(WeightReading(story.board, day, round(weight_kg, 1)))
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
    hours = sum(job.usual.values()) - sum(job.usual_seen.values())
    days = 7 * hours / HOURS_A_WEEK
    first, last = (monday_after(told + round(days) * ONE_DAY) for told in course.promises[0][1:])
    return Told(
        story.board,
        day,
        None,
        None,
        price,
        TERMS,
        first,
        last,
        because="asked later",
        paid_by="owner",
        adds_hours=round(hours, 1),
        adds_days=round(days),
    )


DAYS_ONLY = 2  # boards known by their days alone, among the first
FIRST_BOARDS = 40
LOST_PAGES, STAGES_LOST = 4, ("clean", "laminate", "filler")  # boards with a total but not these stages
WHOLE_DAYS, LONG_STAGE = 3, 9.0  # stages of so many hours or more, written as whole days
SUMMED_UP = 6  # stages written as one sum over several days
FEWEST_SUMMED = 3  # entries that are worth summing up
END_NOT_WRITTEN = 0.2  # of dryings
MISTYPED_IN = 114  # 9'6"
MISTYPED_NOTE = "length was first written 9.6; on the tape it is 9 ft 6 in"

Stages = dict[tuple[str, str], list[Entry]]


def messy(dice: Dice, log: Log, day_hours: float) -> Log:
    """The same log as a real notebook would hold it. day_hours: hours that "a day" means."""
    stages = _by_stage(log)
    finished = [board.board for board in log.boards if board.state == FINISHED]
    worn = dice.shuffled(finished)
    by_days = [name for name in worn if name in finished[:FIRST_BOARDS]][:DAYS_ONLY]
    lost = [name for name in worn if name not in by_days][:LOST_PAGES]
    boards = {board.board: board for board in log.boards}
    for name in (*by_days, *lost):
        boards[name] = _with_total(boards[name], stages, day_hours if name in by_days else None)
    stages = {
        (name, stage): rows
        for (name, stage), rows in stages.items()
        if name not in by_days and not (name in lost and stage in STAGES_LOST)
    }
    may = [key for key in dice.shuffled(sorted(stages)) if key[0] in finished and key[0] not in lost]
    long = [key for key in may if _hours(stages[key]) >= LONG_STAGE][:WHOLE_DAYS]
    may = [key for key in may if key not in long and key[1] != "drying" and len(stages[key]) >= FEWEST_SUMMED]
    stages |= {key: [_whole_days(stages[key], day_hours)] for key in long}
    stages |= {key: [_one_sum(stages[key])] for key in may[:SUMMED_UP]}
    looked_at = {name for name, stage in stages if stage == "drying"}
    return replace(
        log,
        boards=_mistyped(boards.values()),
        entries=tuple(row for rows in stages.values() for row in rows),
        waits=tuple(_without_end(dice, wait, looked_at) for wait in log.waits),
    )


def _hours(rows: Iterable[Entry]) -> float:
    """The hours of all rows."""
    return sum(row.hours for row in rows)


def _with_total(board: Board, stages: Stages, day_hours: float | None) -> Board:
    """The board with its hours in all; where `day_hours` is given, in whole days."""
    total = sum(_hours(rows) for (name, _), rows in stages.items() if name == board.board)
    if day_hours is None:
        return replace(board, total_hours=total)
    return replace(board, total_hours=day_hours * max(1, round(total / day_hours)), total_grain=day_hours)


def _by_stage(log: Log) -> Stages:
    """Entries by board and stage."""
    stages: Stages = defaultdict(list)
    for entry in log.entries:
        stages[entry.board, entry.stage].append(entry)
    return dict(stages)


def _one_sum(rows: Sequence[Entry]) -> Entry:
    """Several entries of a stage as one over all their days."""
    first, last = rows[0], rows[-1]
    return replace(first, until=last.date, hours=_hours(rows), done=last.done, note="")


def _whole_days(rows: Sequence[Entry], day_hours: float) -> Entry:
    """A stage as so many whole days."""
    total = _one_sum(rows)
    return replace(total, hours=day_hours * max(1, round(total.hours / day_hours)), grain=day_hours)


def _without_end(dice: Dice, wait: Wait, looked_at: set[str]) -> Wait:
    """The wait, now and then with the day on which the foam was dry told by the looks at it alone."""
    left_out = wait.cause == "drying" and dice.happens(END_NOT_WRITTEN) and wait.board in looked_at
    return replace(wait, until=None) if left_out else wait


def _mistyped(boards: Iterable[Board]) -> tuple[Board, ...]:
    """The same boards; one length had to be mended."""
    rows = list(boards)
    length_m = convert(MISTYPED_IN, "in", "m")
    at = next((n for n, board in enumerate(rows) if board.length_m == length_m), None)
    if at is not None:
        rows[at] = replace(rows[at], note=f"{rows[at].note}; {MISTYPED_NOTE}")
    return tuple(rows)
