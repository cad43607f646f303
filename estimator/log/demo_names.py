"""What the invented boards are called, and the words in their margins. [invented]"""

from __future__ import annotations

from collections.abc import Iterable

from estimator.log.demo_dice import Dice
from estimator.log.demo_recipe import (
    CHANGE,
    CRUSHED_FOAM,
    OLD_REPAIR,
    REDO,
    ROTTEN_STRINGER,
    STAIN,
    WATER,
    Job,
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
I_SAID_NO = ("too far gone", "wants two-pack paint", "wants it in three weeks", "worth more left as it is")
LAPSED = ("did not come back", "found it too dear", "sold the board as it was")


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


def call(dice: Dice, job: Job, taken: Iterable[str]) -> str:
    """A short name, a colour and a shape or length, that is not taken."""
    by_shape = dice.happens(BY_SHAPE)
    thing = dice.shuffled(SHAPES[job.outline])[0] if by_shape else length_name(job.length_in)
    free = [name for colour in dice.shuffled(COLOURS) if (name := f"{colour} {thing}") not in set(taken)]
    return free[0]


def cost_time(dice: Dice, job: Job) -> str:
    """What cost the time, as he answers at hand-over."""
    if job.surprise:
        return COST_TIME[job.surprise]
    if job.difficulty < SLOW:
        return "nothing"
    return dice.pick({"glass": 2, "foam": 1, "paint": 1 if job.found["spray_colours"] else 0})
