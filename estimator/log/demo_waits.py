"""How long the invented workshop's boards stand, and the steps of a job between its waits. [invented]"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from estimator.log.demo_dice import Dice
from estimator.log.demo_hours import FURTHER
from estimator.log.demo_recipe import STAIN, WATER, Job

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
class Waits:
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


def draw_waits(dice: Dice, job: Job, *, asked: bool) -> Waits:
    """The waits of a job by the recipe; `asked`: the owner is asked about what was found."""
    accepting = max(1.0, round(_days(dice, ACCEPTING)))
    return Waits(
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


def steps_of(job: Job, waits: Waits) -> tuple[Step, ...]:
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


def shown_by(job: Job) -> str:
    """The stage whose end shows what could not be seen before."""
    return "reshape" if job.surprise == STAIN else "strip"


def _nights(stage: str, number: int, left: int) -> int:
    """Nights to stand after a session: one, but two coats or laps make two in all."""
    if stage in TWO_NIGHTS:
        return 1 if left or number > 1 else 2
    return int(stage in A_NIGHT_AFTER)


def _sessions(job: Job, stage: str) -> list[int]:
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
