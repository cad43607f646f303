"""The usual cautions for the stages of a board, for the workshop's own sheet; never on an owner's paper.

Common practice of the trade, in our words. No figure here is a limit, and none is presented as safe: local codes,
the product's safety data sheet and licensed practice decide.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

TEXTS = {  # in the order in which they are printed
    "styrene": "Wet and curing resin gives off styrene: extraction or moving fresh air, the filters that its "
    "data sheet names, short spells, beds and food well away.",
    "catalyst": "Peroxide catalyst can blind, and can start a fire: goggles, gloves, little of it, cool and "
    "apart; never near acetone, accelerator or metal dust; wipe up spills at once, cloths outdoors.",
    "exotherm": "Mixed resin left in a pot heats itself: spread it thin in a metal tin outdoors, bin nothing "
    "until cold.",
    "solvents": "Solvents, paint and resin vapour burn: no flame, spark or heater, small amounts, cans shut, "
    "an extinguisher at hand.",
    "spraying": "Spray in a booth or what local rules put in its place: exhaust, earthing, no sparks, dry "
    "overspray cleared away.",
    "two-pack": "Two-pack paint holds isocyanates: they can leave you unable to breathe near them for life, "
    "and a filter mask is not enough. Best not to use it; else only in a booth under suction, with air-fed "
    "breathing kit until it has cleared, training and health checks.",
    "foam": "Some foams and glues hold isocyanates: read their data sheets before you pour or heat them.",
    "dust": "Foam, resin and glass dust: catch it at the tool, wear the mask that its data sheet names, sand "
    "wet where you can, change clothes, never sweep dry. In ducts, bags and rafters it can explode: clean "
    "often, earth the hose, no sparks or catalyst into the collector, out of the house at night.",
    "pigments": "Old colour may hold lead or chromates: test it or take it that it does; wet methods, no dry "
    "grinding, separate clothes, wash before you eat.",
    "heat": "Heat on foam, glass or paint makes poisonous fumes: as little as will do, outdoors; never burn "
    "foam.",
    "splinters": "Old glass cuts and splinters: gloves, eye protection, roll the waste inward.",
    "other": "Work that is not named here: read the data sheet of everything you use before you begin.",
}
LAST = (
    "These are reminders, not all there is to know. Local codes, each product's safety data sheet and licensed "
    "practice decide, for the waste as well."
)
_RESIN = ("styrene", "catalyst", "exotherm", "solvents")
_PAINT = ("solvents", "spraying", "two-pack")
_MEETS = {  # how a word of a stage's name begins, and what that work meets
    "assess": (),
    "clean": ("solvents", "heat"),
    "wax": ("solvents", "heat"),
    "dewax": ("solvents", "heat"),
    "strip": ("solvents", "dust", "pigments", "heat", "splinters"),
    "dry": (),
    "drying": (),
    "handover": (),
    "infill": (*_RESIN, "foam", "dust"),
    "foam": (*_RESIN, "foam", "dust"),
    "stringer": (*_RESIN, "foam", "dust"),
    "block": (*_RESIN, "foam", "dust"),
    "reshap": ("dust", "pigments"),
    "shap": ("dust", "pigments"),
    "fair": ("dust", "pigments"),
    "stain": _PAINT,
    "spray": _PAINT,
    "paint": _PAINT,
    "colour": _PAINT,
    "color": _PAINT,
    "graphic": _PAINT,
    "logo": _PAINT,
    "pinline": (*_RESIN, *_PAINT),
    "laminat": _RESIN,
    "glass": (*_RESIN, "dust"),
    "resin": _RESIN,
    "patch": (*_RESIN, "dust"),
    "fin": (*_RESIN, "dust", "splinters"),
    "fins": (*_RESIN, "dust", "splinters"),
    "filler": _RESIN,
    "hotcoat": _RESIN,
    "gloss": _RESIN,
    "sand": ("dust", "pigments"),
    "polish": ("dust",),
}
_WHOLE = frozenset({"fin", "fins", "wax", "dry", "fair"})  # words, not beginnings: "finish" is no fin


def cautions_for(stages: Iterable[str], two_pack: bool) -> tuple[str, ...]:
    """The cautions to print for a board with these stages, most of them one or two sentences, the general one last.

    stages: names or labels, the shop's own among them; a name that tells nothing brings a general caution
    two_pack: whether two-pack paint is used here

    Empty where no stage meets anything that hurts.

    >>> cautions_for(["assess", "handover"], two_pack=False)
    ()
    >>> [text[:15] for text in cautions_for(["polish"], two_pack=False)]
    ['Foam, resin and', 'These are remin']
    """
    met: set[str] = set()
    for stage in stages:
        met |= _met_by(stage)
    if two_pack and "other" in met:
        met.add("two-pack")  # a stage of the shop's own may be where it is sprayed
    if not two_pack:
        met.discard("two-pack")
    return (*(text for name, text in TEXTS.items() if name in met), LAST) if met else ()


def _met_by(stage: str) -> set[str]:
    """What a stage meets by the words of its name; "other" where not one is known."""
    words = [word for word in re.split(r"[^a-z]+", stage.lower()) if word]
    known = [
        hazards
        for word in words
        for start, hazards in _MEETS.items()
        if word == start or (start not in _WHOLE and word.startswith(start))
    ]
    met = {hazard for hazards in known for hazard in hazards}
    harmless = bool(known) and len(words) == 1
    return met or (set() if harmless else {"other"})
