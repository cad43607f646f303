"""What comes through the invented workshop's door: boards, work to do, what is hidden. [invented]

The tables are made up for the demo; they describe no real workshop.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from estimator.log.demo_dice import Dice
from estimator.log.demo_hours import (
    COLOURS_AS_GUESSED,
    DIFFICULTY,
    Values,
    by_stage,
    true_hours,
    usual_hours,
)

FIRST_DAY, LAST_DAY = dt.date(2022, 10, 1), dt.date(2026, 9, 30)
JOBS_A_YEAR = (27, 30, 31, 32)  # years from October to September
MONTHS = (0.8, 1.1, 1.5, 1.5, 1.3, 0.9, 0.6, 0.6, 0.8, 1.0, 1.0, 0.9)  # enquiries, January first
M2_PER_SQUARE_INCH = 0.0254**2

KINDS = {"major": 0.30, "partial": 0.30, "minor": 0.40}
OUTLINES = {"long": 0.45, "fish": 0.25, "short": 0.30}
LENGTH_FT = {"long": (9.4, 0.35), "fish": (7.5, 0.45), "short": (6.2, 0.40)}  # mean and sd
SHORTEST_FT, LONGEST_FT = 5.0, 10.5
WIDTH_IN = {"long": (22.6, 0.5), "fish": (21.2, 0.5), "short": (19.6, 0.7)}
FILL = {"long": (0.82, 0.015), "fish": (0.79, 0.015), "short": (0.765, 0.015)}  # face ÷ (length × width)

SIDES = {"major": 2, "partial": 1, "minor": 0}
LARGEST_PATCH = 0.12  # of the face, on a minor job
SPRAY_COLOURS = {
    "major": (0.25, 0.35, 0.25, 0.12, 0.03),
    "partial": (0.60, 0.30, 0.10),
    "minor": (0.92, 0.08),
}
MASKING_GRADES = (0.35, 0.45, 0.20)
WETNESS = {
    "major": (0.30, 0.30, 0.27, 0.13),
    "partial": (0.45, 0.33, 0.17, 0.05),
    "minor": (0.75, 0.20, 0.05, 0.0),
}
SOAKED = 3
WETNESS_UNDERRATED = 0.35  # one class, where there is any
BRITTLE_CHANCE = {"major": 0.35, "partial": 0.20, "minor": 0.05}
EACH_BRITTLE_GRADE = 2 / 3  # of that chance crisp, as much brittle: the mean log factor stays as it was
INFILLS = {"major": 2.6, "partial": 1.3, "minor": 0.5}
INFILLS_A_WETNESS = 0.6
ONE_INFILL_MORE, INFILLS_HIDDEN = 0.15, 1.6
FINS = {
    "long": {1: 0.93, 3: 0.06},
    "fish": {1: 0.75, 2: 0.10, 3: 0.15},
    "short": {1: 0.45, 2: 0.30, 3: 0.25},
}
FIN_JOBS = {
    "major": {"leave": 0.10, "fins_mended": 0.50, "fin_boxes": 0.15, "fins_made": 0.25},
    "partial": {"leave": 0.45, "fins_mended": 0.33, "fin_boxes": 0.10, "fins_made": 0.12},
    "minor": {"leave": 0.62, "fins_mended": 0.26, "fin_boxes": 0.07, "fins_made": 0.05},
}
LOGOS = {"major": (0.25, 0.40, 0.25, 0.10), "partial": (0.6, 0.3, 0.1), "minor": (0.9, 0.1)}
PINLINES = {"major": (0.45, 0.25, 0.30), "partial": (0.72, 0.20, 0.08), "minor": (0.95, 0.05)}
GLOSS = {"major": 0.85, "partial": 0.70, "minor": 0.55}
STRINGER = {"major": 0.25, "partial": 0.10, "minor": 0.04}
BLOCK = {"major": 0.15, "partial": 0.07, "minor": 0.06}
COATED = {"major": {2.0: 1.0}, "partial": {1.0: 0.5, 2.0: 0.5}, "minor": {0.3: 0.45, 1.0: 0.30, 2.0: 0.25}}

SURPRISE = {"major": 0.38, "partial": 0.27, "minor": 0.12}
WATER, OLD_REPAIR, STAIN, ROTTEN_STRINGER, CRUSHED_FOAM, CHANGE, REDO = SURPRISES = (
    "water",
    "old repair",
    "stain",
    "stringer",
    "crushed foam",
    "owner changes his mind",
    "own work done again",
)
SURPRISE_SHARES = dict(zip(SURPRISES, (0.28, 0.20, 0.14, 0.10, 0.10, 0.08, 0.10), strict=True))
STRUCTURAL = (WATER, OLD_REPAIR, STAIN, ROTTEN_STRINGER, CRUSHED_FOAM)
CHANGE_IS_GRAPHICS = 0.5  # of the changes of mind: a logo and a pinline more, about the same hours


@dataclass(frozen=True, slots=True)
class Job:
    """One board as it truly is. Amounts go by the names of the demo's drivers, modifiers, sometimes-stages.

    assessed, found, later: amounts as they looked, as they turned out, and of that what the owner added
    wet: class of wetness but for what a water surprise adds; it sets the drying days
    pieces: true hours by piece of work
    usual, usual_seen: hours of the found and of the assessed amounts for an ordinary job in the first year
    fair: hours of the assessed amounts as the restorer knows them, before he guesses low
    """

    kind: str
    outline: str
    length_in: float
    width_in: float
    assessed: Values
    found: Values
    later: Values
    surprise: str
    wet: int
    difficulty: float
    pieces: Values
    usual: Values
    usual_seen: Values
    fair: float

    @property
    def hours(self) -> dict[str, float]:
        """True hours by stage, not rounded."""
        return by_stage(self.pieces)

    @property
    def structural(self) -> bool:
        """Whether something was wrong under the glass."""
        return self.surprise in STRUCTURAL


def draw_job(dice: Dice, years: float) -> Job:
    """A job by the recipe, taken in `years` after the shop's first day."""
    kind, outline = dice.pick(KINDS), dice.pick(OUTLINES)
    length = round(2 * 12 * min(max(dice.normal(*LENGTH_FT[outline]), SHORTEST_FT), LONGEST_FT)) / 2
    width = round(8 * dice.normal(*WIDTH_IN[outline])) / 8
    face = length * width * dice.normal(*FILL[outline]) * M2_PER_SQUARE_INCH
    wet = dice.count(WETNESS[kind])
    seen = _amounts(dice, kind, outline, face, max(wet - dice.happens(WETNESS_UNDERRATED), 0))
    surprise = dice.pick(SURPRISE_SHARES) if dice.happens(SURPRISE[kind]) else ""
    found, later = _found(dice, seen, wet, surprise, minor=kind == "minor")
    difficulty = dice.times(DIFFICULTY)
    usual = usual_hours(found, outline, minor=kind == "minor")
    fair = usual_hours(seen, outline, minor=kind == "minor", colours=COLOURS_AS_GUESSED)
    return Job(
        kind=kind,
        outline=outline,
        length_in=length,
        width_in=width,
        assessed=seen,
        found=found,
        later=later,
        surprise=surprise,
        wet=wet,
        difficulty=difficulty,
        pieces=true_hours(usual, difficulty, years, dice),
        usual=usual,
        usual_seen=usual_hours(seen, outline, minor=kind == "minor"),
        fair=sum(fair.values()),
    )


def _amounts(dice: Dice, kind: str, outline: str, face: float, wetness: int) -> dict[str, float]:
    """All that can be seen beforehand."""
    sides, coated = SIDES[kind], dice.pick(COATED[kind])
    glass = face * (sides or dice.uniform(0, LARGEST_PATCH))
    colours = dice.count(SPRAY_COLOURS[kind])
    grade_chance = EACH_BRITTLE_GRADE * BRITTLE_CHANCE[kind]
    infills = dice.poisson(INFILLS[kind] + INFILLS_A_WETNESS * wetness)
    fins, fin_job = dice.pick(FINS[outline]), dice.pick(FIN_JOBS[kind])
    gloss = max(coated, 1.0) if dice.happens(GLOSS[kind]) else 0.0
    return {
        "face_area": face,
        "sides_stripped": sides,
        "glass_stripped": glass,
        "patches": 0 if sides else max(infills, 1),
        "infills": infills,
        "stringers": dice.happens(STRINGER[kind]),
        "blocks": dice.happens(BLOCK[kind]),
        "spray_colours": colours,
        "logos": dice.count(LOGOS[kind]),
        "pinlines": dice.count(PINLINES[kind]),
        **{job: fins * (job == fin_job) for job in ("fins_mended", "fin_boxes", "fins_made")},
        "sides_coated": coated,
        "coated_area": face * coated,
        "gloss": gloss,
        "gloss_area": face * gloss,
        "brittle_glass": dice.count((1 - 2 * grade_chance, grade_chance, grade_chance)),
        "wetness": wetness,
        "masking": dice.count(MASKING_GRADES) if colours else 0,
        "stain": 0,
        "owner_change": 0,
        "redo": 0,
    }


def _found(
    dice: Dice, seen: Values, wet: int, surprise: str, *, minor: bool
) -> tuple[dict[str, float], dict[str, float]]:
    """All in all as it turned out, and of that what the owner asked for later."""
    hidden = dice.poisson(INFILLS_HIDDEN) if surprise in {WATER, OLD_REPAIR, CRUSHED_FOAM} else 0
    infills = seen["infills"] + dice.happens(ONE_INFILL_MORE) + hidden
    found = {
        **seen,
        "wetness": min(wet + (surprise == WATER), SOAKED),
        "infills": infills,
        "patches": max(infills, 1) if minor else 0,
        "stringers": seen["stringers"] + (surprise == ROTTEN_STRINGER),
        "stain": surprise == STAIN,
        "redo": surprise == REDO,
    }
    later: dict[str, float] = {}
    if surprise == CHANGE:
        graphics = not minor and dice.happens(CHANGE_IS_GRAPHICS)
        later = {"logos": 1, "pinlines": 1} if graphics else {"owner_change": 1}
    return {**found, **{name: found[name] + more for name, more in later.items()}}, later
