"""What the invented workshop guesses, spends and charges. [invented]"""

from __future__ import annotations

from dataclasses import dataclass

from estimator.log.demo_dice import Dice
from estimator.log.demo_hours import Values
from estimator.log.demo_recipe import CHANGE, Job

PRICE_PER_HOUR, MARK_UP = 48.0, 1.15  # mk, and times the materials
GUESS = (-0.10, 0.17)  # log mean and log-sd against the fair hours: guessed about a tenth low
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


def draw_money(dice: Dice, job: Job) -> Money:
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
