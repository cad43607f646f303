"""Quantities as the settings file writes them: grades by their words, ranges by their ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from estimator.words.settings import LENGTH, Settings
from estimator.words.settings_values import Pair, Place, nearest, number, pair, section, unknown_keys, words

MOST_FEET = 40.0


def amount(value: Any, name: str, settings: Settings, place: Place) -> float | None:
    """The value of a driver as a number, of a modifier or a sometimes-stage as its grade.

    A grade is written as its word, as yes or no, or as its number.
    """
    if name in settings.drivers:
        return number(value, replace(place, low=0.0, default=None))
    modifier = settings.modifiers.get(name)
    grades, highest = (modifier.grades, modifier.highest) if modifier else ((), 1)
    if isinstance(value, bool):
        return float(highest if value else 0)
    if isinstance(value, str):
        if value in grades:
            return float(grades.index(value))
        if value in {"yes", "no"}:
            return float(highest if value == "yes" else 0)
        place.wrong(value, f"{name} has no such grade", nearest(value, (*grades, "yes", "no")))
        return None
    return number(value, replace(place, low=0.0, high=float(highest), default=None))


def amounts(value: Any, name: str, settings: Settings, place: Place) -> Pair | None:
    """[low, high] of a driver or modifier, each end as `amount` reads it."""
    if not isinstance(value, list) or len(value) != 2:
        place.wrong(value, "two values belong here", "Write them as [low, high].")
        return None
    low, high = (amount(one, name, settings, place) for one in value)
    if low is None or high is None:
        return None
    if low > high:
        place.wrong(value, "the low end is above the high end", "Swap the two, or mend one.")
        return None
    return low, high


def when(value: Any, place: Place, settings: Settings) -> dict[str, Pair | frozenset[str]]:
    """Which boards the rule speaks of."""
    table = section(value, place, example='when = {kind = "major"}') or {}
    unknown_keys(table, (LENGTH, "kind", *settings.quantities), place)
    read: dict[str, Pair | frozenset[str]] = {}
    for name, wanted in table.items():
        here = place.at(name)
        found: Pair | frozenset[str] | None = None
        if name == "kind":
            kinds = words(
                [wanted] if isinstance(wanted, str) else wanted, replace(here, choices=tuple(settings.kinds))
            )
            found = frozenset(kinds) if kinds else None
            if kinds == () and wanted == []:
                here.wrong(wanted, "no kind is named", "Name one, or leave it out.")
        elif name == LENGTH or name in settings.quantities:
            found = _wanted(wanted, name, settings, here)
        if found is not None:
            read[name] = found
    return read


def _wanted(value: Any, name: str, settings: Settings, place: Place) -> Pair | None:
    """The values that a board must have: one, [low, high], or neighbouring grades by their words."""
    if not isinstance(value, list):
        one = _one(value, name, settings, place)
        return None if one is None else (one, one)
    if name in settings.quantities and value and all(isinstance(word, str) for word in value):
        return _grades(value, name, settings, place)
    if name == LENGTH:
        return pair(value, replace(place, low=0.0, high=MOST_FEET))
    return amounts(value, name, settings, place)


def _one(value: Any, name: str, settings: Settings, place: Place) -> float | None:
    """A single value: a length in feet, or a quantity."""
    if name == LENGTH:
        return number(value, replace(place, low=0.0, high=MOST_FEET))
    return amount(value, name, settings, place)


def _grades(value: list[Any], name: str, settings: Settings, place: Place) -> Pair | None:
    """The least and the most of grades that lie side by side."""
    found = [amount(word, name, settings, place) for word in value]
    if None in found:
        return None
    steps = sorted({one for one in found if one is not None})
    if steps[-1] - steps[0] >= len(steps):
        place.wrong(value, "a grade between them is left out", "Name grades side by side, or make two rules.")
        return None
    return steps[0], steps[-1]


def board(value: Any, place: Place, settings: Settings) -> dict[str, float]:
    """Usual quantities of the boards a rule means, by name."""
    table = section(value, place, example="board = {spray_colours = 2}") or {}
    unknown_keys(table, settings.quantities, place)
    read = {
        name: amount(given, name, settings, place.at(name))
        for name, given in table.items()
        if name in settings.quantities
    }
    return {name: found for name, found in read.items() if found is not None}
