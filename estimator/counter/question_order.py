"""In which order to ask about a board of which nothing is worked out yet: by what rules of thumb say it could cost."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping

from estimator.words.settings.schema import ONCE, Settings

NOT_USUAL = (0.0, 1.0)  # what a board has of a thing of which nothing usual is written


def by_rules_of_thumb(kind: str, settings: Settings) -> tuple[str, ...]:
    """The quantities of a sort of job, that first whose answer moves the hours most by usual boards and rules.

    What decides how long the foam dries comes before all others: it moves the day more than anything moves the hours.
    The hours that an amount moves are those of its usual least and most, at the middle of each rule for it; those of a
    condition are the hours of the stages that it slows, at its lowest and highest usual grade.
    """
    usual = settings.kinds[kind].usual if kind in settings.kinds else {}
    rates = _rates(settings)
    hours: dict[str, float] = defaultdict(float)
    of_stage: dict[str, float] = defaultdict(float)
    for (stage, driver), rate in rates.items():
        low, high = (1.0, 1.0) if driver == ONCE else usual.get(driver, NOT_USUAL)
        asked = settings.drivers[driver].times or driver if driver in settings.drivers else driver
        hours[asked] += rate * (high - low)
        of_stage[stage] += rate * (low + high) / 2
    waits = {name for stage in settings.stages.values() for name in stage.wait_by}
    for name, modifier in settings.modifiers.items():
        factor = _factor(name, settings)
        low, high = usual.get(name, (0.0, float(modifier.highest)))
        slowed = math.fsum(of_stage[stage] for stage in modifier.stages)
        hours[name] += slowed * (factor**high - factor**low)
    names = [name for name in settings.quantities if hours[name] > 0]
    return tuple(sorted(names, key=lambda name: (name not in waits, -hours[name])))


def _rates(settings: Settings) -> Mapping[tuple[str, str], float]:
    """Hours a unit of each stage and driver, in the middle of the rule that says it."""
    return {
        (rule.stage, rule.per): math.sqrt(rule.low * rule.high)
        for rule in settings.rules
        if rule.form == "rate" and rule.stage and rule.low and rule.high
    }


def _factor(name: str, settings: Settings) -> float:
    """How many times as long a grade more takes, in the middle of the rule that says it; 1 where none does."""
    middles = [
        math.sqrt(rule.low * rule.high)
        for rule in settings.rules
        if rule.modifier == name and rule.low and rule.high
    ]
    return max(middles, default=1.0)
