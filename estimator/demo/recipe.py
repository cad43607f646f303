"""What comes through the invented workshop's door, and how long it takes; chance from one seed. [invented]"""

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import TypeVar

Face = TypeVar("Face")

STANDARD = NormalDist()
STEPS = 2**52  # so many equally likely numbers between 0 and 1, neither of them among them


class Dice:
    """Draws named by words: `Dice(7, "job", 12)` throws the same whatever else has been thrown.

    Only the whole-number source of the standard library is used, whose sequence is promised never to change;
    every law is drawn from it by its inverse.

    >>> Dice(7, "job", 12).uniform(0, 1) == Dice(7, "job", 12).uniform(0, 1)
    True
    """

    def __init__(self, *words: object) -> None:
        self._source = random.Random(" ".join(map(str, words)))  # noqa: S311 - invented boards, no secrets

    def unit(self) -> float:
        """A number between 0 and 1, never 0 and never 1."""
        return (self._source.getrandbits(52) + 0.5) / STEPS

    def uniform(self, low: float, high: float) -> float:
        """A number anywhere between low and high."""
        return low + (high - low) * self.unit()

    def happens(self, chance: float) -> bool:
        """True so often."""
        return self.unit() < chance

    def normal(self, mean: float, sd: float) -> float:
        """A normal draw."""
        return mean + sd * STANDARD.inv_cdf(self.unit())

    def times(self, log_sd: float, log_mean: float = 0.0) -> float:
        """A lognormal factor: its median is exp(log_mean)."""
        return math.exp(self.normal(log_mean, log_sd))

    def poisson(self, mean: float) -> int:
        """A count with the given mean."""
        left, count, chance = self.unit(), 0, math.exp(-mean)
        while left > chance:
            left -= chance
            count += 1
            chance *= mean / count
        return count

    def pick(self, weights: Mapping[Face, float]) -> Face:
        """One of the keys, each as often as its weight says; the weights need not add up to 1."""
        left = self.unit() * sum(weights.values())
        for face, weight in weights.items():
            left -= weight
            if left < 0:
                return face
        return next(reversed(list(weights)))

    def count(self, weights: Sequence[float]) -> int:
        """0, 1, 2 …, each as often as its weight says."""
        return self.pick(dict(enumerate(weights)))

    def shuffled(self, faces: Sequence[Face]) -> list[Face]:
        """The same things in a drawn order."""
        keys = [self.unit() for _ in faces]
        return [faces[n] for n in sorted(range(len(faces)), key=keys.__getitem__)]


Values = Mapping[str, float]

CURVES = 1  # the grade of masking that counts as usual
FURTHER = "further colours"  # booked to spray like the first one, but a piece of work of its own
SMALL = ("assess", "clean", "drying", "handover")
CLEAN = {"short": 0.8, "fish": 1.0, "long": 1.2}  # hours by outline
MASKING = (0.84, 1.0, 1.2)  # times as long: bands, curves, nested
BRITTLE = 1.5  # times as long where the glass shatters; its root where it is merely crisp
FIN_HOURS = {
    "fins_mended": (1.8, 1.8),
    "fin_boxes": (2.4, 0.0),
    "fins_made": (5.5, 1.8),
}  # the first; to glass on
NEXT_FIN = 0.6  # of the first
COLOURS = (19.0, 13.8)  # hours for the first colour and for each further one, in the first year
# at the counter he thinks of the spraying alone, whatever the masking
COLOURS_AS_GUESSED = (8.0, 6.0)
SOMETIMES = {"stain": 2.5, "owner_change": 4.0, "redo": 5.0}

DIFFICULTY = 0.14  # log-sd of what a job's hard stages share
COLOUR_SHARE = 0.7  # power of it that colours feel
NOISE = {"laminate": 0.15, "filler": 0.15, "gloss": 0.15, "spray": 0.11, FURTHER: 0.11, "logos": 0.30}
USUAL_NOISE, SMALL_NOISE = 0.20, 0.25
LEARNING = {"spray": 0.035, FURTHER: 0.035, "polish": 0.035}  # quicker a year, on the log
USUAL_LEARNING = 0.02


def usual_hours(
    x: Values, outline: str, *, minor: bool, colours: tuple[float, float] = COLOURS
) -> dict[str, float]:
    """Hours by piece of work for the amounts `x`, before difficulty, noise and learning.

    What does not happen is left out.
    """
    area, glass, coated = x["face_area"], x["glass_stripped"], x["coated_area"]
    look = MASKING[int(x["masking"])] * (area / 1.1) ** 0.2
    hours = {
        "assess": 1.4,
        "clean": CLEAN[outline],
        "strip": (0.5 + 3 * glass if minor else 0.6 + 2.6 * glass) * BRITTLE ** (x["brittle_glass"] / 2),
        "drying": 0.25 * (1 + 1.5 * x["wetness"]),
        "infill": 0.5 + 1.45 * x["infills"] if x["infills"] else 0.0,
        "stringer": 3.6 * x["stringers"],
        "block": 4.5 * x["blocks"],
        "reshape": (0.6 if minor else 1.0) + 1.9 * glass,
        "spray": colours[0] * look if x["spray_colours"] else 0.0,
        FURTHER: colours[1] * look * max(x["spray_colours"] - 1, 0),
        "logos": 2.4 * x["logos"],
        "laminate": 0.8 + 0.5 * x["patches"] if minor else 1.5 * x["sides_stripped"] + 0.9 * glass,
        "fins": sum(fin_hours(job, x[job]) for job in FIN_HOURS),
        "filler": 0.4 + 0.4 * x["sides_coated"] + 0.5 * coated,
        "sand": 0.8 + 2.3 * coated,
        "pinlines": 2.4 * x["pinlines"],
        "gloss": 0.7 * x["gloss"] + 0.45 * x["gloss_area"],
        "polish": 0.8 + 2.0 * x["gloss_area"] if x["gloss"] else 0.0,
        **{stage: SOMETIMES[stage] * x[stage] for stage in SOMETIMES},
        "handover": 1.1,
    }
    return {piece: worth for piece, worth in hours.items() if worth > 0}


def fin_hours(job: str, fins: float) -> float:
    """Hours to mend, box or make so many fins.

    >>> round(fin_hours("fins_made", 1), 1), fin_hours("fin_boxes", 0)
    (7.3, 0.0)
    """
    first, glass_on = FIN_HOURS[job]
    return first * (1 + NEXT_FIN * (fins - 1)) + glass_on if fins else 0.0


def true_hours(usual: Values, difficulty: float, years: float, dice: Dice) -> dict[str, float]:
    """What the job really takes by piece of work, `years` after the shop's first day.

    Small fixed stages vary on their own; the others share the job's difficulty and get quicker by and by.
    """
    hours = {}
    for piece, median in usual.items():
        if piece in SMALL:
            hours[piece] = median * dice.times(SMALL_NOISE)
            continue
        share = COLOUR_SHARE if piece in {"spray", FURTHER} else 1.0
        learnt = math.exp(-LEARNING.get(piece, USUAL_LEARNING) * years)
        hours[piece] = median * difficulty**share * dice.times(NOISE.get(piece, USUAL_NOISE)) * learnt
    return hours


def by_stage(pieces: Values) -> dict[str, float]:
    """Hours by stage: the further colours are booked to spray.

    >>> by_stage({"spray": 19.0, "further colours": 14.0, "sand": 4.0})
    {'spray': 33.0, 'sand': 4.0}
    """
    hours: dict[str, float] = {}
    for piece, worth in pieces.items():
        stage = "spray" if piece == FURTHER else piece
        hours[stage] = hours.get(stage, 0.0) + worth
    return hours


FIRST_DAY, LAST_DAY = dt.date(2022, 10, 1), dt.date(2026, 9, 30)
JOBS_A_YEAR = (28, 31, 33, 35)  # years from October to September
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
MASKING_GRADES = (0.30, 0.45, 0.25)
WETNESS = {
    "major": (0.30, 0.30, 0.27, 0.13),
    "partial": (0.45, 0.33, 0.17, 0.05),
    "minor": (0.75, 0.20, 0.05, 0.0),
}
SOAKED = 3
WETNESS_UNDERRATED = 0.35  # one class, where there is any
BRITTLE_CHANCE = {"major": 0.35, "partial": 0.20, "minor": 0.05}
EACH_BRITTLE_GRADE = 2 / 3  # of that chance crisp, as much brittle: the mean log factor stays as it was
INFILLS = {"major": 2.6, "partial": 1.3, "minor": 0.4}
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
    "minor": {"leave": 0.70, "fins_mended": 0.20, "fin_boxes": 0.06, "fins_made": 0.04},
}
LOGOS = {"major": (0.25, 0.40, 0.25, 0.10), "partial": (0.6, 0.3, 0.1), "minor": (0.9, 0.1)}
PINLINES = {"major": (0.45, 0.25, 0.30), "partial": (0.72, 0.20, 0.08), "minor": (0.95, 0.05)}
GLOSS = {"major": 0.85, "partial": 0.70, "minor": 0.35}
STRINGER = {"major": 0.25, "partial": 0.10, "minor": 0.04}
BLOCK = {"major": 0.15, "partial": 0.07, "minor": 0.06}
COATED = {"major": {2.0: 1.0}, "partial": {1.0: 0.5, 2.0: 0.5}, "minor": {0.3: 0.75, 1.0: 0.20, 2.0: 0.05}}
LEAST_GLOSSED = 0.5  # sides: a mend is rubbed down to where the eye does not stop

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
class InventedJob:
    """One board as it truly is. Amounts go by the names of the demo's drivers, modifiers, sometimes-stages.

    assessed, found, later: amounts as they looked, as they turned out, and of that what the owner added
    wet: class of wetness but for what a water surprise adds; it sets the drying days
    pieces: true hours by piece of work
    usual, usual_seen: hours of the found and of the assessed amounts for an ordinary job in the first year
    fair: hours of the assessed amounts as the restorer reckons them, colours too few, before he guesses
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


def draw_job(dice: Dice, years: float) -> InventedJob:
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
    fair = usual_hours(
        {**seen, "masking": CURVES}, outline, minor=kind == "minor", colours=COLOURS_AS_GUESSED
    )
    return InventedJob(
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
    gloss = max(coated, LEAST_GLOSSED) if dice.happens(GLOSS[kind]) else 0.0
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
