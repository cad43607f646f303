"""Units of length, area and weight: their sizes by definition, their spellings, a number with its unit."""

from __future__ import annotations

import re

from estimator.words.errors import UnreadableError
from estimator.words.numerals import number_in, quoted

# what it measures, and its size in m, m2 or kg as a fraction; foot and pound as defined in 1959
UNITS = {
    "m": ("a length", 1, 1),
    "cm": ("a length", 1, 100),
    "mm": ("a length", 1, 1000),
    "ft": ("a length", 3048, 10**4),
    "in": ("a length", 254, 10**4),
    "m2": ("an area", 1, 1),
    "cm2": ("an area", 1, 10**4),
    "ft2": ("an area", 3048**2, 10**8),
    "in2": ("an area", 254**2, 10**8),
    "kg": ("a weight", 1, 1),
    "g": ("a weight", 1, 1000),
    "lb": ("a weight", 45359237, 10**8),
    "oz": ("a weight", 45359237, 16 * 10**8),
}
_SPELT = {
    "m": "m metre metres meter meters",
    "cm": "cm cms centimetre centimetres centimeter centimeters",
    "mm": "mm millimetre millimetres millimeter millimeters",
    "ft": "ft foot feet",
    "in": "in ins inch inches",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "g": "g gram grams",
    "lb": "lb lbs pound pounds",
    "oz": "oz ounce ounces",
}
_SPELLINGS = {word: unit for unit, words in _SPELT.items() for word in words.split()} | {'"': "in", "'": "ft"}
_SPELLINGS |= {
    area.format(word): f"{unit}2"
    for unit in ("m", "cm", "ft", "in")
    for word in _SPELT[unit].split()
    for area in ("{}2", "{}^2", "sq {}", "sq. {}", "sq{}", "square {}")
}
_WITH_UNIT = re.compile(r"(.*?[0-9.,]) ?([a-z\"'][a-z0-9^\". ]*)")


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same quantity in another unit; units are m, cm, mm, ft, in, m2, cm2, ft2, in2, kg, g, lb, oz.

    Raises KeyError for any other unit, ValueError for an area made into a weight and the like.
    Source: the international yard and pound of 1959: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, exactly.

    >>> round(convert(1.0, "m2", "ft2"), 4), convert(9.5, "ft", "m")
    (10.7639, 2.8956)
    """
    (what, over, under), (wanted, to_over, to_under) = UNITS[from_unit], UNITS[to_unit]
    if what != wanted:
        raise ValueError(f"{from_unit} is {what}, {to_unit} is {wanted}")
    return value if from_unit == to_unit else value * (over * to_under) / (under * to_over)


def in_unit(value: object, found: float | str, unit: str, cure: str) -> float:
    """A number in `unit`, of what `number_or_text` found in a cell; "" counts and takes no unit.

    Raises UnreadableError with this cure for what is no number, or in a unit of something else.

    >>> round(in_unit("14 sq ft", "14 sq ft", "m2", ""), 4)
    1.3006
    """
    number = found if isinstance(found, float) else number_in(found)
    if number is not None:
        return number
    assert isinstance(found, str)
    parts = _WITH_UNIT.fullmatch(found)
    number = number_in(parts[1]) if parts else None
    if not parts or number is None:
        raise UnreadableError(f"{quoted(value)} is not a number that can be read", cure)
    written = _SPELLINGS.get(parts[2]) or _SPELLINGS.get(parts[2].removesuffix("."))
    if written is None:
        raise UnreadableError(f"{quoted(value)} is in a unit that is not known here", cure)
    if not unit:
        raise UnreadableError(f"{quoted(value)} is {UNITS[written][0]}, and this is counted", cure)
    if UNITS[written][0] != UNITS[unit][0]:
        raise UnreadableError(f"{quoted(value)} is {UNITS[written][0]}, not {UNITS[unit][0]}", cure)
    return convert(number, written, unit)
