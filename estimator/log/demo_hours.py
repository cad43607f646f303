"""How long the invented workshop's stages take: usual hours, and what a job makes of them. [invented]

The tables are made up for the demo; they describe no real workshop.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from estimator.log.demo_dice import Dice

Values = Mapping[str, float]

FURTHER = "further colours"  # booked to spray like the first one, but a piece of work of its own
SMALL = ("assess", "clean", "drying", "handover")
CLEAN = {"short": 0.8, "fish": 1.0, "long": 1.2}  # hours by outline
MASKING = (0.88, 1.0, 1.15)  # times as long: bands, curves, nested
BRITTLE = 1.5  # times as long where the glass shatters; its root where it is merely crisp
FINS = {"fins_mended": (1.8, 1.8), "fin_boxes": (2.4, 0.0), "fins_made": (5.5, 1.8)}  # the first; to glass on
NEXT_FIN = 0.6  # of the first
COLOURS = (19.0, 13.8)  # hours for the first colour and for each further one, in the first year
COLOURS_AS_GUESSED = (17.5, 12.7)
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
        "reshape": 1.0 + 1.9 * glass,
        "spray": colours[0] * look if x["spray_colours"] else 0.0,
        FURTHER: colours[1] * look * max(x["spray_colours"] - 1, 0),
        "logos": 2.4 * x["logos"],
        "laminate": 0.8 + 0.5 * x["patches"] if minor else 1.5 * x["sides_stripped"] + 0.9 * glass,
        "fins": sum(fin_hours(job, x[job]) for job in FINS),
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
    first, glass_on = FINS[job]
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
